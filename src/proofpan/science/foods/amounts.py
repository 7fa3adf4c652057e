"""Density and household measures: how many grams an amount of a food is, with what packing leaves open."""

from collections.abc import Mapping
from typing import Any

from proofpan.science.foods.food import Food, FoodError, Interval, Portion, country_code
from proofpan.science.foods.lookup import look_up
from proofpan.science.foods.words import tokens

_MASS_G = {
    "g": 1.0,
    "gram": 1.0,
    "kg": 1000.0,
    "mg": 0.001,
    "oz": 28.349523125,
    "ounce": 28.349523125,
    "lb": 453.59237,
    "pound": 453.59237,
}
_ANYWHERE_ML = {
    "ml": 1.0,
    "millilitre": 1.0,
    "milliliter": 1.0,
    "cl": 10.0,
    "dl": 100.0,
    "l": 1000.0,
    "litre": 1000.0,
    "liter": 1000.0,
}
_WORDS = {
    "teaspoon": "tsp",
    "t": "tsp",
    "tablespoon": "tbsp",
    "tbs": "tbsp",
    "dessertspoon": "dsp",
    "fluid ounce": "fl oz",
    "fl_oz": "fl oz",
    "floz": "fl oz",
    "c": "cup",
    "pt": "pint",
    "qt": "quart",
    "pc": "each",
    "piece": "each",
    "whole": "each",
    "unit": "each",
    "": "each",
    "rib": "stalk",
    "packet": "sachet",
    "xl": "extra large",
}
_US_ML = {"tsp": 4.92892, "tbsp": 14.7868, "cup": 236.588, "fl oz": 29.5735, "pint": 473.176, "quart": 946.353, "gallon": 3785.41}
_LABEL_ML = {"tsp": 5.0, "tbsp": 15.0, "cup": 240.0, "fl oz": 30.0}
_METRIC_ML = {"tsp": 5.0, "dsp": 10.0, "tbsp": 15.0, "cup": 250.0}
_IMPERIAL_ML = {"fl oz": 28.4131, "pint": 568.261, "quart": 1136.52, "gallon": 4546.09}
_VOLUMES_ML: dict[str | None, dict[str, float]] = {
    "US": _US_ML,
    "UK": {**{k: v for k, v in _METRIC_ML.items() if k != "cup"}, **_IMPERIAL_ML},
    "IE": {**{k: v for k, v in _METRIC_ML.items() if k != "cup"}, **_IMPERIAL_ML},
    "AU": {**_METRIC_ML, "tbsp": 20.0},
    "NZ": _METRIC_ML,
    "CA": {**_METRIC_ML, "fl oz": 28.4131},
    "IN": {k: v for k, v in _METRIC_ML.items() if k != "cup"},
    "EU": _METRIC_ML,
}
# without a country: the metric reading, with the span over countries
_ANY_ML: dict[str, Interval] = {
    "tsp": (5.0, 4.92892, 5.0),
    "dsp": (10.0, 10.0, 10.0),
    "tbsp": (15.0, 14.7868, 20.0),
    "cup": (250.0, 236.588, 250.0),
    "fl oz": (28.4131, 28.4131, 29.5735),
    "pint": (568.261, 473.176, 568.261),
}
# the egg that a recipe means where it says no size (common practice, no source); elsewhere and without a country a US large one, 50 g
_USUAL_EGG = {"UK": "medium", "IE": "medium", "EU": "medium", "AU": "extra large", "NZ": "large", "IN": "medium"}
_PIECE_TOLERANCE = 0.2
_PIECE_TOLERANCE_UNSOURCED = 0.35
_CLOSE_TOLERANCE = {"stick": 0.02, "sachet": 0.05, "can": 0.05}


def density_g_per_ml(name: str | Food, country: str | None = None, *, extra: Mapping[str, Any] | None = None) -> Interval | None:
    """Grams of a food in a millilitre: bulk as measured in a cup for powders and pieces, true for liquids.

    Returns: (value, low, high), low to high being what packing and kind leave open; None where no source has it.
    Source: densities.csv, each row with its own.
    """
    food = look_up(name, country, extra=extra)
    return food.density_g_per_ml if food else None


def unit_word(unit: str | None) -> str:
    """A unit's one spelling here ("tablespoons" → "tbsp"); size and piece words stay as they are."""
    words = " ".join(tokens(unit or ""))
    return _WORDS.get(words, words)


