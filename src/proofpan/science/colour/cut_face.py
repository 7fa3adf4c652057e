"""Pores of a cut or broken face: share, number and size, from one photograph and a scale."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ..reading import Reading, mean_reading, t_quantile
from .balance import Balance, Point
from .errors import ColourError
from .photograph import Photograph

SMALLEST_PX = 12
MOST_PIXELS = 4_000_000
TILES = 4
NO_PORE = "No pore is seen on the face; light it from the side so that pores lie in shadow."


@dataclass(frozen=True)
class Scale:
    """Pixels a millimetre, with standard error."""

    px_per_mm: float
    error_sd: float
    how: str


def scale_from_marker(one: Point, two: Point, length_mm: float, *, tap_error_px: float = 1.5) -> Scale:
    """Scale from two taps a known length apart, on a ruler or marker in the plane of the face.

    Parameters: tap_error_px, standard error of a tap in each direction.
    Raises: ColourError, for a length that isn't positive or taps too close to tell (under 20 errors apart).
    Source: propagation of error, JCGM 100:2008, 5.1.
    """
    apart = math.dist(one, two)
    if not length_mm > 0:
        raise ColourError(f"The marker's length must be positive; {length_mm:g} mm came.")
    if apart < 20 * tap_error_px:
        raise ColourError(f"The two taps lie {apart:.0f} pixels apart; tap marks further apart, or take a closer photograph.")
    return Scale(apart / length_mm, math.sqrt(2) * tap_error_px / length_mm, f"two taps {length_mm:g} mm apart, {apart:.0f} pixels")


def scale_from_plate(balance: Balance, wide: int, diameter_mm: float) -> Scale | None:
    """Scale from a plate that the balance found: its longest axis, which a slanting view doesn't shorten.

    Parameters: balance, of kind "white plate", found by itself; wide, the photograph's width in pixels; diameter_mm, of the plate's flat.
    Returns: None where the balance is on something else, or the region touches the picture's edge (its diameter isn't seen).
    Source: an ellipse's longest chord is the circle's diameter seen at its own distance (common practice, no source).
    """
    region = balance.region
    if balance.kind != "white plate" or balance.found != "automatically" or not region.any() or not diameter_mm > 0:
        return None
    if region[0].any() or region[-1].any() or region[:, 0].any() or region[:, -1].any():
        return None
    rows, columns = np.nonzero(region)
    widest = 0.0
    for angle in np.radians(np.arange(0, 180, 5)):
        widest = max(widest, float(np.ptp(columns * np.cos(angle) + rows * np.sin(angle))))
    pixels = (widest + 1) * wide / region.shape[1]
    return Scale(pixels / diameter_mm, 0.03 * pixels / diameter_mm, f"a plate of {diameter_mm:g} mm, {pixels:.0f} pixels across")


@dataclass(frozen=True, eq=False)
class CutFace:
    """The pores of one face.

    Attributes:
        readings: porosity_percent, cell_diameter_mm, cell_area_mm2, cells_per_cm2; each with a 95 % interval over the
            face and the scale's own error; a face speaks for its piece.
        diameters_mm: shape (cells,), equivalent-circle diameters, largest first.
        labels: shape (rows, columns) of the measured crop, 0 = wall; averaged over squares where it had over 4 million pixels.
        crop: (left, top, right, bottom) of the photograph that they cover.
        threshold: lightness under which a pixel is pore (0–1, after evening out the light).
        warnings: sentences.
    """

    readings: Mapping[str, Reading]
    diameters_mm: NDArray[np.floating]
    labels: NDArray[np.int32]
    threshold: float
    warnings: tuple[str, ...]
    crop: tuple[int, int, int, int]


def cut_face(
    photograph: Photograph | NDArray[np.uint8],
    scale: Scale,
    *,
    crop: tuple[int, int, int, int] | None = None,
    threshold: float | None = None,
    smallest_mm: float = 0.0,
) -> CutFace:
    """Measure the pores of a cut face lit from the side, dark pores in a lighter crumb.

    Parameters:
        crop: (left, top, right, bottom) that holds nothing but crumb; None for the whole picture.
        threshold: lightness 0–1 under which a pixel is pore; None for Otsu's.
        smallest_mm: diameter under which a speck isn't a cell (12 pixels in area at least).
    Returns: see `CutFace`. Porosity is of the face (two dimensions); it equals the volume share only for pores that don't
        lean one way (Delesse's principle).
    Raises: ColourError, where the crop is outside or no pore is seen.
    Source: Otsu 1979 for the threshold; watershed of the distance to the wall, Beucher & Lantuéjoul 1979 (from memory), by
        scikit-image; cells cut by the edge of the crop are left out of sizes (guard frame). Interval of porosity over tiles.
    """
    from scipy import ndimage
    from skimage.color import rgb2gray
    from skimage.filters import threshold_otsu
    from skimage.measure import regionprops_table

    srgb = photograph.srgb if isinstance(photograph, Photograph) else photograph
    whole = (0, 0, srgb.shape[1], srgb.shape[0])
    if crop is not None:
        left, top, right, bottom = crop
        if not (0 <= left < right <= srgb.shape[1] and 0 <= top < bottom <= srgb.shape[0]):
            raise ColourError(f"The crop doesn't lie within the photograph's {srgb.shape[1]} by {srgb.shape[0]} pixels.")
        srgb = srgb[top:bottom, left:right]
    step = max(math.ceil(math.sqrt(srgb.shape[0] * srgb.shape[1] / MOST_PIXELS)), 1)
    if step > 1:  # cells of a dozen pixels stay as they are; beyond this more pixels cost time alone
        srgb = _reduced(srgb, step)
        scale = Scale(scale.px_per_mm / step, scale.error_sd / step, scale.how)
    if min(srgb.shape[:2]) < 32:
        raise ColourError("The cut face is smaller than 32 pixels; take a closer photograph.")
    grey = ndimage.gaussian_filter(rgb2gray(srgb), 0.7)
    # uneven light: divide by the crumb's own brightness around each place, a high quantile so that pores don't count
    coarse = max(min(grey.shape) // 8, 8)
    rows, columns = -(-grey.shape[0] // coarse), -(-grey.shape[1] // coarse)
    light = np.array(
        [
            [np.quantile(grey[r * coarse : (r + 1) * coarse, c * coarse : (c + 1) * coarse], 0.9) for c in range(columns)]
            for r in range(rows)
        ]
    )
    light = ndimage.gaussian_filter(light, 1.0, mode="nearest")
    y = (np.arange(grey.shape[0]) + 0.5) / coarse - 0.5
    x = (np.arange(grey.shape[1]) + 0.5) / coarse - 0.5
    light = ndimage.map_coordinates(light, np.meshgrid(y, x, indexing="ij"), order=1, mode="nearest")
    even = grey / np.maximum(light, 1e-3)
    if np.ptp(even) < 0.02:
        raise ColourError(NO_PORE)
    cut = float(threshold_otsu(np.minimum(even, 1.2))) if threshold is None else threshold
    pore = even < cut
    smallest = max(SMALLEST_PX, math.pi / 4 * (smallest_mm * scale.px_per_mm) ** 2)
    pieces, count = ndimage.label(pore)
    if count:
        pore &= (np.bincount(pieces.ravel()) >= smallest)[pieces]
    if not pore.any():
        raise ColourError(NO_PORE)
    contrast = float(np.median(even[~pore]) - np.median(even[pore])) if (~pore).any() else 0.0
    if contrast < 0.05:
        raise ColourError(NO_PORE)
    labels = _cells(pore)
    table = regionprops_table(labels, properties=("area", "bbox"))
    inside = (
        (table["bbox-0"] > 0)
        & (table["bbox-1"] > 0)
        & (table["bbox-2"] < grey.shape[0])
        & (table["bbox-3"] < grey.shape[1])
        & (table["area"] >= smallest)
    )
    area_mm2 = np.sort(table["area"][inside] / scale.px_per_mm**2)[::-1]
    diameters = np.sqrt(4 * area_mm2 / math.pi)
    warnings = ["One face speaks for its piece: cut three a trial."]
    if diameters.size and float(np.median(diameters)) * scale.px_per_mm < 6:
        warnings.append("Most cells are under six pixels across: take a closer photograph.")
    if diameters.size < 20:
        warnings.append(f"Only {diameters.size} whole cells on the face: sizes are rough.")
    if contrast < 0.15:
        warnings.append("Pores are hardly darker than the crumb: light the face from the side.")
    readings = _readings(pore, even, cut, labels, diameters, area_mm2, scale)
    diameters.setflags(write=False)
    return CutFace(MappingProxyType(readings), diameters, labels, cut, tuple(warnings), crop or whole)


def _reduced(srgb: NDArray[np.uint8], step: int) -> NDArray[np.uint8]:
    """The picture averaged over squares of `step` pixels."""
    from PIL import Image

    rows, columns = srgb.shape[0] // step * step, srgb.shape[1] // step * step
    return np.asarray(Image.fromarray(np.ascontiguousarray(srgb[:rows, :columns])).reduce(step))


def _cells(pore: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Pores that touch are parted at their waists."""
    from scipy import ndimage
    from skimage.morphology import h_maxima
    from skimage.segmentation import watershed

    depth = ndimage.gaussian_filter(ndimage.distance_transform_edt(pore), 1.0)
    # a waist must be shallower than both cells by a tenth of the deepest, or by a pixel: else noise would part cells
    seeds, _ = ndimage.label(h_maxima(depth, max(1.0, 0.05 * float(depth.max()))))
    labels = watershed(-depth, seeds, mask=pore)
    # a pore too shallow for a seed of its own is one cell
    rest, _ = ndimage.label(pore & (labels == 0))
    return np.where(rest > 0, rest + labels.max(), labels).astype(np.int32)


def _readings(
    pore: NDArray[np.bool_],
    even: NDArray[np.floating],
    cut: float,
    labels: NDArray[np.int32],
    diameters: NDArray[np.floating],
    area_mm2: NDArray[np.floating],
    scale: Scale,
) -> dict[str, Reading]:
    tiles = [t for band in np.array_split(pore, TILES, axis=0) for t in np.array_split(band, TILES, axis=1)]
    shares = np.array([100 * float(t.mean()) for t in tiles])
    n = shares.size
    # the threshold's own doubt: porosity a twentieth of the contrast either way
    half = 0.05 * float(np.quantile(even, 0.9) - np.quantile(even, 0.05))
    doubt = 100 * float((even < cut + half).mean() - (even < cut - half).mean()) / 2 / math.sqrt(3)
    value = 100 * float(pore.mean())
    error = math.hypot(float(shares.std(ddof=1)) / math.sqrt(n), doubt)
    reach = t_quantile(n - 1) * error
    how = f"pixels darker than {cut:.2f} of the crumb's brightness; interval over {n} tiles of the face and the threshold's doubt"
    made = {"porosity_percent": Reading("porosity_percent", value, max(value - reach, 0.0), min(value + reach, 100.0), error, "%", n, how)}
    relative = scale.error_sd / scale.px_per_mm
    by = f"watershed cells not cut by the edge; scale from {scale.how}"
    figures: list[tuple[str, Sequence[float], str, float]] = [
        ("cell_diameter_mm", list(diameters), "mm", 1.0),
        ("cell_area_mm2", list(area_mm2), "mm²", 2.0),
    ]
    for name, values, unit, power in figures:
        mean = float(np.mean(values)) if len(values) else math.nan
        shared = abs(power * relative * mean) if len(values) else 0.0
        made[name] = mean_reading(name, values, unit=unit, how=by, each="cell", instrument_sd=shared)
    # a cell belongs to the tile its middle lies in
    counts = _counts(labels)
    tile_cm2 = pore.size / n / (10 * scale.px_per_mm) ** 2
    density = mean_reading(
        "cells_per_cm2", list(counts / tile_cm2), unit="1/cm²", how=f"cells a tile; scale from {scale.how}", each="tile",
        instrument_sd=2 * relative * float(counts.mean()) / tile_cm2,
    )  # fmt: skip
    made["cells_per_cm2"] = density
    return made


def _counts(labels: NDArray[np.int32]) -> NDArray[np.floating]:
    from scipy import ndimage

    count = int(labels.max())
    middles = np.array(ndimage.center_of_mass(np.ones(labels.shape), labels, np.arange(1, count + 1)))
    middles = middles[np.isfinite(middles).all(axis=1)]
    rows = np.minimum((middles[:, 0] / labels.shape[0] * TILES).astype(int), TILES - 1)
    columns = np.minimum((middles[:, 1] / labels.shape[1] * TILES).astype(int), TILES - 1)
    return np.bincount(rows * TILES + columns, minlength=TILES * TILES).astype(float)
