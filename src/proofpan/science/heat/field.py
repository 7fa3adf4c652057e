"""The state that marches: temperatures and water of all cells of the pieces cooked together."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from .conduction import conductivity
from .errors import HeatError
from .material import Material
from .piece import Piece, axis_of
from .surface import Surroundings, crossing


def nearness(dryness: NDArray[np.float64]) -> NDArray[np.float64]:
    """How near to the surface an outermost cell's front is: 1 at it, 0 at that cell's middle or deeper."""
    return np.clip(1 - 2 * dryness, 0.0, 1.0)


class Field:
    """Temperatures `t` and water `water` (kg/m³), shape (n1, …, p), and what has been taken and given so far."""

    def __init__(self, pieces: Sequence[Piece], material: Material, start_c: NDArray[np.float64], cells: int):
        kinds = pieces[0].axes
        if any(p.shape != pieces[0].shape for p in pieces):
            raise HeatError("Pieces cooked together must have one shape.")
        sizes = np.array([p.half_sizes_m for p in pieces])
        self.material = material
        self.axes = [axis_of(kind, sizes[:, i], cells) for i, kind in enumerate(kinds)]
        self.t = np.broadcast_to(start_c, (cells,) * len(kinds) + (len(pieces),)).copy()
        self.water = np.full_like(self.t, material.water_kg_m3)
        self.alike = len(kinds) > 1 and len(set(kinds)) == 1 and bool((sizes == sizes[:, :1]).all())  # a cube, and no side of it differs
        volume = np.ones_like(self.t)
        for i, axis in enumerate(self.axes):
            volume = volume * self.along(axis.volume, i)
        self.volume = volume
        self.whole = volume.reshape(-1, len(pieces)).sum(0)
        # heat taken through the surface, spent on evaporation, carried off by vapour; and all that crossed, either way
        self.taken, self.latent, self.carried, self.crossed = (np.zeros(len(pieces)) for _ in range(4))
        self.start_heat = self.heat()
        self.surface_c = self.t[-1].reshape(-1, len(pieces))[0].copy()

    def along(self, values: NDArray[np.float64], i: int) -> NDArray[np.float64]:
        """(n, 1, p) → shape that broadcasts with the field along size i."""
        shape = [1] * len(self.axes) + [values.shape[-1]]
        shape[i] = values.shape[0]
        return values.reshape(shape)

    def lines(self, field: NDArray[np.float64], i: int) -> NDArray[np.float64]:
        """The field as (n, lines, p) along size i."""
        moved = np.moveaxis(field, i, 0)
        return moved.reshape(moved.shape[0], -1, field.shape[-1])

    def back(self, lines: NDArray[np.float64], i: int) -> NDArray[np.float64]:
        """What `lines` took apart."""
        shape = list(self.t.shape)
        first = shape.pop(i)
        return np.moveaxis(lines.reshape([first, *shape]), 0, i)

    def evened(self, cells: NDArray[np.float64]) -> NDArray[np.float64]:
        """Of a cube, the mean over its sides: taking one size after the other leaves them a little apart."""
        if not self.alike:
            return cells
        sides = range(len(self.axes))
        turned = [np.transpose(cells, (*order, len(self.axes))) for order in permutations(sides)]
        return np.asarray(sum(turned[1:], turned[0]) / len(turned))

    def dryness(self) -> NDArray[np.float64] | None:
        """0 wet to 1 dry; None where nothing has dried, or can."""
        full = self.material.water_kg_m3
        if not full:
            return None
        dry = np.clip(1 - self.water / full, 0.0, 1.0)
        return dry if dry.any() else None

    def share(self, water: NDArray[np.float64] | None = None) -> NDArray[np.float64] | float:
        """Heat capacity left where water has gone."""
        if not self.material.water_kg_m3:
            return 1.0
        return np.asarray(1 - (1 - (self.water if water is None else water) / self.material.water_kg_m3) * self.material.water_share)

    def heat(self) -> NDArray[np.float64]:
        """Heat content of each piece, J (a unit of the angles left out), shape (p,)."""
        return self.total(self.volume * self.share() * self.material.heat_and_capacity(self.t)[0])

    @staticmethod
    def total(cells: NDArray[np.float64]) -> NDArray[np.float64]:
        """The sum over a piece's cells, shape (p,)."""
        return np.asarray(cells.reshape(-1, cells.shape[-1]).sum(0))

    def lost_kg(self) -> NDArray[np.float64]:
        """Water gone from each piece, shape (p,)."""
        return self.total((self.material.water_kg_m3 - self.water) * self.volume)

    def cross_section(self, i: int) -> NDArray[np.float64]:
        """(lines, p): the other sizes' volume that a line along size i stands for."""
        other = self.volume / self.along(self.axes[i].volume, i)
        return np.asarray(self.lines(other, i)[0])

    def core(self) -> NDArray[np.float64]:
        """Temperature in the very middle: a parabola, level there, through the two innermost cells of each size."""
        t = self.t
        for axis in self.axes:
            a, b = axis.centre_m[0, 0] ** 2, axis.centre_m[1, 0] ** 2
            t = t[0] + (t[0] - t[1]) * a / (b - a)
        return np.asarray(t)

    def skin(self, around: Surroundings) -> NDArray[np.float64]:
        """Temperature of the surface at the middle of the face across the first size."""
        axis, t = self.axes[0], self.t[-1]
        for other in self.axes[1:]:
            a, b = other.centre_m[0, 0] ** 2, other.centre_m[1, 0] ** 2
            t = t[0] + (t[0] - t[1]) * a / (b - a)
        dry = self._middle_dryness()
        half = conductivity(self.material, t, dry[-1]) / (axis.face_m[-1, 0] - axis.centre_m[-1, 0])
        if not around.evaporates or not self.material.water_kg_m3:
            return crossing(around, t, half, None, None, self.material.water_activity).surface_c
        deep = dry[-1] * np.diff(axis.face_m, axis=0)[-1, 0]
        return crossing(around, t, half, nearness(dry[-1]), deep, self.material.water_activity).surface_c

    def _middle_dryness(self) -> NDArray[np.float64]:
        """(n, p): of the line through the middle along the first size."""
        dry = self.dryness()
        return np.zeros((self.t.shape[0], self.t.shape[-1])) if dry is None else self.lines(dry, 0)[:, 0]

    def mean(self) -> NDArray[np.float64]:
        """Temperature over the whole piece, by volume."""
        return self.total(self.t * self.volume) / self.whole

    def crust(self) -> NDArray[np.float64]:
        """Thickness of what has dried, in metres, at the middle of the face across the first size."""
        return np.asarray((self._middle_dryness() * np.diff(self.axes[0].face_m, axis=0)[:, 0]).sum(0))