def volume_ml(unit: str, country: str | None) -> Interval | None:
    """Millilitres of a measure in a country, (value, low, high); None where it is no defined measure of volume there."""
    if unit in _ANYWHERE_ML:
        exact = _ANYWHERE_ML[unit]
        return exact, exact, exact
    if (country or "").strip().upper() == "US-LABEL" and unit in _LABEL_ML:
        return _LABEL_ML[unit], _LABEL_ML[unit], _LABEL_ML[unit]
    code = country_code(country)
    if code is None:
        if country and unit in _METRIC_ML:  # "metric" was said, so nothing is open
            return _METRIC_ML[unit], _METRIC_ML[unit], _METRIC_ML[unit]
        return _ANY_ML.get(unit)
    exact_or_none = _VOLUMES_ML[code].get(unit)
    return None if exact_or_none is None else (exact_or_none, exact_or_none, exact_or_none)


def mass_g(
    name: str | Food,
    amount: float,
    unit: str | None,
    state: str | None = None,
    country: str | None = None,
    *,
    extra: Mapping[str, Any] | None = None,
) -> Interval | None:
    """Grams of an amount of a food.

    Parameters: amount, how many of the unit, not negative; unit, a weight, a measure of volume or a piece ("clove",
    "large", "stick"; None for whole pieces); state, how it was when measured ("packed", "chopped", "unsifted"); country,
    whose measures these are ("US-label" and "metric" too).
    Returns: (value, low, high), or None where the food or the measure isn't known.
    Raises: FoodError for a negative amount or an unknown country.
    Source: portions.csv and densities.csv, each row with its own.
    """
    if not amount >= 0:
        raise FoodError(f"An amount of {name} can't be {amount}: give a number of at least 0.")
    measure = unit_word(unit)
    if measure in _MASS_G:
        exact = amount * _MASS_G[measure]
        return exact, exact, exact
    food = look_up(name, country, extra=extra)
    if food is None:
        return None
    volume = volume_ml(measure, country)
    if volume is not None:
        return _by_volume(food, amount, measure, volume, state, country)
    if measure in _METRIC_ML or measure in _US_ML:
        return None
    return _by_piece(food, amount, measure, state, country)


def _by_volume(food: Food, amount: float, measure: str, volume: Interval, state: str | None, country: str | None) -> Interval | None:
    value, low, high = volume
    density = food.density_g_per_ml
    portion = _portion(food, measure, state, country) or _portion(food, "cup", state, None)
    if portion is None and state and density is None:
        portion = _portion(food, measure, None, country)
    if portion is not None and (state or portion.unit == measure or density is None):
        # a row of the tables is in US measures unless it names a country; volumes scale it to the measure asked for
        own = _VOLUMES_ML[portion.country or "US"][portion.unit]
        per_ml = portion.mass_g / own
    elif density is not None:
        per_ml = density[0]
    else:
        return None
    spread = (density[1] / density[0], density[2] / density[0]) if density else (0.85, 1.15)
    return amount * value * per_ml, amount * low * per_ml * spread[0], amount * high * per_ml * spread[1]


def _by_piece(food: Food, amount: float, measure: str, state: str | None, country: str | None) -> Interval | None:
    words: tuple[str, ...] = (measure,)
    if measure == "each":
        first = (_USUAL_EGG.get(country_code(country) or "", "large"),) if food.key == "egg" else ()
        words = (*first, "each", "medium", "fruit", "large", "whole", tokens(food.name)[-1], "clove", "small")
    elif measure == "stick" and food.category in ("vegetable", "fruit", "spice"):
        words = ("stick", "stalk", "each")
    found = (_portion(food, word, state, country) for word in words)
    portion = next((p for p in found if p is not None), None)
    if portion is None:
        return None
    open_by = _PIECE_TOLERANCE if portion.confidence.startswith("published") else _PIECE_TOLERANCE_UNSOURCED
    if food.category == "egg":
        open_by = 0.08
    open_by = _CLOSE_TOLERANCE.get(portion.unit, open_by)
    value = amount * portion.mass_g
    return value, value * (1 - open_by), value * (1 + open_by)


def _portion(food: Food, unit: str, state: str | None, country: str | None) -> Portion | None:
    """The row for a unit and state, the country's own before the common one.

    Without a state: the row without one, else whole or medium, else the first listed.
    """
    code = country_code(country)
    rows = [p for p in food.portions if " ".join(tokens(p.unit)) == unit and p.country in ("", code)]
    if code is not None and any(p.country == code for p in rows):
        rows = [p for p in rows if p.country == code]
    if not rows:
        return None
    if state:
        wanted = set(tokens(state))
        matched = [p for p in rows if wanted <= set(tokens(p.state))]
        return matched[0] if matched else None
    for usual in ("", "whole", "medium", "medium whole", "packed"):
        for row in rows:
            if row.state == usual:
                return row
    return rows[0]
