"""What crosses a piece's surface: convection, radiation, and evaporation from a wet front that draws back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .steam import STANDARD_PRESSURE_KPA, saturation_pressure_kpa, vaporisation_j_kg
from .transfer import STEFAN_BOLTZMANN

VAPOUR_J_KGK = 461.5  # gas constant of water vapour
AIR_J_M3K = 955.0  # ρ·c of air near 100 °C (Incropera et al. table A.4, from memory)
LEWIS = 0.86  # thermal diffusivity of air over that of vapour in it, from memory
CRUST_VAPOUR_M2_S = 8e-6  # vapour through a dry porous crust: 4e-5 m²/s in air at 100 °C × porosity/tortuosity 0.2; no one source
NEAR_BOILING = 0.98  # of the air's pressure: beyond it the law's logarithm goes on as its tangent, so that it stays finite

_GRID_A_DEGREE = 4
_GRID_C = np.arange(370 * _GRID_A_DEGREE + 1) / _GRID_A_DEGREE
_GRID_KPA = saturation_pressure_kpa(_GRID_C)
_SLOPE_KPA = np.gradient(_GRID_KPA, _GRID_C)
_LAST = len(_GRID_C) - 2


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What is around the pieces at one moment; each value is a number or shape (p,), one a piece.

    Attributes: ambient_c; heat_transfer_w_m2k; walls_c; emissivity; evaporates; pressure_kpa of the air; vapour_kpa in it.
    """

    ambient_c: NDArray[np.float64]
    heat_transfer_w_m2k: NDArray[np.float64]
    walls_c: NDArray[np.float64]
    emissivity: NDArray[np.float64]
    evaporates: bool = False
    pressure_kpa: NDArray[np.float64] | float = STANDARD_PRESSURE_KPA
    vapour_kpa: NDArray[np.float64] | float = 1.0

    def of(self, lanes: NDArray[np.intp]) -> Surroundings:
        """The same for picked pieces, by their place."""
        def picked(x: NDArray[np.float64] | float) -> NDArray[np.float64]:
            x = np.asarray(x, dtype=float)
            return x[lanes] if x.ndim and x.size > 1 else x

        return Surroundings(picked(self.ambient_c), picked(self.heat_transfer_w_m2k), picked(self.walls_c), picked(self.emissivity), self.evaporates,
                            picked(self.pressure_kpa), picked(self.vapour_kpa))

    @property
    def radiates(self) -> bool:
        """Whether any piece exchanges radiation."""
        return bool(np.any(self.emissivity > 0))


