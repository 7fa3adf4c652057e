"""Volumes and masses of kitchen units by country. The country is part of the unit and never guessed.

Sources: the `source` column of countries.csv.
"""

from functools import cache

from proofpan.science.measures.definitions import COUNTRIES, MASSES, METRIC, country_named, factors, names
from proofpan.science.measures.errors import QuantityError

LOOSE = {"tsp": 5.0, "dessertspoon": 10.0, "tbsp": 15.0, "cup": 250.0}  # how a spoon is read when no country is given
SHOWN = {
    "tsp": "teaspoon",
    "tbsp": "tablespoon",
    "fl_oz": "fluid ounce",
    "dry_pint": "dry pint",
    "dry_quart": "dry quart",
}


@cache
def unit_ml(unit: str, country: str | None) -> float | None:
    """Millilitres in one unit, or None where that country defines none."""
    if unit in METRIC:
        return factors()[METRIC[unit]]
    name = names().get((country or "", unit))
    return None if name is None or unit in ("stick", "oz") else factors()[name]


@cache
def unit_g(unit: str, country: str | None) -> float | None:
    """Grams in one unit of mass, or None when the unit isn't one."""
    name = names().get((country or "", unit)) if unit == "oz" else None
    name = name or MASSES.get(unit)
    return None if name is None else factors()[name]


@cache
def span_ml(unit: str) -> tuple[float, float] | None:
    """Least and most millilitres that any country means by the unit, or None when it isn't a volume."""
    found = [ml for country in COUNTRIES if country != "US-label" and (ml := unit_ml(unit, country)) is not None]
    return (min(found), max(found)) if found else None


def volume_ml(amount: float, unit: str, country: str | None) -> float:
    """Volume of an amount.

    Args:
        amount: how many units.
        unit: tsp, tbsp, dessertspoon, fl_oz, gill, cup, pint, quart, gallon, dry_pint, dry_quart, peck, bushel, ml, cl, dl, litre.
        country: one of `COUNTRIES` (EU is metric); None only for metric units.

    Returns:
        Millilitres.

    Raises:
        QuantityError: when that country defines no such unit, or none is given where it matters.
    """
    ml = unit_ml(unit, country_named(country))
    if ml is None:
        word = SHOWN.get(unit, unit)
        if span_ml(unit) is None:
            raise QuantityError(f'"{unit}" is not a measure of volume known here.')
        if country is None:
            low, high = span_ml(unit) or (0.0, 0.0)
            raise QuantityError(f"A {word} is {low:.4g} to {high:.4g} mL by country: name the country.")
        raise QuantityError(f"A {word} has no defined size in {country}: give mL, or name another country.")
    return amount * ml


def mass_g(amount: float, unit: str, country: str | None = None) -> float:
    """Mass of an amount of mg, g, kg, oz, lb, stone, grain or dram_avoirdupois.

    Args:
        amount: how many units.
        unit: a unit of mass; `oz` is avoirdupois.
        country: only `US-label` changes anything: there 1 oz = 28 g (21 CFR 101.9(b)(5)(viii)).

    Returns:
        Grams.

    Raises:
        QuantityError: when the unit isn't one of mass.
    """
    grams = unit_g(unit, country_named(country))
    if grams is None:
        raise QuantityError(f'"{unit}" is not a measure of weight known here.')
    return amount * grams


def mass_from_volume_g(amount: float, unit: str, country: str | None, density_g_per_ml: float) -> float:
    """Grams of an amount by volume: exact volume times density."""
    if density_g_per_ml <= 0:
        raise QuantityError(f"A density of {density_g_per_ml:g} g/mL can't be: it would be above zero.")
    return volume_ml(amount, unit, country) * density_g_per_ml
