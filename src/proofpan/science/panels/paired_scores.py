"""Scores that the same tasters gave: a mean with its range, and the difference of two plates within tasters."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtr, stdtrit

from .errors import PanelError


@dataclass(frozen=True)
class MeanScore:
    """A mean over tasters; low and high are None from one taster alone."""

    mean: float
    low: float | None
    high: float | None
    n: int


@dataclass(frozen=True)
class PairedDifference:
    """A difference within tasters, first less second.

    Attributes:
        difference: mean over tasters.
        low: lower end of its interval, None where it has none (one taster, or all exactly alike).
        high: upper end.
        p: two-sided, None where there is no interval.
        n: tasters.
    """

    difference: float
    low: float | None
    high: float | None
    p: float | None
    n: int


def mean_score(scores: ArrayLike, level: float = 0.95) -> MeanScore:
    """Mean with its t interval.

    Args:
        scores: shape (tasters,), no gaps.
        level: between 0 and 1.

    Raises:
        PanelError: no scores, gaps, or a level out of range.

    Source: Student (1908), Biometrika 6, 1-25.
    """
    values = _list(scores)
    half = _half(values, level)
    mean = float(values.mean())
    if half is None:
        return MeanScore(mean, None, None, values.size)
    return MeanScore(mean, mean - half, mean + half, values.size)


def paired_difference(first: ArrayLike, second: ArrayLike, level: float = 0.95) -> PairedDifference:
    """First less second, taster by taster, with its t interval.

    Args:
        first: shape (tasters,).
        second: shape (tasters,), the same tasters in the same order.
        level: between 0 and 1; for one of m comparisons use 1 - (1 - level) / m (Bonferroni).

    Raises:
        PanelError: lists of unequal length, no scores, gaps, or a level out of range.

    Source: Student (1908), Biometrika 6, 1-25; Bonferroni's inequality for several.
    """
    one, other = _list(first), _list(second)
    if one.shape != other.shape:
        raise PanelError(f"Paired scores are of the same tasters: {one.size} and {other.size} were given.")
    apart = one - other
    half = _half(apart, level)
    mean = float(apart.mean())
    if half is None or half == 0:
        return PairedDifference(mean, None, None, None, apart.size)
    t = mean / (float(apart.std(ddof=1)) / math.sqrt(apart.size))
    return PairedDifference(mean, mean - half, mean + half, float(2 * stdtr(apart.size - 1, -abs(t))), apart.size)


def _half(values: np.ndarray, level: float) -> float | None:
    if not 0 < level < 1:
        raise PanelError(f"level must lie between 0 and 1, not {level}.")
    if values.size < 2:
        return None
    return float(stdtrit(values.size - 1, (1 + level) / 2) * values.std(ddof=1) / math.sqrt(values.size))


def _list(scores: ArrayLike) -> np.ndarray:
    values = np.asarray(scores, dtype=float)
    if values.ndim != 1 or not values.size or not np.isfinite(values).all():
        raise PanelError("Scores must be a list without gaps, one a taster.")
    return values
