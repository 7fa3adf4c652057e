"""What a design can't tell apart, in words for the cook."""

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import DesignError
from .factorial import FractionalFactorial, Word


def aliasing_in_words(design: FractionalFactorial, names: Sequence[str]) -> tuple[str, ...]:
    """Sentences on which effects a fraction mixes up, main effects first, up to pairs.

    Args:
        design: from `fractional_factorial` or `minimum_aberration`.
        names: of its factors, in order.

    Raises:
        DesignError: as many names as factors are needed.
    """
    if len(names) != design.factors:
        raise DesignError(f"{design.factors} factors need {design.factors} names, not {len(names)}.")
    singles = [Word(1 << factor) for factor in range(design.factors)]
    sentences = []
    for effect in singles:
        others = design.aliases_of(effect, 2)
        if others:
            alike = _listed([_named(other, names) for other in others])
            sentences.append(f"{_named(effect, names)} can't be told from {alike}.")
    if not sentences and design.words:
        sentences.append("What each factor does by itself can be told from every pair of factors.")
    said: set[int] = set()
    for pair in combinations(range(design.factors), 2):
        effect = Word(sum(1 << f for f in pair))
        pairs = [other for other in design.aliases_of(effect, 2) if other.order == 2]
        if effect.mask in said or not pairs:
            continue
        said |= {effect.mask, *(other.mask for other in pairs)}
        group = _listed([_named(other, names) for other in (effect, *pairs)])
        sentences.append(f"These pairs can't be told apart: {group}.")
    if not any(word.order <= 4 for word in design.words):
        sentences.append("No pair of factors is mixed up with another pair.")
    return tuple(sentences)


def untold(table: ArrayLike, names: Sequence[str]) -> tuple[str, ...]:
    """Sentences on main effects that a list of trials, of any kind, can't tell apart.

    Args:
        table: shape (trials, factors), level numbers; a factor may be a load or a day.
        names: of the factors, in order.

    Returns:
        One sentence a factor whose options change only together with others (or not at all).

    Raises:
        DesignError: not a table with a name a column.
    """
    levels = np.asarray(table)
    if levels.ndim != 2 or not levels.size or levels.shape[1] != len(names):
        raise DesignError("Trials must be a table with one row a trial and one named column a factor.")
    columns = [_dummies(levels[:, factor]) for factor in range(levels.shape[1])]
    sentences = []
    for factor, own in enumerate(columns):
        if own.shape[1] == 0:
            sentences.append(f"{names[factor]} is the same in every trial, so nothing is learnt about it.")
            continue
        others = [f for f in range(len(columns)) if f != factor and columns[f].shape[1]]
        mixed = _fewest_that_hold(own, others, columns)
        if mixed:
            sentences.append(f"{names[factor]} can't be told from {_listed([names[f] for f in mixed])}.")
    return tuple(sentences)


def _fewest_that_hold(own: NDArray[np.float64], others: Sequence[int], columns: Sequence[NDArray[np.float64]]) -> tuple[int, ...]:
    """The fewest other factors that share some contrast with this one; empty when it stands clear of all."""
    for count in range(1, min(3, len(others)) + 1):
        for chosen in combinations(others, count):
            if _shares(own, np.column_stack([columns[f] for f in chosen])):
                return chosen
    if others and _shares(own, np.column_stack([columns[f] for f in others])):
        return tuple(others)
    return ()


def _shares(own: NDArray[np.float64], rest: NDArray[np.float64]) -> bool:
    both = np.column_stack([own, rest])
    rank = np.linalg.matrix_rank
    return int(rank(both)) < int(rank(own)) + int(rank(rest))


def _dummies(levels: NDArray) -> NDArray[np.float64]:
    """Centred indicator columns of all levels but the first."""
    indicators = (levels[:, None] == np.unique(levels)[None, 1:]).astype(float)
    return indicators - indicators.mean(axis=0)


def _named(word: Word, names: Sequence[str]) -> str:
    return " × ".join(names[factor] for factor in word.factors)


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]
