"""Density, conductivity and specific heat of a food from what it is made of (Choi & Okos components)."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..foods import Composition
from .errors import HeatError

COMPONENTS = ("water", "protein", "fat", "carbohydrate", "fibre", "ash")
PROPERTIES = ("density_kg_m3", "conductivity_w_mk", "specific_heat_j_kgk")
AIR_CONDUCTIVITY_W_MK = 0.025  # dry air at 20 °C, Incropera et al. table A.4, from memory


@dataclass(frozen=True)
class FoodProperties:
    """What conduction needs to know of a food at one temperature."""

    density_kg_m3: float
    conductivity_w_mk: float
    specific_heat_j_kgk: float

    @property
    def diffusivity_m2_s(self) -> float:
        """Conductivity over density times specific heat."""
        return self.conductivity_w_mk / (self.density_kg_m3 * self.specific_heat_j_kgk)


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one CSV of this package, as text."""
    text = resources.files(__package__).joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@lru_cache(maxsize=1)
def _polynomials() -> Mapping[tuple[str, str], tuple[float, float, float]]:
    return {
        (row["component"], row["property"]): (float(row["c0"]), float(row["c1"]), float(row["c2"]))
        for row in rows("component_polynomials.csv")
    }


def component_property(component: str, property: str, temperature_c: ArrayLike) -> NDArray[np.float64]:
    """A property of one component of food.

    Parameters: component (water, ice, protein, fat, carbohydrate, fibre, ash); property (density_kg_m3,
        conductivity_w_mk, specific_heat_j_kgk); temperature_c, shape (...), −40 to 150.
    Returns: shape (...), in the property's unit.
    Raises: HeatError, naming what is known.
    Source: Choi & Okos 1986, as in ASHRAE Handbook—Refrigeration, Thermal Properties of Foods, tables 1 and 2
        (component_polynomials.csv). Liquid water below 0 °C is extrapolated.
    """
    table = _polynomials()
    if (component, property) not in table:
        raise HeatError(f'No {property} of "{component}" is known: components are {", ".join((*COMPONENTS, "ice"))}; '
                        f"properties {', '.join(PROPERTIES)}.")
    c0, c1, c2 = table[component, property]
    t = np.asarray(temperature_c, dtype=float)
    return np.asarray(c0 + t * (c1 + t * c2))


def shares(mass_fractions: Mapping[str, float]) -> dict[str, float]:
    """Mass fractions made to add up to one.

    Raises: HeatError, for an unknown component, a negative part, or nothing at all.
    """
    unknown = set(mass_fractions) - set(COMPONENTS) - {"ice"}
    if unknown:
        raise HeatError(f'"{sorted(unknown)[0]}" is not a component; use {", ".join((*COMPONENTS, "ice"))}.')
    values = {name: float(x or 0.0) for name, x in mass_fractions.items()}
    total = sum(values.values())
    if not all(0 <= x < float("inf") for x in values.values()) or total <= 0:
        raise HeatError("Mass fractions must be zero or more, with something above zero.")
    return {name: x / total for name, x in values.items()}


def composition_fractions(composition: Composition) -> dict[str, float]:
    """Mass fractions of a pantry composition (acids, polyols and alcohol counted with carbohydrate)."""
    c = composition
    apart = 0.0 if c.acids_and_polyols_in_carbohydrate else c.organic_acids_g + c.polyols_g
    return shares({
        "water": c.water_g, "protein": c.protein_g, "fat": c.fat_g,
        "carbohydrate": c.carbohydrate_g + apart + c.alcohol_g, "fibre": c.fibre_g, "ash": c.ash_g,
    })


def mixed_property(fractions: Mapping[str, float], property: str, temperature_c: ArrayLike) -> NDArray[np.float64]:
    """A property of the solid-and-liquid mix, without pores.

    Parameters: fractions, adding up to one (see `shares`); temperature_c, shape (...).
    Source: ASHRAE Handbook—Refrigeration, Thermal Properties of Foods: ρ = 1/Σ(x/ρ), k = Σ v·k by volume (parallel),
        c = Σ x·c.
    """
    t = np.asarray(temperature_c, dtype=float)
    present = {name: x for name, x in fractions.items() if x > 0}
    if property == "specific_heat_j_kgk":
        return np.asarray(sum(x * component_property(name, property, t) for name, x in present.items()))
    volumes = {name: x / component_property(name, "density_kg_m3", t) for name, x in present.items()}
    total = sum(volumes.values())
    if property == "density_kg_m3":
        return np.asarray(1 / total)
    return np.asarray(sum(v / total * component_property(name, property, t) for name, v in volumes.items()))


def food_property(mass_fractions: Mapping[str, float], temperature_c: float, porosity: float = 0.0) -> FoodProperties:
    """Density, conductivity and specific heat of an unfrozen food.

    Parameters: mass_fractions by component (normalised here); temperature_c; porosity, volume of air in the whole, 0 to 1:
        it thins the food and adds air's conductivity by volume.
    Raises: HeatError.
    Source: see `mixed_property`; parallel model also for the pores (an upper bound for conductivity).
    """
    if not 0 <= porosity < 1:
        raise HeatError(f"Porosity is a share of volume from 0 to under 1; {porosity:g} came.")
    x = shares(mass_fractions)
    solid = 1 - porosity
    return FoodProperties(
        density_kg_m3=float(solid * mixed_property(x, "density_kg_m3", temperature_c)),
        conductivity_w_mk=float(solid * mixed_property(x, "conductivity_w_mk", temperature_c) + porosity * AIR_CONDUCTIVITY_W_MK),
        specific_heat_j_kgk=float(mixed_property(x, "specific_heat_j_kgk", temperature_c)),
    )


def ice_fraction(mass_fractions: Mapping[str, float], temperature_c: ArrayLike, initial_freezing_c: float = -1.0) -> NDArray[np.float64]:
    """Mass of ice in a mass of food.

    Parameters: mass_fractions by component; temperature_c, shape (...); initial_freezing_c, below zero.
    Source: ASHRAE Handbook—Refrigeration, Thermal Properties of Foods, eqs. 5 and 6 (Miles 1974): x_ice =
        (x_w − 0.4·x_protein)(1 − t_f/t); from memory.
    """
    if initial_freezing_c >= 0:
        raise HeatError(f"Food begins to freeze below 0 °C; {initial_freezing_c:g} °C came.")
    x = shares(mass_fractions)
    t = np.asarray(temperature_c, dtype=float)
    free = max(x.get("water", 0.0) - 0.4 * x.get("protein", 0.0), 0.0)
    below = np.minimum(t, initial_freezing_c)
    return np.asarray(free * (1 - initial_freezing_c / below))
