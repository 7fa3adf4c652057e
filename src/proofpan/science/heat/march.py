"""Pieces through a sequence of stages: adaptive steps, energy and water accounted for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .conduction import GAMMA, Stepped, Wet, drawn_out, step, where_wet
from .errors import HeatError
from .material import Material
from .piece import Piece, axis_of
from .stages import Stage, surroundings
from .surface import Surroundings, crossing

CELLS = {1: 48, 2: 28, 3: 20}
_SAFETY, _GROWTH, _SHRINK = 0.85, 3.0, 0.2
_SMALLEST_S = 1e-9
_MOST_OF_A_CELL = 0.25


@dataclass(frozen=True, eq=False)
class Cooked:
    """What happened to the pieces.

    Attributes, with a last axis of pieces where several were cooked together:
        times_s: (n,), from the start of the first stage.
        core_c, surface_c, mean_c: (n,) or (n, p). Surface is the middle of the face across the first size.
        lost_fraction: (n,) or (n, p), water lost, of the starting mass.
        crust_m: (n,) or (n, p), dry crust there.
        ends_s: when each stage ended.
        heat_j_m3, gained_j_m3, latent_j_m3, carried_j_m3: per volume of the piece: taken through the surface; gained by the food;
            spent on evaporation; sensible heat that left with the vapour.
        balance_error: |taken − gained − latent − carried| as a share of all heat that crossed.
        error_c: estimated error of the core in time, the sum over steps (not that of the cells' size).
        final_c, centres_m: temperatures at the end and the cells' middles along each size.
        steps: how many.
    """

    times_s: NDArray[np.float64]
    core_c: NDArray[np.float64]
    surface_c: NDArray[np.float64]
    mean_c: NDArray[np.float64]
    lost_fraction: NDArray[np.float64]
    crust_m: NDArray[np.float64]
    ends_s: tuple[float, ...]
    heat_j_m3: NDArray[np.float64]
    gained_j_m3: NDArray[np.float64]
    latent_j_m3: NDArray[np.float64]
    carried_j_m3: NDArray[np.float64]
    balance_error: float
    error_c: float
    final_c: NDArray[np.float64]
    centres_m: tuple[NDArray[np.float64], ...]
    steps: int

    def core_at(self, times_s: ArrayLike) -> NDArray[np.float64]:
        """Core temperature at any times within, shape (t,) or (t, p); monotone cubics between steps."""
        from scipy.interpolate import PchipInterpolator

        return np.asarray(PchipInterpolator(self.times_s, self.core_c, axis=0)(np.asarray(times_s, dtype=float)))

    def surface_at(self, times_s: ArrayLike) -> NDArray[np.float64]:
        """Surface temperature at any times within; straight lines between steps."""
        t = np.asarray(times_s, dtype=float)
        if self.surface_c.ndim == 1:
            return np.asarray(np.interp(t, self.times_s, self.surface_c))
        return np.stack([np.interp(t, self.times_s, column) for column in self.surface_c.T], axis=-1)


class _Field:
    """The state that marches: temperatures and water of all cells, shape (n1, …, p)."""

    def __init__(self, pieces: Sequence[Piece], material: Material, start_c: NDArray[np.float64], cells: int):
        kinds = pieces[0].axes
        if any(p.shape != pieces[0].shape for p in pieces):
            raise HeatError("Pieces cooked together must have one shape.")
        sizes = np.array([p.half_sizes_m for p in pieces])
        self.material = material
        self.axes = [axis_of(kind, sizes[:, i], cells) for i, kind in enumerate(kinds)]
        self.t = np.broadcast_to(start_c, (cells,) * len(kinds) + (len(pieces),)).copy()
        self.water = np.full_like(self.t, material.water_kg_m3)
        volume = np.ones_like(self.t)
        for i, axis in enumerate(self.axes):
            volume = volume * self._along(axis.volume, i)
        self.volume = volume
        self.whole = volume.reshape(-1, len(pieces)).sum(0)
        self.taken, self.latent, self.carried, self.lost_kg = (np.zeros(len(pieces)) for _ in range(4))
        self.crossed = np.zeros(len(pieces))
        self.drying: dict[int, NDArray[np.float64]] = {}  # kg/s of each line along each size, as last seen
        self.start_heat = self.heat()
        self.surface_c = self.t[-1].reshape(-1, len(pieces))[0].copy()

    def _along(self, values: NDArray[np.float64], i: int) -> NDArray[np.float64]:
        """(n, 1, p) → shape that broadcasts with the field along size i."""
        shape = [1] * len(self.axes) + [values.shape[-1]]
        shape[i] = values.shape[0]
        return values.reshape(shape)

    def lines(self, field: NDArray[np.float64], i: int) -> NDArray[np.float64]:
        moved = np.moveaxis(field, i, 0)
        return moved.reshape(moved.shape[0], -1, field.shape[-1])

    def back(self, lines: NDArray[np.float64], i: int) -> NDArray[np.float64]:
        shape = list(self.t.shape)
        first = shape.pop(i)
        return np.moveaxis(lines.reshape([first, *shape]), 0, i)

    def share(self) -> NDArray[np.float64]:
        """Heat capacity left where water has gone."""
        if not self.material.water_kg_m3:
            return np.ones_like(self.t)
        return np.asarray(1 - (1 - self.water / self.material.water_kg_m3) * self.material.water_share)

    def heat(self) -> NDArray[np.float64]:
        cells = self.volume * self.share() * self.material.heat_and_capacity(self.t)[0]
        return np.asarray(cells.reshape(-1, cells.shape[-1]).sum(0))

    def cross_section(self, i: int) -> NDArray[np.float64]:
        """(lines, p): the other sizes' volume that a line along size i stands for."""
        other = self.volume / self._along(self.axes[i].volume, i)
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
        front = None
        if around.evaporates and self.material.water_kg_m3:
            front = where_wet(axis, self.lines(self.water, 0)[:, :1], self.material.water_kg_m3)
        for other in self.axes[1:]:
            a, b = other.centre_m[0, 0] ** 2, other.centre_m[1, 0] ** 2
            t = t[0] + (t[0] - t[1]) * a / (b - a)
        k = self.material.conductivity(t)
        if self.lost_kg.any():
            first = self.water[(-1, *(0,) * (len(self.axes) - 1))]
            k = k + (1 - first / self.material.water_kg_m3) * (self.material.crust_conductivity_w_mk - k)
        half = k / (axis.face_m[-1, 0] - axis.centre_m[-1, 0])
        nearness, dry_m = (None, None) if front is None else (front.surface_share[0], front.dry_m[0])
        return crossing(around, t, half, nearness, dry_m, self.material.water_activity).surface_c

    def mean(self) -> NDArray[np.float64]:
        return np.asarray((self.t * self.volume).reshape(-1, self.t.shape[-1]).sum(0) / self.whole)

    def crust(self) -> NDArray[np.float64]:
        if not self.material.water_kg_m3:
            return np.zeros(self.t.shape[-1])
        return np.asarray(where_wet(self.axes[0], self.lines(self.water, 0), self.material.water_kg_m3).dry_m[0])

    def fronts(self, i: int, dt: float, wet: bool) -> tuple[Wet, Wet, Wet] | None:
        """Where the water is at a step's start, at γ·dt and at its end, if it goes on drying as it last did."""
        full = self.material.water_kg_m3
        if not wet and not self.lost_kg.any():
            return None
        axis, water = self.axes[i], self.lines(self.water, i)
        now = where_wet(axis, water, full)
        if not wet:
            sealed = now.sealed()
            return sealed, sealed, sealed
        if i not in self.drying:
            return now, now, now
        later = [where_wet(axis, drawn_out(axis, water, self.drying[i] * dt * part)[0], full) for part in (GAMMA, 1.0)]
        return now, later[0], later[1]

    def foresee(self, i: int, rate_kg_s: NDArray[np.float64], dt: float) -> None:
        """Remember how fast each line dries, smoothed: a single short step's rate is mostly the front settling."""
        settles = 10 * float((np.diff(self.axes[i].face_m, axis=0)[-1] ** 2).min()) / self.material.diffusivity_m2_s
        weight = 1.0 if i not in self.drying else dt / (dt + settles)
        before = self.drying.get(i, rate_kg_s)
        self.drying[i] = np.asarray(before + weight * (rate_kg_s - before))

    def dry(self, i: int, stepped: Stepped) -> None:
        """Take the water a step evaporated out of its front cells; what a cell can't give, the next one inwards does."""
        volume, share_before = self.axes[i].volume, self.lines(self.share(), i)
        water, due = drawn_out(self.axes[i], self.lines(self.water, i), stepped.vapour_kg)
        self.water = self.back(water, i)
        cross = self.cross_section(i)
        gone = (share_before - self.lines(self.share(), i)) * volume * self.material.heat_and_capacity(self.lines(self.t, i))[0]
        self.carried += (gone.sum(0) * cross).sum(0)
        self.lost_kg += ((stepped.vapour_kg - due) * cross).sum(0)


def cook(
    piece: Piece | Sequence[Piece], material: Material, stages: Sequence[Stage], start_c: ArrayLike = 20.0, *, tolerance_c: float = 0.01,
    cells: int | None = None, longest_step_s: float | None = None,
) -> Cooked:
    """Warm (and cool) a piece through stages in sequence.

    Parameters: piece, or several of one shape cooked side by side (each stage's values may then be one a piece); start_c, a number
        or one a piece; tolerance_c, error allowed in a step (several sweeps with evaporation take five times that: their fronts
        disturb each other); cells along a size (40, 24 or 14 in one, two or three dimensions);
        longest_step_s, by default a fortieth of the stage, so that curves are smooth.
    Returns: Cooked. Raises: HeatError.
    Source: finite volumes; TR-BDF2 (Hosea & Shampine 1996); in two and three dimensions a step is one sweep a size, in turning
        order (exact where properties are constant, since the sweeps commute; second order else).
    """
    pieces = [piece] if isinstance(piece, Piece) else list(piece)
    if not pieces or not stages:
        raise HeatError("Name a piece and at least one stage.")
    if not tolerance_c > 0:
        raise HeatError("The tolerance must be positive.")
    first = np.asarray(start_c, dtype=float)
    if not ((first > -40) & (first < 300)).all():
        raise HeatError("A start temperature lies between −40 and 300 °C.")
    field = _Field(pieces, material, first, cells or CELLS[len(pieces[0].axes)])
    marcher = _Marcher(field, tolerance_c)
    ends = []
    for stage in stages:
        marcher.through(stage, longest_step_s)
        ends.append(marcher.now)
    return marcher.result(tuple(ends), single=isinstance(piece, Piece))


class _Marcher:
    """Chooses steps, and keeps the log."""

    def __init__(self, field: _Field, tolerance_c: float):
        self.field, self.tolerance = field, tolerance_c
        self.now, self.count, self.error = 0.0, 0, 0.0
        self.rows: list[tuple[float, NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]] = []
        self.log()

    def log(self) -> None:
        f = self.field
        lost = f.lost_kg / (f.whole * f.material.density_kg_m3)
        self.rows.append((self.now, f.core(), f.surface_c, f.mean(), lost, f.crust()))

    def through(self, stage: Stage, longest_step_s: float | None) -> None:
        seconds = float(stage.minutes) * 60
        if not seconds > 0:
            raise HeatError(f"The stage “{stage.kind}” lasts {stage.minutes:g} minutes; it must last some.")
        f, done = self.field, 0.0
        wet = stage.evaporates and f.material.water_kg_m3 > 0
        f.drying.clear()
        longest = min(longest_step_s or seconds / 40, seconds)
        outer = min(float((np.diff(a.face_m, axis=0)[-1] ** 2).min()) for a in f.axes)
        dt = min(longest, 0.1 * outer / f.material.diffusivity_m2_s)
        while done < seconds * (1 - 1e-12):
            dt = min(dt, seconds - done)
            saved = (f.t, f.water, dict(f.drying), f.taken.copy(), f.latent.copy(), f.carried.copy(), f.lost_kg.copy(), f.crossed.copy(), f.surface_c)
            error, core_error, good = self._sweeps(stage, done, dt, wet)
            if len(f.axes) > 1 and wet and good:
                error /= 5
            if not good or error > self.tolerance * 1.0000001:
                f.t, f.water, f.drying, f.taken, f.latent, f.carried, f.lost_kg, f.crossed, f.surface_c = saved
                factor = 0.25 if not good else max(_SHRINK, _SAFETY * (self.tolerance / error) ** (1 / 3))
                dt *= factor
                if dt < _SMALLEST_S:
                    raise HeatError("The sum doesn't settle: sizes, temperatures or properties are out of the ordinary.")
                continue
            done += dt
            self.now += dt
            self.count += 1
            self.error += core_error
            self.log()
            dt = min(longest, dt * min(_GROWTH, _SAFETY * (self.tolerance / max(error, 1e-12)) ** (1 / 3)))

    def _sweeps(self, stage: Stage, done: float, dt: float, wet: bool) -> tuple[float, float, bool]:
        """(worst error of a cell, error of the core, whether every inner iteration settled) of one step."""
        f, worst, core = self.field, 0.0, 0.0
        around = (surroundings(stage, done), surroundings(stage, done + GAMMA * dt), surroundings(stage, done + dt))
        order = range(len(f.axes)) if self.count % 2 == 0 else range(len(f.axes) - 1, -1, -1)
        for i in order:
            axis = f.axes[i]
            got = step(axis, f.lines(f.t, i), dt, f.material, around, f.fronts(i, dt, wet), self.tolerance)
            if not got.converged:
                return np.inf, 0.0, False
            f.t = f.back(got.temperature_c, i)
            cross = f.cross_section(i)
            f.taken += (got.taken_j * cross).sum(0)
            f.crossed += (np.abs(got.taken_j) * cross).sum(0)
            f.latent += (got.latent_j * cross).sum(0)
            worst += float(got.error_c.max())
            core += float(got.error_c[0].max())
            if wet:
                # where the front will be is only foreseen, so a step may take only part of a cell's water
                drawn = float((got.vapour_kg / (axis.volume[-1] * f.material.water_kg_m3)).max())
                worst = max(worst, self.tolerance * (drawn / _MOST_OF_A_CELL) ** 3)
                f.dry(i, got)
                f.foresee(i, got.vapour_kg / dt, dt)
        f.surface_c = f.skin(around[2])
        return worst, core, True

    def result(self, ends: tuple[float, ...], single: bool) -> Cooked:
        f = self.field
        gained = f.heat() - f.start_heat
        lacking = np.abs(f.taken - gained - f.latent - f.carried)
        balance = float((lacking / np.maximum(f.crossed, 1e-30)).max())
        core, surface, mean, lost, crust = (self._shown(np.array([r[i] for r in self.rows]), single) for i in range(1, 6))
        taken, gain, latent, carried = (self._shown(x / f.whole, single) for x in (f.taken, gained, f.latent, f.carried))
        centres = tuple(a.centre_m[:, 0, 0] if single else a.centre_m[:, 0] for a in f.axes)
        times = np.array([r[0] for r in self.rows])
        final = self._shown(f.t, single)
        return Cooked(
            times, core, surface, mean, lost, crust, ends, taken, gain, latent, carried, balance, self.error, final, centres, self.count
        )

    @staticmethod
    def _shown(values: NDArray[np.float64], single: bool) -> NDArray[np.float64]:
        """Without the axis of pieces where only one was asked for."""
        return np.asarray(values[..., 0] if single else values, dtype=np.float64)
