"""Links of the cumulative model: a distribution function F with its density and the density's slopes.

`logit` is the logistic distribution, `probit` the standard normal, `cloglog` F(x) = 1 − exp(−eˣ).
"""

from __future__ import annotations

import math

import numpy as np
from scipy.special import expit, ndtr

from proofpan.science.mixed.model import Array, MixedError

LINKS = ("logit", "probit", "cloglog")
LARGEST = 700.0


def check_link(link: str) -> None:
    """Raise MixedError when there is no such link."""
    if link not in LINKS:
        raise MixedError(f"link is {link!r}; it is one of {', '.join(LINKS)}")


def between(link: str, low: Array, high: Array) -> Array:
    """F(high) − F(low), taken in the tail in which neither is close to 1; ±infinity are allowed."""
    if link == "cloglog":
        return np.exp(-np.exp(np.minimum(low, LARGEST))) - np.exp(-np.exp(np.minimum(high, LARGEST)))
    F = expit if link == "logit" else ndtr
    upper = low > 0
    return np.where(upper, F(-low) - F(-high), F(high) - F(low))


def density(link: str, x: Array) -> tuple[Array, Array]:
    """Density f and f′ at x, 0 at ±infinity."""
    finite = np.isfinite(x)
    z = np.where(finite, x, 0.0)
    if link == "logit":
        F = expit(z)
        f = F * expit(-z)
        slope = f * (1.0 - 2.0 * F)
    elif link == "probit":
        f = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
        slope = -z * f
    else:
        e = np.exp(np.minimum(z, LARGEST))
        f = e * np.exp(-e)
        slope = f * (1.0 - e)
    return np.where(finite, f, 0.0), np.where(finite, slope, 0.0)
