"""From scores to the posterior: the spreads are learned, and averaged over where the data can't tell."""

from dataclasses import replace

import numpy as np
from scipy.special import ndtri

from .design import OTHER_TERMS, Design, factors_of, make_design, pair_names, spread_names
from .engine import Settings, Solved, pull_of_scores, solve
from .observations import Scores, no_scores
from .posterior import Posterior, Taster
from .prior import Prior, Spread
from .robust import at_an_end, down_weighted, fitted, score_sd, uncensored
from .space import Floats, VersionsError, VersionSpace

POINTS = 160
ORDINARY, ADDS_UP, PAIRS_ONLY, NOTHING = 0, 1, 2, 3
KEPT = 0.9995
LARGE = 150     # trials and tasters together, beyond which fewer settings are tried
MANY_VERSIONS, FEW_SETTINGS = 400, 40   # beyond so many versions only the likeliest settings are carried on


def fit(
    space: VersionSpace, scores: Scores | None = None, prior: Prior | None = None, *, worth: float = 0.5, seed: int = 0,
    points: int = POINTS,
) -> Posterior:
    """Posterior over all versions.

    Parameters:
        space: the versions that can be made, n of them.
        scores: what was scored; none gives the prior.
        prior: spreads expected of kitchens in general.
        worth: kept for callers that scale by it; the posterior doesn't depend on it.
        seed: of the fixed points at which the spreads are tried.
        points: how many.

    Raises: VersionsError when a score names a version that isn't there.
    Method: mode of the spreads by damped Newton steps on log spreads, then importance sampling about it (Tierney & Kadane
    1986; Rue, Martino &
    Chopin 2009), with idle factors, dud tasters and spoilt trials drawn at about their odds.
    """
    prior = prior or Prior()
    scores = scores if scores is not None else no_scores()
    if len(scores) and (scores.version.min() < 0 or scores.version.max() >= space.size):
        raise VersionsError("A score names a version that isn't among those that can be made.")
    design = make_design(space, scores)
    table = Table(design, prior, (scores.high - scores.low) / 10.0)
    large = design.size > LARGE
    mode, width = _mode(table, rounds=3 if large else 4)
    if len(scores):
        _look_closer(table, mode)
        mode, width = _mode(table, mode, rounds=2 if large else 3)
    if large:
        points = min(points, 48)   # so much data leaves few settings plausible
    settings, log_weights, marks = _sample(table, mode, width, points, seed)
    solved = solve(design, settings, table.mean, table.mean_sd)
    weights = _normalised(solved.log_evidence + log_weights)
    keep = _worth_keeping(weights, FEW_SETTINGS if space.size > MANY_VERSIONS else points)
    return _posterior(table, settings, solved, weights, keep, marks)


