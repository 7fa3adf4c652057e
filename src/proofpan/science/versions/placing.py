"""Which trial stands where in a load, so that options and trays can be told apart."""

from collections.abc import Sequence
from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np

from .observations import Scores
from .space import VersionSpace

if TYPE_CHECKING:
    from .choose import LoadPlan


def place(space: VersionSpace, scores: Scores, versions: Sequence[int], plan: "LoadPlan", load: int) -> list[int]:
    """The versions of one load in the order of its places: every option as evenly over the trays as earlier trials allow."""
    trays = [t for t, _ in plan.places]
    names = sorted(set(trays))
    if len(names) < 2 or len(versions) < 2:
        return list(versions)
    column = {t: i for i, t in enumerate(names)}
    start = _counts(space, scores, names)
    if len(versions) <= 6:
        orders: set[tuple[int, ...]] = set(permutations(versions))
    else:
        orders = _by_swaps(space, start, list(versions), [column[t] for t in trays])
    where = [column[t] for t in trays]
    return list(min(orders, key=lambda o: (round(_unevenness(space, start, list(o), where), 9), _turned(tuple(o), load))))


def _turned(order: tuple[int, ...], load: int) -> tuple[int, ...]:
    """Between equals, alternate loads run forwards and backwards so that nothing keeps its place."""
    return order if load % 2 == 0 else order[::-1]


def _counts(space: VersionSpace, scores: Scores, names: list[int]) -> list[np.ndarray]:
    """Per factor, trials so far by option and tray."""
    out = [np.zeros((len(o), len(names))) for o in space.options]
    if len(scores):
        _, first = np.unique(scores.trial, return_index=True)
        for i in first:
            if scores.tray[i] in names:
                for a, table in enumerate(out):
                    lv = space.levels[scores.version[i], a]
                    if lv >= 0:
                        table[lv, names.index(scores.tray[i])] += 1
    return out


def _unevenness(space: VersionSpace, start: list[np.ndarray], order: Sequence[int], where: list[int]) -> float:
    total = 0.0
    for a, table in enumerate(start):
        t = table.copy()
        for v, w in zip(order, where, strict=True):
            lv = space.levels[v, a]
            if lv >= 0:
                t[lv, w] += 1
        total += float(((t - t.mean(1, keepdims=True)) ** 2).sum())
    return total


def _by_swaps(space: VersionSpace, start: list[np.ndarray], order: list[int], where: list[int]) -> set[tuple[int, ...]]:
    """For large loads: the best order that swapping two at a time finds."""
    best = _unevenness(space, start, order, where)
    better = True
    while better:
        better = False
        for i in range(len(order)):
            for j in range(i + 1, len(order)):
                if where[i] == where[j]:
                    continue
                order[i], order[j] = order[j], order[i]
                now = _unevenness(space, start, order, where)
                if now < best - 1e-9:
                    best, better = now, True
                else:
                    order[i], order[j] = order[j], order[i]
    return {tuple(order)}
