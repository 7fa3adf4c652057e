"""The chance that a version fails (splits, burns, doesn't set), apart from how good it is when it doesn't."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv

from .space import Floats, VersionSpace

PRIOR_FAILED, PRIOR_WORKED = 0.25, 2.25   # about one trial in ten fails before anything is known, worth two and a half trials


@dataclass(frozen=True, eq=False)
class FailureOdds:
    """Chance of failure of each version with a 95 % interval, arrays of shape (n,)."""

    odds: Floats
    low: Floats
    high: Floats


def failure_odds(space: VersionSpace, version: ArrayLike, failed: ArrayLike) -> FailureOdds:
    """Chance of failure of every version.

    Parameters: version, failed, shape (t,), row of each trial and whether it failed.

    Rule: beta-binomial; a trial counts fully for its own version and by the square of the share of options it has in common,
    halved, for others.
    """
    v, f = np.asarray(version, dtype=np.int64).reshape(-1), np.asarray(failed, dtype=bool).reshape(-1)
    levels = space.levels
    share = (levels[:, None, :] == levels[None, v, :]).mean(2) if len(v) else np.zeros((space.size, 0))
    weight = np.where(share == 1, 1.0, 0.5 * share**2)
    a = PRIOR_FAILED + weight @ f.astype(float)
    b = PRIOR_WORKED + weight @ (~f).astype(float)
    return FailureOdds(a / (a + b), betaincinv(a, b, 0.025), betaincinv(a, b, 0.975))
