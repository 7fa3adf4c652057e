"""d-prime: how far apart two things taste, in units of how much a taster wavers, whatever the test."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from .discrimination import chance_of, clopper_pearson
from .errors import PanelError

FARTHEST = 12.0
"""A d-prime beyond which every test is all but always right."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(40)


@dataclass(frozen=True)
class DPrime:
    """A difference in d-prime units.

    Attributes:
        dprime: 0 at or below chance, infinite when every answer is right.
        dprime_se: by the delta method; None when d-prime is 0 or infinite.
        low: d-prime at the lower end of the exact interval of the proportion correct.
        high: at its upper end; may be infinite.
        proportion_correct: correct / n.
        proportion_discriminators: (proportion - chance) / (1 - chance), not below 0.
        level: of the interval.
    """

    dprime: float
    dprime_se: float | None
    low: float
    high: float
    proportion_correct: float
    proportion_discriminators: float
    level: float


def proportion_correct(method: str, dprime: float) -> float:
    """Odds of a right answer when two things lie `dprime` apart (Thurstone, equal variances).

    The tetrad is the unspecified one; 2-afc and paired, 3-afc name the attribute.

    Args:
        method: "triangle", "duo-trio", "paired", "2-afc", "3-afc" or "tetrad".
        dprime: 0 or more.

    Raises:
        PanelError: unknown method, two-out-of-five (no agreed decision rule), or a negative d-prime.

    Source: Ennis, D. M. (1993), J. Sens. Stud. 8, 353-370; tetrad: Ennis, Ennis, Palen & O'Mahony (1998), Br. J.
    Math. Stat. Psychol. 51, 205-215. Gauss-Legendre quadrature, good to 1e-12.
    """
    _check(method, dprime)
    return float(_CURVES[method][0](dprime))


def slope(method: str, dprime: float) -> float:
    """Derivative of `proportion_correct` in d-prime; same arguments, errors and source."""
    _check(method, dprime)
    return float(_CURVES[method][1](dprime))


def dprime(method: str, correct: int, n: int, level: float = 0.95) -> DPrime:
    """d-prime from right answers, with its standard error and interval.

    Args:
        method: as for `proportion_correct`.
        correct: right answers, 0 to n.
        n: answers, 1 or more.
        level: of the interval, between 0 and 1.

    Raises:
        PanelError: an argument out of range, or two-out-of-five.

    Source: inverse of the psychometric function; se = sqrt(p(1-p)/n) / slope (delta method), Bi, Ennis & O'Mahony
    (1997), J. Sens. Stud. 12, 87-104; interval: Clopper & Pearson (1934) carried over by the curve.
    """
    _check(method, 0.0)
    low, high = clopper_pearson(correct, n, level)
    share, chance = correct / n, chance_of(method)
    distance = _inverse(method, share)
    known = 0 < distance < math.inf
    return DPrime(
        dprime=distance,
        dprime_se=math.sqrt(share * (1 - share) / n) / slope(method, distance) if known else None,
        low=_inverse(method, low),
        high=_inverse(method, high),
        proportion_correct=share,
        proportion_discriminators=max(0.0, (share - chance) / (1 - chance)),
        level=level,
    )


def _inverse(method: str, share: float) -> float:
    curve = _CURVES[method][0]
    if share <= chance_of(method):
        return 0.0
    if share >= curve(FARTHEST):
        return math.inf
    from scipy.optimize import brentq  # a quarter of a second to import, and few calls need it

    return float(brentq(lambda d: curve(d) - share, 0.0, FARTHEST, xtol=1e-13, rtol=1e-14))


def _check(method: str, dprime: float) -> None:
    chance_of(method)
    if method not in _CURVES:
        raise PanelError(f"There is no d-prime for {method}: how tasters decide in it is not agreed.")
    if not 0 <= dprime < math.inf:
        raise PanelError(f"d-prime must be 0 or more, not {dprime}.")


def _pdf(z: NDArray[np.float64] | float) -> NDArray[np.float64]:
    return np.exp(-0.5 * np.square(z)) / math.sqrt(2 * math.pi)


def _integral(f: Callable[[NDArray[np.float64]], NDArray[np.float64]], start: float, end: float) -> float:
    """Gauss-Legendre over pieces one unit wide: the integrands are smooth bells, so this is good to rounding."""
    edges = np.linspace(start, end, int(math.ceil(end - start)) + 1)
    half = np.diff(edges)[:, None] / 2
    z = (edges[:-1, None] + half) + half * _NODES
    return float((f(z) * _WEIGHTS * half).sum())


def _triangle(d: float) -> float:
    shift = d * math.sqrt(2 / 3)
    return 2 * _integral(lambda z: (ndtr(-z * math.sqrt(3) + shift) + ndtr(-z * math.sqrt(3) - shift)) * _pdf(z), 0.0, 9.0)


def _triangle_slope(d: float) -> float:
    factor = math.sqrt(2 / 3)
    shift = d * factor
    return 2 * factor * _integral(lambda z: (_pdf(-z * math.sqrt(3) + shift) - _pdf(-z * math.sqrt(3) - shift)) * _pdf(z), 0.0, 9.0)


def _duo_trio(d: float) -> float:
    a, b = ndtr(d / math.sqrt(2)), ndtr(d / math.sqrt(6))
    return 1 - a - b + 2 * a * b


def _duo_trio_slope(d: float) -> float:
    a, b = d / math.sqrt(2), d / math.sqrt(6)
    return float(_pdf(a) / math.sqrt(2) * (2 * ndtr(b) - 1) + _pdf(b) / math.sqrt(6) * (2 * ndtr(a) - 1))


def _two_afc(d: float) -> float:
    return float(ndtr(d / math.sqrt(2)))


def _two_afc_slope(d: float) -> float:
    return float(_pdf(d / math.sqrt(2)) / math.sqrt(2))


def _three_afc(d: float) -> float:
    return _integral(lambda z: _pdf(z - d) * ndtr(z) ** 2, d - 9.0, d + 9.0)


def _three_afc_slope(d: float) -> float:
    return _integral(lambda z: (z - d) * _pdf(z - d) * ndtr(z) ** 2, d - 9.0, d + 9.0)


def _tetrad(d: float) -> float:
    return 1 - 2 * _integral(lambda z: _pdf(z) * (2 * ndtr(z) * ndtr(z - d) - ndtr(z - d) ** 2), -9.0, 9.0)


def _tetrad_slope(d: float) -> float:
    return 4 * _integral(lambda z: _pdf(z) * _pdf(z - d) * (ndtr(z) - ndtr(z - d)), -9.0, 9.0)


_CURVES: dict[str, tuple[Callable[[float], float], Callable[[float], float]]] = {
    "triangle": (_triangle, _triangle_slope),
    "duo-trio": (_duo_trio, _duo_trio_slope),
    "paired": (_two_afc, _two_afc_slope),
    "2-afc": (_two_afc, _two_afc_slope),
    "3-afc": (_three_afc, _three_afc_slope),
    "tetrad": (_tetrad, _tetrad_slope),
}
