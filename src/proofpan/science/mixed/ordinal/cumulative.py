"""The cumulative-link model without random effects: P(grade ≤ j) = F(threshold_j − x'β).

A positive coefficient moves answers up. Maximum likelihood with the observed information.
Source: McCullagh 1980 (J. R. Stat. Soc. B 42:109); derivatives as in Christensen 2018, clm_article, sec. 2.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from proofpan.science.mixed.model import (
    Array,
    Codes,
    MixedError,
    Model,
    codes_of_levels,
    complete_rows,
    design,
    independent_columns,
    plain,
)
from proofpan.science.mixed.ordinal.links import between, check_link, density


@dataclass(frozen=True, eq=False)
class OrdinalFit:
    """A fitted cumulative-link model.

    Attributes:
        thresholds: estimate by name, `1/2` between the grades 1 and 2.
        coefficients: estimate by name.
        se: standard error of both by name.
        variances: variance of each random intercept on the latent scale (empty without).
        zero: random intercepts whose variance is 0.
        loglik: the log-likelihood reached.
        observations: rows used.
        link: `logit`, `probit` or `cloglog`.
        quadrature: how random effects were integrated: none, `laplace` or the number of points.
    """

    thresholds: Mapping[str, float]
    coefficients: Mapping[str, float]
    se: Mapping[str, float]
    variances: Mapping[str, float]
    zero: tuple[str, ...]
    loglik: float
    observations: int
    link: str
    quadrature: str | int | None = None


@dataclass(frozen=True, eq=False)
class Grades:
    """Rows of graded answers, as numbers.

    Attributes:
        grade: code of each answer, from 0, shape (rows,).
        X: shape (rows, p), no intercept.
        names: coefficient names.
        boundaries: threshold names.
        groups: group codes by name.
        count: shape (rows,), how many answers a row stands for.
    """

    grade: Codes
    X: Array
    names: tuple[str, ...]
    boundaries: tuple[str, ...]
    groups: Mapping[str, Codes]
    count: Array
    link: str


def read_grades(data: Mapping[str, Sequence[Any]], model: Model, categories: Sequence[str], link: str) -> Grades:
    """Code the graded rows of a data set, leaving out incomplete ones; alike rows are put together.

    Raises: MixedError for an unknown grade, a grade never given, too few grades, or columns that can't be told apart.
    """
    check_link(link)
    if len(categories) < 2:
        raise MixedError("grades need at least two categories")
    if model.random_slopes:
        raise MixedError("graded answers take random intercepts only; leave random slopes out")
    if model.response not in data:
        raise MixedError(f"there is no column {model.response!r}; the columns are {', '.join(map(str, data))[:150]}")
    coded = codes_of_levels(list(plain(data[model.response])), [str(c) for c in categories], model.response).astype(float)
    coded[coded < 0] = np.nan
    columns: dict[str, Any] = {**data, model.response: coded}
    rows = complete_rows(columns, model)
    grade = rows.y.astype(np.intp)
    never = [str(c) for i, c in enumerate(categories) if not np.any(grade == i)]
    if never:
        raise MixedError(f"no answer has the grade {never[0]!r}; leave it out or join it with its neighbour")
    X, names, _ = design(model, rows.columns, len(grade))
    kept = independent_columns(X)
    if len(kept) < X.shape[1]:
        lost = next(name for j, name in enumerate(names) if j not in kept)
        raise MixedError(f"the rows can't tell {lost!r} from the other terms; leave it out")
    X = X[:, 1:]
    table = np.column_stack([X, grade, *rows.groups.values()])
    _, first, count = np.unique(table, axis=0, return_index=True, return_counts=True)
    return Grades(
        grade[first],
        X[first],
        tuple(names[1:]),
        tuple(f"{a}/{b}" for a, b in zip(categories[:-1], categories[1:], strict=True)),
        {name: codes[first] for name, codes in rows.groups.items()},
        count.astype(float),
        link,
    )


def row_slopes(grades: Grades, thresholds: Array, shift: Array) -> tuple[Array, Array, Array, Array, Array]:
    """Log probability of each row at its linear part, with f/p of its two ends and their slopes (f′/p).

    Returns: log p, then f_high/p, f_low/p, f′_high/p, f′_low/p, each of the shape of `shift`.
    """
    ends = np.concatenate([[-np.inf], thresholds, [np.inf]])
    shape = (-1,) + (1,) * (shift.ndim - 1)
    low, high = ends[grades.grade].reshape(shape) - shift, ends[grades.grade + 1].reshape(shape) - shift
    p = np.maximum(between(grades.link, low, high), 1e-300)
    (fh, sh), (fl, sl) = density(grades.link, high), density(grades.link, low)
    return np.log(p), fh / p, fl / p, sh / p, sl / p


def _slopes(grades: Grades, x: Array) -> tuple[float, Array, Array]:
    """Log-likelihood, gradient and Hessian in (thresholds, coefficients)."""
    k = len(grades.boundaries)
    log_p, fh, fl, sh, sl = row_slopes(grades, x[:k], grades.X @ x[k:])
    rows = np.arange(len(grades.grade))
    upper, lower = np.zeros((len(rows), k)), np.zeros((len(rows), k))
    has_upper, has_lower = grades.grade < k, grades.grade > 0
    upper[rows[has_upper], grades.grade[has_upper]] = 1.0
    lower[rows[has_lower], grades.grade[has_lower] - 1] = 1.0
    A, B = np.hstack([upper, -grades.X]), np.hstack([lower, -grades.X])  # slopes of the two ends
    w = grades.count[:, None]
    each = fh[:, None] * A - fl[:, None] * B
    hessian = (A * sh[:, None] * w).T @ A - (B * sl[:, None] * w).T @ B - (each * w).T @ each
    return float(grades.count @ log_p), (each * w).sum(axis=0), hessian


def start_thresholds(grades: Grades) -> Array:
    """Thresholds that give each grade its share, without coefficients."""
    shares = np.cumsum(np.bincount(grades.grade, grades.count))[:-1] / grades.count.sum()
    if grades.link == "logit":
        return np.log(shares / (1.0 - shares))
    if grades.link == "probit":
        from scipy.special import ndtri

        return ndtri(shares)
    return np.log(-np.log1p(-shares))


def highest_point(grades: Grades) -> tuple[Array, float, Array]:
    """Thresholds and coefficients at the highest likelihood, its value, and the information there.

    Raises: MixedError when the likelihood rises without end (a term separates the grades completely).
    """
    x = np.concatenate([start_thresholds(grades), np.zeros(len(grades.names))])
    k = len(grades.boundaries)
    value, g, H = _slopes(grades, x)
    for _ in range(100):
        try:
            step = np.linalg.solve(-H, g)
        except np.linalg.LinAlgError:
            break
        gain = float(g @ step)
        if gain < 1e-20 * max(1.0, abs(value)):
            break
        for _ in range(50):
            trial = x + step
            if np.all(np.diff(trial[:k]) > 0):
                better = _slopes(grades, trial)
                if better[0] >= value - 1e-12 * abs(value):
                    break
            step = step / 2.0
        else:
            break
        x, (value, g, H) = trial, better
        if _runs_off(grades, x, H):
            raise MixedError(SEPARATED)
    if _runs_off(grades, x, H, 0.0):
        raise MixedError(SEPARATED)
    return x, value, -H


SEPARATED = "a term separates the grades completely: its effect has no finite estimate; leave it out"


def _runs_off(grades: Grades, x: Array, hessian: Array, beyond: float = 25.0) -> bool:
    """Whether the likelihood is flat along some effect, taken per spread of its column: then it rises without end."""
    k = len(grades.boundaries)
    scale = np.concatenate([np.ones(k), np.maximum(np.abs(grades.X).max(axis=0, initial=0.0), 1e-300)])
    if np.abs(x * scale).max(initial=0.0) <= beyond:
        return False
    if not np.all(np.isfinite(hessian)):
        return True
    return bool(np.linalg.eigvalsh(-hessian / np.outer(scale, scale))[0] < 1e-6)


def fit_ordinal(data: Mapping[str, Sequence[Any]], model: Model, categories: Sequence[str], link: str = "logit") -> OrdinalFit:
    """Fit a cumulative-link model by maximum likelihood.

    Parameters: data, columns by name; model, its response the column of grades, `random` left aside; categories,
    grades in rising order; link, `logit`, `probit` or `cloglog`.
    Raises: MixedError, saying which grade, column or term can't be used and why.
    """
    grades = read_grades(data, replace(model, random=()), categories, link)
    x, value, information = highest_point(grades)
    se = np.sqrt(np.diag(np.linalg.inv(information)))
    return named(grades, x, se, value, {}, (), None)


def named(
    grades: Grades,
    x: Array,
    se: Array,
    loglik: float,
    variances: Mapping[str, float],
    zero: tuple[str, ...],
    quadrature: str | int | None,
) -> OrdinalFit:
    """A fit with its figures by name."""
    k = len(grades.boundaries)
    labels = (*grades.boundaries, *grades.names)
    return OrdinalFit(
        dict(zip(grades.boundaries, x[:k].tolist(), strict=True)),
        dict(zip(grades.names, x[k : k + len(grades.names)].tolist(), strict=True)),
        dict(zip(labels, se[: len(labels)].tolist(), strict=True)),
        variances,
        zero,
        loglik,
        int(grades.count.sum()),
        grades.link,
        quadrature,
    )
