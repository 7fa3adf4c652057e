"""A study played on invented kitchens before anything is cooked: how often does each plan end within `worth` of the best?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from .choose import LoadPlan, pick_loads
from .lookahead import CANDIDATES, Lookahead, alike, even_normals, highest
from .prior import Prior, Spread
from .space import Floats, VersionSpace
from .telling import room_to_learn, telling

FUTURES = 32
DRY_DRAWS = 1000
COMPETING_VERSIONS = 24
PAIRS = -1          # stands for all pairs where effects are stated


@dataclass(frozen=True)
class PlanResult:
    """One plan: trials used, share of kitchens within `worth` with its Monte-Carlo error, expected loss in points."""

    plan: str
    trials: int
    within_worth: float
    error: float
    expected_loss: float


@dataclass(frozen=True)
class DryRun:
    """Results by plan, and the difference that this kitchen sees in 80 of 100 studies of two options."""

    plans: tuple[PlanResult, ...]
    smallest_difference: float
    kitchens: int


def dry_run(
    space: VersionSpace, plan: LoadPlan, rounds: int, tasters: int, passes: int = 1, prior: Prior | None = None,
    kitchens: int = 500, seed: int = 0, worth: float = 0.5, prices: Floats | None = None, first: int = 0,
    only_tool: bool = False, effects: Mapping[int, float] | None = None, candidates: NDArray[np.bool_] | None = None,
) -> DryRun:
    """Plays the tool's plan, the habit and, where it fits, the full factorial.

    Parameters:
        plan, rounds: what one round can hold, and how many rounds.
        tasters, passes: scores a trial.
        prior: invented kitchens are drawn from it.
        kitchens, seed, first: kitchens first … first + kitchens − 1 of this seed, so that parts played elsewhere add up to the
        same numbers.
        worth, prices: as for `decide`.
        only_tool: leave the habit and the full factorial out.
        candidates: the versions that the tool's rule may cook, shape (n,); all without it.
        effects: factor → typical difference between two of its options, points, where that is stated instead of drawn; PAIRS for pairs.
    """
    prior = prior or Prior()
    price = np.zeros(space.size) if prices is None else np.asarray(prices, dtype=np.float64)
    invented = [Invented(space, prior, tasters, passes, seed, first + i, effects) for i in range(kitchens)]
    rule = _Rule(space, _typical(space, prior, tasters, passes), plan, rounds, price, candidates)
    trials = rounds * plan.loads * len(plan.places)
    played = {"this plan": (trials, [rule.play(k) for k in invented])}
    if not only_tool:
        played["one factor at a time"] = (trials, [_habit(space, k, trials, len(plan.places), price) for k in invented])
    if space.size <= trials and not only_tool:
        played["every version"] = (
            trials // space.size * space.size, [_all(space, k, trials // space.size, len(plan.places), price) for k in invented]
        )
    results = []
    for name, (used, losses) in played.items():
        loss = np.array(losses)
        share = float((loss <= worth + 1e-9).mean())
        results.append(PlanResult(name, used, share, float(np.sqrt(share * (1 - share) / len(loss))), float(loss.mean())))
    return DryRun(tuple(results), smallest_difference(prior, trials, tasters, passes), kitchens)


def smallest_difference(prior: Prior, trials: int, tasters: int, passes: int = 1) -> float:
    """Points between two options that 80 of 100 studies call "better", half of the trials each: (z.975 + z.80)·√(4·variance / trials)."""
    variance = prior.trial.typical**2 + (prior.taster_version.typical**2 + prior.noise.typical**2 / passes) / tasters
    return float((ndtri(0.975) + ndtri(0.8)) * np.sqrt(4 * variance / max(trials, 2)))


class Invented:
    """A kitchen drawn from the prior: true scores, and mean scores of trials on demand."""

    def __init__(
        self, space: VersionSpace, prior: Prior, tasters: int, passes: int, seed: int, number: int, effects: Mapping[int, float] | None = None,
    ) -> None:
        r = np.random.default_rng([seed, number, 41])
        draw = lambda s: float(np.exp(np.log(s.typical) + s.log_sd * r.standard_normal()))  # noqa: E731
        level = draw(Spread(1.0, prior.main.log_sd))
        alone = len(space.factors) < 2
        mains, pairs = (True, True) if alone else _what_matters(prior, float(r.random()))
        truth = np.zeros(space.size)
        stated = {factor: size / np.sqrt(2) for factor, size in (effects or {}).items()}
        does_nothing = set()
        chances = prior.idle_chances(space)
        for factor, rows in enumerate(space.centred):
            idle = r.random() < chances[factor]
            sd = prior.idle_sd if idle or not mains else prior.main.typical * level * np.exp(prior.own * r.standard_normal())
            if idle and factor not in stated:
                does_nothing.add(factor)
            truth += stated.get(factor, sd) * (rows @ r.standard_normal(rows.shape[1]))
        pair = draw(prior.pair) * level**prior.pairs_follow
        if PAIRS in stated:
            pair, pairs = stated[PAIRS], True
        for a, b in space.pairs:
            effect = pair * (space.pair_rows(a, b) @ r.standard_normal(len(space.options[a]) * len(space.options[b])))
            truth += effect if pairs and (PAIRS in stated or not does_nothing & {a, b}) else 0.0
        truth += draw(prior.surprise) * r.standard_normal(space.size) if (mains or pairs) and PAIRS not in stated else 0.0
        self.truth = truth
        self.load_sd = draw(prior.load)
        own = draw(prior.taster_version) ** 2 + draw(prior.noise) ** 2 / passes
        self.trial_sd = float(np.sqrt(draw(prior.trial) ** 2 + own / tasters))
        self._r = r

    def serve(self, versions: Sequence[int]) -> Floats:
        """Mean scores of one load."""
        v = np.asarray(versions, dtype=np.int64)
        return self.truth[v] + self.load_sd * self._r.standard_normal() + self.trial_sd * self._r.standard_normal(len(v))

    def loss(self, version: int, price: Floats) -> float:
        """Points given up by publishing this version."""
        net = self.truth - price
        return float(net.max() - net[version])


def _what_matters(prior: Prior, at: float) -> tuple[bool, bool]:
    """Whether options matter by themselves, and in pairs, in the kitchen that stands at this share, 0 to 1."""
    for chance, matters in ((prior.nothing, (False, False)), (prior.pairs_only, (False, True)), (prior.adds_up, (True, False))):
        if at < chance:
            return matters
        at -= chance
    return True, True


@dataclass(frozen=True, eq=False)
class Typical:
    """The prior at its typical spreads: covariance of versions, variance of a load, of a trial."""

    cov: Floats
    load: float
    trial: float


def _typical(space: VersionSpace, prior: Prior, tasters: int, passes: int) -> Typical:
    mains = [rows @ rows.T for rows in space.centred]
    cov = np.full((space.size,) * 2, prior.mean_sd**2)
    for k in mains:
        cov += prior.main.typical**2 * k
    for a, b in space.pairs:
        cov += prior.pair.typical**2 * mains[a] * mains[b]
    cov += prior.surprise.typical**2 * np.eye(space.size)
    trial = prior.trial.typical**2 + (prior.taster_version.typical**2 + prior.noise.typical**2 / passes) / tasters
    return Typical(cov, prior.load.typical**2, trial)


class _Rule:
    """The tool's own rule at the typical spreads (fewer futures and no exchange, for speed)."""

    def __init__(
        self, space: VersionSpace, typical: Typical, plan: LoadPlan, rounds: int, price: Floats, candidates: NDArray[np.bool_] | None = None,
    ) -> None:
        self.space, self.typical, self.plan, self.rounds, self.price = space, typical, plan, rounds, price
        self.in_all = rounds * plan.loads * len(plan.places)
        self._may = np.ones(space.size, dtype=bool) if candidates is None else np.asarray(candidates, dtype=bool)
        self._same = alike(space.levels)
        self._futures = even_normals(np.random.default_rng(3), FUTURES, plan.loads * len(plan.places) + 1)
        # nothing is known of any kitchen before its first round: it is the same round everywhere
        self._first = self._loads(0, np.zeros(space.size), typical.cov)

    def play(self, kitchen: Invented) -> float:
        """Points given up in this kitchen."""
        mean, cov = np.zeros(self.space.size), self.typical.cov
        for round_ in range(self.rounds):
            for load in self._loads(round_, mean, cov) if round_ else self._first:
                v = np.array(load)
                total = cov[np.ix_(v, v)] + self.typical.load + self.typical.trial * np.eye(len(v))
                gain = np.linalg.solve(total, cov[v]).T
                mean = mean + gain @ (kitchen.serve(load) - mean[v])
                cov = cov - gain @ cov[v]
        return kitchen.loss(int(np.argmax(mean - self.price)), self.price)

    def _loads(self, round_: int, mean: Floats, cov: Floats) -> list[list[int]]:
        loads, net = self.plan.loads, mean - self.price
        reach = net + 1.2 * np.sqrt(np.diag(cov))
        contend = highest(reach, COMPETING_VERSIONS)
        tried = highest(np.where(self._may, reach, -np.inf), min(CANDIDATES, int(self._may.sum())))
        # the same first round is played in every kitchen and must look at all; later the likeliest are enough, as in a real round
        rows = np.union1d(contend, tried) if round_ else np.arange(self.space.size)
        n = len(rows)
        wide = np.zeros((1, n + loads, n + loads))
        wide[0, :n, :n] = cov[np.ix_(rows, rows)]
        wide[0, range(n, n + loads), range(n, n + loads)] = self.typical.load
        ahead = Lookahead(rows, np.ones(1), net[None, rows], wide, np.array([self.typical.trial]), self._futures, np.searchsorted(rows, contend),
                          np.zeros(n), self._same[np.ix_(rows, rows)], np.zeros(n))
        learn = round_ > 0 and room_to_learn(self.space, self.in_all, self.rounds - round_)
        rule = (telling(ahead, DRY_DRAWS) if learn else None) or ahead
        return pick_loads(rule, self.space, self.plan, self._may, spread=round_ == 0, exchanges=0)


