"""Pieces through a sequence of stages: adaptive steps, energy and water accounted for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import takewhile

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import conduction, drying
from .cooked import Cooked, CookedByModes, shown
from .errors import HeatError
from .field import Field
from .material import Material
from .modes import Modal, is_plain
from .piece import FEWEST_CELLS, Piece
from .stages import Stage, surroundings

CELLS = {1: 48, 2: 28, 3: 20}
DRYING_CELLS = {1: 48, 2: 20, 3: 12}  # where something evaporates: surfaces, not cells, are the larger doubt there
TOLERANCES_C = {1: 0.003, 2: 0.01, 3: 0.01}  # so that a slab that dries keeps within 0.1 °C; with more sizes the cells are the larger doubt
_SAFETY, _GROWTH, _SHRINK = 0.85, 3.0, 0.2
_SMALLEST_S = 1e-9
_MOST_OF_A_CELL = 0.25  # of its water, in a step
_COMPANION = 50.0  # an evaporating step's estimate is its first-order companion's error, far above its own
_WORST_OF_A_CELL_C = 20.0
_WATER_ERROR = 0.02  # of a cell's
_OVERDRAWN = 0.02
_ASKED = 20  # steps after which it is asked whether that is enough
_SECOND_CUT_C = 0.05  # tolerances below which plain stages are summed for half the cells too


def cook(
    piece: Piece | Sequence[Piece], material: Material, stages: Sequence[Stage], start_c: ArrayLike = 20.0, *, tolerance_c: float | None = None,
    cells: int | None = None, longest_step_s: float | None = None, enough: Callable[[Cooked], bool] | None = None,
) -> Cooked:
    """Warm (and cool) a piece through stages in sequence.

    Parameters: piece, or several of one shape cooked side by side (each stage's values may then be one a piece); start_c, a number
        or one a piece; tolerance_c, error allowed in a step (`TOLERANCES_C`); cells along a size (`CELLS`, or `DRYING_CELLS` where a stage evaporates);
        longest_step_s, by default a fortieth of the stage, so that curves are smooth; enough, asked now and then in the last stage whether
        it may stop early.
    Returns: Cooked. Raises: HeatError.
    Source: finite volumes. First stages in which only the temperature changes are taken by the modes of the cells (`modes`), exact in time.
        Else, without evaporation, TR-BDF2 (Hosea & Shampine 1996), in two and three dimensions one sweep a size, in
        turning order (exact where properties are constant, since the sweeps commute; second order else). With evaporation ROS2 with
        a factor a size (`drying`).
    """
    pieces = [piece] if isinstance(piece, Piece) else list(piece)
    if not pieces or not stages:
        raise HeatError("Name a piece and at least one stage.")
    tolerance_c = tolerance_c or TOLERANCES_C[len(pieces[0].axes)]
    if not tolerance_c > 0:
        raise HeatError("The tolerance must be positive.")
    first = np.asarray(start_c, dtype=float)
    if not (first.min() > -40 and first.max() < 300):
        raise HeatError("A start temperature lies between −40 and 300 °C.")
    usual = DRYING_CELLS if material.water_kg_m3 and any(s.evaporates for s in stages) else CELLS
    n, single = cells or usual[len(pieces[0].axes)], isinstance(piece, Piece)
    plain = list(takewhile(lambda s: is_plain(material, s), stages))
    modal = Modal(pieces, material, first, n, plain, longest_step_s) if plain else None
    if modal is not None and len(plain) == len(stages):
        finer = tolerance_c < _SECOND_CUT_C and n >= 2 * FEWEST_CELLS
        return CookedByModes(modal, Modal(pieces, material, first, n // 2, plain, longest_step_s) if finer else None, single)
    marcher = _Marcher(Field(pieces, material, first, n), tolerance_c)
    ends: list[float] = []
    if modal is not None:
        marcher.follow(modal)
        ends += modal.ends_s
    for stage in stages[len(ends):]:
        last = enough is not None and stage is stages[-1]
        marcher.through(stage, longest_step_s, (lambda: enough(marcher.result((), single))) if last and enough else None)
        ends.append(marcher.now)
    return marcher.result(tuple(ends), single)


class _Marcher:
    """Chooses steps, and keeps the log."""

    def __init__(self, field: Field, tolerance_c: float):
        self.field, self.tolerance = field, tolerance_c
        self.now, self.count, self.error = 0.0, 0, 0.0
        self.rows: list[tuple[float, NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]] = []
        self.log()

    def log(self) -> None:
        f = self.field
        lost = f.lost_kg() / (f.whole * f.material.density_kg_m3)
        self.rows.append((self.now, f.core(), f.surface_c, f.mean(), lost, f.crust()))

    def follow(self, modal: Modal) -> None:
        """Begin where the modes left off."""
        f = self.field
        f.t = modal.field()
        taken, _, crossed = modal.heat()
        f.taken, f.crossed = (x * f.whole * f.material.capacity_j_m3k for x in (taken, crossed))
        self.now, self.count = modal.now, len(modal.courses)
        nothing = np.zeros(f.whole.shape)
        times, read = modal.log()
        self.rows = [(float(t), *read[:, i], nothing, nothing) for i, t in enumerate(times)]
        f.surface_c = self.rows[-1][2]

    def through(self, stage: Stage, longest_step_s: float | None, enough: Callable[[], bool] | None = None) -> None:
        seconds = float(stage.minutes) * 60
        if not (seconds > 0 and np.isfinite(seconds)):
            raise HeatError(f"The stage “{stage.kind}” lasts {stage.minutes:g} minutes; it must last some.")
        f, done = self.field, 0.0
        wet = stage.evaporates and f.material.water_kg_m3 > 0
        longest = min(longest_step_s or seconds / 40, seconds)
        outer = min(float((np.diff(a.face_m, axis=0)[-1] ** 2).min()) for a in f.axes)
        dt = min(longest, 0.1 * outer / f.material.diffusivity_m2_s)
        order = 2 if wet else 3
        while done < seconds * (1 - 1e-12):
            dt = min(dt, seconds - done)
            error, core_error = (self._drying if wet else self._still)(stage, done, dt)
            if not error <= 1.0000001:
                dt *= 0.25 if not np.isfinite(error) else max(_SHRINK, _SAFETY * (1 / error) ** (1 / order))
                if dt < _SMALLEST_S:
                    raise HeatError("The sum doesn't settle: sizes, temperatures or properties are out of the ordinary.")
                continue
            done += dt
            self.now += dt
            self.count += 1
            self.error += core_error
            f.surface_c = f.skin(surroundings(stage, done))
            self.log()
            if enough is not None and self.count % _ASKED == 0 and enough():
                return
            dt = min(longest, dt * min(_GROWTH, _SAFETY * (1 / max(error, 1e-12)) ** (1 / order)))

    def _still(self, stage: Stage, done: float, dt: float) -> tuple[float, float]:
        """(worst error of a cell as a share of what is allowed, error of the core in °C) of a step without evaporation.

        The field is left as it was where the error is too large, or not finite where the inner iteration didn't settle.
        """
        f, worst, core = self.field, 0.0, 0.0
        around = (surroundings(stage, done), surroundings(stage, done + conduction.GAMMA * dt), surroundings(stage, done + dt))
        order = range(len(f.axes)) if self.count % 2 == 0 else range(len(f.axes) - 1, -1, -1)
        dryness, before = f.dryness(), f.t
        taken, crossed = f.taken, f.crossed
        for i in order:
            got = conduction.step(f.axes[i], f.lines(f.t, i), dt, f.material, around, None if dryness is None else f.lines(dryness, i), self.tolerance)
            worst += float(got.error_c.max()) / self.tolerance if got.converged else np.inf
            if not worst <= 1.0000001:
                f.t = before
                return worst, 0.0
            core += float(got.error_c[0].max())
            f.t = f.back(got.temperature_c, i)
            cross = f.cross_section(i)
            taken = taken + (got.taken_j * cross).sum(0)
            crossed = crossed + (np.abs(got.taken_j) * cross).sum(0)
        f.taken, f.crossed = taken, crossed
        return worst, core

    def _drying(self, stage: Stage, done: float, dt: float) -> tuple[float, float]:
        """The same of a step that evaporates."""
        f = self.field
        got = drying.step(f, dt, (surroundings(stage, done), surroundings(stage, done + dt)))
        # by volume, root mean square of a piece: crust is thin and follows the oven at once
        error = float(np.sqrt((f.total(got.error_c**2 * f.volume) / f.whole).max())) / (_COMPANION * self.tolerance)
        error = max(error, float(got.error_c.max()) / _WORST_OF_A_CELL_C, (got.drawn / _MOST_OF_A_CELL) ** 2, got.water_error / _WATER_ERROR)
        if got.overdrawn > _OVERDRAWN:
            error = max(error, 4.0)
        if not error <= 1.0000001:
            return error, 0.0
        f.t, f.water = got.temperature_c, got.water
        f.taken, f.latent, f.carried, f.crossed = f.taken + got.taken, f.latent + got.latent, f.carried + got.carried, f.crossed + got.crossed
        return error, float(got.error_c[(0,) * len(f.axes)].max())

    def result(self, ends: tuple[float, ...], single: bool) -> Cooked:
        f = self.field
        gained = f.heat() - f.start_heat
        lacking = np.abs(f.taken - gained - f.latent - f.carried)
        balance = float((lacking / np.maximum(f.crossed, 1e-30)).max())
        core, surface, mean, lost, crust = (shown(np.array([r[i] for r in self.rows]), single) for i in range(1, 6))
        taken, gain, latent, carried = (shown(x / f.whole, single) for x in (f.taken, gained, f.latent, f.carried))
        times = np.array([r[0] for r in self.rows])
        return Cooked(
            times, core, surface, mean, lost, crust, ends, taken, gain, latent, carried, balance, self.error, self.count
        )
