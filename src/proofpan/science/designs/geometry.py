"""Block designs from finite geometry: planes, hyperplanes and quadratic residues."""

from itertools import product

import numpy as np
from numpy.typing import NDArray

_FOUR = ((0, 0, 0, 0), (0, 1, 2, 3), (0, 2, 3, 1), (0, 3, 1, 2))
"""Products in the field of four elements, 2 and 3 being the roots of x^2 = x + 1."""


def affine_plane(order: int) -> list[list[int]]:
    """Lines of the affine plane: order^2 points, lines of `order`, each pair on one. Orders 2, 3, 4, 5 and 7."""
    points = list(product(range(order), repeat=2))
    lines = []
    for slope in range(order):
        for shift in range(order):
            lines.append([n for n, (x, y) in enumerate(points) if _add(_times(slope, x, order), shift, order) == y])
    lines += [[n for n, (x, _) in enumerate(points) if x == at] for at in range(order)]
    return lines


def hyperplanes(order: int, dimension: int) -> list[list[int]]:
    """Hyperplanes of projective space (lines of the plane when dimension is 2). Orders 2, 3, 4, 5 and 7."""
    points = [
        point
        for point in product(range(order), repeat=dimension + 1)
        if next((x for x in point if x), 0) == 1  # one of each ray: the first coordinate that isn't 0 is 1
    ]
    table = np.array([[_times(a, b, order) for b in range(order)] for a in range(order)])
    array = np.array(points)
    blocks = []
    for normal in array:
        inner = np.zeros(len(points), dtype=np.int64)
        for axis, weight in enumerate(normal):
            inner = _sum(inner, table[weight, array[:, axis]], order)
        blocks.append(np.flatnonzero(inner == 0).tolist())
    return blocks


def paley_blocks(prime: int) -> list[list[int]]:
    """Shifts of the quadratic residues modulo a prime of the form 4 m + 3: blocks of (prime - 1) / 2."""
    squares = sorted({x * x % prime for x in range(1, prime)})
    return [[(s + shift) % prime for s in squares] for shift in range(prime)]


def _add(a: int, b: int, order: int) -> int:
    return a ^ b if order == 4 else (a + b) % order


def _sum(a: NDArray[np.int64], b: NDArray[np.int64], order: int) -> NDArray[np.int64]:
    return a ^ b if order == 4 else (a + b) % order


def _times(a: int, b: int, order: int) -> int:
    return _FOUR[a][b] if order == 4 else a * b % order
