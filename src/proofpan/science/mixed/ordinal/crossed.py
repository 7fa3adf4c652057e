"""The cumulative-link model with random intercepts: P(grade ≤ j | u) = F(threshold_j − x'β − Σ u), u ~ N(0, variance).

The random effects are integrated out by Laplace's method (any number of groupings, crossed or nested) or, for one
grouping, by adaptive Gauss–Hermite quadrature. Sources: Tierney & Kadane 1986 (JASA 81:82); Liu & Pierce 1994
(Biometrika 81:624); Christensen 2019, clmm2 tutorial, for the application to graded tastings.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
from scipy.optimize import minimize
from scipy.special import logsumexp

from proofpan.science.mixed.model import Array, Codes, MixedError, Model
from proofpan.science.mixed.ordinal.cumulative import Grades, OrdinalFit, highest_point, named, read_grades, row_slopes

LAPLACE = "laplace"
INNER_STEPS = 100


class Marginal:
    """The likelihood with random effects integrated out, as a function of (thresholds, coefficients, sds)."""

    def __init__(self, grades: Grades, quadrature: str | int) -> None:
        self.grades, self.k, self.p = grades, len(grades.boundaries), len(grades.names)
        self.codes: list[Codes] = list(grades.groups.values())
        self.sizes = [int(codes.max()) + 1 for codes in self.codes]
        self.starts = np.concatenate([[0], np.cumsum(self.sizes)]).astype(int)
        self.points = 1 if quadrature == LAPLACE else int(quadrature)
        self.modes = np.zeros(self.starts[-1])

    def __call__(self, x: Array) -> float:
        """Log-likelihood; −infinity where thresholds are out of order."""
        thresholds, beta, sd = x[: self.k], x[self.k : self.k + self.p], x[self.k + self.p :]
        if np.any(np.diff(thresholds) <= 0):
            return -math.inf
        fixed = self.grades.X @ beta
        if len(self.codes) == 1:
            return self._one(thresholds, fixed, float(sd[0]))
        return self._several(thresholds, fixed, sd)

    def _curves(self, thresholds: Array, shift: Array) -> tuple[Array, Array, Array]:
        """The log p of each row, its slope and minus its curvature in the linear part, times the row's count."""
        log_p, fh, fl, sh, sl = row_slopes(self.grades, thresholds, shift)
        slope = fl - fh
        bend = slope * slope - (sh - sl)
        w = self.grades.count
        return w * log_p, w * slope, w * bend

    def _one(self, thresholds: Array, fixed: Array, sd: float) -> float:
        """One grouping: each group's integral stands alone."""
        codes, groups = self.codes[0], self.sizes[0]
        b = self.modes if np.isfinite(self.modes).all() else np.zeros(groups)
        height = None
        for _ in range(INNER_STEPS):
            log_p, slope, bend = self._curves(thresholds, fixed + sd * b[codes])
            height = np.bincount(codes, log_p, groups) - 0.5 * b * b
            g = sd * np.bincount(codes, slope, groups) - b
            curvature = sd * sd * np.bincount(codes, bend, groups) + 1.0
            step = g / curvature
            if np.abs(step).max() < 1e-11:
                break
            b = self._groupwise(b, step, height, thresholds, fixed, sd)
        self.modes = b
        assert height is not None
        if self.points == 1:
            return float(np.sum(height - 0.5 * np.log(curvature)))
        nodes, weights = np.polynomial.hermite.hermgauss(self.points)
        width = 1.0 / np.sqrt(curvature)
        at = b[:, None] + math.sqrt(2.0) * width[:, None] * nodes
        log_p = row_slopes(self.grades, thresholds, fixed[:, None] + sd * at[codes])[0] * self.grades.count[:, None]
        total = np.zeros((groups, self.points))
        np.add.at(total, codes, log_p)
        inside = total - 0.5 * at * at + nodes**2 + np.log(weights)
        return float(np.sum(logsumexp(inside, axis=1) + np.log(width)) - 0.5 * groups * math.log(math.pi))

    def _groupwise(self, b: Array, step: Array, height: Array, thresholds: Array, fixed: Array, sd: float) -> Array:
        """A Newton step, halved in the groups where it doesn't rise."""
        codes, groups = self.codes[0], self.sizes[0]
        for _ in range(30):
            trial = b + step
            log_p = self._curves(thresholds, fixed + sd * trial[codes])[0]
            worse = np.bincount(codes, log_p, groups) - 0.5 * trial * trial < height - 1e-9 * np.abs(height)
            if not worse.any():
                break
            step = np.where(worse, step / 2.0, step)
        return b + step

    def _several(self, thresholds: Array, fixed: Array, sd: Array) -> float:
        """Several groupings: Laplace about the joint mode."""
        q = self.starts[-1]
        b = self.modes if np.isfinite(self.modes).all() else np.zeros(q)

        def shift(at: Array) -> Array:
            parts = (s * at[start + codes] for s, start, codes in zip(sd, self.starts, self.codes, strict=False))
            return fixed + sum(parts)

        for _ in range(INNER_STEPS):
            log_p, slope, bend = self._curves(thresholds, shift(b))
            height = float(log_p.sum() - 0.5 * b @ b)
            g, H = -b.copy(), np.eye(q)
            for s, start, codes, size in zip(sd, self.starts, self.codes, self.sizes, strict=False):
                g[start : start + size] += s * np.bincount(codes, slope, size)
                for s2, start2, codes2, size2 in zip(sd, self.starts, self.codes, self.sizes, strict=False):
                    joint = np.bincount(codes * size2 + codes2, bend, size * size2).reshape(size, size2)
                    H[start : start + size, start2 : start2 + size2] += s * s2 * joint
            step = np.linalg.solve(H, g)
            if np.abs(step).max() < 1e-11:
                break
            for _ in range(30):
                log_p = self._curves(thresholds, shift(b + step))[0]
                if log_p.sum() - 0.5 * (b + step) @ (b + step) >= height - 1e-10 * abs(height):
                    break
                step = step / 2.0
            b = b + step
        self.modes = b
        return height - 0.5 * float(np.linalg.slogdet(H)[1])


