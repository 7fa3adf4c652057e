"""Counts of a block design: how often each sample is served and each pair meets."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .errors import DesignError


@dataclass(frozen=True, eq=False)
class BlockBalance:
    """How well blocks are balanced.

    Attributes:
        balanced: each sample equally often, each pair together equally often, blocks of one size.
        replicates: the numbers of times samples occur, each number once, rising.
        together: the numbers of blocks that pairs share, each number once, rising.
        efficiency_factor: share of the information of complete blocks, together * samples / (replicates * size);
            None when not balanced.
        concurrence: shape (samples, samples), blocks that two samples share; replicates on the diagonal.
    """

    balanced: bool
    replicates: tuple[int, ...]
    together: tuple[int, ...]
    efficiency_factor: float | None
    concurrence: NDArray[np.int64]


def block_balance(blocks: Sequence[Sequence[int]], samples: int) -> BlockBalance:
    """Count a block design.

    Args:
        blocks: sample numbers from 0 in each block; sizes may differ.
        samples: how many samples there are.

    Raises:
        DesignError: no block, fewer than two samples, a sample twice in a block or a number that isn't there.

    Source: Cochran & Cox (1957), Experimental Designs, ch. 11.
    """
    if samples < 2 or len(blocks) == 0:
        raise DesignError("Blocks need at least two samples and one block.")
    incidence = np.zeros((len(blocks), samples), dtype=np.int64)
    for number, block in enumerate(blocks):
        inside = [int(sample) for sample in block]
        if not inside or min(inside) < 0 or max(inside) >= samples or len(set(inside)) < len(inside):
            raise DesignError(f"Block {number + 1} must hold different sample numbers from 0 to {samples - 1}.")
        incidence[number, inside] = 1
    concurrence = incidence.T @ incidence
    concurrence.flags.writeable = False
    replicates = tuple(sorted(set(np.diag(concurrence).tolist())))
    together = tuple(sorted(set(concurrence[np.triu_indices(samples, 1)].tolist())))
    sizes = set(incidence.sum(axis=1).tolist())
    balanced = len(replicates) == len(together) == len(sizes) == 1 and together[0] > 0
    factor = together[0] * samples / (replicates[0] * sizes.pop()) if balanced else None
    return BlockBalance(balanced, replicates, together, factor, concurrence)
