"""Versions that failed when last made: whether another make of one can be worth a place in a round."""

import numpy as np
from scipy.special import ndtr

from .posterior import Posterior
from .space import Floats

WORTH_A_MAKE = 0.05      # share of `worth` that making a failed version again must be able to earn (common practice, no source)


def favourite_failed(net: Floats, could_be: np.ndarray, comes_out: Floats | None) -> bool:
    """Whether the likeliest of those that may be cooked and published failed when last made: it is made again before anything is learnt of others."""
    return comes_out is not None and bool(np.isfinite(comes_out[int(np.argmax(np.where(could_be, net, -np.inf)))]))


def not_worth_a_make(posterior: Posterior, net: Floats, could_be: np.ndarray, comes_out: Floats | None, worth: float) -> np.ndarray:
    """Which versions that failed when last made aren't cooked again: even a make that told everything of them would earn too little."""
    out = np.zeros(len(net), dtype=bool)
    open_ = could_be if comes_out is None else could_be & np.isnan(comes_out)
    if comes_out is None or not open_.any():
        return out
    best = int(np.argmax(np.where(open_, net, -np.inf)))
    for v in np.flatnonzero(np.isfinite(comes_out)):
        weights = np.zeros(len(net))
        weights[v], weights[best] = 1.0, -1.0
        means, variances = posterior.contrast_by(weights)
        ahead, sd = means + (net - posterior.mean)[v] - (net - posterior.mean)[best], np.sqrt(np.maximum(variances, 1e-12))
        z = ahead / sd
        density = np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi)
        earns = float(posterior.weights @ (sd * (density + z * ndtr(z)))) * comes_out[v]
        out[v] = could_be[v] and earns < WORTH_A_MAKE * worth
    return out
