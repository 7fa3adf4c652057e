"""Full and fractional two-level factorials: generators, defining words, resolution and what can't be told apart."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from .errors import DesignError

LETTERS = "ABCDEFGHJKLMNOPQRSTUVWXYZ"
"""Names of factors; I is left out, since it stands for the mean (Box, Hunter & Hunter 2005)."""


@dataclass(frozen=True, eq=False)
class FullFactorial:
    """Every combination.

    Attributes:
        table: shape (runs, factors), level numbers from 0, last factor fastest, read-only.
        coded: the same with each factor's levels spread evenly from -1 to 1.
    """

    table: NDArray[np.int64]
    coded: NDArray[np.float64]

    @property
    def runs(self) -> int:
        """How many."""
        return len(self.table)


@dataclass(frozen=True)
class Word:
    """A product of factors: `mask` has a bit a factor, `sign` is what the product's column is worth beside another."""

    mask: int
    sign: int = 1

    def __mul__(self, other: "Word") -> "Word":
        """Product modulo 2: a factor times itself is 1."""
        return Word(self.mask ^ other.mask, self.sign * other.sign)

    @property
    def order(self) -> int:
        """How many factors it holds."""
        return self.mask.bit_count()

    @property
    def letters(self) -> str:
        """In letter order, a minus in front when the sign is -1."""
        return ("-" if self.sign < 0 else "") + "".join(LETTERS[f] for f in self.factors)

    @property
    def factors(self) -> tuple[int, ...]:
        """Factor numbers from 0."""
        return tuple(f for f in range(self.mask.bit_length()) if self.mask >> f & 1)


@dataclass(frozen=True, eq=False)
class FractionalFactorial:
    """A regular two-level fraction.

    Attributes:
        design: shape (runs, factors), -1 and 1, read-only.
        generators: as given, such as "D=ABC".
        words: every product of factors whose column is constant, shortest first.
    """

    design: NDArray[np.int64]
    generators: tuple[str, ...]
    words: tuple[Word, ...]

    @property
    def runs(self) -> int:
        """How many."""
        return len(self.design)

    @property
    def factors(self) -> int:
        """How many."""
        return self.design.shape[1]

    @property
    def resolution(self) -> int | None:
        """Length of the shortest defining word; None for a full factorial, which has none."""
        return min((word.order for word in self.words), default=None)

    @property
    def defining_words(self) -> tuple[str, ...]:
        """The words in letters, shortest first, then by letter; "-ABCD" when the product is -1."""
        return tuple(word.letters for word in self.words)

    @property
    def word_length_pattern(self) -> tuple[int, ...]:
        """Count of words of length 1, 2, … factors."""
        lengths = [word.order for word in self.words]
        return tuple(lengths.count(length) for length in range(1, self.factors + 1))

    def aliases(self, of_order: int = 2, up_to_order: int = 2) -> dict[str, tuple[str, ...]]:
        """Each effect of up to `of_order` factors with the effects of up to `up_to_order` it can't be told from.

        Raises:
            DesignError: an order below 1.
        """
        if of_order < 1 or up_to_order < 1:
            raise DesignError("Effects have an order of 1 (main effects) or more.")
        return {
            effect.letters: tuple(other.letters for other in self.aliases_of(effect, up_to_order))
            for effect in _effects(self.factors, of_order)
        }

    def aliases_of(self, effect: Word, up_to_order: int) -> tuple[Word, ...]:
        """The effects of up to `up_to_order` factors that one effect can't be told from, lowest order first."""
        others = (effect * word for word in self.words)
        return tuple(sorted((o for o in others if 0 < o.order <= up_to_order), key=_by_length))


