"""Block designs from finite geometry and Hadamard matrices."""

from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from .screening import saturated

POLYNOMIALS = {4: (2, (1, 1)), 8: (2, (1, 1, 0)), 9: (3, (2, 0))}
"""Fields of prime-power order: the prime, and what the highest power of x is worth (constant first): x^2 = 1 + x, …."""

TURNED_25 = (
    (0, 4, 5, 8, 9, 11, 12, 18, 19), (1, 4, 10, 11, 16, 19, 21, 23, 24), (7, 8, 9, 10, 12, 15, 16, 20, 21), (1, 2, 3, 6, 8, 11, 12, 15, 24),
    (5, 6, 12, 14, 16, 18, 20, 23, 24), (1, 2, 5, 7, 15, 16, 18, 19, 22), (0, 3, 5, 11, 13, 14, 15, 16, 21), (1, 2, 8, 9, 13, 14, 18, 21, 23),
    (3, 4, 5, 6, 7, 8, 21, 22, 23),
)  # fmt: skip
"""Blocks of 9 of 25 that, with each turned within 0 1 2, 3 4 5, … (24 stays), meet in three; the last one is its own turn. Found by a constraint
solver, so no source; the counts prove it (such designs are in Cochran & Cox 1957, table 11.3; from memory)."""

TURNED_31 = (
    (2, 3, 9, 13, 14, 16, 20, 25, 27, 28),
    (2, 5, 7, 9, 15, 17, 18, 24, 25, 29),
    (0, 2, 5, 8, 9, 10, 14, 22, 23, 26),
    (1, 2, 7, 10, 16, 17, 19, 22, 27, 30),
    (7, 8, 9, 10, 11, 12, 13, 28, 29, 30),
    (21, 22, 23, 24, 25, 26, 27, 28, 29, 30),
    (0, 1, 2, 3, 4, 5, 6, 28, 29, 30),
)
"""Blocks of 10 of 31 in the same way, each of the first four turned within 0 … 6, 7 … 13, … (28, 29 and 30 stay); found and proven likewise."""

ORDERS = (2, 3, 4, 5, 7, 8, 9)
"""Orders for which there are planes and spaces here."""


@lru_cache(maxsize=8)
def field(order: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Tables of sums and products of the field with `order` elements, each shape (order, order)."""
    prime, top = POLYNOMIALS.get(order, (order, ()))
    if not top:
        numbers = np.arange(order)
        return (numbers[:, None] + numbers) % order, numbers[:, None] * numbers % order
    degree = len(top)
    digits = [tuple(n // prime**i % prime for i in range(degree)) for n in range(order)]
    number = {word: n for n, word in enumerate(digits)}

    def times(a: tuple[int, ...], b: tuple[int, ...]) -> tuple[int, ...]:
        long = [0] * (2 * degree - 1)
        for i, j in product(range(degree), repeat=2):
            long[i + j] += a[i] * b[j]
        for power in range(2 * degree - 2, degree - 1, -1):
            for i in range(degree):
                long[power - degree + i] += long[power] * top[i]
        return tuple(x % prime for x in long[:degree])

    sums = [[number[tuple((x + y) % prime for x, y in zip(a, b, strict=True))] for b in digits] for a in digits]
    return np.array(sums), np.array([[number[times(a, b)] for b in digits] for a in digits])


def affine_plane(order: int) -> list[list[int]]:
    """Lines of the affine plane: order^2 points, lines of `order`, each pair on one."""
    add, times = field(order)
    x, y = np.divmod(np.arange(order**2), order)
    lines = [np.flatnonzero(add[times[m, x], c] == y).tolist() for m in range(order) for c in range(order)]
    return lines + [np.flatnonzero(x == at).tolist() for at in range(order)]


def hyperplanes(order: int, dimension: int) -> list[list[int]]:
    """Hyperplanes of projective space (lines of the plane when dimension is 2)."""
    add, times = field(order)
    points = np.array(
        [
            point
            for point in product(range(order), repeat=dimension + 1)
            if next((x for x in point if x), 0) == 1  # one of each ray: the first coordinate that isn't 0 is 1
        ]
    )
    blocks = []
    for normal in points:
        inner = np.zeros(len(points), dtype=np.int64)
        for axis, weight in enumerate(normal):
            inner = add[inner, times[weight, points[:, axis]]]
        blocks.append(np.flatnonzero(inner == 0).tolist())
    return blocks


def hadamard_blocks(samples: int) -> list[list[int]]:
    """As many blocks of (samples - 1) / 2 as samples (4 m - 1, up to 47): where the runs of a saturated design are low."""
    return [np.flatnonzero(run < 0).tolist() for run in saturated(samples + 1)[:-1]]


def hadamard_halves(samples: int) -> list[list[int]]:
    """2 (samples - 1) blocks of half the samples (4 m, up to 48): each column's high runs, and its low ones."""
    columns = saturated(samples).T
    return [np.flatnonzero(column == side).tolist() for column in columns for side in (1, -1)]


def biplane_37() -> list[list[int]]:
    """37 blocks of 9, any two samples together twice: the fourth powers modulo 37, shifted (a difference set, Chowla 1944; from memory)."""
    powers = {pow(x, 4, 37) for x in range(1, 37)}
    return [sorted((x + shift) % 37 for x in powers) for shift in range(37)]


def symmetric_25() -> list[list[int]]:
    """25 blocks of 9, any two samples together three times."""
    return _turned(TURNED_25, 3, 24)


def symmetric_31() -> list[list[int]]:
    """31 blocks of 10, any two samples together three times."""
    return _turned(TURNED_31, 7, 28)


def _turned(blocks: tuple[tuple[int, ...], ...], length: int, moved: int) -> list[list[int]]:
    """Each block and its turns within runs of `length` samples below `moved`, none twice."""
    found: dict[tuple[int, ...], None] = {}
    for block in blocks:
        for times in range(length):
            turn = (x if x >= moved else x // length * length + (x % length + times) % length for x in block)
            found[tuple(sorted(turn))] = None
    return [list(block) for block in found]


def residual(blocks: list[list[int]]) -> list[list[int]]:
    """What is left of the other blocks outside the first one: as balanced, since any two blocks of such a design share equally many."""
    samples = len(blocks)
    rest = [x for x in range(samples) if x not in blocks[0]]
    return [[rest.index(x) for x in block if x in rest] for block in blocks[1:]]