def _served(kitchen: Invented, versions: Sequence[int], per_load: int) -> Floats:
    return np.concatenate([kitchen.serve(versions[i : i + per_load]) for i in range(0, len(versions), per_load)])


def _habit(space: VersionSpace, kitchen: Invented, trials: int, per_load: int, price: Floats) -> float:
    """One factor at a time, the winner kept, spare trials repeat every trial."""
    sizes = [len(o) for o in space.options]
    repeats = max(1, trials // max(sum(sizes), 1))
    now = 0
    for a in range(len(sizes)):
        if space.levels[now, a] < 0:
            continue
        others = np.delete(space.levels, a, axis=1)
        line = np.flatnonzero((others == others[now]).all(1))
        if len(line) < 2:
            continue
        y = _served(kitchen, [int(x) for x in line] * repeats, per_load).reshape(repeats, len(line)).mean(0)
        now = int(line[np.argmax(y - price[line])])
    return kitchen.loss(now, price)


def _all(space: VersionSpace, kitchen: Invented, repeats: int, per_load: int, price: Floats) -> float:
    """Every version as often as trials allow; the best mean wins."""
    y = _served(kitchen, list(range(space.size)) * repeats, per_load).reshape(repeats, space.size).mean(0)
    return kitchen.loss(int(np.argmax(y - price)), price)
