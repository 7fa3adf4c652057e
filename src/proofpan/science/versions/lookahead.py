"""What results still to come would do to the choice: means that will move, for each plausible setting of the spreads."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtr, ndtri

from .observations import Scores
from .posterior import Posterior
from .space import Floats

if TYPE_CHECKING:
    from .choose import LoadPlan

SETTINGS = 12      # settings of the spreads that a choice is averaged over
FUTURES = 96       # ways in which results may fall
CONTENDERS = 40    # versions that compete in a simulated final choice
CANDIDATES = 96    # versions tried in a place
TIE = 1e-6            # points: where no trial would tell anything more, different ones are cooked
NOT_TO_BE_HAD = -1e4  # points of a version that can't be chosen
TURN_OF_TWO, TURN_OF_MORE = 0.8, 0.05   # shares of what a trial is worth
REPEAT_EARNS = 0.05   # share of the round's gain by which the same again beside itself must be better than anything else: less is the futures' own error


@dataclass(eq=False)
class Lookahead:
    """The state while a round is being put together; g settings, r rows of versions that take part, one more column a load.

    Attributes:
        rows: shape (r,), the versions that take part.
        weights: shape (g,).
        mean: shape (g, r), net of prices.
        cov: shape (g, r + loads, r + loads), of versions' scores and of the loads' shifts.
        noise: shape (g,), variance of a trial's mean score about its version and load.
        futures: shape (z, trials), standard normal numbers.
        contenders: which of the rows may come out best.
        jitter: shape (r,), tiny preferences that decide between equals.
        alike: shape (r, r), share of factors on which two versions have the same option.
        turn: shape (r,), share of the worth by which a version is preferred for the order of the days.
        comes_out: shape (contenders,), of those that failed when last made the chance that another make comes out, NaN of the rest; None
            where none failed. Such a version can be chosen only in the futures in which a trial of this round comes out.
        luck: shape (z, trials), even numbers from 0 to 1.
    """

    rows: np.ndarray
    weights: Floats
    mean: Floats
    cov: Floats
    noise: Floats
    futures: Floats
    contenders: np.ndarray
    jitter: Floats
    alike: Floats
    turn: Floats
    comes_out: Floats | None = None
    luck: Floats | None = None

    def __post_init__(self) -> None:
        self._at = {int(v): i for i, v in enumerate(self.rows)}

    def expect(self, version: int) -> None:
        """A trial already on its way, in a load of its own: its result will be known."""
        n = self.mean.shape[1]
        if version not in self._at:
            return
        v = self._at[version]
        c = self.cov[:, :, v]
        total = self.cov[:, v, v] + self.noise + self.cov[:, n, n]
        self.cov = self.cov - c[:, :, None] * c[:, None, :] / total[:, None, None]

    @property
    def _now(self) -> float:
        """Expected score of what would be chosen without a further trial."""
        return float(self.weights @ self._open(self.mean[:, None, self.contenders], ()).max(2)[:, 0])

    def _open(self, means: Floats, picks: Sequence[int]) -> Floats:
        """Moved means (g, z, contenders) in which what failed, and doesn't come out in this future, can't be the best."""
        if self.comes_out is None or self.luck is None:
            return means
        shut = np.repeat(~np.isnan(self.comes_out)[None, :], means.shape[1], axis=0)
        for i, pick in enumerate(picks):
            mine = self.contenders == self._at[int(pick)]
            shut[:, mine] &= self.luck[:, i, None] >= np.nan_to_num(self.comes_out[mine], nan=1.0)
        return np.where(shut[None], NOT_TO_BE_HAD, means)

    def _after(self, picks: Sequence[int], loads: Sequence[int]) -> tuple[Floats, Floats]:
        """Conditional covariance and moved means (g, z, contenders) once these trials' results are in."""
        n = self.mean.shape[1]
        cov = self.cov
        means = np.repeat(self.mean[:, None, self.contenders], len(self.futures), axis=1)
        if picks:
            cov = cov.copy()
        for i, (pick, load) in enumerate(zip(picks, loads, strict=True)):
            v = self._at[int(pick)]
            c = cov[:, :, v] + cov[:, :, n + load]
            total = c[:, v] + c[:, n + load] + self.noise
            step = c / np.sqrt(total)[:, None]
            means = means + self.futures[None, :, i, None] * step[:, None, self.contenders]
            cov -= step[:, :, None] * step[:, None, :]
        return cov, means

    def best_next(
        self, picks: Sequence[int], loads: Sequence[int], load: int, allowed: np.ndarray, *, spread: bool,
        keep: int | None = None,
    ) -> int:
        """The version to add to a load, given the trials already in the round."""
        n = self.mean.shape[1]
        cov, means = self._after(picks, loads)
        tried = np.flatnonzero(allowed[self.rows])
        c = cov[:, :n, tried] + cov[:, :n, n + load, None]
        at = np.arange(len(tried))
        total = c[:, tried, at] + cov[:, n + load, tried] + cov[:, n + load, n + load, None] + self.noise[:, None]
        step = c / np.sqrt(total)[:, None, :]
        if spread:
            centred = step - step.mean(1, keepdims=True)
            value = self.weights @ (centred**2).sum(1)
            # options shown equally often come first, what a trial tells of all versions decides between such trials
            shown = np.array([self._at[int(p)] for p in picks], dtype=np.int64)
            same = self.alike[tried][:, shown].sum(1)
            value = value / max(float(value.max()), 1e-12) - 2.0 * same
        else:
            value = self._gain(self._open(means, picks), step[:, self.contenders], self.futures[:, len(picks)])
            for k in self._held(tried):
                after = self._open(means, [*picks, int(self.rows[tried[k]])])
                value[k] = self._gain(after, step[:, self.contenders, k : k + 1], self.futures[:, len(picks)])[0]
            beside = [self._at[int(p)] for p, at_load in zip(picks, loads, strict=True) if at_load == load]
            value = value - np.isin(tried, beside) * (REPEAT_EARNS * (value.max() - self._now) + TIE)
            value = value + self.turn[tried] * (value.max() - self._now)
        value = value + self.jitter[tried]
        if keep is not None:
            held = value[tried == self._at[keep]]
            if len(held) and held[0] >= value.max() - 1e-9:
                return keep
        return int(self.rows[tried[np.argmax(value)]])

    def _held(self, tried: np.ndarray) -> np.ndarray:
        """Which of the rows tried failed when last made."""
        if self.comes_out is None:
            return np.array([], dtype=np.int64)
        return np.flatnonzero(np.isin(tried, self.contenders[~np.isnan(self.comes_out)]))

    def _gain(self, means: Floats, step: Floats, z: Floats) -> Floats:
        """Expected best score for each candidate, shape (candidates,)."""
        out = np.zeros(step.shape[2])
        # single precision: four digits of a gain are more than the futures give, and it takes half the time
        base, lift, z32 = means.astype(np.float32), step.astype(np.float32), z.astype(np.float32)
        for g, w in enumerate(self.weights):
            # contenders come first: the largest of whole planes is found several times faster than the largest of short rows
            moved = z32[None, :, None] * lift[g][:, None, :]
            moved += np.ascontiguousarray(base[g].T)[:, :, None]
            out += w * moved.max(0).mean(0, dtype=np.float64)
        return out

    def gain(self, picks: Sequence[int], loads: Sequence[int]) -> float:
        """Points by which the final choice is expected to improve."""
        _, means = self._after(picks, loads)
        after = self._open(means, picks).max(2).mean(1)
        return max(float(self.weights @ after) - self._now, 0.0)