def full_factorial(levels: Sequence[int]) -> FullFactorial:
    """Every combination of the factors' levels.

    Args:
        levels: levels of each factor, 1 or more.

    Raises:
        DesignError: no factor, a factor without a level, or more than a million runs.
    """
    if not levels or any(count < 1 or count != int(count) for count in levels):
        raise DesignError("A full factorial needs at least one factor, each with one level or more.")
    if np.prod(np.array(levels, dtype=float)) > 1e6:
        raise DesignError("That full factorial has more than a million runs; take fewer factors or a fraction.")
    table = np.array(list(product(*(range(int(count)) for count in levels))), dtype=np.int64)
    spread = np.array([max(1, count - 1) for count in levels])
    coded = np.where(np.array(levels) > 1, 2 * table / spread - 1, 0.0)
    table.flags.writeable = coded.flags.writeable = False
    return FullFactorial(table, coded)


def fractional_factorial(factors: int, generators: Sequence[str]) -> FractionalFactorial:
    """A regular fraction: the factors without a generator run through every combination, the others follow.

    Args:
        factors: named A, B, C … (without I), up to 25.
        generators: such as "E=ABC" or "E=-ABC", which sets column E to minus the product.

    Raises:
        DesignError: a generator that can't be read, names a factor that isn't there, a factor twice, or in a circle.

    Source: Box, Hunter & Hunter (2005), Statistics for Experimenters, ch. 6; NIST/SEMATECH e-Handbook 5.3.3.4.
    """
    if not 1 <= factors <= len(LETTERS):
        raise DesignError(f"Factors are named A to Z without I, so there can be 1 to {len(LETTERS)}, not {factors}.")
    rules = [_read(generator, factors) for generator in generators]
    made = [factor for factor, _ in rules]
    if len(set(made)) < len(made):
        raise DesignError("Two generators set the same factor; each factor follows from one at most.")
    base = [f for f in range(factors) if f not in made]
    if len(base) > 16:
        raise DesignError("That design has more than 65,536 runs; add generators.")
    columns: dict[int, NDArray[np.int64]] = {}
    runs = 2 ** len(base)
    for step, factor in enumerate(base):  # the first factor changes fastest, as such tables are printed
        columns[factor] = np.where(np.arange(runs) >> step & 1, 1, -1).astype(np.int64)
    waiting = list(rules)
    while waiting:
        ready = [(f, word) for f, word in waiting if all(g in columns for g in word.factors)]
        if not ready:
            raise DesignError(f"The generators go in a circle: {', '.join(generators)}.")
        for factor, word in ready:
            columns[factor] = word.sign * np.prod([columns[g] for g in word.factors], axis=0)
        waiting = [rule for rule in waiting if rule not in ready]
    design = np.column_stack([columns[f] for f in range(factors)])
    design.flags.writeable = False
    words = [Word(1 << factor) * word for factor, word in rules]
    return FractionalFactorial(design, tuple(generators), tuple(sorted(_products(words), key=_by_length)))


def _products(words: Iterable[Word]) -> list[Word]:
    """Every product of one or more of the words."""
    group = [Word(0)]
    for word in words:
        group += [word * other for other in group]
    return group[1:]


def _effects(factors: int, of_order: int) -> list[Word]:
    return [Word(sum(1 << f for f in chosen)) for order in range(1, of_order + 1) for chosen in combinations(range(factors), order)]


def _by_length(word: Word) -> tuple[int, tuple[int, ...]]:
    return word.order, word.factors


def _read(generator: str, factors: int) -> tuple[int, Word]:
    """The factor a generator sets, and the word it sets it to."""
    left, equals, right = generator.replace(" ", "").upper().partition("=")
    sign = -1 if right.startswith("-") else 1
    right = right.lstrip("+-") if right[:1] in "+-" else right
    names = LETTERS[:factors]
    if not equals or len(left) != 1 or not right or set(left + right) - set(names) or left in right:
        raise DesignError(f'"{generator}" is not a generator; write it like "D=ABC" or "D=-ABC" with {names}.')
    if len(set(right)) < len(right):
        raise DesignError(f'"{generator}" names a factor twice.')
    return names.index(left), Word(sum(1 << names.index(letter) for letter in right), sign)
