"""Just-about-right scales: how many found too little or too much of something, and what it cost in liking."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from .discrimination import clopper_pearson
from .errors import PanelError


@dataclass(frozen=True)
class PenaltyAnalysis:
    """Shares of the three answers and the liking lost; what can't be worked out is None.

    Attributes:
        percent_too_little: 0 to 100.
        percent_just_right: 0 to 100.
        percent_too_much: 0 to 100.
        mean_just_right: mean liking of those who found it just right.
        mean_drop_too_little: that mean less the mean of those who found too little.
        mean_drop_too_little_interval: low and high by Welch's t, from two answers a group on.
        mean_drop_too_much: the same for too much.
        mean_drop_too_much_interval: the same for too much.
        total_penalty_too_little: share times mean drop.
        total_penalty_too_much: the same for too much.
        counts: answers of too little, just right and too much.
        share_intervals: low and high of the three shares, 0 to 1, each by itself, exact.
    """

    percent_too_little: float
    percent_just_right: float
    percent_too_much: float
    mean_just_right: float | None
    mean_drop_too_little: float | None
    mean_drop_too_little_interval: tuple[float, float] | None
    mean_drop_too_much: float | None
    mean_drop_too_much_interval: tuple[float, float] | None
    total_penalty_too_little: float | None
    total_penalty_too_much: float | None
    counts: tuple[int, int, int] = (0, 0, 0)
    share_intervals: tuple[tuple[float, float], tuple[float, float], tuple[float, float]] = ((0.0, 1.0), (0.0, 1.0), (0.0, 1.0))

    @property
    def answers(self) -> int:
        """How many answered."""
        return sum(self.counts)


def penalty_analysis(just_right: ArrayLike, liking: ArrayLike, level: float = 0.95) -> PenaltyAnalysis:
    """Penalty analysis of one attribute.

    Args:
        just_right: shape (tasters,), below 0 too little, 0 just right, above 0 too much.
        liking: shape (tasters,), the same tasters.
        level: of the intervals.

    Raises:
        PanelError: no answers, unequal lengths or gaps.

    Source: ASTM MNL63 (2009), Just-About-Right scales; from memory. Intervals: of drops, Welch (1947), Biometrika 34, 28-35; of
    shares, Clopper & Pearson (1934), Biometrika 26, 404-413.
    """
    answers, scores = np.asarray(just_right, dtype=float), np.asarray(liking, dtype=float)
    if answers.ndim != 1 or answers.shape != scores.shape or not answers.size:
        raise PanelError("Just-right answers and liking must be two lists of the same tasters, at least one.")
    if not (np.isfinite(answers).all() and np.isfinite(scores).all()):
        raise PanelError("Just-right answers and liking must have no gaps; leave out who didn't answer both.")
    little, right, much = scores[answers < 0], scores[answers == 0], scores[answers > 0]
    drops = [float(right.mean() - group.mean()) if right.size and group.size else None for group in (little, much)]
    shares = [group.size / scores.size for group in (little, much)]
    penalties = [None if drop is None else share * drop for share, drop in zip(shares, drops, strict=True)]
    return PenaltyAnalysis(
        percent_too_little=100 * shares[0],
        percent_just_right=100 * right.size / scores.size,
        percent_too_much=100 * shares[1],
        mean_just_right=float(right.mean()) if right.size else None,
        mean_drop_too_little=drops[0],
        mean_drop_too_little_interval=_welch(right, little, level),
        mean_drop_too_much=drops[1],
        mean_drop_too_much_interval=_welch(right, much, level),
        total_penalty_too_little=penalties[0],
        total_penalty_too_much=penalties[1],
        counts=(little.size, right.size, much.size),
        share_intervals=(
            clopper_pearson(little.size, scores.size, level), clopper_pearson(right.size, scores.size, level),
            clopper_pearson(much.size, scores.size, level),
        ),
    )


def _welch(a: NDArray[np.float64], b: NDArray[np.float64], level: float) -> tuple[float, float] | None:
    if min(a.size, b.size) < 2:
        return None
    va, vb = a.var(ddof=1) / a.size, b.var(ddof=1) / b.size
    if va + vb == 0:
        return None
    df = (va + vb) ** 2 / (va**2 / (a.size - 1) + vb**2 / (b.size - 1))
    reach = float(stdtrit(df, (1 + level) / 2)) * math.sqrt(va + vb)
    drop = float(a.mean() - b.mean())
    return drop - reach, drop + reach
