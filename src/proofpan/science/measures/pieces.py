"""What counted things weigh: eggs by size and country, onions and cloves of garlic by the pantry's usual piece."""

import re
from typing import TYPE_CHECKING

from proofpan.science.measures.intervals import Interval

if TYPE_CHECKING:
    from proofpan.science.foods import Food

_SIZE = re.compile(r"\b(extra[- ]large|large|medium|small|jumbo)\b[,\s]*", re.IGNORECASE)
_EGG_SIZES = ("medium", "large")        # what a text that says no size may mean, besides the country's usual one


def piece_g(item: str, unit: str, country: str | None) -> tuple[Interval, str] | None:
    """Grams of one piece, and how it was found; None where no table says.

    Args:
        item: the name with or without its size, such as "large eggs".
        unit: "each", or a part of it, such as "clove".
        country: whose sizes; without one the interval covers the countries.

    Source: the pantry's portions (science/foods), each with its own; what an egg of no size may be is common practice.
    """
    from proofpan.science.foods import look_up
    from proofpan.science.foods.food import FoodError

    said = _SIZE.search(item)
    name = _SIZE.sub("", item, count=1).strip() if said else item
    try:
        food = look_up(name, country) or look_up(item, country)
    except FoodError:
        return None
    if food is None:
        return None
    size = " ".join(said[1].lower().replace("-", " ").split()) if said else ""
    if food.category == "egg" and unit == "each" and not size and food.key == "egg":
        return _egg(food, country)
    found = _piece(food, size if size and unit == "each" else unit, country)
    if found is None and unit == "each":
        found = _piece(food, "each", country)
    if found is None:
        return None
    what = f"{size} {food.name}".strip() if unit == "each" else f"{unit} of {food.name}"
    return found, f"one {what} is usually {_said(found)} g{' without its shell' if food.category == 'egg' else ''}{_where(country)}"


def _egg(food: "Food", country: str | None) -> tuple[Interval, str] | None:
    sizes = [found for size in _EGG_SIZES if (found := _piece(food, size, country)) is not None]
    usual = _piece(food, "each", country)
    if usual is None or not sizes:
        return None
    one = Interval(usual.value, min(x.low for x in (*sizes, usual)), max(x.high for x in (*sizes, usual)))
    return one, f"one egg, its size not said, is {_said(one)} g without its shell, medium to large{_where(country)}"


def _piece(food: "Food", unit: str, country: str | None) -> Interval | None:
    from proofpan.science.foods import COUNTRIES, mass_g

    usual = mass_g(food, 1, unit, None, country)
    if country is not None or usual is None:
        return None if usual is None else Interval(*usual)
    everywhere = [usual, *(there for code in COUNTRIES if (there := mass_g(food, 1, unit, None, code)) is not None)]
    return Interval(usual[0], min(x[1] for x in everywhere), max(x[2] for x in everywhere))


def _said(x: Interval) -> str:
    return f"{x.value:.3g} ({x.low:.3g} to {x.high:.3g})"


def _where(country: str | None) -> str:
    return f", in {country}" if country else ", over the countries"
