"""Colour differences: CIE76 and CIEDE2000."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

_TWENTY_FIVE_7 = 25.0**7


def delta_e_76(lab_1: ArrayLike, lab_2: ArrayLike) -> NDArray[np.floating]:
    """Euclidean distance in CIELAB, shape (...) from (..., 3).

    Source: CIE 15:2004, section 8.2.3.
    """
    return np.sqrt(((np.asarray(lab_1, dtype=float) - np.asarray(lab_2, dtype=float)) ** 2).sum(axis=-1))


def ciede2000_terms(lab_1: ArrayLike, lab_2: ArrayLike) -> tuple[NDArray[np.floating], NDArray[np.floating]]:
    """The weighted differences of lightness, chroma and hue (..., 3), signed from 1 to 2, and the rotation term (...).

    The difference squared is l² + c² + h² + R·c·h, with kL = kC = kH = 1.
    Source: Sharma, Wu & Dalal 2005, Color Research & Application 30(1):21–30, equations 2–22.
    """
    lab_1, lab_2 = np.asarray(lab_1, dtype=float), np.asarray(lab_2, dtype=float)
    l1, a1, b1 = np.moveaxis(lab_1, -1, 0)
    l2, a2, b2 = np.moveaxis(lab_2, -1, 0)
    mean_c7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    g = 0.5 * (1 - np.sqrt(mean_c7 / (mean_c7 + _TWENTY_FIVE_7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    grey = c1 * c2 == 0
    turn = h2 - h1
    # Opposite hues lie exactly 180° apart on paper (pairs 10 and 14), give or take the last bit in a computer; they
    # belong to the branch "not more than 180°".
    over = np.abs(turn) > 180 + 1e-9
    turn = np.where(grey, 0, np.where(over, turn - 360 * np.sign(turn), turn))
    total = h1 + h2
    mean_h = np.where(grey, total, np.where(over, np.where(total < 360, total + 360, total - 360), total) / 2)
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * np.cos(np.radians(mean_h - 30))
        + 0.24 * np.cos(np.radians(2 * mean_h))
        + 0.32 * np.cos(np.radians(3 * mean_h + 6))
        - 0.20 * np.cos(np.radians(4 * mean_h - 63))
    )
    offset = (mean_l - 50) ** 2
    s_l = 1 + 0.015 * offset / np.sqrt(20 + offset)
    s_c, s_h = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t
    mean_c7 = mean_c**7
    rotation = -2 * np.sqrt(mean_c7 / (mean_c7 + _TWENTY_FIVE_7)) * np.sin(np.radians(60 * np.exp(-(((mean_h - 275) / 25) ** 2))))
    hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    return np.stack([(l2 - l1) / s_l, (c2 - c1) / s_c, hue / s_h], axis=-1), rotation


def ciede2000(lab_1: ArrayLike, lab_2: ArrayLike) -> NDArray[np.floating]:
    """Colour difference ΔE00, shape (...) from (..., 3), with kL = kC = kH = 1.

    Source: CIE 142-2001; Sharma, Wu & Dalal 2005, table 1 for all 34 check pairs.
    """
    terms, rotation = ciede2000_terms(lab_1, lab_2)
    lightness, chroma, hue = np.moveaxis(terms, -1, 0)
    return np.sqrt(np.maximum(lightness**2 + chroma**2 + hue**2 + rotation * chroma * hue, 0))
