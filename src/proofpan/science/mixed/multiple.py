"""Distributions for several comparisons at once: the studentised range (Tukey) and the largest |t| (Dunnett).

Both are integrals over the error of the standard deviation, s = √(χ²_df/df), of a probability given s. They are taken
by Gauss–Legendre quadrature in log s and z, so degrees of freedom may be fractional or infinite.
Sources: Tukey 1953, Kramer 1956 (Biometrics 12:307); Dunnett 1955 (JASA 50:1096); Harter 1960 for the integrals.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import SupportsFloat

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq
from scipy.special import chdtri, gammaln, ndtr

from proofpan.science.mixed.model import Array, MixedError

POINTS, SD_POINTS = 96, 160  # of z and of log s
STEP, WIDEST = 0.05, 25.0  # P(range > 25) is below 1e-60 for any number of groups
LARGEST_DF = 1e6  # beyond it s is 1 to six digits and the integral over it is left out


@lru_cache(maxsize=4)
def _legendre(points: int) -> tuple[Array, Array]:
    return np.polynomial.legendre.leggauss(points)


@lru_cache(maxsize=256)
def _error_of_sd(df: float) -> tuple[Array, Array]:
    """Nodes s and weights of the density of √(χ²_df/df)."""
    if df > LARGEST_DF:
        return np.ones(1), np.ones(1)
    low = 0.5 * math.log(max(float(chdtri(df, 1.0 - 1e-15)), 1e-280) / df)
    high = 0.5 * math.log(float(chdtri(df, 1e-18)) / df)
    x, w = _legendre(SD_POINTS)
    u = 0.5 * (high - low) * x + 0.5 * (high + low)
    constant = math.log(2.0) + 0.5 * df * math.log(df / 2.0) - float(gammaln(df / 2.0))
    log_density = constant + df * u - 0.5 * df * np.exp(2.0 * u)
    return np.exp(u), 0.5 * (high - low) * w * np.exp(log_density)


def _normal_nodes() -> tuple[Array, Array]:
    x, w = _legendre(POINTS)
    z = 8.5 * x
    return z, 8.5 * w * np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)


def _probability(value: SupportsFloat) -> float:
    return min(1.0, max(0.0, float(value)))


def _check(df: float, groups: int, what: str) -> None:
    if not df > 0:
        raise MixedError(f"degrees of freedom are {df}; they must be above 0")
    if groups < 1:
        raise MixedError(f"{what} is {groups}; at least 1 is needed")


@lru_cache(maxsize=64)
def _range_table(groups: int) -> Array:
    """The log of P(range of `groups` standard normals > w) as a polynomial of degree five on each step of w.

    The integrand is taken in the form that keeps the tail's digits; six-point interpolation on steps of 0.05 is good
    to ten digits.
    """
    z, weight = _normal_nodes()
    w = np.arange(-2 * STEP, WIDEST + 3.5 * STEP, STEP)
    below = ndtr(z)
    with np.errstate(divide="ignore"):
        missed = np.log1p(-np.minimum(ndtr(z - np.abs(w)[:, None]) / below, 1.0 - 1e-16)) * (groups - 1)
    tail = groups * (-np.expm1(missed) * below ** (groups - 1)) @ weight
    if groups % 2 == 0:  # the probability within goes as w^(groups − 1): continue it smoothly through 0
        tail[:2] = 2.0 - tail[:2]
    logs = np.log(np.maximum(tail, 1e-300))
    windows = np.lib.stride_tricks.sliding_window_view(logs, 6)
    return windows @ np.linalg.inv(np.vander(np.arange(-2.0, 4.0), 6)).T


def _range_tail(w: Array, groups: int) -> Array:
    """P(range of `groups` standard normals > w)."""
    table = _range_table(groups)
    at = np.minimum(w, WIDEST - STEP) / STEP
    cell = at.astype(int)
    rest = at - cell
    c = table[cell]
    total = c[..., 0]
    for power in range(1, 6):
        total = total * rest + c[..., power]
    return np.where(w < WIDEST - STEP, np.exp(total), 0.0)


def studentized_range_tail(q: float, groups: int, df: float) -> float:
    """P(studentised range of `groups` means > q); df may be fractional.

    Raises: MixedError when groups < 2 or df ≤ 0.
    """
    _check(df, groups - 1, "the number of groups less one")
    if q <= 0:
        return 1.0
    s, weight = _error_of_sd(float(df))
    return _probability(_range_tail(q * s, groups) @ weight)


def studentized_range_critical(groups: int, df: float, alpha: float) -> float:
    """The value that the studentised range of `groups` means exceeds with probability alpha."""
    _check_alpha(alpha)
    return value_with_tail(lambda q: studentized_range_tail(q, groups, df), alpha)


def largest_t_tail(c: float, loadings: ArrayLike, df: float, two_sided: bool = True) -> float:
    """P(max |T_i| > c), or P(max T_i > c), of a multivariate t with correlations b_i b_j.

    Parameters: c; loadings b_i, shape (comparisons,), each in [0, 1]: √ρ for equal correlation ρ; df, may be fractional.
    """
    b = np.atleast_1d(np.asarray(loadings, float))
    _check(df, len(b), "the number of comparisons")
    own = np.sqrt(np.maximum(1.0 - b * b, 1e-12))
    s, weight = _error_of_sd(float(df))
    z, normal = _normal_nodes()
    total = np.zeros((len(s), len(z)))  # log P(all within) given s and z
    values, counts = np.unique(b, return_counts=True)
    for value, count in zip(values, counts, strict=True):
        share = own[np.flatnonzero(b == value)[0]]
        over = ndtr(-(c * s[:, None] - value * z) / share)
        if two_sided:
            over = over + ndtr(-(c * s[:, None] + value * z) / share)
        total += count * np.log1p(-np.minimum(over, 1.0 - 1e-16))
    return _probability(weight @ (-np.expm1(total) @ normal))


def dunnett_critical(comparisons: int, df: float, alpha: float, alternative: str = "two-sided", correlation: float = 0.5) -> float:
    """The value that the largest of `comparisons` t statistics against one control exceeds with probability alpha.

    Parameters: comparisons; df; alpha; alternative, `two-sided` or `one-sided` (also `greater`, `less`); correlation
    of the statistics, ½ for equal replication.
    """
    _check_alpha(alpha)
    _check(df, comparisons, "the number of comparisons")
    if alternative not in ("two-sided", "one-sided", "greater", "less"):
        raise MixedError(f"alternative is {alternative!r}; it is 'two-sided' or 'one-sided'")
    if not 0 <= correlation <= 1:
        raise MixedError(f"correlation is {correlation}; it is between 0 and 1")
    b = np.full(comparisons, math.sqrt(correlation))
    return value_with_tail(lambda c: largest_t_tail(c, b, df, alternative == "two-sided"), alpha)


def _check_alpha(alpha: float) -> None:
    if not 0 < alpha < 1:
        raise MixedError(f"alpha is {alpha}; it is a probability between 0 and 1, such as 0.05")


def value_with_tail(tail: Callable[[float], float], alpha: float) -> float:
    """The value at which a falling tail probability is alpha."""
    high = 4.0
    while tail(high) > alpha:
        high *= 2.0
    low = 0.0 if tail(0.0) >= alpha else -high
    return float(brentq(lambda x: tail(x) - alpha, low, high, xtol=1e-11, rtol=1e-12))
