"""One implicit step of conduction along an axis, for many lines of cells at once, where nothing evaporates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .material import Material
from .piece import Axis
from .surface import Crossing, Surroundings, crossing
from .tridiagonal import solve

# TR-BDF2 as a diagonally implicit scheme of second order with a third-order companion (Hosea & Shampine 1996)
GAMMA = 2 - np.sqrt(2)
D = GAMMA / 2
W = np.sqrt(2) / 4
_ERROR = (W - (1 - W) / 3, W - (3 * W + 1) / 3, 2 * D / 3)
_MOST_ITERATIONS = 20


@dataclass(frozen=True, eq=False)
class Flow:
    """Heat into each cell (W, a unit of the other sizes), how it changes with temperature, and what crosses the surface."""

    into: NDArray[np.float64]
    diagonal: NDArray[np.float64]
    off_diagonal: NDArray[np.float64]
    across: Crossing


@dataclass(frozen=True, eq=False)
class Stepped:
    """A step's outcome: temperatures, its error estimate (°C), the heat each line took, and whether the inner iterations settled."""

    temperature_c: NDArray[np.float64]
    error_c: NDArray[np.float64]
    taken_j: NDArray[np.float64]
    converged: bool


def conductivity(material: Material, t: NDArray[np.float64], dryness: NDArray[np.float64] | None) -> NDArray[np.float64]:
    """W/(m·K) of cells that are wet (dryness 0) to dry crust (1)."""
    k = material.conductivity(t)
    return k if dryness is None else k + dryness * (material.crust_conductivity_w_mk - k)


def flow(axis: Axis, t: NDArray[np.float64], material: Material, around: Surroundings, dryness: NDArray[np.float64] | None) -> Flow:
    """Heat into every cell at the temperatures t, shape (n, lines, p)."""
    k = conductivity(material, t, dryness)
    half = (axis.face_m[1:] - axis.centre_m) / k
    inner = (axis.centre_m - axis.face_m[:-1]) / k
    g = axis.area[1:-1] / (half[:-1] + inner[1:])
    between = g * np.diff(t, axis=0)
    outer = axis.area[-1]
    across = crossing(around, t[-1], 1 / half[-1], None, None, material.water_activity)
    into, diagonal = np.zeros_like(t), np.zeros_like(t)
    into[:-1] += between
    into[1:] -= between
    into[-1] += outer * across.inward_w_m2
    diagonal[:-1] -= g
    diagonal[1:] -= g
    diagonal[-1] += outer * across.slope
    return Flow(into, diagonal, g, across)


def step(
    axis: Axis, t0: NDArray[np.float64], dt: float, material: Material, around: tuple[Surroundings, Surroundings, Surroundings],
    dryness: NDArray[np.float64] | None, tolerance_c: float,
) -> Stepped:
    """One step of length dt from t0, shape (n, lines, p).

    Parameters: around, at the start, at γ·dt and at the end; dryness of the cells, or None where none has dried. Heat content is what
        is stepped, so what crosses the surface is what the cells gain, to the tolerance of the inner iteration (a thousandth of
        `tolerance_c`).
    """
    volume = axis.volume if dryness is None else axis.volume * (1 - dryness * material.water_share)
    start = volume * material.heat_and_capacity(t0)[0]
    first = flow(axis, t0, material, around[0], dryness)
    t1, second, _, ok1 = _stage(axis, t0, start + dt * D * first.into, dt * D, volume, material, around[1], dryness, tolerance_c)
    third_from = start + dt * W * (first.into + second.into)
    t2, third, matrix, ok2 = _stage(axis, t1, third_from, dt * D, volume, material, around[2], dryness, tolerance_c)
    flows, weights = (first, second, third), (W, W, D)
    error = solve(*matrix, dt * sum(w * f.into for w, f in zip(_ERROR, flows, strict=True)))
    taken = dt * sum(w * axis.area[-1] * f.across.taken_w_m2 for w, f in zip(weights, flows, strict=True))
    return Stepped(t2, np.abs(error), taken, ok1 and ok2)


_Matrix = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]


def _stage(
    axis: Axis, t: NDArray[np.float64], wanted: NDArray[np.float64], dtd: float, volume: NDArray[np.float64], material: Material,
    around: Surroundings, dryness: NDArray[np.float64] | None, tolerance_c: float,
) -> tuple[NDArray[np.float64], Flow, _Matrix, bool]:
    """Temperatures whose heat content less dtd times the flow is `wanted` (Newton; conductivities from the last iterate)."""
    enough = 1e-3 * tolerance_c
    for _ in range(_MOST_ITERATIONS):
        now = flow(axis, t, material, around, dryness)
        heat, capacity = material.heat_and_capacity(t)
        missing = wanted - volume * heat + dtd * now.into
        off = -dtd * now.off_diagonal
        matrix = (off, volume * capacity - dtd * now.diagonal, off)
        if np.abs(missing / (volume * capacity)).max() < enough:
            return t, now, matrix, True
        t = t + solve(*matrix, missing)
    return t, now, matrix, False
