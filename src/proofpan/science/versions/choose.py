"""Which trials to cook next: the load whose results are worth most to the final choice."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .failed import favourite_failed, not_worth_a_make
from .fit import fit
from .lookahead import Lookahead, look_ahead
from .observations import Scores, no_scores
from .placing import place
from .posterior import Posterior
from .prior import Prior
from .space import Floats, Ints, VersionsError, VersionSpace
from .telling import Telling, room_to_learn, telling

CHOICE_POINTS = 64


@dataclass(frozen=True)
class LoadPlan:
    """What can be cooked in a round.

    Attributes:
        loads: oven loads (or pots, or sittings) in the round.
        places: (tray, place) of each trial in a load.
        load_numbers: the numbers of the loads, so that they differ from earlier ones; () counts on.
        tasters: how many will taste; 0 = as many as have scored.
        passes: how often each taster gets each plate.
        day: number of the day of this round, -1 unknown.
        rounds_left: rounds still to come, this one included.
    """

    loads: int = 1
    places: tuple[tuple[int, int], ...] = ((0, 0), (0, 1), (1, 0), (1, 1))
    load_numbers: tuple[int, ...] = ()
    tasters: int = 0
    passes: int = 1
    day: int = -1
    rounds_left: int = 1


@dataclass(frozen=True, eq=False)
class Choice:
    """A proposed round, one entry a trial in load and place order.

    Attributes:
        versions: rows of the version space.
        load, tray, place: where each is cooked.
        gain: points that the final choice is expected to gain.
        why: a short reason a trial: "spread", "likely best", "repeat", "control" or "tells A from B of F".
    """

    versions: Ints
    load: Ints
    tray: Ints
    place: Ints
    gain: float
    why: tuple[str, ...]


def choose(
    space: VersionSpace, scores: Scores | None, plan: LoadPlan, prior: Prior | None = None, *, worth: float = 0.5,
    prices: Floats | None = None, eligible: np.ndarray | None = None, seed: int = 0, planned: Sequence[int] = (),
    candidates: np.ndarray | None = None, posterior: Posterior | None = None, counted_by: Posterior | None = None,
    comes_out: Floats | None = None,
) -> Choice:
    """The round that is worth most.

    Parameters:
        space, scores, prior: as for `fit`.
        plan: loads and places.
        prices, eligible: of publishing, shape (n,); gain is counted after prices over what may be published.
        seed: decides between trials that are worth the same.
        planned: versions already on their way, whose results will come too.
        candidates: which versions may be cooked, shape (n,) of bool.
        posterior: when `fit` was called already; by default trials are chosen by `hopeful`.
        counted_by: what the gain is counted by (a verdict's own posterior); by default what the trials are chosen by.
        comes_out: of versions that failed when last made the chance that another make comes out, NaN of all others, shape (n,): they can't
            be published until one has.

    Method: with no score yet the trials that tell most of all versions (Bayesian A-optimal); then, while there is room to learn first,
        those that tell the best from the rest (`telling`); in the last round, or where trials are few, the knowledge gradient of the whole
        round (Frazier, Powell & Dayanik 2009). Chosen one by one and then exchanged, averaged over the plausible spreads.
    """
    scores = scores if scores is not None else no_scores()
    may = np.ones(space.size, dtype=bool) if candidates is None else np.asarray(candidates, dtype=bool)
    if not may.any():
        raise VersionsError("No version may be cooked: every one is left out.")
    if plan.loads < 1 or not plan.places:
        raise VersionsError("A round needs at least one load with one place.")
    posterior = posterior or fit(space, scores, hopeful(prior), worth=worth, points=CHOICE_POINTS)
    run = np.ones(space.size, dtype=bool) if eligible is None else np.asarray(eligible, dtype=bool)
    net = posterior.mean - (0 if prices is None else prices)
    given_up = not_worth_a_make(posterior, net, may & run, comes_out, worth)
    if (may & run & ~given_up).any():
        may, run = may & ~given_up, run & ~given_up
    ahead = look_ahead(posterior, scores, plan, prices, run, may, seed, comes_out)
    for v in planned:
        ahead.expect(int(v))
    made = len(np.unique(scores.trial)) + len(planned)
    in_all = made + plan.rounds_left * plan.loads * len(plan.places)
    learn = len(scores) > 0 and room_to_learn(space, in_all, plan.rounds_left)
    learn = learn and not favourite_failed(net, may & run, comes_out)
    rule = (telling(ahead) if learn else None) or ahead
    picks = pick_loads(rule, space, plan, may, spread=len(scores) == 0)
    order = [place(space, scores, load, plan, i) for i, load in enumerate(picks)]
    versions = np.array([v for load in order for v in load], dtype=np.int64)
    each = len(plan.places)
    numbers = plan.load_numbers or tuple(
        int(scores.load.max(initial=-1)) + 1 + i for i in range(plan.loads)
    )
    trays = np.array([t for t, _ in plan.places] * plan.loads)
    places = np.array([p for _, p in plan.places] * plan.loads)
    if counted_by is not None:
        ahead = look_ahead(counted_by, scores, plan, prices, run, np.isin(np.arange(space.size), versions), seed, comes_out)
        for v in planned:
            ahead.expect(int(v))
    gain = ahead.gain([v for load in picks for v in load], [i for i, load in enumerate(picks) for _ in load])
    return Choice(
        versions, np.repeat(np.array(numbers), each), trays, places, gain,
        _reasons(space, scores, posterior, versions, prices),
    )


def hopeful(prior: Prior | None) -> Prior:
    """The prior that trials are chosen by: everything that varies may matter.

    The chance that something doesn't is for the verdict. A round that trusts it looks less where a difference would show, and ends at the
    best less often (docs/method/versions.md).
    """
    return replace(prior or Prior(), idle=0.0, idle_extra=0.0, idle_alone=0.0, adds_up=0.0, pairs_only=0.0, nothing=0.0)


def pick_loads(
    ahead: Lookahead | Telling, space: VersionSpace, plan: LoadPlan, may: np.ndarray, *, spread: bool, exchanges: int = 2
) -> list[list[int]]:
    """Versions of each load: greedy, then exchanged one at a time."""
    takes_part = np.zeros(space.size, dtype=bool)
    takes_part[ahead.rows] = True
    may = may & takes_part
    held = [a for a, c in enumerate(space.changed) if c == "load"]
    keys = [tuple(int(x) for x in row) for row in space.levels[:, held]]
    used: list[tuple[int, ...]] = []
    picks: list[int] = []
    loads: list[int] = []
    each = len(plan.places)
    allowed: list[np.ndarray] = []
    for load in range(plan.loads):
        fresh = {k for k, m in zip(keys, may, strict=True) if m} - set(used)
        pool = may & np.array([not held or not fresh or k in fresh for k in keys])
        for place_ in range(each):
            best = ahead.best_next(picks, loads, load, pool, spread=spread)
            picks.append(best)
            loads.append(load)
            if place_ == 0 and held:
                pool = may & np.array([k == keys[best] for k in keys])
                used.append(keys[best])
        allowed.extend([pool] * each)
    for _ in range(exchanges if len(picks) <= 8 else min(exchanges, 1)):
        changed = False
        for i in range(len(picks)):
            rest, rest_loads = picks[:i] + picks[i + 1 :], loads[:i] + loads[i + 1 :]
            best = ahead.best_next(rest, rest_loads, loads[i], allowed[i], spread=spread, keep=picks[i])
            changed |= best != picks[i]
            picks[i] = best
        if not changed:
            break
    return [picks[i * each : (i + 1) * each] for i in range(plan.loads)]


def _reasons(
    space: VersionSpace, scores: Scores, posterior: Posterior, versions: Ints, prices: Floats | None
) -> tuple[str, ...]:
    if len(scores) == 0:
        return tuple("spread" for _ in versions)
    cooked = set(int(v) for v in scores.version)
    net = posterior.mean - (0 if prices is None else prices)
    likely = set(int(v) for v in np.argsort(-net, kind="stable")[: max(min(3, (space.size + 1) // 2), space.size // 12)])
    top = int(np.argmax(net))
    out, seen = [], set()
    for v in map(int, versions):
        if v in seen:
            out.append("repeat")
        elif v in likely:
            out.append("likely best")
        else:
            told = _tells(space, posterior, v, top)
            out.append("control" if v in cooked and told == "spread" else told)
        seen.add(v)
    return tuple(out)


def _tells(space: VersionSpace, posterior: Posterior, version: int, top: int) -> str:
    """The factor by which this version differs from the likeliest and about which least is known."""
    widest, words = -1.0, "spread"
    for a, name in enumerate(space.factors):
        here, there = int(space.levels[version, a]), int(space.levels[top, a])
        if here < 0 or there < 0 or here == there:
            continue
        means, variances = posterior.contrast_by(space.contrast(a, here, there))
        unsure = float(posterior.weights @ np.sqrt(variances))
        if unsure > widest:
            widest, words = unsure, f"tells {space.options[a][here]} from {space.options[a][there]} of {name}"
    return words
