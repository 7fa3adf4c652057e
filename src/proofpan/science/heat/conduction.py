"""One implicit step of conduction along an axis, for many lines of cells at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .material import Material
from .piece import Axis
from .steam import vaporisation_j_kg
from .surface import Crossing, Surroundings, crossing, vapour_flux
from .tridiagonal import solve

# TR-BDF2 as a diagonally implicit scheme of second order with a third-order companion (Hosea & Shampine 1996)
GAMMA = 2 - np.sqrt(2)
D = GAMMA / 2
W = np.sqrt(2) / 4
_ERROR = (W - (1 - W) / 3, W - (3 * W + 1) / 3, 2 * D / 3)
_MOST_ITERATIONS = 20


@dataclass(frozen=True, eq=False)
class Wet:
    """Where each line's water begins, at one moment.

    Attributes: share, shape (n, lines, p), of the line's evaporation that happens in each cell; surface_share, (lines, p), that
        happens at the very surface; dry_m, (lines, p), crust above the front; dryness, (n, lines, p), 0 wet to 1 dry.
    """

    share: NDArray[np.float64]
    surface_share: NDArray[np.float64]
    dry_m: NDArray[np.float64]
    dryness: NDArray[np.float64]

    def sealed(self) -> Wet:
        """The same crust where nothing evaporates."""
        return Wet(np.zeros_like(self.share), np.zeros_like(self.surface_share), self.dry_m, self.dryness)


@dataclass(frozen=True, eq=False)
class Flow:
    """Heat into each cell (W, a unit of the other sizes), how it changes with temperature, and what crosses the surface."""

    into: NDArray[np.float64]
    diagonal: NDArray[np.float64]
    off_diagonal: NDArray[np.float64]
    across: Crossing
    vapour_kg_s: NDArray[np.float64]
    latent_w: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Stepped:
    """A step's outcome: temperatures, its error estimate (°C), and per line the heat taken, latent heat and water lost."""

    temperature_c: NDArray[np.float64]
    error_c: NDArray[np.float64]
    taken_j: NDArray[np.float64]
    latent_j: NDArray[np.float64]
    vapour_kg: NDArray[np.float64]
    converged: bool


def drawn_out(
    axis: Axis, water: NDArray[np.float64], due: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(water left, what could not be given): each line's due, kg, comes out of its outermost wet cell, then the next inwards."""
    left, due = water.copy(), due.copy()
    for j in range(water.shape[0] - 1, -1, -1):
        gives = np.minimum(left[j], due / axis.volume[j])
        left[j] -= gives
        due = due - gives * axis.volume[j]
        if not due.any():
            break
    return left, due


def where_wet(axis: Axis, water: NDArray[np.float64], full_kg_m3: float) -> Wet:
    """Each line's front, in the outermost cell that still holds water.

    The front lies as deep in that cell as it is dry, and its evaporation is shared between the two cell middles (or the surface)
    on either side of it, so that nothing jumps as it goes from cell to cell.
    """
    n = water.shape[0]
    holds = water > 1e-9 * full_kg_m3
    last = n - 1 - np.argmax(holds[::-1], axis=0)
    cell = np.arange(n)[:, None, None]
    any_water = holds.any(axis=0)
    dryness = 1 - water / full_kg_m3
    deep = np.take_along_axis(dryness, last[None], axis=0)[0]
    outer, inner = np.maximum(0.5 - deep, 0.0), np.maximum(deep - 0.5, 0.0)
    at_surface = last == n - 1
    surface_share = np.where(at_surface & any_water, 2 * outer, 0.0)
    inner = np.where(last > 0, inner, 0.0)
    outer = np.where(at_surface, 0.0, outer)
    # a front nearer to the surface than the outermost cell's middle is the surface balance's own
    own = np.where(any_water & (surface_share == 0), 1 - outer - inner, 0.0)
    share = own * (cell == last) + np.where(any_water, outer, 0.0) * (cell == last + 1) + np.where(any_water, inner, 0.0) * (cell == last - 1)
    width = np.diff(axis.face_m, axis=0)
    dry_m = (width * (cell > last)).sum(0) + (width * dryness * (cell == last)).sum(0)
    return Wet(share, surface_share, dry_m, dryness)


def flow(axis: Axis, t: NDArray[np.float64], material: Material, around: Surroundings, wet: Wet | None) -> Flow:
    """Heat into every cell at the temperatures t, shape (n, lines, p)."""
    k = material.conductivity(t)
    if wet is not None:
        k = k + wet.dryness * (material.crust_conductivity_w_mk - k)
    half = (axis.face_m[1:] - axis.centre_m) / k
    inner = (axis.centre_m - axis.face_m[:-1]) / k
    g = axis.area[1:-1] / (half[:-1] + inner[1:])
    between = g * np.diff(t, axis=0)
    outer = axis.area[-1]
    activity = material.water_activity
    across = crossing(around, t[-1], 1 / half[-1], None if wet is None else wet.surface_share, None if wet is None else wet.dry_m, activity)
    into = np.zeros_like(t)
    into[:-1] += between
    into[1:] -= between
    into[-1] += outer * across.inward_w_m2
    diagonal = np.zeros_like(t)
    diagonal[:-1] -= g
    diagonal[1:] -= g
    diagonal[-1] += outer * across.slope
    vapour, latent, off = outer * across.vapour_kg_m2s, outer * across.latent_w_m2, g
    if wet is not None and around.evaporates:
        deep = _from_within(axis, t, around, wet, activity)
        if deep is not None:
            lost, heat, slope = deep
            into -= wet.share * heat
            diagonal -= wet.share**2 * slope
            off = g - wet.share[:-1] * wet.share[1:] * slope
            vapour, latent = vapour + lost, latent + heat
    return Flow(into, diagonal, off, across, vapour, latent)


def _from_within(
    axis: Axis, t: NDArray[np.float64], around: Surroundings, wet: Wet, activity: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]] | None:
    """(vapour kg/s, its latent heat W, slope W/K) of fronts below the outermost cell's middle; None where there are none."""
    deep = (wet.surface_share == 0) & wet.share.any(axis=0)
    if not deep.any():
        return None
    front = (wet.share * t).sum(0)
    area = (wet.share * axis.area[1:]).sum(0)
    rate, slope = vapour_flux(around, front, wet.dry_m, activity)
    heat = np.where(deep, vaporisation_j_kg(np.clip(front, 0.0, 200.0)) * area, 0.0)
    return np.where(deep, area * rate, 0.0), heat * rate, heat * slope


