"""The shape of a piece, and the cells it is cut into."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .errors import HeatError

_AXES = {"slab": ("slab",), "cylinder": ("cylinder",), "sphere": ("sphere",), "finite cylinder": ("cylinder", "slab"),
         "brick": ("slab", "slab", "slab")}
_POWER = {"slab": 0, "cylinder": 1, "sphere": 2}
LARGEST_HALF_M = 1.0
FEWEST_CELLS = 3  # along a size
_CROWDING = 0.4  # cells at the surface are (1 − 0.4)/(1 + 0.4) = under half as wide as in the middle
_WORDS = {"slab": ("thickness",), "cylinder": ("diameter",), "sphere": ("diameter",), "finite cylinder": ("diameter", "height"),
          "brick": ("side", "side", "side")}


@dataclass(frozen=True)
class Piece:
    """A shape and its half sizes (half thickness, or radius), metres; heat comes in over the whole surface.

    Attributes: shape (slab, cylinder, sphere, finite cylinder, brick); half_sizes_m, one a size: 1, 1, 1, 2 (radius, half height), 3.
    """

    shape: str
    half_sizes_m: tuple[float, ...]

    def __post_init__(self) -> None:
        if self.shape not in _AXES:
            raise HeatError(f'"{self.shape}" is not a shape known here: use one of {", ".join(_AXES)}, cube, one-sided slab.')
        if len(self.half_sizes_m) != len(_AXES[self.shape]):
            wanted = _WORDS[self.shape]
            raise HeatError(f"A {self.shape} has {len(wanted)} size{'s' if len(wanted) > 1 else ''}: {', '.join(wanted)}; {len(self.half_sizes_m)} came.")
        if not all(0 < s < LARGEST_HALF_M for s in self.half_sizes_m):
            raise HeatError(f"A piece's sizes lie above 0 and under {200 * LARGEST_HALF_M:g} cm.")

    @property
    def axes(self) -> tuple[str, ...]:
        """The one-dimensional shape along each size."""
        return _AXES[self.shape]

    def scaled(self, by: float) -> Piece:
        """The same shape with every size multiplied."""
        return Piece(self.shape, tuple(s * by for s in self.half_sizes_m))


def piece_of(shape: str, *sizes_cm: float) -> Piece:
    """A piece by its whole sizes as a cook measures them.

    Parameters: shape, also "cube" (one side) and "one-sided slab" (heat from one face only: its back takes none); sizes_cm, whole
        thickness, diameter, height or sides.
    Raises: HeatError.
    """
    if not all(np.isfinite(s) and s > 0 for s in sizes_cm):
        raise HeatError("Sizes must be positive, in centimetres.")
    if shape in ("cube", "one-sided slab") and len(sizes_cm) != 1:
        raise HeatError(f"A {shape} has one size.")
    if shape == "cube":
        return Piece("brick", (sizes_cm[0] / 200,) * 3)
    if shape == "one-sided slab":
        return Piece("slab", (sizes_cm[0] / 100,))
    return Piece(shape, tuple(s / 200 for s in sizes_cm))


@dataclass(frozen=True, eq=False)
class Axis:
    """Cells along one size, for several pieces at once.

    Attributes, each with a last axis of pieces: face_m (n + 1, 1, p); centre_m (n, 1, p); volume (n, 1, p) and area (n + 1, 1, p), a
        unit of the other sizes (full angle left out: it cancels).
    """

    face_m: NDArray[np.float64]
    centre_m: NDArray[np.float64]
    volume: NDArray[np.float64]
    area: NDArray[np.float64]


def axis_of(kind: str, half_size_m: NDArray[np.float64], cells: int) -> Axis:
    """Cells along a size, narrower towards the surface.

    Parameters: kind (slab, cylinder, sphere); half_size_m, shape (p,); cells, at least 3.
    """
    if cells < FEWEST_CELLS:
        raise HeatError("At least three cells are needed along a size.")
    xi = np.arange(cells + 1) / cells
    face = (xi * (1 + _CROWDING * (1 - xi)))[:, None, None] * half_size_m
    m = _POWER[kind]
    return Axis(face, (face[1:] + face[:-1]) / 2, (face[1:] ** (m + 1) - face[:-1] ** (m + 1)) / (m + 1), face**m)
