"""sRGB, CIE XYZ and CIELAB for D65 and the 2° observer."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.floating]

# XYZ with Y = 1 at white. The white is the rounded one of IEC 61966-2-1 practice, 2° observer.
WHITE_D65 = np.array([0.95047, 1.0, 1.08883])
WHITE_D50 = np.array([0.96422, 1.0, 0.82521])
# IEC 61966-2-1 with seven figures, as derived from the BT.709 primaries and D65.
RGB_TO_XYZ = np.array([[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]])
XYZ_TO_RGB = np.linalg.inv(RGB_TO_XYZ)
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_EPSILON, _KAPPA = 216 / 24389, 24389 / 27


def linear_from_srgb(srgb: ArrayLike) -> Floats:
    """Linear light (0–1) from sRGB values (0–1), shape kept.

    Source: IEC 61966-2-1:1999, transfer function.
    """
    v = np.asarray(srgb, dtype=float)
    return np.where(v <= 0.04045, v / 12.92, ((np.maximum(v, 0.04045) + 0.055) / 1.055) ** 2.4)


# a photograph has 256 values a channel: a table is exact and quick
LINEAR_OF_8BIT = linear_from_srgb(np.arange(256) / 255).astype(np.float32)
LINEAR_OF_8BIT.setflags(write=False)


def srgb_from_linear(linear: ArrayLike) -> Floats:
    """SRGB values (0–1, not clipped) from linear light, shape kept.

    Source: IEC 61966-2-1:1999, transfer function.
    """
    v = np.asarray(linear, dtype=float)
    return np.where(v <= 0.0031308, v * 12.92, 1.055 * np.maximum(v, 0.0031308) ** (1 / 2.4) - 0.055)


def xyz_from_linear(linear: ArrayLike) -> Floats:
    """XYZ (Y = 1 at white) from linear sRGB, shape (..., 3)."""
    rgb = np.asarray(linear)
    return rgb @ RGB_TO_XYZ.T.astype(rgb.dtype if rgb.dtype.kind == "f" else float)


def linear_from_xyz(xyz: ArrayLike) -> Floats:
    """Linear sRGB from XYZ (Y = 1 at white), shape (..., 3); values outside 0–1 lie outside the gamut."""
    return np.asarray(xyz) @ XYZ_TO_RGB.T


def lab_from_xyz(xyz: ArrayLike, white: ArrayLike = WHITE_D65) -> Floats:
    """CIELAB from XYZ, shape (..., 3), both on the same scale of Y.

    Source: CIE 15:2004, section 8.2.1, with the exact fractions 216/24389 and 24389/27.
    """
    xyz = np.asarray(xyz)
    ratio = xyz / np.asarray(white, dtype=xyz.dtype if xyz.dtype.kind == "f" else float)
    f = np.where(ratio > _EPSILON, np.cbrt(np.maximum(ratio, 0)), (_KAPPA * ratio + 16) / 116)
    return np.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1)


def xyz_from_lab(lab: ArrayLike, white: ArrayLike = WHITE_D65) -> Floats:
    """XYZ (Y = 1 at white) from CIELAB, shape (..., 3).

    Source: CIE 15:2004, annex D (reverse transformation).
    """
    lab = np.asarray(lab, dtype=float)
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], axis=-1)
    cube = f**3
    return np.where(cube > _EPSILON, cube, (116 * f - 16) / _KAPPA) * np.asarray(white)


def lab_from_linear(linear: ArrayLike) -> Floats:
    """CIELAB (D65, 2°) from linear sRGB, shape (..., 3)."""
    return lab_from_xyz(xyz_from_linear(linear))


def srgb_to_lab(srgb_8bit: ArrayLike) -> Floats:
    """CIELAB (D65, 2°) from 8-bit sRGB values 0–255 (fractions allowed), shape (..., 3)."""
    return lab_from_linear(linear_from_srgb(np.asarray(srgb_8bit, dtype=float) / 255))


def lab_to_srgb(lab: ArrayLike) -> Floats:
    """SRGB values on 0–255, unrounded and unclipped, from CIELAB (D65, 2°), shape (..., 3)."""
    return srgb_from_linear(linear_from_xyz(xyz_from_lab(lab))) * 255


def lab_to_srgb_8bit(lab: ArrayLike) -> NDArray[np.uint8]:
    """SRGB as a screen shows it: rounded, and clipped to 0–255."""
    return np.clip(np.rint(lab_to_srgb(lab)), 0, 255).astype(np.uint8)


def adapt_d50_to_d65_xyz(xyz_d50: ArrayLike) -> Floats:
    """XYZ under D65 from XYZ under D50 (Y = 1 scale), shape (..., 3).

    Source: linear Bradford transform, ICC.1:2010 annex E.
    """
    gains = (BRADFORD @ WHITE_D65) / (BRADFORD @ WHITE_D50)
    return np.asarray(xyz_d50, dtype=float) @ (np.linalg.inv(BRADFORD) @ np.diag(gains) @ BRADFORD).T


def chroma_hue(a: ArrayLike, b: ArrayLike) -> tuple[Floats, Floats]:
    """Chroma C*ab and hue angle h_ab in degrees from 0 to 360.

    Source: CIE 15:2004, section 8.2.2.
    """
    a, b = np.asarray(a, dtype=float), np.asarray(b, dtype=float)
    return np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360