class Table:
    """The unknown spreads as standard normal numbers z, and the way back."""

    def __init__(self, design: Design, prior: Prior, unit: float) -> None:
        self.design, self.prior, self.unit = design, prior, unit
        self.names = spread_names(design.space)
        self.factors = len(design.space.factors)
        self.idle = prior.idle_chances(design.space)
        self.mean = design.scores.low + prior.mean * unit
        self.mean_sd = prior.mean_sd * unit
        self.pairs = pair_names(design.space)
        # all pairs share one unknown spread: which pairs there are, their factors' idleness says
        self.coords = ["main", *self.names[: self.factors], "pair", *OTHER_TERMS]
        self.free = np.array([self._asked(c) for c in self.coords])
        self.spoilt_var = (prior.spoilt_sd * unit) ** 2
        j = len(design.tasters)
        self.taster_factor = np.ones(j)
        given = design.scores.weight
        self.given_weight = np.ones(len(design.scores)) if given is None else given
        self.weight = self.given_weight.copy()
        self.trial_excess = 1 / np.array([self.given_weight[design.trial_of == t].min() for t in range(len(design.trials))]) - 1
        self.target = design.scores.score.copy()

    def _asked(self, coord: str) -> bool:
        if len(self.design.scores) == 0:
            return False
        if coord.startswith("main_"):
            return self.factors > 1
        if coord == "pair":
            return bool(self.pairs)
        return coord == "main" or coord in self.design.active

    def spreads(self, z: Floats, idle: Floats | None = None, regime: Floats | None = None) -> Floats:
        """Shape (g, coords) → standard deviations (g, names); idle (g, factors) and regime (g,) as drawn."""
        out = np.empty((len(z), len(self.names)))
        level = np.log(self.prior.main.typical) + self.prior.main.log_sd * z[:, 0]
        for a in range(self.factors):
            out[:, a] = np.exp(level + self.prior.own * z[:, 1 + a]) if self.factors > 1 else np.exp(level)
        own = {name: np.exp(np.log(s.typical) + s.log_sd * z[:, 1 + self.factors + i]) for i, (name, s) in enumerate(self._singles())}
        after = self.factors + len(self.pairs)
        out[:, self.factors : after] = (own["pair"] * np.exp(self.prior.pairs_follow * self.prior.main.log_sd * z[:, 0]))[:, None]
        out[:, after:] = np.column_stack([own[name] for name in OTHER_TERMS])
        pair = slice(self.factors, after)
        if idle is not None:
            out[:, : self.factors] = np.where(idle > 0, self.prior.idle_sd, out[:, : self.factors])
            # what does nothing by itself does nothing in company either
            in_company = np.array([[a in factors_of(n) for a in range(self.factors)] for n in self.pairs]).reshape(-1, self.factors)
            out[:, pair] = np.where(idle @ in_company.T > 0, self.prior.idle_sd / 2, out[:, pair])
        if regime is not None:
            no_mains = (regime == PAIRS_ONLY) | (regime == NOTHING)
            out[no_mains, : self.factors] = self.prior.idle_sd
            no_pairs = (regime == ADDS_UP) | (regime == NOTHING)
            out[no_pairs, pair] = self.prior.idle_sd / 2
            out[regime == NOTHING, self.names.index("surprise")] = self.prior.idle_sd / 4
        return out * self.unit

    def _singles(self) -> list[tuple[str, Spread]]:
        return [(name, getattr(self.prior, name)) for name in ("pair", *OTHER_TERMS)]

    def settings(
        self, z: Floats, idle: Floats | None = None, spoilt: Floats | None = None, dud: Floats | None = None,
        regime: Floats | None = None,
    ) -> Settings:
        """Settings at z with what is idle, spoilt or dud marked by 1."""
        g = len(z)
        t, j = len(self.design.trials), len(self.design.tasters)
        spreads = self.spreads(z, idle, regime)
        # a trial of weight w scatters about its version by 1/w of the usual variance
        older = spreads[:, [self.names.index("trial")]] ** 2 * self.trial_excess[None, :] if self.trial_excess.any() else np.zeros((g, t))
        return Settings(
            spreads, older if spoilt is None else older + spoilt * self.spoilt_var,
            np.zeros((g, j)) if dud is None else dud, self.taster_factor, self.weight, self.target,
        )

    def regime_prior(self) -> Floats:
        """Chances of the regimes ORDINARY, ADDS_UP, PAIRS_ONLY, NOTHING; with one factor pairs don't exist and idle says it all."""
        p = self.prior
        if not self.design.space.pairs:
            return np.array([1.0, 0.0, 0.0, 0.0])
        return np.array([1 - p.adds_up - p.pairs_only - p.nothing, p.adds_up, p.pairs_only, p.nothing])

    def log_evidence(self, z: Floats, **marks: Floats) -> Floats:
        """Log evidence plus log prior of z, shape (g,)."""
        s = solve(self.design, self.settings(z, **marks), self.mean, self.mean_sd, inverse=False)
        return s.log_evidence - 0.5 * (z**2).sum(1)