def vapour_flux(
    around: Surroundings, temperature_c: NDArray[np.float64], dry_m: NDArray[np.float64], activity: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(kg/(m²·s) leaving a wet front, its slope with the front's temperature).

    Parameters: temperature_c of the front; dry_m, thickness of crust above it; activity of its water.
    Source: Stefan diffusion, m = K·ln((p − p_air)/(p − p_front)), K = p/(R_v·T)/(1/h_m + s/D), and Chilton–Colburn,
        h_m = h/(ρ·c·Le^⅔) (Incropera et al. §6.7 and 14.2). Air takes no water back: never below zero.
    """
    p = around.pressure_kpa
    # an even grid needs no search, and one place serves both tables
    place = np.minimum(np.maximum(temperature_c, 0.0), 370.0) * _GRID_A_DEGREE
    cell = np.minimum(place.astype(np.intp), _LAST)
    part = place - cell
    front, slope = (activity * (low + part * (table[cell + 1] - low)) for table in (_GRID_KPA, _SLOPE_KPA) for low in (table[cell],))
    mass_transfer = np.maximum(around.heat_transfer_w_m2k, 1e-6) / (AIR_J_M3K * LEWIS ** (2 / 3))
    k = 1000 * p / (VAPOUR_J_KGK * 373.15) / (1 / mass_transfer + dry_m / CRUST_VAPOUR_M2_S)
    near = NEAR_BOILING * p
    below = np.minimum(front, near)
    gap = p - below
    flux = k * (np.log((p - around.vapour_kpa) / gap) + (front - below) / gap)
    return np.where(flux > 0, flux, 0.0), np.where(flux > 0, k * slope / gap, 0.0)


@dataclass(frozen=True, eq=False)
class Crossing:
    """Heat and vapour across each line's surface.

    Attributes: surface_c; inward_w_m2, into the outermost cell net of what evaporates there, and its slope with that cell's
        temperature; taken_w_m2, from the air and walls; vapour_kg_m2s and latent_w_m2 of a front at or just under the surface, and
        their slopes with the cell's temperature.
    """

    surface_c: NDArray[np.float64]
    inward_w_m2: NDArray[np.float64]
    slope: NDArray[np.float64]
    taken_w_m2: NDArray[np.float64]
    vapour_kg_m2s: NDArray[np.float64]
    latent_w_m2: NDArray[np.float64]
    vapour_slope: NDArray[np.float64]
    latent_slope: NDArray[np.float64]


def crossing(
    around: Surroundings, cell_c: NDArray[np.float64], half_cell_w_m2k: NDArray[np.float64], at_surface: NDArray[np.float64] | None,
    dry_m: NDArray[np.float64] | None, activity: float,
) -> Crossing:
    """The surface's balance: conduction inwards = convection + radiation − evaporation.

    Parameters: cell_c, the outermost cell; half_cell_w_m2k, conductance from its middle to the surface; at_surface, how near to the
        surface each line's front is, 1 at it and 0 at that cell's middle or deeper (None: nothing evaporates); dry_m, crust above it.
        The front's temperature runs straight between surface and middle, and its heat is taken from both in that proportion.
    """
    h, ambient, half = around.heat_transfer_w_m2k, around.ambient_c, half_cell_w_m2k
    nothing = np.zeros_like(cell_c)
    if not around.radiates and at_surface is None:
        through = half * h / (half + h)
        inward = through * (ambient - cell_c)
        return Crossing(cell_c + inward / half, inward, -through, inward, nothing, nothing, nothing, nothing)
    emitted = around.emissivity * STEFAN_BOLTZMANN
    walls = (around.walls_c + 273.15) ** 4
    s = (half * cell_c + h * ambient) / (half + h)
    share = nothing if at_surface is None else at_surface
    evaporates = dry_m is not None and bool(share.any())
    vapour = vapour_slope = latent = nothing
    # bracketed Newton: the balance falls with s all the way, so a step outside what is known is cut back to the middle
    low, high = np.full_like(s, -60.0), np.full_like(s, 2000.0)
    for _ in range(40):
        if evaporates and dry_m is not None:
            front = share * s + (1 - share) * cell_c
            vapour, vapour_slope = vapour_flux(around, front, dry_m, activity)
            latent = np.where(share > 0, vaporisation_j_kg(np.clip(front, 0.0, 200.0)), 0.0)
        kelvin = s + 273.15
        taken = h * (ambient - s) + emitted * (walls - kelvin**4)
        left = taken - latent * share * vapour - half * (s - cell_c)
        falls = half + h + 4 * emitted * kelvin**3 + latent * share**2 * vapour_slope
        low, high = np.where(left > 0, s, low), np.where(left < 0, s, high)
        step = left / falls
        after = s + step
        s = np.where((after >= low) & (after <= high), after, (low + high) / 2)
        if np.abs(step).max() < 1e-9:
            break
    follows = (half - latent * share * (1 - share) * vapour_slope) / falls  # how the surface follows the cell
    own = latent * (1 - share)
    inward = half * (s - cell_c) - own * vapour
    front_follows = np.where(latent > 0, vapour_slope * (share * follows + 1 - share), 0.0)
    slope = half * (follows - 1) - own * front_follows
    given = np.where(latent > 0, vapour, 0.0)
    return Crossing(s, inward, slope, inward + latent * given, given, latent * given, front_follows, latent * front_follows)
