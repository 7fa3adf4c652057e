"""What a fitted model says: coefficients, marginal means, differences, equivalence and tests of whole terms."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations, product

import numpy as np
from scipy.special import betainc, fdtrc, stdtr, stdtrit

from proofpan.science.mixed.degrees import SATTERTHWAITE, reference
from proofpan.science.mixed.fit import Fit
from proofpan.science.mixed.model import Array, MixedError, design
from proofpan.science.mixed.multiple import (
    largest_t_tail,
    studentized_range_critical,
    studentized_range_tail,
    value_with_tail,
)


@dataclass(frozen=True)
class Estimate:
    """One figure with its uncertainty.

    Attributes:
        name: what it is of (a coefficient, a cell, `A - B`).
        estimate, se, df: value, standard error and degrees of freedom.
        t, p: statistic and two-sided p value against 0, adjusted where the call adjusts.
        low, high: interval at the level asked for, adjusted where the call adjusts.
    """

    name: str
    estimate: float
    se: float
    df: float
    t: float
    p: float
    low: float
    high: float


@dataclass(frozen=True)
class TermTest:
    """Type III test of one term: numerator and denominator degrees of freedom, F and p."""

    term: str
    num_df: int
    den_df: float
    F: float
    p: float


@dataclass(frozen=True)
class Equivalence:
    """Two one-sided tests: is the difference within ± worth?

    Attributes:
        estimate, se, df: the contrast.
        worth: the smallest difference that matters.
        p_lower, p_upper: against "below −worth" and "above +worth"; p is the larger.
        low, high: the 1 − 2·alpha interval.
        equivalent: whether both are rejected at alpha.
    """

    estimate: float
    se: float
    df: float
    worth: float
    p_lower: float
    p_upper: float
    p: float
    low: float
    high: float
    equivalent: bool


def two_sided_p(t: float, df: float) -> float:
    """P(|T_df| > |t|), accurate in the tail."""
    return float(betainc(df / 2.0, 0.5, df / (df + t * t)))


def _estimates(fit: Fit, names: Sequence[str], L: Array, df_method: str, level: float) -> tuple[list[Estimate], Array]:
    if not 0 < level < 1:
        raise MixedError(f"level is {level}; it is between 0 and 1, such as 0.95")
    v, df = reference(fit, df_method).variances(L)
    values, se = L @ fit.beta, np.sqrt(v)
    found = []
    for name, value, error, freedom in zip(names, values.tolist(), se.tolist(), df.tolist(), strict=True):
        t = value / error
        half = error * float(stdtrit(freedom, 0.5 + level / 2.0))
        found.append(Estimate(name, value, error, freedom, t, two_sided_p(t, freedom), value - half, value + half))
    return found, L @ fit.covariance @ L.T


def coefficients(fit: Fit, df_method: str = SATTERTHWAITE, level: float = 0.95) -> tuple[Estimate, ...]:
    """Each coefficient with its standard error, degrees of freedom, two-sided t test and interval."""
    return tuple(_estimates(fit, fit.names, np.eye(len(fit.beta)), df_method, level)[0])


def cell_rows(fit: Fit, over: Sequence[str]) -> tuple[list[str], Array]:
    """Cells of `over` and, for each, the weights of the design's columns in its marginal mean.

    Other factors are averaged with equal weights, numeric columns stand at their mean over the rows used.

    Parameters: fit; over, factors of the fixed part.
    Returns: names (`A:175` in the order of `over`) and shape (cells, columns of the design).
    Raises: MixedError when a factor isn't in the model.
    """
    model, factors = fit.model, fit.model.factors()
    for factor in over:
        if factor not in factors:
            raise MixedError(f"{factor!r} isn't a factor of the fixed part ({', '.join(factors) or 'it has none'})")
    order = [*over, *(factor for factor in factors if factor not in over)]
    sizes = [len(model.levels[factor]) for factor in order]
    rows = math.prod(sizes)
    grid = np.indices(sizes).reshape(len(sizes), rows) if sizes else np.zeros((0, 1), dtype=int)
    columns = {factor: grid[i] for i, factor in enumerate(order)}
    columns.update({name: np.full(rows, mean) for name, mean in fit.numeric_means.items()})
    X, _, _ = design(model, columns, rows)
    cells = math.prod(sizes[: len(over)])
    L = X.reshape(cells, rows // cells, -1).mean(axis=1)
    return [":".join(combo) for combo in product(*(model.levels[factor] for factor in over))], L


def _over_coefficients(fit: Fit, labels: Sequence[str], L: Array) -> Array:
    """Weights of the fitted coefficients, from those of the design's columns.

    Raises: MixedError for a row that the cells with data don't determine (it leaves the design's row space).
    """
    if not fit.dropped:
        return L
    X, names, _ = design(fit.model, fit.rows.columns, fit.observations)
    _, size, axes = np.linalg.svd(np.linalg.qr(X, mode="r"))
    null = axes[size < 1e-9 * size[0]]
    for label, row in zip(labels, L, strict=True):
        if np.abs(null @ row).max(initial=0.0) > 1e-7:
            raise MixedError(f"{label!r} can't be estimated: the data have no rows in some of its cells")
    return L[:, [names.index(name) for name in fit.names]]


def marginal_means(fit: Fit, over: Sequence[str], level: float = 0.95, df_method: str = SATTERTHWAITE) -> tuple[Estimate, ...]:
    """Mean of each cell of `over`, other factors averaged with equal weights (Searle, Speed & Milliken 1980)."""
    names, L = cell_rows(fit, over)
    return tuple(_estimates(fit, names, _over_coefficients(fit, names, L), df_method, level)[0])


def contrast(
    fit: Fit,
    over: Sequence[str],
    weights: Mapping[str, float],
    level: float = 0.95,
    df_method: str = SATTERTHWAITE,
    name: str = "contrast",
) -> Estimate:
    """A weighted sum of marginal means.

    Parameters: fit; over, factors; weights, cell → weight; level; df_method, with `kenward_roger` the se is adjusted.
    Raises: MixedError, naming a cell that isn't there, or saying that the data don't determine the contrast.
    """
    return _estimates(fit, [name], _weighted(fit, over, weights), df_method, level)[0][0]


def _weighted(fit: Fit, over: Sequence[str], weights: Mapping[str, float]) -> Array:
    names, L = cell_rows(fit, over)
    at = {label: i for i, label in enumerate(names)}
    for cell in weights:
        if cell not in at:
            raise MixedError(f"there is no cell {cell!r}; the cells are {', '.join(names)[:150]}")
    total: Array = sum((weight * L[at[cell]] for cell, weight in weights.items()), np.zeros(L.shape[1]))
    if not np.any(total):
        raise MixedError("the weights add up to nothing, so there is no contrast")
    return _over_coefficients(fit, ["the contrast"], total[None])


def pairwise(fit: Fit, factor: str, adjust: str = "tukey", level: float = 0.95, df_method: str = SATTERTHWAITE) -> tuple[Estimate, ...]:
    """Every difference of two levels, the earlier level less the later.

    Parameters: fit; factor; adjust, `tukey` (each difference with its own df; Tukey 1953, Kramer 1956) or `none`;
    level; df_method.
    """
    if adjust not in ("none", "tukey"):
        raise MixedError(f"adjust is {adjust!r}; for all pairs it is 'tukey' or 'none'")
    names, L = cell_rows(fit, [factor])
    pairs = list(combinations(range(len(names)), 2))
    labels = [f"{names[i]} - {names[j]}" for i, j in pairs]
    rows = _over_coefficients(fit, labels, np.array([L[i] - L[j] for i, j in pairs]))
    found, _ = _estimates(fit, labels, rows, df_method, level)
    return tuple(found) if adjust == "none" else _tukey(found, len(names), level)


def _tukey(found: Sequence[Estimate], groups: int, level: float) -> tuple[Estimate, ...]:
    critical: dict[float, float] = {}
    adjusted = []
    for each in found:
        key = float(f"{each.df:.9g}")
        if key not in critical:
            critical[key] = studentized_range_critical(groups, each.df, 1.0 - level)
        half = critical[key] * each.se / math.sqrt(2.0)
        p = studentized_range_tail(abs(each.t) * math.sqrt(2.0), groups, each.df)
        adjusted.append(_widened(each, p, half))
    return tuple(adjusted)


def _widened(each: Estimate, p: float, half: float) -> Estimate:
    return Estimate(each.name, each.estimate, each.se, each.df, each.t, p, each.estimate - half, each.estimate + half)


def against_control(
    fit: Fit,
    factor: str,
    control: str,
    adjust: str = "dunnett",
    level: float = 0.95,
    df_method: str = SATTERTHWAITE,
) -> tuple[Estimate, ...]:
    """Each other level less the control, two-sided.

    Parameters: fit; factor; control, one of its levels; adjust, `dunnett` or `none`; level; df_method.
    The correlations are the fit's own, put as b_i b_j (½ throughout when balanced; Dunnett 1955, 1964); where they
    aren't of that form, b is taken so that none is overstated, which errs on the careful side.
    """
    if adjust not in ("none", "dunnett"):
        raise MixedError(f"adjust is {adjust!r}; against a control it is 'dunnett' or 'none'")
    names, L = cell_rows(fit, [factor])
    if control not in names:
        raise MixedError(f"{control!r} isn't a level of {factor!r}; the levels are {', '.join(names)[:150]}")
    base = names.index(control)
    others = [i for i in range(len(names)) if i != base]
    labels = [f"{names[i]} - {control}" for i in others]
    rows = _over_coefficients(fit, labels, np.array([L[i] - L[base] for i in others]))
    found, covariance = _estimates(fit, labels, rows, df_method, level)
    if adjust == "none":
        return tuple(found)
    b = _loadings(covariance)
    critical: dict[float, float] = {}
    adjusted = []
    for each in found:
        key = float(f"{each.df:.9g}")
        if key not in critical:
            critical[key] = value_with_tail(partial(largest_t_tail, loadings=b, df=each.df), 1.0 - level)
        p = largest_t_tail(abs(each.t), b, each.df)
        adjusted.append(_widened(each, p, critical[key] * each.se))
    return tuple(adjusted)


def _loadings(covariance: Array) -> Array:
    """Loadings b with b_i b_j equal to the correlations, or below them where they have no such form."""
    sd = np.sqrt(np.diag(covariance))
    R = covariance / np.outer(sd, sd)
    k = len(R)
    if k == 1:
        return np.zeros(1)
    pairs = np.triu_indices(k, 1)
    least, most = float(R[pairs].min()), float(R[pairs].max())
    if most - least < 1e-6:
        return np.full(k, math.sqrt(max(0.0, round((least + most) / 2.0, 9))))
    if least > 0 and k > 2:
        logs = np.log(R, where=~np.eye(k, dtype=bool), out=np.zeros_like(R))
        row = logs.sum(axis=1)
        b = np.exp((row - row.sum() / (2.0 * (k - 1))) / (k - 2))  # least squares of log R_ij on log b_i + log b_j
        if b.max() < 1.0 and np.abs(np.outer(b, b) - R)[pairs].max() < 1e-3:
            return b
    return np.full(k, math.sqrt(max(0.0, least)))


def equivalence(
    fit: Fit,
    over: Sequence[str],
    weights: Mapping[str, float],
    worth: float,
    alpha: float = 0.05,
    df_method: str = SATTERTHWAITE,
) -> Equivalence:
    """Two one-sided tests that a contrast lies within ± worth (Schuirmann 1987).

    Parameters: fit; over, weights as for `contrast`; worth, above 0; alpha of each test; df_method.
    """
    if not worth > 0:
        raise MixedError(f"worth is {worth}; the smallest difference that matters is above 0")
    if not 0 < alpha < 0.5:
        raise MixedError(f"alpha is {alpha}; it is between 0 and 0.5, such as 0.05")
    found = contrast(fit, over, weights, 1.0 - 2.0 * alpha, df_method)
    p_lower = float(stdtr(found.df, -(found.estimate + worth) / found.se))
    p_upper = float(stdtr(found.df, (found.estimate - worth) / found.se))
    p = max(p_lower, p_upper)
    return Equivalence(found.estimate, found.se, found.df, worth, p_lower, p_upper, p, found.low, found.high, p <= alpha)


def anova(fit: Fit, df_method: str = SATTERTHWAITE) -> tuple[TermTest, ...]:
    """Type III tests of every fixed term: each term's coefficients under sum coding, whatever coding was fitted.

    Raises: MixedError when some cells have no data, so that type III hypotheses aren't defined.
    """
    if fit.dropped:
        raise MixedError(f"no rows tell {fit.dropped[0]!r} apart, so whole-term tests aren't defined; leave the term out")
    S, _, owner = design(fit.model, fit.rows.columns, fit.observations, coding="sum")
    to_sum: Array = np.linalg.lstsq(S, fit.X, rcond=None)[0].astype(float)
    basis = reference(fit, df_method)
    tests = []
    for i, term in enumerate(fit.model.fixed):
        found = basis.joint(to_sum[[j for j, o in enumerate(owner) if o == i]], fit.beta)
        p = float(fdtrc(found.num_df, found.den_df, found.F))
        tests.append(TermTest(term, found.num_df, found.den_df, found.F, p))
    return tuple(tests)
