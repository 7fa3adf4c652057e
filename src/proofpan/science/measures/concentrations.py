"""Strengths: per litre, per cent of solution or of water, baker's per cent, hydration, °Brix, ppm, dilution.

Sources: mass balances and definitions; °Brix is grams of sucrose in 100 g of solution (ICUMSA).
"""

from collections.abc import Mapping
from dataclasses import dataclass

from proofpan.science.measures.errors import QuantityError


@dataclass(frozen=True, slots=True)
class Brine:
    """A brine on both bases."""

    percent_of_solution: float
    percent_of_water: float
    salinity_g_per_kg: float


@dataclass(frozen=True, slots=True)
class Multiple:
    """A plan against a source."""

    source_g_per_l: float
    planned_g_per_l: float
    multiple: float


def _above_zero(value: float, what: str) -> float:
    if not value > 0:
        raise QuantityError(f"{what} is {value:g}: it would be above zero.")
    return value


def _not_below_zero(value: float, what: str) -> float:
    if not value >= 0:
        raise QuantityError(f"{what} is {value:g}: it would be zero or more.")
    return value


def concentration_g_per_l(solute_g: float, liquid_ml: float) -> tuple[float, float]:
    """Grams per litre of the liquid added to, not of the finished solution.

    Args:
        solute_g: mass dissolved.
        liquid_ml: liquid before anything is added.

    Returns:
        g_per_l, and percent_w_v: grams per 100 mL of that liquid.
    """
    g_per_l = _not_below_zero(solute_g, "The solute in grams") / _above_zero(liquid_ml, "The liquid in mL") * 1000
    return g_per_l, g_per_l / 10


def claim_multiple(source_g_per_l: float, planned_g: float, planned_l: float) -> Multiple:
    """Planned strength over a source's, both in g/L of the liquid added to."""
    planned = _not_below_zero(planned_g, "The plan in grams") / _above_zero(planned_l, "The liquid in litres")
    return Multiple(source_g_per_l, planned, planned / _above_zero(source_g_per_l, "The source's strength"))


def brine_percent(salt_g: float, water_g: float) -> Brine:
    """A brine's strength by mass of solution and by mass of water."""
    salt = _not_below_zero(salt_g, "The salt in grams")
    of_solution = 100 * salt / (salt + _above_zero(water_g, "The water in grams"))
    return Brine(of_solution, 100 * salt / water_g, 10 * of_solution)


def bakers_percent(flours_g: Mapping[str, float], others_g: Mapping[str, float]) -> tuple[dict[str, float], float]:
    """Each other ingredient as a per cent of all flours together, and the total with flour as 100."""
    flour = _above_zero(sum(flours_g.values()), "All flours together, in grams,")
    percent = {name: 100 * _not_below_zero(g, f"{name} in grams") / flour for name, g in others_g.items()}
    return percent, 100 + sum(percent.values())


def hydration_percent(flour_g: float, liquids: Mapping[str, tuple[float, float]]) -> float:
    """Water in all liquids over flour.

    Args:
        flour_g: all flours together.
        liquids: name → (mass in grams, fraction of it that is water, 0 to 1).
    """
    for name, (_, fraction) in liquids.items():
        if not 0 <= fraction <= 1:
            raise QuantityError(f"The water in {name} is {fraction:g} of it: it would be between 0 and 1.")
    water = sum(_not_below_zero(g, f"{name} in grams") * fraction for name, (g, fraction) in liquids.items())
    return 100 * water / _above_zero(flour_g, "The flour in grams")


def brix(sucrose_g: float, water_g: float) -> float:
    """Grams of sucrose in 100 g of solution."""
    total = _not_below_zero(sucrose_g, "The sugar in grams") + _not_below_zero(water_g, "The water in grams")
    return 100 * sucrose_g / _above_zero(total, "Sugar and water together, in grams,")


def percent_w_w_to_g_per_l(percent_w_w: float, solution_density_g_per_ml: float) -> float:
    """Grams per litre of solution from per cent by mass."""
    return _not_below_zero(percent_w_w, "The per cent") * _above_zero(solution_density_g_per_ml, "The density") * 10


def ppm(solute_mg: float, mixture_kg: float) -> float:
    """Parts per million by mass: milligrams in a kilogram."""
    return _not_below_zero(solute_mg, "The solute in mg") / _above_zero(mixture_kg, "The mixture in kg")


def dilute(stock_percent: float, stock_mass_g: float, target_percent: float) -> float:
    """Grams of water that bring a stock down to a target, both per cent by mass.

    Raises:
        QuantityError: when the target is stronger than the stock.
    """
    if _above_zero(target_percent, "The target per cent") > stock_percent:
        raise QuantityError(f"Water can't make {stock_percent:g} % into {target_percent:g} %: the target would be weaker than the stock.")
    return _above_zero(stock_mass_g, "The stock in grams") * (stock_percent / target_percent - 1)
