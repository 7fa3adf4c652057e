"""One step of a piece that evaporates: heat inwards, vapour outwards from wherever the water begins, over all sizes at once."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from .conduction import conductivity
from .field import Field, nearness
from .steam import vaporisation_j_kg
from .surface import Surroundings, crossing, vapour_flux
from .tridiagonal import solve

# ROS2: second order whatever the matrix, so that the matrix may be a product of one factor a size (Verwer et al. 1999; Hundsdorfer &
# Verwer 2003, §IV.5); its companion of first order gives the error
GAMMA = 1 + 1 / np.sqrt(2)  # the larger root: with the smaller the companion would swing in stiff cells
LAST_WATER = 0.2  # a cell gives its water freely down to this share, then ever more slowly, and the next one inwards the rest
_NO_SHARE = 1e-4


@dataclass(frozen=True, eq=False)
class Dried:
    """A step's outcome: temperatures and water after it, its error estimate (°C), and per piece what it took and gave, J.

    `drawn` is the largest share of a cell's water taken or given in the step or its first half, `water_error` the largest error of that
    share, `overdrawn` what a cell gave that it hadn't, as a share.
    """

    temperature_c: NDArray[np.float64]
    water: NDArray[np.float64]
    error_c: NDArray[np.float64]
    drawn: float
    water_error: float
    overdrawn: float
    taken: NDArray[np.float64]
    latent: NDArray[np.float64]
    carried: NDArray[np.float64]
    crossed: NDArray[np.float64]


def step(field: Field, dt: float, around: tuple[Surroundings, Surroundings]) -> Dried:
    """One step of length dt from the field's temperatures and water, which it leaves as they are.

    Parameters: around, at the start and at the end. What is stepped is heat content less what vapour takes along, so heat and water
        are accounted for to rounding.
    """
    f, m = field, field.material
    start = f.volume * f.share() * m.heat_and_capacity(f.t)[0]
    first = _Rates(f, f.t, f.water, around[0])
    k1, turned1 = first.solved(dt, dt * first.into)
    water1 = f.water - (dt * first.vapour + turned1.vapour) / f.volume
    second = _Rates(f, _temperature(f, start + first.capacity * k1, water1), water1, around[1])
    # the matrix stays the first one's: the scheme keeps its order with any
    k2, turned2 = first.solved(dt, dt * second.into - 2 * first.capacity * k1)
    after = start + first.capacity * (1.5 * k1 + 0.5 * k2)

    def summed(a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64], d: NDArray[np.float64]) -> NDArray[np.float64]:
        return dt / 2 * (a + b) + (c + d) / 2

    # rounding too would part a cube's sides, since what happens along the first size is taken for all
    vapour = f.evened(summed(first.vapour, second.vapour, turned1.vapour, turned2.vapour))
    water = f.water - vapour / f.volume
    return Dried(
        f.evened(_temperature(f, after, water)), water, np.abs(k1 + k2) / 2, float(np.abs(f.water - water).max()) / m.water_kg_m3,
        float(np.abs(water - water1).max()) / m.water_kg_m3, -float(min(water.min(), water1.min())) / m.water_kg_m3,
        f.total(summed(first.taken, second.taken, turned1.taken, turned2.taken)),
        f.total(summed(first.latent, second.latent, turned1.latent, turned2.latent)),
        f.total(summed(first.carried, second.carried, turned1.carried, turned2.carried)),
        f.total(dt / 2 * (np.abs(first.taken) + np.abs(second.taken))),
    )


def _temperature(f: Field, heat: NDArray[np.float64], water: NDArray[np.float64]) -> NDArray[np.float64]:
    return f.material.temperature(heat / (f.volume * f.share(water)))


@dataclass(frozen=True, eq=False)
class _Turned:
    """What the matrix adds to heat taken, latent heat, heat carried off (J) and vapour (kg), by cell."""

    taken: NDArray[np.float64]
    latent: NDArray[np.float64]
    carried: NDArray[np.float64]
    vapour: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class _Along:
    """What happens along one size, by cell: heat in (W), from air and walls (W), vapour (kg/s), its latent heat (W), and slopes by temperature.

    `between` is the conductance from each cell to the next.
    """

    into: NDArray[np.float64]
    between: NDArray[np.float64]
    taken: NDArray[np.float64]
    taken_slope: NDArray[np.float64]
    vapour: NDArray[np.float64]
    vapour_slope: NDArray[np.float64]
    latent: NDArray[np.float64]
    latent_slope: NDArray[np.float64]

    def turned(self, i: int) -> _Along:
        """The same along size i of a piece whose sizes are all alike."""
        return _Along(*(np.swapaxes(getattr(self, field.name), 0, i) for field in fields(self)))


class _Rates:
    """Everything at one moment, and the matrix made of it."""

    def __init__(self, f: Field, t: NDArray[np.float64], water: NDArray[np.float64], around: Surroundings):
        self.f = f
        m = f.material
        heat, capacity = m.heat_and_capacity(t)
        self.capacity = f.volume * f.share(water) * capacity
        self.held = heat * m.water_share / m.water_kg_m3  # J, what a kilogram of vapour takes along of its own
        dryness = np.clip(1 - water / m.water_kg_m3, 0.0, 1.0)
        first = _along(f, 0, t, dryness, around)
        self.along = [first, *(first.turned(i) if f.alike else _along(f, i, t, dryness, around) for i in range(1, len(f.axes)))]
        self.vapour, self.latent, self.taken = (np.asarray(sum(getattr(a, n) for a in self.along)) for n in ("vapour", "latent", "taken"))
        self.carried = self.vapour * self.held
        self.into = sum(a.into for a in self.along) - self.carried

    def solved(self, dt: float, right: NDArray[np.float64]) -> tuple[NDArray[np.float64], _Turned]:
        """κ with Π(B − γ·dt·J)·κ = right, a factor a size, and what that adds to heat and water given and taken.

        B is heat capacity and all that hangs on a cell's own temperature (surface, evaporation); J, conduction between cells, is what
        is split: so the stiff part isn't.
        """
        g, x = GAMMA * dt, right
        vapour_slope, latent_slope, taken_slope = (np.asarray(sum(getattr(a, n) for a in self.along)) for n in
                                                   ("vapour_slope", "latent_slope", "taken_slope"))
        own = self.capacity + g * (vapour_slope * self.held + latent_slope - taken_slope)
        for i, a in enumerate(self.along):
            if i:
                x = own * x
            off = -g * self.f.lines(a.between, i)
            diagonal = self.f.lines(own, i).copy()
            diagonal[:-1] -= off
            diagonal[1:] -= off
            x = self.f.back(solve(off, diagonal, off, self.f.lines(x, i)), i)
        x = self.f.evened(x)
        return x, _Turned(g * taken_slope * x, g * latent_slope * x, g * vapour_slope * self.held * x, g * vapour_slope * x)


def _along(f: Field, i: int, t: NDArray[np.float64], dryness: NDArray[np.float64], around: Surroundings) -> _Along:
    """What happens along size i at the temperatures t."""
    m, axis = f.material, f.axes[i]
    t, dry = np.moveaxis(t, i, 0), np.moveaxis(dryness, i, 0)
    cross = np.moveaxis(f.volume / f.along(axis.volume, i), i, 0)
    face, centre, area = (np.moveaxis(f.along(x, i), i, 0) for x in (axis.face_m, axis.centre_m, axis.area))
    width = np.diff(face, axis=0)
    k = conductivity(m, t, dry)
    half, inner = (face[1:] - centre) / k, (centre - face[:-1]) / k
    between = area[1:-1] / (half[:-1] + inner[1:]) * cross[1:]
    through = between * np.diff(t, axis=0)
    outer = (area[-1] * cross[-1])
    zeros = np.zeros_like(t)
    into, taken, taken_slope, vapour, vapour_slope, latent, latent_slope = (zeros.copy() for _ in range(7))
    into[:-1] += through
    into[1:] -= through
    near = nearness(dry[-1])
    s = crossing(around, t[-1], 1 / half[-1], near, dry[-1] * width[-1], m.water_activity)
    taken[-1], taken_slope[-1] = outer * s.taken_w_m2, outer * (s.slope + s.latent_slope)
    vapour[-1], latent[-1] = outer * s.vapour_kg_m2s, outer * s.latent_w_m2
    vapour_slope[-1], latent_slope[-1] = outer * s.vapour_slope, outer * s.latent_slope
    into[-1] += outer * s.inward_w_m2
    share, above = _where_it_leaves(dry, width)
    share[-1] = np.where(near > 0, 0.0, share[-1])  # a front that near is the surface balance's own
    at = np.nonzero(share > _NO_SHARE)
    if at[0].size:
        lanes = at[-1]
        rate, slope = vapour_flux(around.of(lanes), t[at], above[at], m.water_activity)
        per_kg = vaporisation_j_kg(np.clip(t[at], 0.0, 200.0))
        through_m2 = share[at] * np.broadcast_to(area[1:] * cross, t.shape)[at]
        vapour[at] += through_m2 * rate
        vapour_slope[at] += through_m2 * slope
        latent[at] += through_m2 * rate * per_kg
        latent_slope[at] += through_m2 * slope * per_kg
        into[at] -= through_m2 * rate * per_kg
    return _Along(*(np.moveaxis(x, 0, i) for x in (into, between, taken, taken_slope, vapour, vapour_slope, latent, latent_slope)))


def _where_it_leaves(dry: NDArray[np.float64], width: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(share of a line's evaporation in each cell, crust above its front in metres), along the first axis.

    A cell takes part as far as the cells outside of it have nothing left to give; so nothing jumps as the front goes inwards.
    """
    gives = np.minimum((1 - dry) / LAST_WATER, 1.0)
    past = np.cumprod((1 - gives)[::-1], axis=0)[::-1]  # this cell and all outside of it exhausted
    outside = np.concatenate([past[1:], np.ones_like(past[:1])])
    crust = dry * width
    above = np.cumsum(crust[::-1], axis=0)[::-1]
    return outside * gives, above
