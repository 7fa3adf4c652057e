"""One study's effect and its sampling variance, from what a report prints."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import gammaln

from proofpan.science.pooling.errors import PoolingError


@dataclass(frozen=True)
class Effect:
    """An effect and its sampling variance."""

    estimate: float
    variance: float


def _check_groups(sd1: float, n1: float, sd2: float, n2: float) -> None:
    if min(n1, n2) < 2:
        raise PoolingError(f"a group has {min(n1, n2)} results; at least 2 are needed for a standard deviation")
    if min(sd1, sd2) < 0 or sd1 + sd2 == 0:
        raise PoolingError("standard deviations must be above 0")


def mean_difference(mean1: float, sd1: float, n1: float, mean2: float, sd2: float, n2: float) -> Effect:
    """First mean less second; variance sd1²/n1 + sd2²/n2."""
    _check_groups(sd1, n1, sd2, n2)
    return Effect(mean1 - mean2, sd1**2 / n1 + sd2**2 / n2)


def standardised_mean_difference(mean1: float, sd1: float, n1: float, mean2: float, sd2: float, n2: float) -> Effect:
    """Hedges' g: the difference in pooled standard deviations, with the exact correction for small groups.

    Correction Γ(m/2) / (√(m/2) Γ((m−1)/2)), m = n1 + n2 − 2; variance 1/n1 + 1/n2 + g²/(2(n1 + n2)).
    Source: Hedges 1981 (J. Educ. Stat. 6:107), eqs. 6e and 8.
    """
    _check_groups(sd1, n1, sd2, n2)
    m = n1 + n2 - 2
    pooled = math.sqrt(((n1 - 1) * sd1**2 + (n2 - 1) * sd2**2) / m)
    correction = math.exp(float(gammaln(m / 2)) - float(gammaln((m - 1) / 2))) / math.sqrt(m / 2)
    g = correction * (mean1 - mean2) / pooled
    return Effect(g, 1 / n1 + 1 / n2 + g**2 / (2 * (n1 + n2)))


def log_risk_ratio(events1: float, n1: float, events2: float, n2: float) -> Effect:
    """Natural log of the ratio of two proportions; variance 1/e1 − 1/n1 + 1/e2 − 1/n2 (delta method)."""
    if min(events1, events2) <= 0:
        raise PoolingError("a group without events has no log ratio; pool differences of proportions instead")
    if events1 > n1 or events2 > n2:
        raise PoolingError("a group has more events than results")
    return Effect(math.log(events1 / n1) - math.log(events2 / n2), 1 / events1 - 1 / n1 + 1 / events2 - 1 / n2)