def look_ahead(
    posterior: Posterior, scores: Scores, plan: "LoadPlan", prices: Floats | None, eligible: np.ndarray | None, may: np.ndarray,
    seed: int, comes_out: Floats | None = None,
) -> Lookahead:
    """The state before the first trial of a round is chosen.

    Parameters: may, the versions that may be cooked; comes_out, shape (n,), as in `choose`.
    """
    n = posterior.space.size
    keep, weights = _few(posterior)
    part = {k: v[keep] for k, v in posterior.settings.items()}
    net = posterior.mean_by[keep] - (0.0 if prices is None else np.asarray(prices))
    run = np.ones(n, dtype=bool) if eligible is None else np.asarray(eligible, dtype=bool)
    if not run.any():
        run = np.ones(n, dtype=bool)
    rng = np.random.default_rng([seed, 5])
    reach = weights @ (net + 1.2 * np.sqrt(posterior.var_by[keep])) + 1e-6 * rng.random(n)
    contend = highest(np.where(run, reach, -np.inf), min(CONTENDERS, int(run.sum())))
    rows = np.union1d(contend, highest(np.where(may, reach, -np.inf), min(CANDIDATES, int(may.sum()))))
    size = len(rows)
    cov = np.zeros((len(keep), size + plan.loads, size + plan.loads))
    cov[:, :size, :size] = posterior.cov_of(keep, rows)
    for i in range(plan.loads):
        cov[:, size + i, size + i] = part["load"] ** 2 + part["drift"] ** 2
    noise = posterior.trial_variance(plan.tasters, plan.passes)[keep]
    futures = even_normals(np.random.default_rng(11), FUTURES, plan.loads * len(plan.places) + 1)
    held = None if comes_out is None else np.asarray(comes_out, dtype=float)[contend]
    if held is not None and (np.isnan(held).all() or not np.isnan(held).any()):
        held = None      # nothing failed; or everything did, and any of them is as good as none
    return Lookahead(
        rows, weights, net[:, rows], cov, noise, futures, np.searchsorted(rows, contend),
        1e-7 * rng.random(size), alike(posterior.space.levels[rows]),
        turning_back(scores, rows) if plan.loads * len(plan.places) == 1 else np.zeros(size),
        held, None if held is None else ndtr(even_normals(np.random.default_rng(13), FUTURES, futures.shape[1])),
    )


