"""Incomplete blocks: balanced ones where they exist, else as near to balance as a search finds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import NDArray

from .blocks import BlockBalance, block_balance
from .existence import why_not
from .geometry import ORDERS, affine_plane, biplane_37, hadamard_blocks, hadamard_halves, hyperplanes, residual, symmetric_25, symmetric_31
from .symmetry import Permutation, likely_symmetries, orbit_cover

MOST_SUBSETS = 60_000
"""Sets of samples that are sorted into orbits; more are left to geometry."""

PROPOSALS = 40_000
"""Swaps tried from one start."""

QUICK_SUBSETS = 2_000
"""Up to here a tasting's blocks are looked for in a second or two."""


@dataclass(frozen=True, eq=False)
class BalancedIncompleteBlocks:
    """The answer to "is there a balanced design of these numbers?".

    Attributes:
        exists: True, False, or None when nothing forbids it but none was found here.
        blocks: shape (blocks, block_size), sample numbers from 0, rising in a row, read-only; None unless it exists.
        replicates: servings of each sample, None unless it exists.
        together: blocks each pair shares, None unless it exists.
        efficiency_factor: together * samples / (replicates * block_size), None unless it exists.
        why: a sentence when it doesn't exist or wasn't found, else empty.
    """

    exists: bool | None
    blocks: NDArray[np.int64] | None
    replicates: int | None
    together: int | None
    efficiency_factor: float | None
    why: str


@dataclass(frozen=True, eq=False)
class IncompleteBlocks:
    """Blocks for a tasting with more samples than a palate can take.

    Attributes:
        blocks: shape (blocks, block_size), sample numbers from 0, read-only; row = taster.
        balance: the counts.
    """

    blocks: NDArray[np.int64]
    balance: BlockBalance

    @property
    def says(self) -> str:
        """One sentence on the balance."""
        served, met = self.balance.replicates, self.balance.together
        times = f"{served[0]} times" if len(served) == 1 else f"{served[0]} to {served[-1]} times"
        pairs = f"{met[0]} times" if len(met) == 1 else f"{met[0]} to {met[-1]} times"
        kind = "Balanced" if self.balance.balanced else "Near-balanced"
        return f"{kind}: each plate is served {times}, each pair meets on one palate {pairs}."


def balanced_incomplete_blocks(samples: int, block_size: int, blocks: int) -> BalancedIncompleteBlocks:
    """A balanced incomplete block design, or why there is none.

    Args:
        samples: 2 or more.
        block_size: samples in each block, up to all of them.
        blocks: how many.

    Raises:
        DesignError: numbers no design can have.

    Source: Cochran & Cox (1957), table 11.3; Fisher & Yates, tables XVII-XIX; found by geometry or by exact cover
    of orbits (Kramer & Mesner 1976, Discrete Math. 15, 263-296).
    """
    reason = why_not(samples, block_size, blocks)
    if reason is not None:
        return BalancedIncompleteBlocks(False, None, None, None, None, reason)
    found = _construct(samples, block_size, blocks)
    if found is None:
        return BalancedIncompleteBlocks(
            None, None, None, None, None, "Nothing forbids such a design, but none was found; use a near-balanced one."
        )
    table = np.array(sorted(sorted(block) for block in found), dtype=np.int64)
    balance = block_balance(table.tolist(), samples)
    if not balance.balanced:
        raise AssertionError("a constructed design must be balanced")
    table.flags.writeable = False
    return BalancedIncompleteBlocks(True, table, balance.replicates[0], balance.together[0], balance.efficiency_factor, "")


def incomplete_blocks(samples: int, block_size: int, blocks: int, *, seed: int) -> IncompleteBlocks:
    """Blocks for any numbers: balanced where such a design is found, else near-balanced, samples and rows shuffled.

    Near-balanced means that servings differ by at most one and pairs meet as evenly as exchange from random starts
    finds (John & Williams 1995, Cyclic and Computer Generated Designs, ch. 4: (M,S)-optimality).

    Args:
        samples: 2 or more.
        block_size: 1 up to all samples.
        blocks: 1 or more.
        seed: same seed, same blocks.

    Raises:
        DesignError: numbers no design can have.
    """
    rng = np.random.default_rng(seed)
    reason = why_not(samples, block_size, blocks)
    quick = comb(samples, block_size) <= QUICK_SUBSETS
    found = _construct(samples, block_size, blocks) if reason is None and quick else None
    if found is None:
        starts = [_exchange(samples, block_size, blocks, rng) for _ in range(6 if blocks <= 40 else 2)]
        table = min(starts, key=lambda t: _unevenness(t, samples))
    else:
        table = rng.permutation(samples)[np.array(found)]
    table = np.sort(table[rng.permutation(blocks)], axis=1).astype(np.int64)
    table.flags.writeable = False
    return IncompleteBlocks(table, block_balance(table.tolist(), samples))


