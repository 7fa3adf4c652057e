"""A weighted sum of versions' scores, such as one option less another, with exact odds on the mixture."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from .posterior import Posterior, mixture_quantile
from .space import Floats

AT_ONCE = 64

@dataclass(frozen=True, eq=False)
class Contrast:
    """A difference as a mixture of Gaussians: weights, means, sds of shape (g,)."""

    weights: Floats
    means: Floats
    sds: Floats

    @property
    def mean(self) -> float:
        """Expected difference in points."""
        return float(self.weights @ self.means)

    @property
    def sd(self) -> float:
        """Standard deviation in points."""
        second = self.weights @ (self.sds**2 + (self.means - self.mean) ** 2)
        return float(max(float(second), 0.0) ** 0.5)

    def odds_above(self, x: float) -> float:
        """Odds, 0 to 1, that the difference exceeds x points."""
        return float(self.weights @ ndtr((self.means - x) / self.sds))

    def interval(self, level: float = 0.95) -> tuple[float, float]:
        """Equal-tailed interval in points."""
        tail, both = (1 - level) / 2, (len(self.means), 2)
        low, high = mixture_quantile(
            np.array([tail, 1 - tail]), self.weights, np.broadcast_to(self.means[:, None], both), np.broadcast_to(self.sds[:, None], both)
        )
        return float(low), float(high)


def contrast(posterior: Posterior, weights: Floats) -> Contrast:
    """The difference Σ weights·score.

    Parameters: weights, shape (n,), one a version (see `VersionSpace.contrast`).
    """
    means, variances = posterior.contrast_by(weights)
    return Contrast(posterior.weights, means, np.sqrt(variances))


def contrasts(posterior: Posterior, weights: Floats) -> list[Contrast]:
    """Many differences at once, which is quicker than one at a time.

    Parameters: weights, shape (m, n), a row a difference.
    """
    out = []
    for part in np.split(np.asarray(weights, dtype=np.float64), range(AT_ONCE, len(weights), AT_ONCE)):
        means, variances = posterior.contrasts_by(part)
        out += [Contrast(posterior.weights, m, sd) for m, sd in zip(means.T, np.sqrt(variances).T, strict=True)]
    return out


def gaussian(mean: float, sd: float) -> Contrast:
    """A difference known as one Gaussian."""
    return Contrast(np.ones(1), np.array([float(mean)]), np.array([max(float(sd), 1e-12)]))