def step(
    axis: Axis, t0: NDArray[np.float64], dt: float, material: Material, around: tuple[Surroundings, Surroundings, Surroundings],
    wet: tuple[Wet, Wet, Wet] | None, tolerance_c: float,
) -> Stepped:
    """One step of length dt from t0, shape (n, lines, p).

    Parameters: around, and wet, at the start, at γ·dt and at the end. Heat content is what is stepped, so what crosses the surface is what the
        cells gain, to the tolerance of the inner iteration (a thousandth of `tolerance_c`).
    """
    fronts = wet or (None, None, None)
    share = 1.0 if wet is None else 1 - wet[0].dryness * material.water_share
    volume = axis.volume * share
    start = volume * material.heat_and_capacity(t0)[0]
    first = flow(axis, t0, material, around[0], fronts[0])
    t1, second, _, ok1 = _stage(axis, t0, start + dt * D * first.into, dt * D, volume, material, around[1], fronts[1], tolerance_c)
    third_from = start + dt * W * (first.into + second.into)
    t2, third, matrix, ok2 = _stage(axis, t1, third_from, dt * D, volume, material, around[2], fronts[2], tolerance_c)
    flows, weights = (first, second, third), (W, W, D)
    raw = dt * sum(w * f.into for w, f in zip(_ERROR, flows, strict=True))
    error = solve(*matrix, raw)
    return Stepped(
        t2,
        np.abs(error),
        dt * sum(w * axis.area[-1] * f.across.taken_w_m2 for w, f in zip(weights, flows, strict=True)),
        dt * sum(w * f.latent_w for w, f in zip(weights, flows, strict=True)),
        dt * sum(w * f.vapour_kg_s for w, f in zip(weights, flows, strict=True)),
        ok1 and ok2,
    )


_Matrix = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]


def _stage(
    axis: Axis, t: NDArray[np.float64], wanted: NDArray[np.float64], dtd: float, volume: NDArray[np.float64], material: Material,
    around: Surroundings, wet: Wet | None, tolerance_c: float,
) -> tuple[NDArray[np.float64], Flow, _Matrix, bool]:
    """Temperatures whose heat content less dtd times the flow is `wanted` (Newton; conductivities from the last iterate)."""
    enough = 1e-3 * tolerance_c
    for _ in range(_MOST_ITERATIONS):
        now = flow(axis, t, material, around, wet)
        heat, capacity = material.heat_and_capacity(t)
        missing = wanted - volume * heat + dtd * now.into
        off = -dtd * now.off_diagonal
        matrix = (off, volume * capacity - dtd * now.diagonal, off)
        if np.abs(missing / (volume * capacity)).max() < enough:
            return t, now, matrix, True
        t = t + solve(*matrix, missing)
    return t, now, matrix, False
