"""Single figures made of L*, a* and b*: browning and whiteness."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

BROWNING_VARIANT = "BI = 100·(x − 0.31)/0.17, x = (a* + 1.75 L*)/(5.645 L* + a* − 3.012 b*)"


def browning_index(lab: ArrayLike, divisor: float = 0.17) -> NDArray[np.floating]:
    """Browning index, shape (...) from (..., 3); not a number where the denominator isn't positive (no brown there).

    Parameters: divisor, 0.17 unless said; some papers print 0.172.
    Source: Buera, Lozano & Petriella 1986; Palou et al. 1999, J. Food Science 64:42–45.
    """
    lightness, a, b = np.moveaxis(np.asarray(lab, dtype=float), -1, 0)
    below = 5.645 * lightness + a - 3.012 * b
    x = (a + 1.75 * lightness) / np.where(below > 0, below, np.nan)
    return 100 * (x - 0.31) / divisor


def whiteness_index(lab: ArrayLike) -> NDArray[np.floating]:
    """Whiteness 100 − √((100 − L*)² + a*² + b*²), shape (...) from (..., 3).

    Source: food colour literature (the distance from a perfect white).
    """
    lightness, a, b = np.moveaxis(np.asarray(lab, dtype=float), -1, 0)
    return 100 - np.sqrt((100 - lightness) ** 2 + a**2 + b**2)
