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

_GRID_C = np.linspace(0.0, 370.0, 1481)
_GRID_KPA = saturation_pressure_kpa(_GRID_C)
_SLOPE_KPA = np.gradient(_GRID_KPA, _GRID_C)


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
    p, inside = around.pressure_kpa, np.clip(temperature_c, 0.0, 370.0)
    front = activity * np.interp(inside, _GRID_C, _GRID_KPA)
    slope = activity * np.interp(inside, _GRID_C, _SLOPE_KPA)
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

    Attributes: surface_c; inward_w_m2, conducted into the outermost cell, and its slope with that cell's temperature;
        taken_w_m2, from the air and walls; vapour_kg_m2s, leaving at the very surface.
    """

    surface_c: NDArray[np.float64]
    inward_w_m2: NDArray[np.float64]
    slope: NDArray[np.float64]
    taken_w_m2: NDArray[np.float64]
    vapour_kg_m2s: NDArray[np.float64]


def crossing(
    around: Surroundings, cell_c: NDArray[np.float64], half_cell_w_m2k: NDArray[np.float64], wet: NDArray[np.bool_] | None,
    dry_m: NDArray[np.float64] | None, activity: float,
) -> Crossing:
    """The surface's balance: conduction inwards = convection + radiation − evaporation.

    Parameters: cell_c, the outermost cell; half_cell_w_m2k, conductance from its middle to the surface; wet, lines whose front
        lies in that cell (None: nothing evaporates); dry_m, crust above the front.
    """
    h, ambient = around.heat_transfer_w_m2k, around.ambient_c
    if not around.radiates and wet is None:
        through = half_cell_w_m2k * h / (half_cell_w_m2k + h)
        inward = through * (ambient - cell_c)
        return Crossing(cell_c + inward / half_cell_w_m2k, inward, -through, inward, np.zeros_like(inward))
    emitted = around.emissivity * STEFAN_BOLTZMANN
    walls = (around.walls_c + 273.15) ** 4
    s = (half_cell_w_m2k * cell_c + h * ambient) / (half_cell_w_m2k + h)
    vapour = vapour_slope = np.zeros_like(cell_c)
    # bracketed Newton: the balance falls with s all the way, so a step outside what is known is cut back to the middle
    low, high = np.full_like(s, -60.0), np.full_like(s, 2000.0)
    for _ in range(30):
        if wet is not None and dry_m is not None:
            vapour, vapour_slope = vapour_flux(around, s, dry_m, activity)
            vapour, vapour_slope = np.where(wet, vapour, 0.0), np.where(wet, vapour_slope, 0.0)
        kelvin = s + 273.15
        taken = h * (ambient - s) + emitted * (walls - kelvin**4)
        latent = vaporisation_j_kg(np.clip(s, 0.0, 200.0))
        left = taken - latent * vapour - half_cell_w_m2k * (s - cell_c)
        falls = -(h + 4 * emitted * kelvin**3 + latent * vapour_slope)
        low, high = np.where(left > 0, s, low), np.where(left < 0, s, high)
        step = left / (half_cell_w_m2k - falls)
        after = s + step
        s = np.where((after > low) & (after < high), after, (low + high) / 2)
        if np.abs(step).max() < 1e-9:
            break
    inward = half_cell_w_m2k * (s - cell_c)
    slope = half_cell_w_m2k * (half_cell_w_m2k / (half_cell_w_m2k - falls) - 1)
    return Crossing(s, inward, slope, inward + latent * vapour, vapour)