def _mode(table: Table, start: Floats | None = None, rounds: int = 4) -> tuple[Floats, Floats]:
    """Most plausible z and its widths (one over the root of the curvature)."""
    k = len(table.coords)
    z, width = np.zeros(k) if start is None else start.copy(), np.ones(k)
    free = np.flatnonzero(table.free)
    if not len(free):
        return z, width
    step = 0.3
    for round_ in range(rounds):
        trial = np.repeat(z[None], 1 + 2 * len(free), axis=0)
        trial[1 + np.arange(len(free)), free] += step
        trial[1 + len(free) + np.arange(len(free)), free] -= step
        f = table.log_evidence(trial)
        up, down = f[1 : 1 + len(free)], f[1 + len(free) :]
        slope = (up - down) / (2 * step)
        bend = np.maximum((2 * f[0] - up - down) / step**2, 0.5)
        width[free] = 1 / np.sqrt(bend)
        if round_ < rounds - 1:
            z[free] += 0.7 * np.clip(slope / bend, -1.5, 1.5)
    return z, width


def _look_closer(table: Table, z: Floats) -> None:
    """Slips, scores at the ends of the scale and each taster's noise, at the most plausible spreads."""
    d, s, prior, unit = table.design, table.design.scores, table.prior, table.unit
    if s.error_sd is None and len(d.tasters) > 1:
        _taster_noise(table, z)
    column = {n: i for i, n in enumerate(table.names)}
    ends = s.error_sd is None and at_an_end(s.score, s.low, s.high)
    half_step = (s.step or 0.0) / 2
    for _ in range(3 if ends else 2):
        settings = table.settings(z[None])
        sd = score_sd(d, settings, *(float(settings.spreads[0, column[n]]) for n in ("noise", "taster_version", "trial")))
        expected = fitted(d, solve(d, settings, table.mean, table.mean_sd, inverse=False), table.mean)
        if ends:
            table.target, table.weight = uncensored(s.score, expected, sd, s.low, s.high, half_step)
            table.weight = table.weight * table.given_weight
        inside = table.target == s.score
        slips = down_weighted(s.score, expected, sd, max(prior.stray, 1e-9), prior.stray_sd * unit)
        table.weight = np.where(inside, slips * table.given_weight, table.weight)
        if not ends and (slips == 1).all():
            break


def _taster_noise(table: Table, z: Floats) -> None:
    """Each taster's noise as a multiple of the common one: damped Newton steps on its log, held by the prior."""
    j, sd = len(table.design.tasters), table.prior.taster_noise
    e, step = np.zeros(j), 0.2
    for _ in range(2):
        tried = np.repeat(e[None], 1 + 2 * j, axis=0)
        tried[1 + np.arange(j), np.arange(j)] += step
        tried[1 + j + np.arange(j), np.arange(j)] -= step
        settings = replace(table.settings(np.repeat(z[None], 1 + 2 * j, axis=0)), taster_factor=np.exp(tried))
        f = solve(table.design, settings, table.mean, table.mean_sd, inverse=False).log_evidence
        f = f - 0.5 * (tried**2).sum(1) / sd**2
        up, down = f[1 : 1 + j], f[1 + j :]
        bend = np.maximum((2 * f[0] - up - down) / step**2, 0.5 / sd**2)
        e = e + 0.8 * np.clip((up - down) / (2 * step) / bend, -0.3, 0.3)
    table.taster_factor = np.exp(e)


def _marks_at(table: Table, z: Floats) -> tuple[Floats, Floats, Floats]:
    """Odds, one at a time, that each factor is idle, each trial spoilt, each taster a dud."""
    d, prior = table.design, table.prior
    a, t, j = table.factors, len(d.trials), len(d.tasters)
    if len(d.scores) == 0:
        return table.idle, np.zeros(t), np.zeros(j)
    idle = np.concatenate([np.zeros((1, a)), np.eye(a), np.zeros((j, a))])
    dud = np.concatenate([np.zeros((1 + a, j)), np.eye(j)])
    zz = np.repeat(z[None], 1 + a + j, axis=0)
    f = table.log_evidence(zz, idle=idle, dud=dud)
    lift = np.clip(f[1:] - f[0], -30, 30)
    odds_idle = _odds(table.idle, lift[:a])
    odds_dud = _odds(prior.dud, lift[a:]) if j > 2 else np.zeros(j)
    pull, kept = _pull_of_trials(table, z)
    v = table.spoilt_var
    lift = -0.5 * np.log1p(v * kept) + 0.5 * v * pull**2 / (1 + v * kept)
    return odds_idle, _odds(prior.spoilt, np.clip(lift, -30, 30)), odds_dud


