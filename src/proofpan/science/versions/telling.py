"""Trials that tell the best version from the rest: for rounds that aren't the last, where there is room to learn first and choose later."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .lookahead import Lookahead
from .space import Floats, VersionSpace

DRAWS = 3000
SMALLEST = 0.003   # share of the draws from which a version is a contender of its own
ROOM = 2.0         # trials in all, over the differences that options can make, from which there is room to learn first


def room_to_learn(space: VersionSpace, trials_in_all: int, rounds_left: int) -> bool:
    """Whether this round should tell the best from the rest rather than gain at once (tried: see docs/method/versions.md)."""
    differences = 1 + sum(len(o) - 1 for o in space.options)
    return rounds_left > 1 and trials_in_all >= ROOM * differences


@dataclass(eq=False)
class Telling:
    """The state while a round is being put together; r versions that take part, then a column a load.

    Attributes:
        rows: shape (r,), the versions that take part.
        cov: shape (2, r + loads, r + loads): all that is unknown, and what would be if the best were known.
        noise: variance of a trial's mean score about its version and load.
        jitter: shape (r,), tiny preferences that decide between equals.
        turn: shape (r,), share of the worth by which a version is preferred for the order of the days.
    """

    rows: np.ndarray
    cov: Floats
    noise: float
    jitter: Floats
    turn: Floats

    def __post_init__(self) -> None:
        self._at = {int(v): i for i, v in enumerate(self.rows)}

    def best_next(
        self, picks: Sequence[int], loads: Sequence[int], load: int, allowed: np.ndarray, *, spread: bool = False,
        keep: int | None = None,
    ) -> int:
        """The version to add to a load, given the trials already in the round."""
        n, cov = len(self.rows), self.cov
        for pick, at in zip(picks, loads, strict=True):
            v = self._at[int(pick)]
            c = cov[:, :, v] + cov[:, :, n + at]
            total = c[:, v] + c[:, n + at] + self.noise
            cov = cov - c[:, :, None] * c[:, None, :] / total[:, None, None]
        tried = np.flatnonzero(allowed[self.rows])
        unsure = cov[:, tried, tried] + 2 * cov[:, tried, n + load] + cov[:, n + load, n + load, None]
        logs = np.log(np.maximum(unsure, 1e-9) + self.noise)
        value = logs[0] - logs[1]
        value = value + self.turn[tried] * value.max() + self.jitter[tried]
        if keep is not None:
            held = value[tried == self._at[keep]]
            if len(held) and held[0] >= value.max() - 1e-9:
                return keep
        return int(self.rows[tried[np.argmax(value)]])


def telling(ahead: Lookahead, count: int = DRAWS) -> Telling | None:
    """What results would say of which version is best, by `count` joint draws; None where that is all but known.

    Rule: the scores of a round are worth log det(all that is unknown of them) − log det(what is left unknown once the best is named), halved:
    what they say of the best if scores are normal within each case (entropy search; Hennig & Schuler 2012, J. Mach. Learn. Res. 13:1809;
    the split of the variance by the best version as in Russo & Van Roy 2018, Oper. Res. 66:230).
    """
    r = len(ahead.rows)
    draws = _draws(ahead, r, count)
    top = np.argmax(draws[ahead.contenders], axis=0)
    counts = np.bincount(top, minlength=len(ahead.contenders))
    alone = counts >= SMALLEST * draws.shape[1]
    if alone.sum() < 2:
        return None
    group = np.where(alone, np.cumsum(alone) - 1, alone.sum())[top]
    held = np.zeros((draws.shape[1], int(group.max()) + 1))
    held[np.arange(draws.shape[1]), group] = 1.0
    sizes = held.sum(0)
    centred = draws - draws.mean(1, keepdims=True)
    means = (centred @ held) / np.maximum(sizes, 1)
    shares = sizes / draws.shape[1]
    whole = centred @ centred.T / draws.shape[1]
    between = (means * shares) @ means.T
    size = ahead.cov.shape[1]
    cov = np.zeros((2, size, size))
    cov[0, :r, :r], cov[1, :r, :r] = whole, whole - between
    loads = np.arange(r, size)
    cov[:, loads, loads] = ahead.weights @ ahead.cov[:, loads, loads]
    return Telling(ahead.rows, cov, float(ahead.weights @ ahead.noise), ahead.jitter, ahead.turn)


def _draws(ahead: Lookahead, r: int, count: int) -> Floats:
    """Joint draws of the versions that take part, shape (r, draws); always the same ones."""
    rng, parts = np.random.default_rng(17), []
    for mean, cov, weight in zip(ahead.mean, ahead.cov, ahead.weights, strict=True):
        half = max(1, round(count * float(weight) / 2))
        z = np.linalg.cholesky(cov[:r, :r] + 1e-9 * np.eye(r)) @ rng.standard_normal((r, half))
        parts += [mean[:, None] + z, mean[:, None] - z]
    return np.concatenate(parts, axis=1)
