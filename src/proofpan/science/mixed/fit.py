"""Fitting a linear mixed model by restricted maximum likelihood."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.linalg import solve_triangular

from proofpan.science.mixed.grouping import RandomTerm, lay_out, random_terms
from proofpan.science.mixed.likelihood import Restricted
from proofpan.science.mixed.model import Array, MixedError, Model, Rows, complete_rows, design, independent_columns
from proofpan.science.mixed.optimum import Search, highest

RESIDUAL = "residual"


@dataclass(frozen=True, eq=False)
class Fit:
    """A fitted model.

    Attributes:
        model: the model as stated.
        names: coefficient names, in the order of `beta`.
        beta, covariance: estimates and (X'V⁻¹X)⁻¹, shapes (p,) and (p, p).
        dropped: coefficients left out because the data can't tell them from others.
        variances: variance and covariance estimates by name, `residual` last.
        zero: names of the variances that are zero at the highest likelihood.
        loglik_reml: the restricted log-likelihood.
        observations: rows used.
        singular: whether a variance is zero or a covariance matrix isn't of full rank.
    """

    model: Model
    names: tuple[str, ...]
    beta: Array
    covariance: Array
    dropped: tuple[str, ...]
    variances: Mapping[str, float]
    zero: tuple[str, ...]
    loglik_reml: float
    observations: int
    singular: bool
    rows: Rows
    X: Array
    back: Array
    search: Search
    point: Array
    here: Restricted
    residual: float

    @property
    def coefficients(self) -> dict[str, float]:
        """Estimate by coefficient name."""
        return dict(zip(self.names, self.beta.tolist(), strict=True))

    @property
    def se(self) -> dict[str, float]:
        """Standard error by coefficient name."""
        return dict(zip(self.names, np.sqrt(np.diag(self.covariance)).tolist(), strict=True))

    @cached_property
    def numeric_means(self) -> dict[str, float]:
        """Mean of each numeric column over the rows used."""
        return {name: float(np.mean(self.rows.columns[name])) for name in self.model.numeric if name in self.rows.columns}


def fit_reml(data: Mapping[str, Sequence[Any]], model: Model) -> Fit:
    """Fit by restricted maximum likelihood; with no random part this is least squares.

    Parameters: data, columns of equal length by name (factors as text, an empty cell is missing); model.
    Raises: MixedError, saying which column, level or term can't be used and why.
    Source: Patterson & Thompson 1971 (Biometrika 58:545); criterion as in Bates et al. 2015, eq. 42.
    """
    rows = complete_rows(data, model)
    X, names, _ = design(model, rows.columns, len(rows.y))
    triangle = _triangle(X)
    kept = independent_columns(triangle)
    X = X[:, kept]
    n, p = X.shape
    if n <= p:
        raise MixedError(f"{n} complete rows can't carry {p} coefficients and a residual; leave terms out or add rows")
    R = triangle if p == len(names) else _triangle(X)
    Q = solve_triangular(R, X.T, trans="T", lower=False).T  # columns of length 1, whatever the units of X
    offset = Q.T @ rows.y
    y = rows.y - Q @ offset
    if y @ y <= 1e-22 * max(1.0, float(rows.y @ rows.y)):
        raise MixedError("the fixed part fits every row exactly: there is no residual variation to judge differences by")
    terms = random_terms(model, rows)
    layout = lay_out(terms, Q, y)
    search, point = highest(layout)
    here = search.at(point)
    residual = here.yPy / here.freedom
    back = solve_triangular(R, np.eye(p), lower=False)
    log_scale = 2.0 * float(np.log(np.abs(np.diag(R))).sum())
    variances, zero, singular = _variances(terms, search, point, residual)
    b = layout.border
    return Fit(
        model=model,
        names=tuple(names[j] for j in kept),
        beta=_frozen(back @ (offset + here.effects[b:])),
        covariance=_frozen(residual * back @ here.Gamma[b:, b:] @ back.T),
        dropped=tuple(name for j, name in enumerate(names) if j not in set(kept)),
        variances=variances,
        zero=zero,
        loglik_reml=-0.5 * (here.deviance + log_scale),
        observations=n,
        singular=singular,
        rows=rows,
        X=_frozen(X),
        back=_frozen(back),
        search=search,
        point=_frozen(point),
        here=here,
        residual=residual,
    )


def _triangle(X: Array) -> Array:
    """R of X = QR."""
    R: Array = np.asarray(np.linalg.qr(X, mode="r"))
    return R


def _frozen(values: Array) -> Array:
    values = np.array(values, dtype=float)
    values.setflags(write=False)
    return values


def parameter_name(term: RandomTerm, a: int, b: int) -> str:
    """`group` for an intercept's variance, `group|x` for a slope's, `group|cov(x,y)` for a covariance."""
    if a != b:
        return f"{term.group}|cov({term.names[b]},{term.names[a]})"
    return term.group if term.names[a] == "(intercept)" else f"{term.group}|{term.names[a]}"


def _variances(
    terms: tuple[RandomTerm, ...], search: Search, point: Array, residual: float
) -> tuple[dict[str, float], tuple[str, ...], bool]:
    """Variances by name in the units of the columns as given, the zero ones, and whether the fit is singular."""
    found: dict[str, float] = {}
    zero: list[str] = []
    singular = False
    factors = {id(term): factor for term, factor in zip(search.terms, search.factors(point), strict=True)}
    for term in terms:
        factor = factors[id(term)]
        S = residual * factor @ factor.T / np.outer(term.scale, term.scale)
        singular = singular or bool(np.linalg.svd(factor, compute_uv=False)[-1] < 1e-5)
        for a in range(term.size):
            for b in range(a + 1):
                found[parameter_name(term, a, b)] = float(S[a, b])
                if a == b and math.sqrt(S[a, a] / residual) * term.scale[a] < 1e-5:
                    zero.append(parameter_name(term, a, a))
    found[RESIDUAL] = residual
    return found, tuple(zero), singular