def _pull_of_trials(table: Table, z: Floats) -> tuple[Floats, Floats]:
    """How far each trial lies from what the others say, and how surely, each of shape (t,)."""
    d, settings = table.design, table.settings(z[None])
    one = solve(d, settings, table.mean, table.mean_sd)
    if d.shared is not None:
        by_score = pull_of_scores(d, settings, one, table.mean)
        order = np.argsort(d.trial_of)
        return by_score[0][order], by_score[1][order]
    t = len(d.trials)
    back = np.linalg.inv(one.root[0][:t, :t])
    kept = back.T @ (np.eye(t) - one.inverse[0][:t, :t]) @ back
    return back.T @ one.whitened[0][:t], np.diag(kept)


def _regimes(table: Table, z: Floats) -> tuple[Floats, Floats]:
    """Chances of the regimes before the scores, and about those after, from which they are drawn."""
    prior = table.regime_prior()
    if len(table.design.scores) == 0:
        return prior, prior
    f = table.log_evidence(np.repeat(z[None], 4, axis=0), regime=np.arange(4.0))
    q = prior * np.exp(np.clip(f - f.max(), -30, 0))
    q = q / q.sum()
    # a regime's own spreads may fit better than these: leave each that may be true a share of the points
    q = np.where((q < 0.003) | (prior == 0), 0.0, np.maximum(q, 0.06))
    return prior, q / q.sum()


def _odds(prior: float | Floats, lift: Floats) -> Floats:
    return prior * np.exp(lift) / (1 - prior + prior * np.exp(lift))


def _sample(table: Table, mode: Floats, width: Floats, points: int, seed: int) -> tuple[Settings, Floats, dict[str, Floats]]:
    """Settings about the mode, with log(prior / proposal) of each."""
    rng = np.random.default_rng([seed, 20])
    k = len(table.coords)
    half = points // 2
    e = _even_normals(rng, half, k)
    e = np.concatenate([e, -e])
    wide = np.where(table.free, 1.1 * width, 1.0)
    z = mode + wide * e
    log_q = (-0.5 * e**2 - np.log(wide)).sum(1)
    log_w = -0.5 * (z**2).sum(1) - log_q
    marks, before = {}, (table.idle, np.full(1, table.prior.spoilt), np.full(1, table.prior.dud))
    for name, odds, base in zip(("idle", "spoilt", "dud"), _marks_at(table, mode), before, strict=True):
        # what is all but ruled out isn't tried; what is all but certain is still doubted
        q = np.where(odds < 0.01, 0.0, np.clip(odds, 0.05, 0.95)) if len(table.design.scores) else odds
        u = _even_uniforms(rng, len(z), len(q))
        on = (u < q).astype(np.float64)
        if name == "dud":
            log_w += _one_follows(on, q)
        marks[name] = on
        with np.errstate(divide="ignore", invalid="ignore"):
            log_w += np.where(on > 0, np.log(base) - np.log(q), np.log1p(-base) - np.log1p(-q)).sum(1)
    prior_of, q = _regimes(table, mode)
    edges = np.cumsum(q)
    regime = np.minimum(np.searchsorted(edges, _even_uniforms(rng, len(z), 1)[:, 0] * edges[-1]), 3)
    log_w += np.log(prior_of[regime]) - np.log(q[regime])
    marks["regime"] = regime.astype(np.float64)
    return table.settings(z, **marks), log_w, marks


def _one_follows(dud: Floats, q: Floats) -> Floats:
    """Marks the likeliest of the tasters as no dud where all were drawn as duds (in place), and how the weights change by it, shape (g,).

    That nobody's scores follow the trials isn't for duds to say: that nothing matters has its own chances. Drawn once in 160 it could outweigh the rest.
    """
    if len(q) < 2 or not (q > 0).all():
        return np.zeros(len(dud))
    likeliest = int(np.argmin(q))
    dud[(dud > 0).all(1), likeliest] = 0.0
    # such a pattern comes by two ways: by itself, and from all being duds
    others = np.ones(len(q), dtype=bool)
    others[likeliest] = False
    twice = (dud[:, others] > 0).all(1)
    return np.where(twice, np.log1p(-q[likeliest]), 0.0)      # chance q drawn by itself is (1 − q); together with the other it is 1


