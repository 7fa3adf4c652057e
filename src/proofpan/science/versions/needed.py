"""About how many more trials would settle a difference."""

import numpy as np
from scipy.special import ndtr, ndtri

from .contrast import Contrast
from .outcome import OPEN, outcome
from .posterior import Posterior
from .space import Floats

SETTLES = 0.8   # the number given settles it in about this share of studies that look like this one
HOPE = 0.2      # below this share within twice the budget no number is given
MOST = 1000


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
        what no trial can tell: these tasters' own liking of each version. The estimate then moves by what is still unknown of it.
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
    share = lambda k: _share(posterior.weights, means, variances, floor, each, k, asks, worth, price, level)  # noqa: E731
    if share(2 * budget) < HOPE:
        return None
    high = 1
    while share(high) < SETTLES:
        high *= 2
        if high > MOST:
            return None
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if share(middle) >= SETTLES else (middle, high)
    return high


def _share(
    weights: Floats, means: Floats, variances: Floats, floor: Floats, each: Floats, k: int, asks: str, worth: float, price: float,
    level: float,
) -> float:
    """Share of futures with k more trials in which the difference is settled."""
    after = floor + 1 / (1 / (variances - floor) + k * each)
    moves = np.sqrt(np.maximum(variances - after, 0))
    z = ndtri((np.arange(40) + 0.5) / 40)
    m = means[:, None] + moves[:, None] * z[None, :]
    s = np.sqrt(after)[:, None]
    return float(weights @ _settled(m, s, asks, worth, price, level).mean(1))


def _settled(m: Floats, s: Floats, asks: str, worth: float, price: float, level: float) -> Floats:
    if asks == "best":
        two = ndtri(0.5 + level / 2)
        clear = np.abs(m) > two * s
        near = np.abs(m) < worth   # only there can the difference be too small to matter
        spread = np.broadcast_to(s, m.shape)[near]
        same = np.zeros_like(clear)
        same[near] = ndtr((worth - m[near]) / spread) - ndtr((-worth - m[near]) / spread) >= level
        return clear | same
    mark = price if asks == "worth it" else -worth
    return np.abs(m - mark) >= ndtri(level) * s
