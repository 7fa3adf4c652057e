"""The best regular fraction for so many factors and runs: minimum aberration."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import comb

from .errors import DesignError
from .factorial import LETTERS, FractionalFactorial, fractional_factorial

KEPT = 400
"""Sets of columns kept at each size, the least aberrant first; all of them up to 16 runs, nearly all at 32."""


def minimum_aberration(factors: int, runs: int) -> FractionalFactorial:
    """The regular two-level fraction with the fewest short defining words.

    Sets of columns are built up one at a time and told apart by the weights of their code, the sets with most
    promise kept; more than half of all columns are chosen by what is left out. Up to 16 runs every class is
    looked at; above that it is a search, which agrees with the published tables for 32 and 64 runs where tested.

    Args:
        factors: 2 to 25, below `runs`.
        runs: a power of two, 4 to 128.

    Raises:
        DesignError: no such fraction.

    Source: Fries & Hunter (1980), Technometrics 22, 601-608; Chen, Sun & Wu (1993), Int. Stat. Rev. 61, 131-145;
    complements: Tang & Wu (1996), Ann. Stat. 24, 2549-2559.
    """
    size = runs.bit_length() - 1
    if runs != 1 << size or not 2 <= size <= 7:
        raise DesignError(f"A regular fraction has 4, 8, 16, 32, 64 or 128 runs, not {runs}.")
    if not 2 <= factors <= min(runs - 1, len(LETTERS)):
        raise DesignError(f"{runs} runs can hold 2 to {min(runs - 1, len(LETTERS))} factors, not {factors}.")
    if factors < size:
        raise DesignError(f"{factors} factors have only {2**factors} combinations, fewer than {runs} runs.")
    columns = _best_columns(size, factors)
    return fractional_factorial(factors, _generators(columns, size))


def _best_columns(size: int, factors: int) -> tuple[int, ...]:
    """Columns (numbers 1 to 2^size - 1, xor is the product) of least aberration that span all runs."""
    left_out = 2**size - 1 - factors
    if factors <= left_out:
        sets = _classes(size, factors)
    else:
        every = set(range(1, 2**size))
        sets = tuple(tuple(sorted(every - set(rest))) for rest in _classes(size, left_out))
    spanning = [columns for columns in sets if _rank(columns) == size]
    return min(spanning, key=lambda columns: _pattern(_weights(columns, size), factors))


@lru_cache(maxsize=64)
def _classes(size: int, count: int) -> tuple[tuple[int, ...], ...]:
    """Sets of `count` columns, one of each kind that the weights tell apart.

    Leaving the least aberrant out of the larger sets first gives both the good designs and the good complements:
    both ends of the ranking are kept.
    """
    if count == 0:
        return ((),)
    parity = _parities(size)
    found: dict[tuple, tuple[tuple, tuple[int, ...]]] = {}
    for columns in _classes(size, count - 1):
        weights = _weights(columns, size)
        for column in range(1, 2**size):
            if column in columns:
                continue
            chosen = (*columns, column)
            grown = weights + parity[column]
            key = _kind(grown, chosen, parity)
            if key not in found:
                found[key] = (_pattern(grown, count), chosen)
    ranked = [chosen for _, chosen in sorted(found.values())]
    if len(ranked) <= KEPT:
        return tuple(ranked)
    return tuple(ranked[: KEPT // 2] + ranked[-(KEPT // 2) :])


def _kind(weights: NDArray[np.int64], columns: tuple[int, ...], parity: NDArray[np.int64]) -> tuple:
    """What a set of columns has in common with every set that differs from it only by names."""
    count = len(columns)
    cells = np.bincount((np.arange(count)[:, None] * (count + 1) + weights).ravel(), parity[list(columns)].ravel(), count * (count + 1))
    profile = sorted(map(tuple, cells.reshape(count, count + 1).astype(int).tolist()))
    return tuple(profile)


def _pattern(weights: NDArray[np.int64], factors: int) -> tuple[int, ...]:
    """Counts of defining words of length 1, 2, … by the MacWilliams identity from the weights of the runs."""
    counts = np.bincount(weights, minlength=factors + 1)
    return tuple(np.rint(_krawtchouk(factors) @ counts / len(weights)).astype(int).tolist()[1:])


@lru_cache(maxsize=64)
def _krawtchouk(n: int) -> NDArray[np.float64]:
    """[i, w] = sum over j of (-1)^j C(w, j) C(n - w, i - j)."""
    i, w, j = np.ogrid[: n + 1, : n + 1, : n + 1]
    return ((-1.0) ** j * comb(w, j) * np.where(i >= j, comb(n - w, np.maximum(i - j, 0)), 0)).sum(axis=2)


@lru_cache(maxsize=8)
def _parities(size: int) -> NDArray[np.int64]:
    """[column, run] = 1 when the column is high in that run."""
    numbers = np.arange(2**size)
    return np.array([[(c & r).bit_count() & 1 for r in numbers.tolist()] for c in numbers.tolist()])


def _weights(columns: tuple[int, ...], size: int) -> NDArray[np.int64]:
    return _parities(size)[list(columns)].sum(axis=0) if columns else np.zeros(2**size, dtype=np.int64)


def _rank(columns: tuple[int, ...]) -> int:
    basis: list[int] = []
    for column in columns:
        for other in basis:
            column = min(column, column ^ other)
        if column:
            basis.append(column)
    return len(basis)


def _generators(columns: tuple[int, ...], size: int) -> list[str]:
    """Independent columns become the first letters; each other column is written as their product."""
    base: list[int] = []
    for column in sorted(columns, key=int.bit_count):
        if len(base) < size and _rank((*base, column)) > len(base):
            base.append(column)
    products: dict[int, str] = {0: ""}
    for letter, column in zip(LETTERS, base, strict=False):
        products |= {key ^ column: word + letter for key, word in list(products.items())}
    words = sorted((products[c] for c in columns if c not in base), key=lambda word: (-len(word), word))
    return [f"{LETTERS[size + place]}={word}" for place, word in enumerate(words)]