def _even_uniforms(rng: np.random.Generator, n: int, k: int) -> Floats:
    """Latin hypercube: every column fills (0, 1) evenly."""
    out = np.empty((n, k))
    for c in range(k):
        out[:, c] = (rng.permutation(n) + 0.5) / n
    return out


def _even_normals(rng: np.random.Generator, n: int, k: int) -> Floats:
    return ndtri(_even_uniforms(rng, n, k))


def _normalised(log_weights: Floats) -> Floats:
    w = np.exp(log_weights - log_weights.max())
    return w / w.sum()


def _worth_keeping(weights: Floats, most: int) -> np.ndarray:
    order = np.argsort(-weights, kind="stable")
    enough = int(np.searchsorted(np.cumsum(weights[order]), KEPT)) + 1
    return np.sort(order[: min(enough, most)])


def _posterior(
    table: Table, settings: Settings, solved: Solved, weights: Floats, keep: np.ndarray, marks: dict[str, Floats]
) -> Posterior:
    d, space = table.design, table.design.space
    t, at, j = len(d.trial_version), d.latent, len(d.tasters)
    column = {n: i for i, n in enumerate(table.names)}
    sds = {n: settings.spreads[keep, column[n]] for n in table.names}
    sds["pair"] = _root_mean_square([sds[n] for n in table.pairs]) if table.pairs else np.zeros(len(keep))
    w = weights[keep] / weights[keep].sum()
    variances = {n: sds[n] ** 2 for n in d.across if n in d.active}
    across = np.array([d.across[n] for n in variances]).reshape(len(variances), space.size * t)
    cross = (np.array(list(variances.values())).T @ across).reshape(len(keep), space.size, t) + table.mean_sd**2
    root = solved.root[keep][:, :t, :t]
    back = np.linalg.inv(root) if t else root
    loading = back @ np.swapaxes(cross, 1, 2)
    kept = np.eye(t) - solved.inverse[keep][:, :t, :t]
    mean_by = table.mean + np.einsum("gtn,gt->gn", loading, solved.whitened[keep][:, :t])
    level = np.einsum("gij,gj->gi", solved.root[keep], solved.whitened[keep])[:, at : at + j]
    spreads = {n: _summary(sds[n], w) for n in sds if n not in table.pairs}
    labels = {f"main_{a}": f for a, f in enumerate(space.factors)}
    return Posterior(
        space, w, mean_by, variances, table.mean_sd**2, loading, kept, sds,
        {labels.get(n, n): s for n, s in spreads.items()},
        tuple(float(x) for x in w @ np.maximum(marks["idle"][keep], (marks["regime"][keep, None] >= PAIRS_ONLY))),
        tuple(
            Taster(
                int(who), f * spreads["noise"][0], f * spreads["noise"][1], f * spreads["noise"][2],
                float(w @ level[:, i]), float(w @ marks["dud"][keep, i]),
            )
            for i, (who, f) in enumerate(zip(d.tasters, table.taster_factor, strict=True))
        ),
        np.zeros(len(keep)), max(j, 1),
        {int(n): float(o) for n, o in zip(d.trials, w @ marks["spoilt"][keep], strict=True)},
        d.trial_version, root, root @ np.swapaxes(root, 1, 2) - cross[:, d.trial_version],
    )


def _root_mean_square(values: list[Floats]) -> Floats:
    return np.sqrt(np.mean(np.array(values) ** 2, axis=0))


def _summary(values: Floats, weights: Floats) -> tuple[float, float, float]:
    order = np.argsort(values, kind="stable")
    running = np.cumsum(weights[order]) - weights[order] / 2
    low, middle, high = np.interp([0.025, 0.5, 0.975], running, values[order])
    return float(middle), float(low), float(high)
