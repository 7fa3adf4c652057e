"""Intraclass correlation: how much of the spread in scores is the plates and not the judges."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import fdtri

from .errors import PanelError
from .scores import score_table


@dataclass(frozen=True)
class Correlation:
    """One form of the correlation with its interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class IntraclassCorrelation:
    """The six forms of Shrout and Fleiss.

    Attributes:
        one_way: (1,1), each plate judged by other judges.
        random_judges: (2,1), the same judges, drawn from many: absolute agreement.
        fixed_judges: (3,1), the same judges, only these: consistency.
        one_way_mean: (1,k), of the mean of the k judges.
        random_judges_mean: (2,k).
        fixed_judges_mean: (3,k).
        level: of the intervals.
    """

    one_way: Correlation
    random_judges: Correlation
    fixed_judges: Correlation
    one_way_mean: Correlation
    random_judges_mean: Correlation
    fixed_judges_mean: Correlation
    level: float


def intraclass_correlation(scores: ArrayLike, level: float = 0.95) -> IntraclassCorrelation:
    """All six intraclass correlations.

    Args:
        scores: shape (what is judged, judges), no gaps.
        level: of the intervals, between 0 and 1.

    Raises:
        PanelError: not such a table, level out of range, or scores without any spread left after the plates.

    Where the plates' means don't differ at all some forms have no bound below or no value: those are minus infinity or nan.

    Source: Shrout & Fleiss (1979), Psychol. Bull. 86, 420-428.
    """
    table = score_table(scores)
    if not 0 < level < 1:
        raise PanelError(f"level must lie between 0 and 1, not {level}.")
    n, k = table.shape
    mean = table.mean()
    plates = k * float(((table.mean(axis=1) - mean) ** 2).sum()) / (n - 1)
    judges = n * float(((table.mean(axis=0) - mean) ** 2).sum()) / (k - 1)
    within = float(((table - table.mean(axis=1, keepdims=True)) ** 2).sum()) / (n * (k - 1))
    left = table - table.mean(axis=1, keepdims=True) - table.mean(axis=0) + mean
    error = float((left**2).sum()) / ((n - 1) * (k - 1))
    if error <= 1e-12 * max(plates, judges, 1e-300) or within == 0:
        raise PanelError("The judges' scores leave no spread to compare with; agreement is complete or undefined.")
    tail = (1 + level) / 2

    def by_ratio(noise: float, df: int) -> tuple[Correlation, Correlation]:
        ratio = plates / noise
        low, high = ratio / fdtri(n - 1, df, tail), ratio * fdtri(df, n - 1, tail)
        single = [float((r - 1) / (r + k - 1)) for r in (ratio, low, high)]
        return Correlation(*single), Correlation(*(float(1 - 1 / r) if r else -np.inf for r in (ratio, low, high)))

    one_way, one_way_mean = by_ratio(within, n * (k - 1))
    fixed, fixed_mean = by_ratio(error, (n - 1) * (k - 1))
    rho = _ratio(plates - error, plates + (k - 1) * error + k * (judges - error) / n)
    f_judges = judges / error
    a = n * (1 + (k - 1) * rho) - k * rho
    v = (k - 1) * (n - 1) * (k * rho * f_judges + a) ** 2 / ((n - 1) * (k * rho * f_judges) ** 2 + a**2)
    upper, lower = fdtri(n - 1, v, tail), fdtri(v, n - 1, tail)
    rest = k * judges + (k * n - k - n) * error
    low = _ratio(n * (plates - upper * error), upper * rest + n * plates)
    high = _ratio(n * (lower * plates - error), rest + n * lower * plates)
    random = Correlation(rho, low, high)
    rho_mean = _ratio(plates - error, plates + (judges - error) / n)
    random_mean = Correlation(rho_mean, *(_ratio(k * r, 1 + (k - 1) * r) for r in (low, high)))
    return IntraclassCorrelation(one_way, random, fixed, one_way_mean, random_mean, fixed_mean, level)


def _ratio(above: float, below: float) -> float:
    """A ratio that has no value where both are zero and no bound where only the second is."""
    if below == 0 or not math.isfinite(below):
        return math.nan if above == 0 or not math.isfinite(below) else math.copysign(math.inf, above)
    return float(above / below)
