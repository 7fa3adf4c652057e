"""Pooling estimates with known sampling variances.

Model: estimate_i = μ + u_i + e_i, u_i ~ N(0, τ²), e_i ~ N(0, variance_i); weights 1/(variance_i + τ²).
Sources: Cochran 1954 (Biometrics 10:101); DerSimonian & Laird 1986 (Control. Clin. Trials 7:177); Hedges & Olkin 1985;
Paule & Mandel 1982 (J. Res. NBS 87:377); Viechtbauer 2005 (J. Educ. Behav. Stat. 30:261) for ML and REML; Hartung &
Knapp 2001 (Stat. Med. 20:3875); Higgins & Thompson 2002 (Stat. Med. 21:1539) for I² and H²; Viechtbauer 2007
(Stat. Med. 26:37) for the interval of τ².
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, minimize_scalar
from scipy.special import betainc, chdtr, chdtrc, ndtr, ndtri, stdtrit

from proofpan.science.pooling.errors import PoolingError

Array = NDArray[np.float64]
METHODS = ("dersimonian_laird", "hedges", "paule_mandel", "reml", "ml")
INTERVALS = ("normal", "hartung_knapp")


@dataclass(frozen=True)
class FixedPool:
    """One common effect.

    Attributes:
        estimate, se, low, high, p: the common effect, its interval and two-sided p value against 0.
        tau2: 0.
        Q, Q_df, Q_p: Cochran's test that all studies share one effect.
        studies: how many were pooled.
    """

    estimate: float
    se: float
    low: float
    high: float
    p: float
    tau2: float
    Q: float
    Q_df: int
    Q_p: float
    studies: int


@dataclass(frozen=True)
class RandomPool(FixedPool):
    """Effects that differ between studies.

    Attributes:
        tau2_low, tau2_high: interval of τ² (Q profile) at the same level; high is infinite where it has no bound.
        I2, H2: share of the variation that is between studies, in percent; total over sampling variation.
        prediction_low, prediction_high: where the true effect of one more study is expected.
    """

    tau2_low: float
    tau2_high: float
    I2: float
    H2: float
    prediction_low: float
    prediction_high: float


def _columns(estimates: Sequence[float], variances: Sequence[float], least: int) -> tuple[Array, Array]:
    y, v = np.asarray(estimates, float), np.asarray(variances, float)
    if y.ndim != 1 or y.shape != v.shape:
        raise PoolingError(f"{y.size} estimates and {v.size} variances; one variance for each estimate is needed")
    if len(y) < least:
        raise PoolingError(f"{len(y)} studies; at least {least} are needed")
    if not (np.isfinite(y).all() and np.isfinite(v).all() and (v > 0).all()):
        raise PoolingError("every estimate must be a number and every variance above 0")
    return y, v


def _mean(y: Array, weight: Array) -> float:
    return float(weight @ y / weight.sum())


def _q(y: Array, v: Array, tau2: float) -> float:
    """Σ w (y − mean)², w = 1/(v + τ²)."""
    w = 1.0 / (v + tau2)
    return float(w @ (y - _mean(y, w)) ** 2)


def _falls_to(target: float, y: Array, v: Array) -> float:
    """The τ² at which the generalised Q, which falls with τ², reaches a target; 0 when it is below it at once."""
    if _q(y, v, 0.0) <= target:
        return 0.0
    high = float(np.var(y)) + float(v.max())
    while _q(y, v, high) > target:
        high *= 2.0
    return float(brentq(lambda t: _q(y, v, t) - target, 0.0, high, xtol=1e-14 * high, rtol=1e-13))


def _highest(minus_log: Callable[[float], float], scale: float) -> float:
    """Where a likelihood in τ² is highest, 0 included: a grid in √τ², then refinement about its best point."""
    grid = np.concatenate([[0.0], np.geomspace(1e-4, 10.0, 120)])
    values = [minus_log((g * scale) ** 2) for g in grid]
    best = int(np.argmin(values))
    low, high = grid[max(best - 1, 0)] * scale, grid[min(best + 1, len(grid) - 1)] * scale
    found = minimize_scalar(lambda s: minus_log(s * s), bounds=(low, high), method="bounded", options={"xatol": 1e-12 * scale})
    return float(found.x**2) if found.fun < values[0] - 1e-13 * abs(values[0]) else 0.0


def tau_squared(estimates: Sequence[float], variances: Sequence[float], method: str) -> float:
    """Variance of the true effects between studies, cut off at 0.

    Parameters: estimates, variances, shape (studies,); method, `dersimonian_laird`, `hedges` (moments without
    weights), `paule_mandel`, `reml` or `ml`.
    Raises: PoolingError.
    """
    y, v = _columns(estimates, variances, 2)
    k, w = len(y), 1.0 / v
    if method == "dersimonian_laird":
        return max(0.0, (_q(y, v, 0.0) - (k - 1)) / float(w.sum() - (w @ w) / w.sum()))
    if method == "hedges":
        return max(0.0, float(np.var(y, ddof=1) - v.mean()))
    if method == "paule_mandel":
        return _falls_to(k - 1.0, y, v)
    if method not in ("reml", "ml"):
        raise PoolingError(f"method is {method!r}; it is one of {', '.join(METHODS)}")
    restricted = method == "reml"

    def minus_log(tau2: float) -> float:
        weight = 1.0 / (v + tau2)
        total = -np.log(weight).sum() + _q(y, v, tau2)
        return float(total + math.log(weight.sum())) if restricted else float(total)

    start = _highest(minus_log, math.sqrt(float(np.var(y, ddof=1)) + float(v.mean())))
    return _polished(start, y, v, restricted) if start > 0 else 0.0


def _polished(tau2: float, y: Array, v: Array, restricted: bool) -> float:
    """Root of the score next to τ², since a maximum found by its height alone is good to half the digits only."""

    def score(t: float) -> float:
        w = 1.0 / (v + t)
        slope = float((w * w) @ (y - _mean(y, w)) ** 2 - w.sum())
        return slope + float((w @ w) / w.sum()) if restricted else slope

    low, high = tau2 * 0.999, tau2 * 1.001
    return float(brentq(score, low, high, rtol=1e-13)) if score(low) > 0 > score(high) else tau2


def tau_squared_interval(estimates: Sequence[float], variances: Sequence[float], level: float = 0.95) -> tuple[float, float]:
    """Interval of τ² from the generalised Q, which is χ² with k − 1 at the true τ² (Viechtbauer 2007)."""
    y, v = _columns(estimates, variances, 2)
    df, tail = len(y) - 1, (1.0 - level) / 2.0
    return _falls_to(_chi_square(df, 1.0 - tail), y, v), _falls_to(_chi_square(df, tail), y, v)


def _chi_square(df: int, p: float) -> float:
    return float(brentq(lambda x: float(chdtr(df, x)) - p, 0.0, df + 40.0 * math.sqrt(2.0 * df) + 100.0, xtol=1e-12))


def _pooled(y: Array, v: Array, tau2: float, interval: str, level: float) -> tuple[float, float, float, float]:
    """Estimate, se, critical value and p."""
    if interval not in INTERVALS:
        raise PoolingError(f"interval is {interval!r}; it is 'normal' or 'hartung_knapp'")
    if not 0 < level < 1:
        raise PoolingError(f"level is {level}; it is between 0 and 1, such as 0.95")
    w, k = 1.0 / (v + tau2), len(y)
    mean, se = _mean(y, w), 1.0 / math.sqrt(float(w.sum()))
    if interval == "normal":
        return mean, se, float(ndtri(0.5 + level / 2.0)), 2.0 * float(ndtr(-abs(mean) / se))
    if k < 2:
        raise PoolingError("one study has no spread; hartung_knapp needs at least 2")
    se *= math.sqrt(_q(y, v, tau2) / (k - 1))
    t = mean / se if se > 0 else math.copysign(math.inf, mean)
    p = float(betainc((k - 1) / 2.0, 0.5, (k - 1) / (k - 1 + t * t)))
    return mean, se, float(stdtrit(k - 1, 0.5 + level / 2.0)), p


def _heterogeneity(y: Array, v: Array) -> tuple[float, int, float]:
    Q, df = _q(y, v, 0.0), len(y) - 1
    return Q, df, float(chdtrc(df, Q)) if df else 1.0


def fixed_effect(estimates: Sequence[float], variances: Sequence[float], interval: str = "normal", level: float = 0.95) -> FixedPool:
    """One common effect, weights 1/variance.

    Parameters: estimates, variances, shape (studies,); interval, `normal` or `hartung_knapp` (t with k − 1, standard
    error rescaled and not held from falling below the usual one); level.
    Raises: PoolingError.
    """
    y, v = _columns(estimates, variances, 1)
    mean, se, critical, p = _pooled(y, v, 0.0, interval, level)
    half = critical * se
    return FixedPool(mean, se, mean - half, mean + half, p, 0.0, *_heterogeneity(y, v), len(y))


def random_effects(
    estimates: Sequence[float],
    variances: Sequence[float],
    method: str = "reml",
    interval: str = "normal",
    level: float = 0.95,
) -> RandomPool:
    """Effects that differ between studies, with heterogeneity and where the next study's effect is expected.

    Parameters: as for `fixed_effect`; method of τ² as for `tau_squared`.
    Prediction: estimate ± critical·√(τ² + se²), critical z, or t with k − 1 for `hartung_knapp`. I² and H² take
    s² = (k−1)Σw/((Σw)² − Σw²), w = 1/variance, as the typical sampling variance whatever the method.
    Raises: PoolingError.
    """
    y, v = _columns(estimates, variances, 2)
    tau2 = tau_squared(estimates, variances, method)
    mean, se, critical, p = _pooled(y, v, tau2, interval, level)
    half, wide = critical * se, critical * math.sqrt(tau2 + se**2)
    w = 1.0 / v
    typical = (len(y) - 1) * float(w.sum()) / float(w.sum() ** 2 - w @ w)
    return RandomPool(
        mean, se, mean - half, mean + half, p, tau2, *_heterogeneity(y, v), len(y),
        *tau_squared_interval(estimates, variances, level),
        100.0 * tau2 / (tau2 + typical), (tau2 + typical) / typical, mean - wide, mean + wide,
    )  # fmt: skip
