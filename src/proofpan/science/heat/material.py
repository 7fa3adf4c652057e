"""A food as the solver needs it: heat content and conductivity over temperature, and the water it can lose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..foods import Composition
from .components import AIR_CONDUCTIVITY_W_MK, component_property, composition_fractions, ice_fraction, mixed_property, shares
from .errors import HeatError

COLDEST_C, HOTTEST_C, STEP_C = -40.0, 400.0, 0.25
FUSION_J_KG = 333.6e3  # ice at 0 °C, ASHRAE Handbook—Refrigeration, Thermal Properties of Foods
CRUST_CONDUCTIVITY_W_MK = 0.12  # dry porous crust; figures of 0.05 to 0.2 are common for bread and potato crust, no one source


@dataclass(frozen=True, eq=False)
class Material:
    """Heat content and conductivity on an even grid of temperatures.

    Attributes:
        name: what it is.
        heat_j_m3: shape (n,), heat content at COLDEST_C + i·STEP_C, zero at 0 °C; or None where properties are constant.
        conductivity_table: shape (n,), W/(m·K); or None.
        capacity_j_m3k, conductivity_w_mk: constant values, or those at 20 °C.
        density_kg_m3: at 20 °C; the piece keeps its size.
        water_kg_m3: water that can evaporate.
        water_share: part of the heat capacity that leaves with that water.
        crust_conductivity_w_mk: once dry.
        water_activity: of the wet food's surface.
    """

    name: str
    heat_j_m3: NDArray[np.float64] | None
    conductivity_table: NDArray[np.float64] | None
    capacity_j_m3k: float
    conductivity_w_mk: float
    density_kg_m3: float
    water_kg_m3: float = 0.0
    water_share: float = 0.0
    crust_conductivity_w_mk: float = CRUST_CONDUCTIVITY_W_MK
    water_activity: float = 0.98

    @property
    def constant(self) -> bool:
        """Whether properties don't change with temperature."""
        return self.heat_j_m3 is None

    @property
    def diffusivity_m2_s(self) -> float:
        """At 20 °C, or constant."""
        return self.conductivity_w_mk / self.capacity_j_m3k

    def heat_and_capacity(self, temperature_c: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """(heat content J/m³, its slope J/(m³·K)), each the shape of the temperatures."""
        if self.heat_j_m3 is None:
            return temperature_c * self.capacity_j_m3k, np.full_like(temperature_c, self.capacity_j_m3k)
        i, part = _place(temperature_c)
        low = self.heat_j_m3[i]
        rise = self.heat_j_m3[i + 1] - low
        return low + part * rise, rise / STEP_C

    def temperature(self, heat_j_m3: NDArray[np.float64]) -> NDArray[np.float64]:
        """Temperatures of heat contents: `heat_and_capacity` the other way."""
        if self.heat_j_m3 is None:
            return np.asarray(heat_j_m3 / self.capacity_j_m3k)
        i = np.clip(np.searchsorted(self.heat_j_m3, heat_j_m3) - 1, 0, _CELLS - 1)
        low = self.heat_j_m3[i]
        return np.asarray(COLDEST_C + STEP_C * (i + (heat_j_m3 - low) / (self.heat_j_m3[i + 1] - low)))

    def conductivity(self, temperature_c: NDArray[np.float64]) -> NDArray[np.float64]:
        """W/(m·K), the shape of the temperatures."""
        if self.conductivity_table is None:
            return np.full_like(temperature_c, self.conductivity_w_mk)
        i, part = _place(temperature_c)
        low = self.conductivity_table[i]
        return np.asarray(low + np.clip(part, 0, 1) * (self.conductivity_table[i + 1] - low))


_CELLS = int(round((HOTTEST_C - COLDEST_C) / STEP_C))


def _place(temperature_c: NDArray[np.float64]) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    at = (temperature_c - COLDEST_C) / STEP_C
    i = np.clip(at, 0, _CELLS - 1).astype(np.intp)
    return i, at - i


def constant_material(
    conductivity_w_mk: float, density_kg_m3: float, specific_heat_j_kgk: float, name: str = "constant", water_fraction: float = 0.0
) -> Material:
    """A material whose properties don't change.

    Parameters: water_fraction, mass of evaporable water in a mass of food. Raises: HeatError.
    """
    if not (conductivity_w_mk > 0 and density_kg_m3 > 0 and specific_heat_j_kgk > 0 and 0 <= water_fraction < 1):
        raise HeatError("Conductivity, density and specific heat must be positive, and the water a fraction under 1.")
    return Material(
        name, None, None, density_kg_m3 * specific_heat_j_kgk, conductivity_w_mk, density_kg_m3, water_fraction * density_kg_m3,
        min(0.95, water_fraction * 4180 / specific_heat_j_kgk),
    )


def food_material(
    food: Mapping[str, float] | Composition, porosity: float = 0.0, initial_freezing_c: float = -1.0, name: str = "food"
) -> Material:
    """A food's material from its composition.

    Parameters: food, mass fractions by component or a pantry composition; porosity, volume of air in the whole; initial_freezing_c.
    Raises: HeatError.
    Source: `mixed_property` and `ice_fraction`; heat content is the sum of components' heat from 0 °C less the heat of fusion of the
        ice present. Density is that at 20 °C throughout; above 150 °C properties stay as at 150 °C.
    """
    x = composition_fractions(food) if isinstance(food, Composition) else shares(food)
    if x.get("ice"):
        raise HeatError("Give a frozen food's water as water; how much is ice follows from the temperature.")
    if not 0 <= porosity < 1:
        raise HeatError(f"Porosity is a share of volume from 0 to under 1; {porosity:g} came.")
    t = COLDEST_C + STEP_C * np.arange(_CELLS + 1)
    within = np.minimum(t, 150.0)
    ice = ice_fraction(x, t, initial_freezing_c)
    liquid = {**x, "water": 0.0}
    water = x.get("water", 0.0) - ice
    # below 0 °C the polynomial of liquid water's specific heat is not meant to be used
    water_heat = component_property("water", "specific_heat_j_kgk", np.maximum(within, 0.0))
    dry_heat = mixed_property(liquid, "specific_heat_j_kgk", within) if sum(liquid.values()) > 0 else np.zeros_like(t)
    sensible = dry_heat + water * water_heat + ice * component_property("ice", "specific_heat_j_kgk", np.minimum(t, 0.0))
    heat = np.concatenate([[0.0], np.cumsum((sensible[1:] + sensible[:-1]) / 2 * STEP_C)]) - FUSION_J_KG * ice
    heat -= heat[int(round(-COLDEST_C / STEP_C))]
    k = _conductivity_with_ice(x, ice, within)
    density = (1 - porosity) * float(mixed_property(x, "density_kg_m3", 20.0))
    k = (1 - porosity) * k + porosity * AIR_CONDUCTIVITY_W_MK
    at_20 = int(round((20 - COLDEST_C) / STEP_C))
    return Material(
        name, density * heat, k, density * float(sensible[at_20]), float(k[at_20]), density, density * x.get("water", 0.0),
        min(0.95, float(x.get("water", 0.0) * water_heat[at_20] / sensible[at_20])),
    )


def _conductivity_with_ice(x: Mapping[str, float], ice: NDArray[np.float64], t: NDArray[np.float64]) -> NDArray[np.float64]:
    parts = {name: share * np.ones_like(t) for name, share in x.items() if share > 0}
    parts["water"] = x.get("water", 0.0) - ice
    parts["ice"] = ice
    volume = {name: p / component_property(name, "density_kg_m3", t) for name, p in parts.items()}
    total = sum(volume.values())
    return np.asarray(sum(v / total * component_property(name, "conductivity_w_mk", t) for name, v in volume.items()))
