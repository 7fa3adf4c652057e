"""Scores as the model takes them: one row a score, in an order that doesn't depend on how they came."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .space import Floats, Ints, VersionsError

WHOLE = ("version", "taster", "trial", "load", "lot", "tray", "day", "position", "repeat")


@dataclass(frozen=True, eq=False)
class Scores:
    """Scores on a 0–10 scale (or low to high), arrays of shape (m,); whole-number columns are -1 where unknown.

    Attributes:
        version: row of the version space.
        score: points.
        taster, trial, load, lot, tray, day: numbers that mean nothing but "the same" (day: also the order).
        position: place in the taster's serving order, 0 first.
        repeat: 0 for the first time this plate was tasted, 1 for the second.
        step: the smallest step of the scale, None when unknown.
        low, high: ends of the scale.
        error_sd: known error of a reading, shape (m,), None when it must be learned.
        weight: how much each score counts, above 0 to 1, shape (m,); None: all count in full.
    """

    version: Ints
    score: Floats
    taster: Ints
    trial: Ints
    load: Ints
    lot: Ints
    tray: Ints
    day: Ints
    position: Ints
    repeat: Ints
    step: float | None = None
    low: float = 0.0
    high: float = 10.0
    error_sd: Floats | None = None
    weight: Floats | None = None

    def __post_init__(self) -> None:
        m = len(np.atleast_1d(self.score))
        for name in WHOLE:
            a = np.asarray(getattr(self, name), dtype=np.int64).reshape(-1)
            if len(a) != m:
                raise VersionsError(f"{name} has {len(a)} rows where score has {m}.")
            object.__setattr__(self, name, a)
        score = np.asarray(self.score, dtype=np.float64).reshape(-1)
        if not np.isfinite(score).all():
            raise VersionsError("A score is missing or not a number: leave its row out.")
        if not self.high > self.low:
            raise VersionsError("The scale's high end must lie above its low end.")
        object.__setattr__(self, "score", score)
        if self.error_sd is not None:
            e = np.asarray(self.error_sd, dtype=np.float64).reshape(-1)
            if len(e) != m or not (e >= 0).all():
                raise VersionsError("error_sd needs one number, zero or more, a score.")
            object.__setattr__(self, "error_sd", e)
        if self.weight is not None:
            w = np.asarray(self.weight, dtype=np.float64).reshape(-1)
            if len(w) != m or not ((w > 0) & (w <= 1)).all():
                raise VersionsError("weight needs one number above 0 and at most 1 a score.")
            object.__setattr__(self, "weight", w)

    def __len__(self) -> int:
        return len(self.score)

    def rows(self, keep: NDArray) -> "Scores":
        """The same with some rows only."""
        changes = {n: getattr(self, n)[keep] for n in (*WHOLE, "score")}
        for n in ("error_sd", "weight"):
            held = getattr(self, n)
            changes[n] = None if held is None else held[keep]
        return replace(self, **changes)

    def canonical(self) -> "Scores":
        """The same rows in the one order that the arithmetic uses, so that their order can't change a bit of the result."""
        keys = [self.score] + [getattr(self, n) for n in reversed(WHOLE)]
        if self.error_sd is not None:
            keys.insert(0, self.error_sd)
        if self.weight is not None:
            keys.insert(0, self.weight)
        return self.rows(np.lexsort(keys))


def make_scores(
    version: ArrayLike, score: ArrayLike, *, taster: ArrayLike | None = None, trial: ArrayLike | None = None,
    load: ArrayLike | None = None, lot: ArrayLike | None = None, tray: ArrayLike | None = None,
    day: ArrayLike | None = None, position: ArrayLike | None = None, repeat: ArrayLike | None = None,
    step: float | None = None, low: float = 0.0, high: float = 10.0, error_sd: ArrayLike | None = None,
    weight: ArrayLike | None = None,
) -> Scores:
    """Scores with whatever is known; what isn't given is unknown (one taster, each score a trial and a load of its own)."""
    s = np.asarray(score, dtype=np.float64).reshape(-1)
    m = len(s)
    own, none = np.arange(m), np.full(m, -1)
    pick = lambda x, d: d if x is None else np.asarray(x)  # noqa: E731
    trial_ = pick(trial, own)
    return Scores(
        np.asarray(version), s, pick(taster, np.zeros(m, int)), trial_, pick(load, trial_), pick(lot, none),
        pick(tray, none), pick(day, none), pick(position, none), pick(repeat, np.zeros(m, int)), step, low, high,
        None if error_sd is None else np.asarray(error_sd, dtype=np.float64),
        None if weight is None else np.asarray(weight, dtype=np.float64),
    )


def no_scores(low: float = 0.0, high: float = 10.0) -> Scores:
    """No score at all: what a study knows before its first tasting."""
    return make_scores([], [], low=low, high=high)


