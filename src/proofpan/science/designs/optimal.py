"""D-optimal designs by coordinate exchange: for awkward run numbers, mixed levels and factors that are hard to change."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .efficiency import best_possible, model_matrix
from .errors import DesignError


@dataclass(frozen=True, eq=False)
class DOptimal:
    """The best design found.

    Attributes:
        table: shape (runs, factors), level numbers from 0, read-only.
        design: the same coded from -1 to 1.
        model: what it is best for.
        parameters: of the model, the intercept among them.
        d_efficiency: percent, 100 |X'X|^(1/p) / n; with whole plots 100 |X'V^-1 X|^(1/p) / n, V the covariance in
            units of the variance within whole plots.
        best_possible: percent that no design can exceed; with whole plots that of free runs.
        whole_plot: shape (runs,), number of the whole plot (load) of each run; None without whole plots.
    """

    table: NDArray[np.int64]
    design: NDArray[np.float64]
    model: str
    parameters: int
    d_efficiency: float
    best_possible: float
    whole_plot: NDArray[np.int64] | None


def d_optimal(levels: Sequence[int], runs: int, model: str = "main", *, seed: int, starts: int = 60) -> DOptimal:
    """The D-best design that coordinate exchange finds from random starts.

    Args:
        levels: of each factor, 2 or more, spread evenly from -1 to 1; under "quadratic" a square for each factor
            with more than two.
        runs: at least the number of parameters.
        model: "main", "pairs" or "quadratic".
        seed: same seed, same design.
        starts: random starts; fewer when the best possible is reached.

    Raises:
        DesignError: too few runs, a factor with one level, or no such model.

    Source: Meyer & Nachtsheim (1995), Technometrics 37, 60-69.
    """
    return _search(levels, np.arange(runs), [], model, 0.0, seed, starts)


def d_optimal_split_plot(
    levels: Sequence[int],
    whole_plot_factors: Sequence[int],
    whole_plots: int,
    runs_in_each: int,
    model: str = "main",
    *,
    seed: int,
    variance_ratio: float = 1.0,
    starts: int = 20,
) -> DOptimal:
    """The D-best split-plot design found: some factors stay as they are within a whole plot (an oven load, a dough).

    Args:
        levels: of each factor, 2 or more.
        whole_plot_factors: numbers of the factors that are changed per whole plot.
        whole_plots: how many.
        runs_in_each: runs in each whole plot.
        model: "main", "pairs" or "quadratic".
        seed: same seed, same design.
        variance_ratio: variance between whole plots over variance within.
        starts: random starts.

    Raises:
        DesignError: too few runs or whole plots for the model, or numbers out of range.

    Source: Jones & Goos (2007), Appl. Stat. 56, 347-364; Goos & Vandebroek (2001), J. Qual. Technol. 33, 436-450.
    """
    if whole_plots < 1 or runs_in_each < 1 or variance_ratio < 0:
        raise DesignError("Whole plots and runs in each must be 1 or more, the ratio of variances 0 or more.")
    hard = sorted(set(whole_plot_factors))
    if any(not 0 <= f < len(levels) for f in hard):
        raise DesignError(f"Whole-plot factors are numbers from 0 to {len(levels) - 1}.")
    if hard:
        probe = np.zeros((1, len(hard)))
        squares = [place for place, f in enumerate(hard) if levels[f] > 2]
        needed = model_matrix(probe, model, squares).shape[1]
        if whole_plots < needed:
            raise DesignError(f"{whole_plots} whole plots can't carry the {needed} parameters of the factors changed with them.")
    plot = np.repeat(np.arange(whole_plots), runs_in_each)
    return _search(levels, plot, hard, model, variance_ratio, seed, starts)


def _search(
    levels: Sequence[int],
    plot: NDArray[np.int64],
    hard: Sequence[int],
    model: str,
    ratio: float,
    seed: int,
    starts: int,
) -> DOptimal:
    if not levels or any(count < 2 or count != int(count) for count in levels):
        raise DesignError("Each factor of an optimal design needs two levels or more.")
    squares = [f for f, count in enumerate(levels) if count > 2]
    runs, factors = len(plot), len(levels)
    parameters = model_matrix(np.zeros((1, factors)), model, squares).shape[1]
    if runs < parameters:
        raise DesignError(f"{runs} runs can't carry the {parameters} parameters of the model; plan at least as many.")
    ceiling = best_possible(runs, parameters, not squares)
    root = _whitening(plot, ratio)
    rng = np.random.default_rng(seed)
    best: tuple[float, NDArray[np.int64] | None] = (-math.inf, None)
    for _ in range(max(1, starts)):
        table = np.column_stack([rng.integers(count, size=runs) for count in levels])
        for f in hard:
            table[:, f] = rng.integers(levels[f], size=int(plot[-1]) + 1)[plot]
        height = _climb(table, levels, plot, hard, model, squares, root) if ratio or hard else _climb_freely(table, levels, model, squares)
        if height > best[0] + 1e-9:
            best = (height, table)
            if not ratio and 100 * math.exp(height / parameters) / runs >= ceiling - 1e-7:
                break
    height, found = best
    if found is None:
        raise DesignError("No design was found that can estimate the model; plan more runs.")
    found.flags.writeable = False
    design = _coded(found, levels)
    design.flags.writeable = False
    return DOptimal(
        table=found,
        design=design,
        model=model,
        parameters=parameters,
        d_efficiency=100 * math.exp(height / parameters) / runs,
        best_possible=ceiling,
        whole_plot=plot if hard else None,
    )


def _climb(
    table: NDArray[np.int64],
    levels: Sequence[int],
    plot: NDArray[np.int64],
    hard: Sequence[int],
    model: str,
    squares: Sequence[int],
    root: NDArray[np.float64],
) -> float:
    """Change one coordinate at a time, in place, while log |X'V^-1 X| rises; -inf when it stays singular.

    A small ridge lets a singular start climb; the last height is without it.
    """

    def spread() -> NDArray[np.float64]:
        return root @ model_matrix(_coded(table, levels), model, squares)

    def height() -> float:
        x = spread()
        return float(np.linalg.slogdet(x.T @ x + 1e-6 * np.eye(x.shape[1]))[1])

    groups = [[np.array([run]) for run in range(len(table))], [np.flatnonzero(plot == p) for p in np.unique(plot)]]
    current, improved = height(), True
    while improved:
        improved = False
        for f, count in enumerate(levels):
            for rows in groups[f in hard]:
                for level in range(count):
                    before = table[rows, f].copy()
                    if level == before[0]:
                        continue
                    table[rows, f] = level
                    new = height()
                    if new > current + 1e-9:
                        current, improved = new, True
                    else:
                        table[rows, f] = before
    return _log_determinant(spread())


def _climb_freely(table: NDArray[np.int64], levels: Sequence[int], model: str, squares: Sequence[int]) -> float:
    """`_climb` without whole plots: what a change of one run does to the determinant is known from its inverse."""

    def rows(part: NDArray[np.int64]) -> NDArray[np.float64]:
        return model_matrix(_coded(part, levels), model, squares)

    x = rows(table)
    information = x.T @ x + 1e-6 * np.eye(x.shape[1])
    inverse = np.linalg.inv(information)
    improved = True
    while improved:
        improved = False
        for run in range(len(table)):
            for f, count in enumerate(levels):
                trial = np.repeat(table[run : run + 1], count, axis=0)
                trial[:, f] = np.arange(count)
                new, old = rows(trial), x[run]
                spread, cross = np.einsum("ij,jk,ik->i", new, inverse, new), new @ inverse @ old
                gain = (1 + spread) * (1 - old @ inverse @ old) + cross**2
                best = int(np.argmax(gain))
                if best == table[run, f] or gain[best] <= 1 + 1e-9:
                    continue
                information += np.outer(new[best], new[best]) - np.outer(old, old)
                inverse = np.linalg.inv(information)
                table[run, f], x[run], improved = best, new[best], True
    return _log_determinant(x)


def _log_determinant(x: NDArray[np.float64]) -> float:
    """Of X'X; -inf when the model can't be estimated."""
    if int(np.linalg.matrix_rank(x)) < x.shape[1]:
        return -math.inf
    return float(np.linalg.slogdet(x.T @ x)[1])


def _coded(table: NDArray[np.int64], levels: Sequence[int]) -> NDArray[np.float64]:
    return 2 * table / (np.array(levels) - 1) - 1


def _whitening(plot: NDArray[np.int64], ratio: float) -> NDArray[np.float64]:
    """W with W'W = V^-1 for V = I + ratio * (same whole plot)."""
    covariance = np.eye(len(plot)) + ratio * (plot[:, None] == plot[None, :])
    return np.asarray(np.linalg.inv(np.linalg.cholesky(covariance)))
