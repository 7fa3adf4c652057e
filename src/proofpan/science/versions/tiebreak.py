"""Two plates and one colleague: what a single forced choice moves."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from .posterior import Posterior
from .space import VersionsError


@dataclass(frozen=True)
class TieBreak:
    """Odds that the first version is the better: now, once the colleague picks it, once the other is picked; odds of a pick."""

    now: float
    after: float
    after_other: float
    picks_first: float


def tie_break_odds(posterior: Posterior, first: int, second: int, *, passes: int = 1) -> TieBreak:
    """What one colleague's forced choice between two versions would move.

    Parameters: first, second, rows of the version space; passes, how often the colleague tastes both.

    Method: the colleague prefers by the true difference plus their own liking, the two batches and the noise of tasting, all
    with the panel's own
        spreads. With nothing known of the difference they pick rightly with odds ½ + asin(ρ)/π (Sheppard 1899), ρ the
        correlation of what they
        taste with the truth.
    Raises: VersionsError when both are the same version.
    """
    if first == second:
        raise VersionsError("A tie-break needs two different versions.")
    w = np.zeros(posterior.space.size)
    w[first], w[second] = 1.0, -1.0
    m, v = posterior.contrast_by(w)
    part = posterior.settings
    own = 2 * (part["taster_version"] ** 2 + part["trial"] ** 2 + part["noise"] ** 2 / passes)
    weights = posterior.weights
    now = float(weights @ ndtr(m / np.sqrt(v)))
    picks = float(weights @ ndtr(m / np.sqrt(v + own)))
    both = float(weights @ _half_line(m, v, own))
    return TieBreak(now, both / picks, (now - both) / (1 - picks), picks)


def _half_line(m: np.ndarray, v: np.ndarray, own: np.ndarray) -> np.ndarray:
    """P(d > 0 and picked) for each setting, by Gauss–Legendre on the half line."""
    x, wx = np.polynomial.legendre.leggauss(120)
    s = np.sqrt(v)
    low = np.maximum(-m / s, -8.5)
    high = np.maximum(8.5, low + 1.0)
    z = low[:, None] + (x[None, :] + 1) / 2 * (high - low)[:, None]
    density = np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi) * wx * (high - low)[:, None] / 2
    return (density * ndtr((m[:, None] + s[:, None] * z) / np.sqrt(own)[:, None])).sum(1)
