"""About how many more trials would settle a difference."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from .contrast import Contrast
from .outcome import OPEN, outcome
from .posterior import Posterior
from .space import Floats

SETTLES = 0.8   # the number given settles it in about this share of studies that look like this one
SETTLES_AT_LEAST = 0.7   # or in this, where no number reaches the first: close to the bar some never settle, however much is cooked
HOPE = 0.2      # below this share within twice the budget no number is given
MOST = 1000
BY_SPREAD, BY_MEAN, FUTURES = 5, 6, 16   # groups of settings by what they leave unknown, then by what they say


def needed(
    posterior: Posterior, weights: Floats, asks: str, worth: float, price: float, trials_so_far: int, *,
    budget: int | None = None, level: float = 0.95,
) -> int | None:
    """More trials after which about 70 in 100 studies that look like this one are settled; None = more than you'd cook.

    Parameters:
        posterior, weights: the difference asked about (`contrast`).
        asks, worth, price, level: as for `outcome`.
        trials_so_far: trials that the posterior rests on.
        budget: trials meant in all (default: those so far, at least 12); None is returned when fewer than 20 in 100 settle
        within twice of it.

    Method: each trial adds the information that trials so far added on average (so halving an interval takes about four times
    the data), down to
        what no trial can tell: these tasters' own liking of each version. What the trials then say moves the estimate, and the odds of the
        settings too: a step that is either idle or worth a point is settled when one of the two has become likely, not sooner.
    """
    means, variances = posterior.contrast_by(weights)
    liking = posterior.settings["taster_version"] ** 2 / posterior.palates
    floor = np.minimum(liking * float((np.asarray(weights) ** 2).sum()), 0.9 * variances)
    start = np.maximum(posterior.contrast_prior(weights), 1.0001 * variances)
    budget = budget or max(trials_so_far, 12)
    if trials_so_far:
        each = np.maximum((1 / (variances - floor) - 1 / (start - floor)) / trials_so_far, 1e-4)
    else:
        each = 1 / (4 * posterior.trial_variance())
    now = Contrast(posterior.weights, means, np.sqrt(variances))
    if outcome(asks, now, worth, price, level) != OPEN:
        return 0
    few = _few(posterior.weights, means, variances, floor, each)
    share = lambda k: share_settled(few, k, asks, worth, price, level)  # noqa: E731
    if share(2 * budget) < HOPE:
        return None
    return first_number(share, SETTLES, 2 * budget) or first_number(share, SETTLES_AT_LEAST, 2 * budget)


def first_number(share: Callable[[int], float], wanted: float, start: int) -> int | None:
    """The least number of trials, to a twentieth, that settles a share of futures; None beyond MOST."""
    low, high = 0, start
    while share(high) < wanted:
        low, high = high, 2 * high
        if high > 2 * MOST:
            return None
    while high - low > max(1, high // 20):
        middle = (low + high) // 2
        low, high = (low, middle) if share(middle) >= wanted else (middle, high)
    return high if high <= MOST else None


@dataclass(frozen=True, eq=False)
class Few:
    """Settings that stand for all: their odds, what each says of the difference, what no trial can tell, what a trial adds; shape (g,)."""

    odds: Floats
    means: Floats
    variances: Floats
    floor: Floats
    each: Floats


def _few(weights: Floats, means: Floats, variances: Floats, floor: Floats, each: Floats) -> Few:
    """Groups of alike settings, each by its averages, with all the weight of its members."""
    group = np.zeros(len(weights), dtype=np.int64)
    for by, parts in ((variances, BY_SPREAD), (means, BY_MEAN)):
        order = np.lexsort((by, group))
        before = np.cumsum(weights[order]) - weights[order] / 2
        mass = np.bincount(group, weights)
        within = (before - (np.cumsum(mass) - mass)[group[order]]) / np.maximum(mass[group[order]], 1e-300)
        finer = np.empty_like(group)
        finer[order] = group[order] * parts + np.clip((within * parts).astype(np.int64), 0, parts - 1)
        group = np.unique(finer, return_inverse=True)[1].reshape(-1)
    odds = np.asarray(np.bincount(group, weights), dtype=np.float64)
    average = lambda x: np.bincount(group, weights * x) / odds  # noqa: E731
    return Few(odds, average(means), average(variances), average(floor), average(each))


def share_settled(few: Few, k: int, asks: str, worth: float, price: float, level: float) -> float:
    """Share of futures with k more trials in which the difference is settled."""
    unknown = few.variances - few.floor
    noise = 1 / (k * few.each)
    spread = np.sqrt(unknown + noise)
    z = ndtri((np.arange(FUTURES) + 0.5) / FUTURES)
    told = (few.means[:, None] + spread[:, None] * z[None, :]).reshape(-1, 1)   # what k trials say, under each setting in turn
    far = (told - few.means) / spread
    log_odds = np.log(few.odds) - 0.5 * far**2 - np.log(spread)
    odds = np.exp(log_odds - log_odds.max(1, keepdims=True))
    odds /= odds.sum(1, keepdims=True)
    means = few.means + unknown / (unknown + noise) * (told - few.means)
    sds = np.sqrt(few.floor + 1 / (1 / unknown + 1 / noise))
    above = lambda mark: (odds * ndtr((means - mark) / sds)).sum(1)  # noqa: E731
    if asks == "best":
        tail = (1 - level) / 2
        settled = (above(-worth) - above(worth) >= level) | (np.abs(above(0.0) - 0.5) > 0.5 - tail)
    else:
        settled = np.abs(above(price if asks == "worth it" else -worth) - 0.5) >= level - 0.5
    return float(np.repeat(few.odds, FUTURES) @ settled / FUTURES)
