"""A photograph as arrays, and the smaller scene in linear light that is measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import ColourError
from .spaces import LINEAR_OF_8BIT

MEASURED_PIXELS = 400_000
CLIPPED_AT = 254


@dataclass(frozen=True, eq=False)
class Photograph:
    """A decoded photograph in sRGB.

    Attributes:
        srgb: shape (rows, columns, 3), uint8, turned upright.
        kind: JPEG, PNG, HEIF …
        profile: name of the colour profile it was converted from; empty where it had none (taken as sRGB).
        notes: sentences.
    """

    srgb: NDArray[np.uint8]
    kind: str = "arrays"
    profile: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Scene:
    """What is measured: linear light, averaged over small squares.

    Attributes:
        linear: shape (rows, columns, 3), float32, 1 = full scale.
        clipped: shape (rows, columns), true where any pixel of the square ran into white in any channel.
        step: side of a square in the photograph's pixels.
    """

    linear: NDArray[np.float32]
    clipped: NDArray[np.bool_]
    step: int

    def at(self, points: ArrayLike) -> NDArray[np.int64]:
        """Scene (row, column) of points given as (x, y) in the photograph's pixels, shape (n, 2).

        Raises: ColourError, for a point outside the photograph.
        """
        xy = np.atleast_2d(np.asarray(points, dtype=float))
        rows, columns = self.clipped.shape
        for x, y in xy:
            if not (0 <= x < columns * self.step + self.step and 0 <= y < rows * self.step + self.step):
                raise ColourError(
                    f"The point ({x:g}, {y:g}) lies outside the photograph, which is {columns * self.step} by {rows * self.step} pixels."
                )
        where = (xy[:, ::-1] / self.step).astype(int)
        return np.minimum(where, [rows - 1, columns - 1])


def scene(photograph: Photograph | NDArray[np.uint8], pixels: int = MEASURED_PIXELS) -> Scene:
    """Average a photograph in linear light over the smallest squares that leave at most `pixels` of them.

    Averaging is done in linear light, since light adds and sRGB values don't; a square with one clipped pixel is marked.
    """
    srgb = photograph.srgb if isinstance(photograph, Photograph) else np.asarray(photograph)
    if srgb.ndim != 3 or srgb.shape[2] != 3 or srgb.dtype != np.uint8 or not srgb.size:
        raise ColourError("A photograph is an array of rows × columns × 3 of 8-bit sRGB values.")
    rows, columns = srgb.shape[:2]
    step = max(int(np.ceil(np.sqrt(rows * columns / pixels))), 1)
    rows, columns = max(rows // step, 1), max(columns // step, 1)
    step = min(step, *srgb.shape[:2])
    linear = np.empty((rows, columns, 3), dtype=np.float32)
    clipped = np.empty((rows, columns), dtype=bool)
    # a band of rows at a time: a 12-megapixel array of floats would not stay in the cache
    for r in range(rows):
        band = srgb[r * step : (r + 1) * step, : columns * step]
        light = LINEAR_OF_8BIT[band].sum(axis=0)
        linear[r] = light.reshape(columns, step, 3).sum(axis=1) / step**2
        clipped[r] = (band.max(axis=0) >= CLIPPED_AT).reshape(columns, step, 3).any(axis=(1, 2))
    linear.setflags(write=False)
    clipped.setflags(write=False)
    return Scene(linear, clipped, step)


def shown(of: Scene) -> Photograph:
    """A scene as a small photograph again, for a picture of it."""
    from .spaces import srgb_from_linear

    srgb = np.clip(np.rint(srgb_from_linear(of.linear) * 255), 0, 255).astype(np.uint8)
    srgb.setflags(write=False)
    return Photograph(srgb)