def turning_back(scores: Scores, rows: np.ndarray) -> Floats:
    """What the version to turn back with is preferred by, where one is cooked at a time: the last one, once all have been cooked equally often.

    A steady change from day to day then falls on no version: A, B, B, A and not A, B, A, B (counterbalanced order, as `panels.balanced_days`).
    Two versions tell equally much of each other, so nothing is lost by it; of more the round's worth decides unless it is near.
    """
    trials, first = np.unique(scores.trial, return_index=True)
    versions = scores.version[first]
    made, counts = np.unique(versions, return_counts=True)
    if len(made) < 2 or (counts != counts[0]).any():
        return np.zeros(len(rows))
    return (rows == versions[np.argmax(trials)]) * (TURN_OF_TWO if len(rows) == 2 else TURN_OF_MORE)


def alike(levels: np.ndarray) -> Floats:
    """Share of factors on which two versions have the same option, shape (r, r)."""
    return ((levels[:, None, :] == levels[None, :, :]) & (levels[:, None, :] >= 0)).mean(2)


def highest(value: Floats, count: int) -> np.ndarray:
    """Where the largest values are, in order of place."""
    return np.sort(np.argsort(-value, kind="stable")[:count])


def _few(posterior: Posterior) -> tuple[np.ndarray, Floats]:
    """A handful of settings that stand for all, with weights."""
    w = posterior.weights
    if len(w) <= SETTINGS:
        return np.arange(len(w)), w
    # systematic resampling along the settings in order of pair spread: deterministic, and every share of the weight is heard
    order = np.argsort(posterior.settings["pair"], kind="stable")
    edges = np.cumsum(w[order])
    at = np.searchsorted(edges, (np.arange(SETTINGS) + 0.5) / SETTINGS)
    keep, counts = np.unique(order[np.minimum(at, len(w) - 1)], return_counts=True)
    return keep, counts / SETTINGS


def even_normals(rng: np.random.Generator, n: int, k: int) -> Floats:
    """Normal numbers, shape (n, k), each column spread evenly, mirrored, and uncorrelated with every other.

    Columns that happened to correlate would favour some trials over others: it cost three kitchens in a hundred.
    """
    half = n // 2
    z = ndtri(np.column_stack([(rng.permutation(half) + 0.5) / half for _ in range(k)]))
    if half > k:
        w, u = np.linalg.eigh(z.T @ z / half)
        z = z @ (u / np.sqrt(w)) @ u.T
    return np.concatenate([z, -z])