def _gradient(f: Callable[[Array], float], x: Array, width: float = 1e-4, fourth: bool = False) -> Array:
    """Central differences, of the second or the fourth order."""
    g = np.empty(len(x))
    for i in range(len(x)):
        e = np.zeros(len(x))
        e[i] = width * max(1.0, abs(x[i]))
        near = f(x + e) - f(x - e)
        g[i] = (8.0 * near - f(x + 2 * e) + f(x - 2 * e)) / (12.0 * e[i]) if fourth else near / (2.0 * e[i])
    return g


def _hessian(f: Callable[[Array], float], x: Array, width: float = 5e-4) -> Array:
    """Central differences of the gradient."""
    H = np.empty((len(x), len(x)))
    for i in range(len(x)):
        e = np.zeros(len(x))
        e[i] = width
        H[i] = (_gradient(f, x + e, width) - _gradient(f, x - e, width)) / (2.0 * width)
    return (H + H.T) / 2.0


def fit_ordinal_mixed(
    data: Mapping[str, Sequence[Any]],
    model: Model,
    categories: Sequence[str],
    link: str = "logit",
    quadrature: str | int = LAPLACE,
) -> OrdinalFit:
    """Fit a cumulative-link model with random intercepts by maximum likelihood.

    Parameters: data, columns by name; model, its `random` the groupings; categories, grades in rising order; link;
    quadrature, `laplace`, or a number of adaptive Gauss–Hermite points (one grouping only).
    Raises: MixedError, saying what can't be used and why.
    """
    if not model.random:
        raise MixedError("no random intercept is named; use fit_ordinal")
    if quadrature != LAPLACE and (isinstance(quadrature, str) or quadrature < 1):
        raise MixedError(f"quadrature is {quadrature!r}; it is 'laplace' or a number of points")
    if quadrature not in (LAPLACE, 1) and len(model.random) > 1:
        raise MixedError("quadrature points serve one grouping; with several, use 'laplace'")
    grades = read_grades(data, model, categories, link)
    start, _, _ = highest_point(grades)
    marginal = Marginal(grades, quadrature)
    count = len(model.random)
    first = len(start)
    value, x, H = _climb(marginal, np.concatenate([start, np.full(count, 0.7)]))
    for i in range(first, len(x)):
        trial = x.copy()
        trial[i] = 0.0
        if abs(x[i]) < 1e-2 and (at_zero := marginal(trial)) >= value - 1e-9:
            x, value = trial, max(value, at_zero)
    live = np.array([i for i in range(len(x)) if i < first or x[i] != 0.0])
    se = np.sqrt(np.diag(np.linalg.inv(H[np.ix_(live, live)])))
    variances = {name: float(x[first + i] ** 2) for i, name in enumerate(model.random)}
    zero = tuple(name for i, name in enumerate(model.random) if x[first + i] == 0.0)
    return named(grades, x, se, value, variances, zero, quadrature)


def _climb(marginal: Marginal, x: Array) -> tuple[float, Array, Array]:
    """Highest point by quasi-Newton steps, then Newton steps until it stands still; with the information there."""

    def minus(at: Array) -> float:
        value = marginal(at)
        return -value if math.isfinite(value) else 1e10

    found = minimize(minus, x, jac=lambda at: -_gradient(marginal, at), method="BFGS", options={"gtol": 1e-4})
    x, value = found.x, -float(found.fun)
    for _ in range(3):
        H = -_hessian(marginal, x)
        size, axes = np.linalg.eigh(H)
        start = x
        for _ in range(4):
            g = _gradient(marginal, x, 1e-3, fourth=True)
            step = axes @ ((axes.T @ g) / np.maximum(np.abs(size), 1e-4 * size[-1]))
            better = marginal(x + step)
            if better < value - 1e-11 * abs(value):
                break
            x, value = x + step, better
            if np.abs(step).max() < 1e-7:
                break
        if np.abs(x - start).max() < 1e-4:
            break
    return value, x, H
