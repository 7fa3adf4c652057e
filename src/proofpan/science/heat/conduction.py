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
    """Where each line's water begins, held during a step.

    Attributes: front, shape (n, lines, p), True in the one cell that dries; outermost, (lines, p), True where that is the last cell;
        dry_m, (lines, p), crust above the front; dryness, (n, lines, p), 0 wet to 1 dry.
    """

    front: NDArray[np.bool_]
    outermost: NDArray[np.bool_]
    dry_m: NDArray[np.float64]
    dryness: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Flow:
    """Heat into each cell (W, a unit of the other sizes), how it changes with temperature, and what crosses the surface."""

    into: NDArray[np.float64]
    lower: NDArray[np.float64]
    diagonal: NDArray[np.float64]
    upper: NDArray[np.float64]
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
    surface_c: NDArray[np.float64]
    converged: bool


def where_wet(axis: Axis, water: NDArray[np.float64], full_kg_m3: float) -> Wet:
    """Each line's front: the outermost cell that still holds water."""
    n = water.shape[0]
    holds = water > 1e-9 * full_kg_m3
    last = n - 1 - np.argmax(holds[::-1], axis=0)
    front = (np.arange(n)[:, None, None] == last) & holds.any(axis=0)
    dryness = 1 - water / full_kg_m3
    width = np.diff(axis.face_m, axis=0)
    above = np.arange(n)[:, None, None] > last
    dry_m = (width * above).sum(0) + (width * dryness * front).sum(0)
    return Wet(front, front[-1], dry_m, dryness)


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
    across = crossing(around, t[-1], 1 / half[-1], None if wet is None else wet.outermost, None if wet is None else wet.dry_m, activity)
    into = np.zeros_like(t)
    into[:-1] += between
    into[1:] -= between
    into[-1] += outer * across.inward_w_m2
    diagonal = np.zeros_like(t)
    diagonal[:-1] -= g
    diagonal[1:] -= g
    diagonal[-1] += outer * across.slope
    vapour = outer * across.vapour_kg_m2s
    latent = outer * (across.taken_w_m2 - across.inward_w_m2)
    if wet is not None:
        vapour, latent = _from_within(axis, t, around, wet, activity, into, diagonal, vapour, latent)
    return Flow(into, g, diagonal, g, across, vapour, latent)


def _from_within(
    axis: Axis, t: NDArray[np.float64], around: Surroundings, wet: Wet, activity: float, into: NDArray[np.float64],
    diagonal: NDArray[np.float64], vapour: NDArray[np.float64], latent: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Add the front's evaporation where it lies below the outermost cell; changes `into` and `diagonal`."""
    inside = wet.front.copy()
    inside[-1] = False
    if not inside.any():
        return vapour, latent
    at = np.where(inside, t, 0.0).sum(0)
    area = np.where(inside, axis.area[1:], 0.0).sum(0)
    rate, slope = vapour_flux(around, at, wet.dry_m, activity)
    heat = vaporisation_j_kg(np.clip(at, 0.0, 200.0))
    lost = area * rate
    into -= np.where(inside, heat * lost, 0.0)
    diagonal -= np.where(inside, heat * area * slope, 0.0)
    return vapour + lost, latent + heat * lost


def step(
    axis: Axis, t0: NDArray[np.float64], dt: float, material: Material, around: tuple[Surroundings, Surroundings, Surroundings],
    wet: Wet | None, tolerance_c: float,
) -> Stepped:
    """One step of length dt from t0, shape (n, lines, p).

    Parameters: around at the start, at γ·dt and at the end. Heat content is what is stepped, so what crosses the surface is what the
        cells gain, to the tolerance of the inner iteration (a thousandth of `tolerance_c`).
    """
    share = 1.0 if wet is None else 1 - wet.dryness * material.water_share
    volume = axis.volume * share
    start = volume * material.heat_and_capacity(t0)[0]
    first = flow(axis, t0, material, around[0], wet)
    t1, second, _, ok1 = _stage(axis, t0, start + dt * D * first.into, dt * D, volume, material, around[1], wet, tolerance_c)
    third_from = start + dt * W * (first.into + second.into)
    t2, third, matrix, ok2 = _stage(axis, t1, third_from, dt * D, volume, material, around[2], wet, tolerance_c)
    flows, weights = (first, second, third), (W, W, D)
    raw = dt * sum(w * f.into for w, f in zip(_ERROR, flows, strict=True))
    error = solve(*matrix, raw)
    return Stepped(
        t2,
        np.abs(error),
        dt * sum(w * axis.area[-1] * f.across.taken_w_m2 for w, f in zip(weights, flows, strict=True)),
        dt * sum(w * f.latent_w for w, f in zip(weights, flows, strict=True)),
        dt * sum(w * f.vapour_kg_s for w, f in zip(weights, flows, strict=True)),
        third.across.surface_c,
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
        matrix = (-dtd * now.lower, volume * capacity - dtd * now.diagonal, -dtd * now.upper)
        if np.abs(missing / (volume * capacity)).max() < enough:
            return t, now, matrix, True
        t = t + solve(*matrix, missing)
    return t, now, matrix, False
