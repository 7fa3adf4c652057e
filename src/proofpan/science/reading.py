"""A measured figure that carries its interval, its error and how it was obtained; the instruments hand these back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit


@dataclass(frozen=True)
class Reading:
    """One measured figure.

    Attributes:
        name: what was measured, in plain English.
        value: the figure.
        low: lower end of the 95 % interval.
        high: upper end of the 95 % interval.
        error_sd: standard error of `value`, for the verdict; infinite where one piece can't tell how pieces differ.
        unit: the unit, empty for a pure number.
        n: pieces, bites or points it rests on.
        how: one sentence on how it was obtained.
    """

    name: str
    value: float
    low: float
    high: float
    error_sd: float
    unit: str
    n: int
    how: str

    @property
    def speaks_for_the_trial(self) -> bool:
        """False where the interval is unbounded: one piece speaks for that piece."""
        return math.isfinite(self.error_sd)


def t_quantile(df: float, level: float = 0.95) -> float:
    """Two-sided Student factor, e.g. 4.303 for two degrees of freedom at 95 %.

    Source: scipy.special.stdtrit (Student's distribution).
    """
    return float(stdtrit(df, 0.5 + level / 2))


def spread_within(groups: Sequence[Sequence[float]]) -> tuple[float, int]:
    """Pooled standard deviation within groups and its degrees of freedom, for a trial of one piece to borrow.

    Source: NIST/SEMATECH e-Handbook, section 7.4.3.3 (within-group mean square).
    """
    squares, df = 0.0, 0
    for group in groups:
        values = np.asarray(group, dtype=float)
        values = values[np.isfinite(values)]
        if values.size > 1:
            squares += float(((values - values.mean()) ** 2).sum())
            df += values.size - 1
    return (math.sqrt(squares / df), df) if df else (math.inf, 0)


def mean_reading(
    name: str,
    values: Sequence[float],
    *,
    unit: str = "",
    how: str = "",
    each: str = "piece",
    instrument_sd: float = 0.0,
    borrowed: tuple[float, int] | None = None,
) -> Reading:
    """Mean of one figure a piece with its Student interval; figures that are not finite are left out.

    Parameters:
        values: one figure a piece (or bite).
        each: what one value stands for, in the sentence.
        instrument_sd: standard uncertainty shared by all the pieces (calibration), which averaging doesn't lessen.
        borrowed: (standard deviation, degrees of freedom) from other trials (`spread_within`), used where n is 1.
    Source: Student 1908; JCGM 100:2008, 4.2 and 5.1 (type A, combined with an instrument's standard uncertainty).
    """
    x = np.asarray(values, dtype=float)
    x = x[np.isfinite(x)]
    n = int(x.size)
    if n == 0:
        return Reading(
            name, math.nan, -math.inf, math.inf, math.inf, unit, 0, f"{how}; no {each} gave a figure".lstrip("; ")
        )
    mean = float(x.mean())
    if n > 1:
        sd, df = float(x.std(ddof=1)), n - 1
        note = f"mean of {n} {each}s"
    elif borrowed and borrowed[1] > 0 and math.isfinite(borrowed[0]):
        sd, df = borrowed
        note = f"one {each}; the spread is borrowed from the other trials"
    else:
        sd, df = math.inf, 1
        note = f"one {each} speaks for that {each}: take three a trial"
    error = math.hypot(sd / math.sqrt(n), instrument_sd)
    # Welch–Satterthwaite, the instrument's part taken as known
    factor = t_quantile(df * (error / (sd / math.sqrt(n))) ** 4) if 0 < sd < math.inf else t_quantile(1e6)
    return Reading(
        name, mean, mean - factor * error, mean + factor * error, error, unit, n, "; ".join(filter(None, (how, note)))
    )
