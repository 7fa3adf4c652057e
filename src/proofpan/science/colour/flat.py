"""Flat regions of a scene: candidates for a grey card, a plate, a chart's patches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .photograph import Scene


@dataclass(frozen=True, eq=False)
class Flat:
    """One flat region.

    Attributes:
        mask_rows, mask_columns: its pixels.
        area: their number.
        centre: (row, column).
        linear: mean linear RGB over pixels that aren't clipped; not a number where all are.
        clipped_share: 0–1.
    """

    mask_rows: NDArray[np.int64]
    mask_columns: NDArray[np.int64]
    area: int
    centre: tuple[float, float]
    linear: NDArray[np.floating]
    clipped_share: float

    @property
    def saturation(self) -> float:
        """How far from neutral: the range of ln R, ln G, ln B."""
        logs = np.log(np.maximum(self.linear, 1e-4))
        return float(logs.max() - logs.min())

    def rectangularity(self) -> float:
        """Area over that of the smallest rectangle around it, in any direction: 1 for a card, 0.785 for a round plate."""
        y, x = self.mask_rows - self.centre[0], self.mask_columns - self.centre[1]
        best = np.inf
        for angle in np.radians(np.arange(0, 90, 5)):
            u, v = x * np.cos(angle) + y * np.sin(angle), y * np.cos(angle) - x * np.sin(angle)
            best = min(best, (np.ptp(u) + 1) * (np.ptp(v) + 1))
        return self.area / float(best)


def flat_regions(scene: Scene, *, smallest: int, steepest: float = 0.06) -> list[Flat]:
    """Connected stretches whose brightness changes little from pixel to pixel, largest first.

    Parameters: smallest, pixels; steepest, change of ln brightness from a pixel to the next that still counts as flat.
    """
    from scipy import ndimage

    light = np.log(scene.linear.mean(axis=2) + 0.01)
    light = ndimage.uniform_filter(light, 3)
    steep = np.hypot(ndimage.sobel(light, 0), ndimage.sobel(light, 1)) / 8
    # colour edges as well: two patches of one brightness
    total = scene.linear.sum(axis=2) + 0.02
    for channel in (0, 2):
        share = ndimage.uniform_filter((scene.linear[..., channel] + 0.006) / total, 3)
        steep = np.maximum(steep, np.hypot(ndimage.sobel(share, 0), ndimage.sobel(share, 1)) / 8 * 2)
    labels, count = ndimage.label(steep < steepest)
    if not count:
        return []
    sizes = np.bincount(labels.ravel())
    found = []
    slices = ndimage.find_objects(labels)
    for label in np.flatnonzero(sizes >= smallest):
        if label == 0:
            continue
        window = slices[label - 1]
        rows, columns = np.nonzero(labels[window] == label)
        rows, columns = rows + window[0].start, columns + window[1].start
        clipped = scene.clipped[rows, columns]
        inside = scene.linear[rows, columns][~clipped]
        mean = inside.mean(axis=0) if len(inside) else np.full(3, np.nan)
        centre = (float(rows.mean()), float(columns.mean()))
        found.append(Flat(rows, columns, len(rows), centre, mean, float(clipped.mean())))
    return sorted(found, key=lambda f: -f.area)