def _construct(samples: int, size: int, blocks: int) -> list[list[int]] | None:
    """Blocks of a design that isn't forbidden: the largest repeat of a smaller one, its complement, geometry, orbits."""
    if size == samples:
        return [list(range(samples))] * blocks
    every = comb(samples, size)
    if blocks % every == 0:
        return [list(block) for block in combinations(range(samples), size)] * (blocks // every)
    if 2 * size > samples:
        rest = _construct(samples, samples - size, blocks) if samples - size > 1 else None
        if samples - size == 1:
            rest = [[sample] for sample in range(samples)] * (blocks // samples)
        return None if rest is None else [sorted(set(range(samples)) - set(block)) for block in rest]
    for times in sorted((t for t in range(2, blocks + 1) if blocks % t == 0), reverse=True):
        if blocks // times >= samples and why_not(samples, size, blocks // times) is None:
            smaller = _primitive(samples, size, blocks // times)
            if smaller is not None:
                return smaller * times
    return _primitive(samples, size, blocks)


def _primitive(samples: int, size: int, blocks: int) -> list[list[int]] | None:
    for known in _geometric(samples, size):
        if len(known) == blocks:
            return known
    if comb(samples, size) > MOST_SUBSETS:
        return None
    together = blocks * size * (size - 1) // (samples * (samples - 1))
    return _by_symmetry(samples, size, together, likely_symmetries(samples))


def _geometric(samples: int, size: int) -> Iterator[list[list[int]]]:
    for order in ORDERS:
        if (samples, size) == (order**2, order):
            yield affine_plane(order)
        for dimension in (2, 3, 4):
            points = (order ** (dimension + 1) - 1) // (order - 1)
            if (samples, size) == (points, (order**dimension - 1) // (order - 1)):
                yield hyperplanes(order, dimension)
    for made, whole in ((symmetric_25, (25, 9)), (symmetric_31, (31, 10)), (biplane_37, (37, 9))):
        if (samples, size) == whole:
            yield made()
    for made, rest in ((symmetric_25, (16, 6)), (symmetric_31, (21, 7)), (biplane_37, (28, 7))):
        if (samples, size) == rest:
            yield residual(made())
    if samples == 2 * size + 1 and samples % 4 == 3 and samples <= 47:
        yield hadamard_blocks(samples)
    if samples == 2 * size and samples % 4 == 0 and samples <= 48:
        yield hadamard_halves(samples)


def _by_symmetry(samples: int, size: int, together: int, symmetries: Sequence[Sequence[Permutation]]) -> list[list[int]] | None:
    for symmetry in symmetries:
        found = orbit_cover(samples, size, together, symmetry)
        if found is not None:
            return found
    return None


def _exchange(samples: int, size: int, blocks: int, rng: np.random.Generator) -> NDArray[np.int64]:
    """Blocks with even servings, then random swaps between two blocks while pairs meet more evenly.

    A swap of x in block a for y in block b takes d = a - b from how often x meets the others and gives it to y.
    """
    table = _even_start(samples, size, blocks, rng)
    incidence = np.zeros((blocks, samples), dtype=np.int64)
    incidence[np.arange(blocks)[:, None], table] = 1
    met = incidence.T @ incidence
    patience = min(PROPOSALS, 2 * (blocks * size) ** 2)
    idle = 0
    for a, b, i, j in rng.integers([blocks, blocks, size, size], size=(PROPOSALS, 4)).tolist():
        if idle > patience:
            break
        idle += 1
        x, y = table[a, i], table[b, j]
        if incidence[a, y] or incidence[b, x]:
            continue
        d = incidence[a] - incidence[b]
        d[[x, y]] = 0
        if int(d @ (met[y] - met[x] + d)) >= 0:
            continue
        met[x] -= d
        met[:, x] -= d
        met[y] += d
        met[:, y] += d
        incidence[a, [x, y]], incidence[b, [x, y]] = (0, 1), (1, 0)
        table[a, i], table[b, j], idle = y, x, 0
    return table


def _even_start(samples: int, size: int, blocks: int, rng: np.random.Generator) -> NDArray[np.int64]:
    """Each block takes the samples served least so far, ties at random: servings never differ by more than one."""
    served = np.zeros(samples, dtype=np.int64)
    table = np.empty((blocks, size), dtype=np.int64)
    for block in range(blocks):
        table[block] = np.lexsort((rng.random(samples), served))[:size]
        served[table[block]] += 1
    return table


def _unevenness(table: NDArray[np.int64], samples: int) -> int:
    incidence = np.zeros((len(table), samples), dtype=np.int64)
    incidence[np.arange(len(table))[:, None], table] = 1
    met = incidence.T @ incidence
    return int((met**2).sum())
