"""Plackett-Burman designs: many factors in few runs, main effects only."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .errors import DesignError


@dataclass(frozen=True, eq=False)
class PlackettBurman:
    """A screening design.

    Attributes:
        design: shape (runs, factors), -1 and 1, the last run all -1, read-only.
        orthogonal: whether the columns are uncorrelated.
        balanced: whether each column is as often high as low.
        resolution: 3 when some main effect is mixed with a pair, 4 when none is, None with fewer than 3 factors.
        main_with_other_pairs_correlation: every correlation that occurs between a main effect and a pair without it.
        main_with_own_pairs_correlation: the same with a pair that holds it.
    """

    design: NDArray[np.int64]
    orthogonal: bool
    balanced: bool
    resolution: int | None
    main_with_other_pairs_correlation: tuple[float, ...]
    main_with_own_pairs_correlation: tuple[float, ...]


def plackett_burman(runs: int, factors: int | None = None) -> PlackettBurman:
    """A two-level design for up to runs - 1 factors.

    Args:
        runs: a multiple of 4 from 4 to 48.
        factors: 1 to runs - 1; all when left out.

    Raises:
        DesignError: no such design.

    Source: Plackett & Burman (1946), Biometrika 33, 305-325: cyclic rows from quadratic residues (4, 8, 12, 20, 24,
    44, 48), the field of 27 (28), twin primes (36); doubling (40) and geometric designs (16, 32).
    """
    if runs % 4 or not 4 <= runs <= 48:
        raise DesignError(f"A Plackett-Burman design has a multiple of 4 runs, 4 to 48, not {runs}.")
    factors = runs - 1 if factors is None else factors
    if not 1 <= factors <= runs - 1:
        raise DesignError(f"{runs} runs can hold 1 to {runs - 1} factors, not {factors}.")
    design = saturated(runs)[:, :factors].copy()
    design.flags.writeable = False
    inner = design.T @ design
    other, own = _pair_correlations(design)
    return PlackettBurman(
        design=design,
        orthogonal=bool((inner == runs * np.eye(factors)).all()),
        balanced=bool((design.sum(axis=0) == 0).all()),
        resolution=None if factors < 3 else 3 if any(other) else 4,
        main_with_other_pairs_correlation=other,
        main_with_own_pairs_correlation=own,
    )


def saturated(runs: int) -> NDArray[np.int64]:
    """The design with runs - 1 factors, last run all -1."""
    if runs in (16, 32):
        numbers = range(runs)
        square = [[-1 if (a & b).bit_count() & 1 else 1 for b in numbers[1:]] for a in numbers]
        return _last_run_low(np.array(square))
    if runs == 40:
        half = np.column_stack([np.ones(20, dtype=np.int64), saturated(20)])
        return _last_run_low(np.kron(np.array([[1, 1], [1, -1]]), half)[:, 1:])
    if runs == 28:
        core = _field_of_27()
    elif runs == 36:
        core = _circulant([_twin_prime(place) for place in range(35)])
    else:
        prime = runs - 1
        squares = {x * x % prime for x in range(prime)}
        core = _circulant([1 if place in squares else -1 for place in range(prime)])
    return np.vstack([core, -np.ones((1, runs - 1), dtype=np.int64)])


def _circulant(row: list[int]) -> NDArray[np.int64]:
    """Each row is the one before, moved a place to the right."""
    return np.array([np.roll(row, shift) for shift in range(len(row))], dtype=np.int64)


def _twin_prime(place: int) -> int:
    """Low on the twin-prime difference set of 35 = 5 x 7 (Stanton & Sprott 1958): alike in being squares, or 0 mod 7."""

    def sign(x: int, p: int) -> int:
        return 0 if x % p == 0 else 1 if pow(x, (p - 1) // 2, p) == 1 else -1

    if place % 7 == 0:
        return -1
    return -1 if sign(place, 5) * sign(place, 7) == 1 else 1


def _field_of_27() -> NDArray[np.int64]:
    """Paley's square from the quadratic residues of the field with 27 elements, polynomials modulo x^3 = x + 2."""
    elements = [(a, b, c) for c in range(3) for b in range(3) for a in range(3)]

    def square(x: tuple[int, int, int]) -> tuple[int, int, int]:
        a, b, c = x
        low = [a * a, 2 * a * b, 2 * a * c + b * b, 2 * b * c, c * c]
        low[1] += low[4] * 2  # x^4 = x^2 + 2 x
        low[2] += low[4]
        low[0] += low[3] * 2  # x^3 = x + 2
        low[1] += low[3]
        return low[0] % 3, low[1] % 3, low[2] % 3

    squares = {square(x) for x in elements}
    return np.array([[1 if tuple((p - q) % 3 for p, q in zip(x, y, strict=True)) in squares else -1 for x in elements] for y in elements])


def _last_run_low(design: NDArray[np.int64]) -> NDArray[np.int64]:
    """Turn columns round so that the last run is all -1, as such tables are printed."""
    return -design * design[-1]


def _pair_correlations(design: NDArray[np.int64]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    runs, factors = design.shape
    other: set[int] = set()
    own: set[int] = set()
    for a in range(factors):
        for b in range(a + 1, factors):
            sums = design.T @ (design[:, a] * design[:, b])
            own |= {int(sums[a]), int(sums[b])}
            other |= {int(s) for f, s in enumerate(sums) if f not in (a, b)}
    return tuple(sorted(s / runs for s in other)), tuple(sorted(s / runs for s in own))
