"""Whether tasters want opposite things: each one's own difference between two options."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from .observations import Scores
from .posterior import Posterior
from .space import Floats, Ints, VersionSpace

SURE = 0.9   # each side's odds from which palates are called opposite


@dataclass(frozen=True, eq=False)
class Palates:
    """Each taster's own difference, option less against, in points.

    Attributes:
        taster: shape (j,), those who scored both options.
        difference, low, high: shape (j,), drawn towards the common difference as far as tasters agree; 95 % interval.
        odds: shape (j,), that this taster truly prefers the option.
        opposite: whether one taster prefers it and another the other, each at 90 in 100 or more.
    """

    taster: Ints
    difference: Floats
    low: Floats
    high: Floats
    odds: Floats
    opposite: bool


def palates(space: VersionSpace, scores: Scores, posterior: Posterior, factor: int, option: int, against: int) -> Palates:
    """Each taster's own difference between two options of a factor.

    Method: mean of the taster's scores of either option; the spread between tasters by moments (DerSimonian & Laird 1986),
    then each taster's
        difference shrunk towards the common one.
    """
    level = space.levels[scores.version, factor]
    noise = {t.number: t.noise for t in posterior.tasters}
    who, raw, var = [], [], []
    for t in np.unique(scores.taster):
        mine = scores.taster == t
        a, b = scores.score[mine & (level == option)], scores.score[mine & (level == against)]
        if len(a) and len(b):
            who.append(int(t))
            raw.append(float(a.mean() - b.mean()))
            own = noise[int(t)] ** 2 + posterior.spreads["taster_version"][0] ** 2
            var.append(own * (1 / len(a) + 1 / len(b)))
    d, v = np.array(raw), np.array(var)
    if not len(d):
        return Palates(np.array(who, dtype=np.int64), d, d, d, d, False)
    w = 1 / v
    common = (w * d).sum() / w.sum()
    spare = w.sum() - (w**2).sum() / w.sum()
    between = max(((w * (d - common) ** 2).sum() - (len(d) - 1)) / spare, 0.0) if len(d) > 1 and spare > 0 else 0.0
    common_v = 1 / (1 / (v + between)).sum()
    share = between / (between + v)
    mean = share * d + (1 - share) * common
    sd = np.sqrt(share * v + (1 - share) ** 2 * common_v)
    odds = ndtr(mean / sd)
    half = ndtri(0.975) * sd
    return Palates(
        np.array(who, dtype=np.int64), mean, mean - half, mean + half, odds, bool((odds > SURE).any() and (odds < 1 - SURE).any())
    )
