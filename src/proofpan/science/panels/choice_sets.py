"""Sets of plates for forced choices: every order equally often, so that no place is right more than another."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from .errors import PanelError


@dataclass(frozen=True)
class ChoiceSet:
    """The plates of one answer.

    Attributes:
        plates: which of the two things lies on each plate, in the order served: 0 or 1.
        answer: places (from 0) that are the right answer. For a pair: where thing 1 stands. For a duo-trio the first
            plate is the reference and the answer is the plate like it. For a tetrad: the plates like the first one.
    """

    plates: tuple[int, ...]
    answer: tuple[int, ...]

    @property
    def letters(self) -> str:
        """The plates as A and B: "ABA"."""
        return "".join("AB"[plate] for plate in self.plates)


def _odd_ones(size: int, odd: int, things: Sequence[int]) -> tuple[ChoiceSet, ...]:
    """Every set of `size` plates with `odd` of one thing and the rest of the other; `things` may be the odd one."""
    sets = []
    for thing in things:
        for places in combinations(range(size), odd):
            sets.append(ChoiceSet(tuple(thing if p in places else 1 - thing for p in range(size)), places))
    return tuple(sets)


SETS: dict[str, tuple[ChoiceSet, ...]] = {
    "triangle": _odd_ones(3, 1, (0, 1)),
    "3-afc": _odd_ones(3, 1, (1,)),
    "paired": _odd_ones(2, 1, (1,)),
    "2-afc": _odd_ones(2, 1, (1,)),
    "two-out-of-five": _odd_ones(5, 2, (0, 1)),
    "duo-trio": tuple(ChoiceSet((ref, *pair), (1 + pair.index(ref),)) for ref in (0, 1) for pair in ((0, 1), (1, 0))),
    "tetrad": tuple(
        ChoiceSet(plates, tuple(p for p in range(1, 4) if plates[p] == plates[0]))
        for plates in sorted({tuple(int(p in ones) for p in range(4)) for ones in combinations(range(4), 2)})
    ),
}
"""Every set of plates of a method. Sources: ISO 4120 (triangle: 6), 10399 (duo-trio: 4), 6658 (2 of 5: 20)."""


def choice_sets(method: str, n: int, *, seed: int) -> tuple[ChoiceSet, ...]:
    """Sets of plates for n answers: each possible set equally often, or once more, in random order.

    Args:
        method: "triangle", "duo-trio", "paired", "2-afc", "3-afc", "tetrad" or "two-out-of-five".
        n: answers, 0 or more.
        seed: same seed, same sets.

    Raises:
        PanelError: unknown method, or n negative.

    Source: ISO 4120:2021, ISO 10399:2017, ISO 5495:2005, ISO 6658:2017 (all orders equally often); from memory.
    """
    if method not in SETS:
        raise PanelError(f'There is no difference test "{method}"; there are {", ".join(SETS)}.')
    if n < 0:
        raise PanelError(f"{n} sets of plates were asked for; ask for none or more.")
    rng = np.random.default_rng(seed)
    sets = SETS[method]
    whole, left = divmod(n, len(sets))
    picked = list(range(len(sets))) * whole + rng.permutation(len(sets))[:left].tolist()
    return tuple(sets[index] for index in rng.permutation(np.array(picked, dtype=int)))


def triangle_orders(n: int, *, seed: int) -> tuple[ChoiceSet, ...]:
    """Triangles for n answers (AAB ABA BAA BBA BAB ABB); see `choice_sets`."""
    return choice_sets("triangle", n, seed=seed)


def pair_orders(n: int, *, seed: int) -> tuple[ChoiceSet, ...]:
    """Pairs for n answers (AB, BA); see `choice_sets`."""
    return choice_sets("paired", n, seed=seed)
