"""What can't be told apart in the trials given: an option and the tray, load, lot or day it was tied to."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .space import Ints, VersionSpace

TIED = 0.8  # |correlation| with a steady drift beyond which a difference is mostly the day's; AABB has 0.89, ABAB 0.45, ABBA 0


@dataclass(frozen=True)
class Alias:
    """Options of a factor whose differences can't be told from something else ("tray", "load", "lot" or "day").

    Attributes:
        one: the only option that has a part in all of these differences, "" where there is none or each has.
    """

    factor: str
    options: tuple[str, ...]
    what: str
    one: str = ""


def aliases(
    space: VersionSpace, version: ArrayLike, load: ArrayLike | None = None, tray: ArrayLike | None = None,
    lot: ArrayLike | None = None, day: ArrayLike | None = None,
) -> tuple[Alias, ...]:
    """Every tie, one entry a factor and thing.

    Parameters: version, shape (t,), row of each trial; load, tray, lot, day, shape (t,), -1 unknown.

    Rule: a difference of two options is told from trays when it lies in the row space of options and trays together
    (estimable; Searle 1971, ch. 5);
    from loads and lots also when both options have two of their own; from days when it isn't mostly a steady drift (|r| < 0.8).
    """
    v = np.asarray(version, dtype=np.int64)
    things = {"tray": tray, "load": load, "lot": lot, "day": day}
    out = []
    for a, factor in enumerate(space.factors):
        levels = space.levels[v, a] if len(v) else np.zeros(0, dtype=np.int64)
        for what, given in things.items():
            if given is None or not len(v):
                continue
            pairs = _tied(levels, np.asarray(given, dtype=np.int64), what)
            if pairs:
                tied, in_all = sorted(set().union(*pairs)), set.intersection(*map(set, pairs))
                one = space.options[a][next(iter(in_all))] if len(in_all) == 1 else ""
                out.append(Alias(factor, tuple(space.options[a][o] for o in tied), what, one))
    return tuple(out)


def _tied(levels: Ints, given: Ints, what: str) -> list[tuple[int, int]]:
    known = (levels >= 0) & (given >= 0)
    levels, given = levels[known], given[known]
    options = np.unique(levels)
    if len(options) < 2:
        return []
    tied: list[tuple[int, int]] = []
    for i, o in enumerate(options):
        for p in options[i + 1 :]:
            if what == "day":
                lost = _drifts(levels, given, o, p)
            else:
                lost = not _estimable(levels, given, o, p)
                if lost and what in ("load", "lot"):
                    lost = min(len(np.unique(given[levels == x])) for x in (o, p)) < 2
            if lost:
                tied.append((int(o), int(p)))
    return tied


def _estimable(levels: Ints, given: Ints, o: int, p: int) -> bool:
    options, things = np.unique(levels), np.unique(given)
    x = np.concatenate([levels[:, None] == options, given[:, None] == things], axis=1).astype(float)
    wanted = np.zeros(x.shape[1])
    wanted[np.searchsorted(options, o)], wanted[np.searchsorted(options, p)] = 1.0, -1.0
    return bool(np.linalg.matrix_rank(np.vstack([x, wanted])) == np.linalg.matrix_rank(x))


def _drifts(levels: Ints, day: Ints, o: int, p: int) -> bool:
    of = (levels == o) | (levels == p)
    side, d = (levels[of] == o).astype(float), day[of].astype(float)
    if np.ptp(d) == 0:
        return False
    side, d = side - side.mean(), d - d.mean()
    return bool(abs(side @ d) >= TIED * np.sqrt((side @ side) * (d @ d)))
