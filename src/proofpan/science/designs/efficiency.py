"""How much a design tells for its runs: model matrices, D-efficiency and what no design can exceed."""

import math
from collections.abc import Collection
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import DesignError

MODELS = ("main", "pairs", "quadratic")

MAXIMAL_DETERMINANTS = {
    1: 1, 2: 2, 3: 4, 4: 16, 5: 48, 6: 160, 7: 576, 8: 4096, 9: 14336, 10: 73728, 11: 327680, 12: 2985984,
    13: 14929920, 14: 77635584, 15: 418037760, 16: 4294967296,
}  # fmt: skip
"""Largest determinant of an n by n matrix of -1 and 1. Source: Williamson (1946); OEIS A003433; from memory."""


@dataclass(frozen=True)
class DEfficiency:
    """D-efficiency of a design under a model.

    Attributes:
        d_efficiency: percent, 100 |X'X|^(1/p) / n; 0 when the model can't be estimated.
        parameters: p, the intercept among them.
        estimable: whether X'X is regular.
    """

    d_efficiency: float
    parameters: int
    estimable: bool


def d_efficiency(design: ArrayLike, model: str = "main") -> DEfficiency:
    """D-efficiency of a design coded from -1 to 1.

    Args:
        design: shape (runs, factors).
        model: "main", "pairs" (main effects and pairs) or "quadratic" (those and squares).

    Raises:
        DesignError: not a table of numbers, or no such model.

    Source: Atkinson, Donev & Tobias (2007), Optimum Experimental Designs, ch. 11.
    """
    x = model_matrix(design, model)
    runs, parameters = x.shape
    estimable = runs >= parameters and int(np.linalg.matrix_rank(x)) == parameters
    if not estimable:
        return DEfficiency(0.0, parameters, False)
    _, log_determinant = np.linalg.slogdet(x.T @ x)
    return DEfficiency(100 * math.exp(log_determinant / parameters) / runs, parameters, True)


def model_matrix(design: ArrayLike, model: str = "main", squares: Collection[int] | None = None) -> NDArray[np.float64]:
    """Intercept, main effects, then pairs, then squares.

    Args:
        design: shape (runs, factors), coded from -1 to 1.
        model: one of MODELS.
        squares: factors that get a square under "quadratic"; all when left out.

    Raises:
        DesignError: not a table of numbers, or no such model.
    """
    if model not in MODELS:
        raise DesignError(f'There is no model "{model}"; there are {", ".join(MODELS)}.')
    table = np.asarray(design, dtype=float)
    if table.ndim != 2 or not table.size or not np.isfinite(table).all():
        raise DesignError("A design must be a table of numbers, one row a run, one column a factor.")
    factors = table.shape[1]
    columns = [np.ones(len(table)), *table.T]
    if model != "main":
        columns += [table[:, a] * table[:, b] for a, b in combinations(range(factors), 2)]
    if model == "quadratic":
        columns += [table[:, f] ** 2 for f in range(factors) if squares is None or f in squares]
    return np.column_stack(columns)


def best_possible(runs: int, parameters: int, two_level: bool) -> float:
    """A D-efficiency (percent) that no design can exceed, not always one that can be had.

    With two levels every entry of X is -1 or 1, so off-diagonal entries of X'X can't all be 0 unless runs is a
    multiple of 4. Otherwise 100 (Hadamard's bound).

    Source: Hadamard (1893); odd runs: Barba (1933), Cheng (1980), Ann. Stat. 8, 436-446; twice an odd number:
    Ehlich (1964), Math. Z. 83, 123-132; square X: table of maximal determinants.
    """
    if not two_level or runs % 4 == 0 or parameters < 2:
        return 100.0
    if runs == parameters and runs in MAXIMAL_DETERMINANTS:
        return 100 * MAXIMAL_DETERMINANTS[runs] ** (2 / runs) / runs
    if runs % 2:
        log_determinant = (parameters - 1) * math.log(runs - 1) + math.log(runs - 1 + parameters)
    else:
        halves = (parameters // 2, parameters - parameters // 2)
        log_determinant = sum((h - 1) * math.log(runs - 2) + math.log(runs - 2 + 2 * h) if runs > 2 else math.log(2 * h) for h in halves)
    return min(100.0, 100 * math.exp(log_determinant / parameters) / runs)
