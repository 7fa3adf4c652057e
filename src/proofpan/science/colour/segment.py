"""Food apart from tray, plate and board, corrected by taps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .balance import Balance, Point
from .errors import ColourError
from .photograph import Scene

NEUTRAL_CHROMA = 8.0
STRONG_CHROMA = 20.0
TAP_REACH = 12.0
LEAST_DIFFERENCE = 10.0


def _background_colours(lab: NDArray[np.floating], region: NDArray[np.bool_], count: int = 5) -> NDArray[np.floating]:
    """A few colours of the picture's rim and of the reference, by k-means from a fixed start."""
    rows, columns = lab.shape[:2]
    edge = max(int(0.03 * min(rows, columns)), 1)
    rim = np.ones((rows, columns), dtype=bool)
    rim[edge:-edge, edge:-edge] = False
    pool = lab[rim]
    pool = pool[:: max(len(pool) // 4000, 1)].astype(float)
    centres = pool[np.argsort(pool[:, 0])][np.linspace(0, len(pool) - 1, count).astype(int)]
    for _ in range(12):
        nearest = ((pool[:, None] - centres) ** 2).sum(axis=2).argmin(axis=1)
        centres = np.array([pool[nearest == k].mean(axis=0) if (nearest == k).any() else centres[k] for k in range(count)])
    # a piece that the frame cuts is no background: a strong colour must fill two fifths of the rim to count as one
    share = np.bincount(nearest, minlength=count) / len(pool)
    strong = np.hypot(centres[:, 1], centres[:, 2]) > STRONG_CHROMA
    kept = (share > 0.03) & (~strong | (share > 0.4))
    centres = centres[kept] if kept.any() else centres[[int(share.argmax())]]
    if region.any():
        centres = np.vstack([centres, lab[region].mean(axis=0)])
    return centres


def _tapped(lab: NDArray[np.floating], where: NDArray[np.integer]) -> NDArray[np.bool_]:
    """The connected stretch of like colour around a tap."""
    from scipy import ndimage

    r, c = where
    colour = lab[max(r - 1, 0) : r + 2, max(c - 1, 0) : c + 2].reshape(-1, 3).mean(axis=0)
    like = ((lab - colour) ** 2).sum(axis=2) < TAP_REACH**2
    labels, _ = ndimage.label(like)
    return labels == labels[r, c] if labels[r, c] else np.zeros(like.shape, dtype=bool)


def segment(
    scene: Scene,
    balance: Balance,
    lab: NDArray[np.floating],
    *,
    include: Sequence[Point] = (),
    exclude: Sequence[Point] = (),
    split_touching: bool = False,
    smallest_share: float = 0.002,
) -> NDArray[np.int32]:
    """Label the pieces of food, 0 for all else.

    Food is what differs from the picture's rim and from the reference, and isn't grey: a neutral piece (meringue, tofu) has
    to be tapped. A tap takes in, or leaves out, the connected stretch of like colour around it.
    Parameters:
        lab: shape (rows, columns, 3), the balanced scene.
        include, exclude: taps (x, y) in the photograph's pixels; exclusions are made last.
        split_touching: part pieces that touch, at their waists (watershed of the distance to the edge).
        smallest_share: of the picture; smaller crumbs aren't pieces.
    Returns: labels from 1 in reading order of the pieces' centres, shape (rows, columns).
    Raises: ColourError, where no food is found.
    Source: Otsu 1979, IEEE Trans. SMC 9(1):62–66 for the threshold; the rest is common practice, no source.
    """
    from scipy import ndimage
    from skimage.filters import threshold_otsu

    lab = ndimage.uniform_filter(lab, (3, 3, 0)) if min(lab.shape[:2]) > 8 else lab
    # shadows change lightness more than colour
    stretch = np.array([0.6, 1.0, 1.0], dtype=lab.dtype)
    # a plate is background and may be anywhere; a card or chart is a known spot and is cut out below
    plate = balance.region if balance.kind == "white plate" else np.zeros_like(balance.region)
    centres = _background_colours(lab * stretch, plate)
    away = np.min([((lab * stretch - c.astype(lab.dtype)) ** 2).sum(axis=2) for c in centres], axis=0) ** 0.5
    threshold = max(float(threshold_otsu(np.minimum(away[::2, ::2], 40))), LEAST_DIFFERENCE) if away.max() > 0 else 1.0
    food = (away > threshold) & (np.hypot(lab[..., 1], lab[..., 2]) > NEUTRAL_CHROMA)
    food &= ~balance.region
    food = ndimage.binary_fill_holes(ndimage.binary_opening(food, iterations=1))
    for where in scene.at(include) if len(include) else ():
        food |= _tapped(lab, where)
    for where in scene.at(exclude) if len(exclude) else ():
        food &= ~_tapped(lab, where)
    labels, count = ndimage.label(food)
    if split_touching and count:
        labels = _split(food)
    sizes = np.bincount(labels.ravel())
    kept = np.flatnonzero(sizes >= smallest_share * food.size)
    kept = kept[kept > 0]
    if not kept.size:
        raise ColourError("No food was found in the photograph; tap each piece.")
    middles = ndimage.center_of_mass(np.ones(labels.shape), labels, kept)
    order = sorted(range(kept.size), key=lambda k: (round(middles[k][0] / labels.shape[0] * 8), middles[k][1]))
    renamed = np.zeros(sizes.size, dtype=np.int32)
    for new, k in enumerate(order, start=1):
        renamed[kept[k]] = new
    return renamed[labels]


def _split(food: NDArray[np.bool_]) -> NDArray[np.int32]:
    from scipy import ndimage
    from skimage.feature import peak_local_max
    from skimage.segmentation import watershed

    depth = ndimage.gaussian_filter(ndimage.distance_transform_edt(food), 2)
    apart = max(int(0.5 * float(depth.max())), 2)
    peaks = peak_local_max(depth, min_distance=apart, threshold_rel=0.4, labels=food.astype(int), exclude_border=False)
    seeds = np.zeros(food.shape, dtype=np.int32)
    seeds[tuple(peaks.T)] = np.arange(1, len(peaks) + 1)
    return watershed(-depth, seeds, mask=food).astype(np.int32)
