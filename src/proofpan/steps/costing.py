"""What a batch and a serve cost, from the kitchen's own prices."""

from __future__ import annotations

import re

from proofpan.steps.observing import number_in
from proofpan.study.countries import measures_of
from proofpan.study.reader_recipe import Cost
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study

_PRICE = re.compile(
    r"^\s*(?P<item>.+?)\s+(?P<price>\d+(?:[.,]\d+)?)\s*(?:per|a|/)\s*(?P<amount>\d+(?:[.,]\d+)?)?\s*"
    r"(?P<unit>kg|g|L|l|mL|ml|each|piece|dozen)\s*$"
)
_PER = {"kg": 1000.0, "g": 1.0, "L": 1000.0, "l": 1000.0, "mL": 1.0, "ml": 1.0}


def cost_of(study: Study, recipe: Recipe) -> Cost:
    """The batch's cost and a serve's, from lines such as “plain flour 1.80 per kg” in the kitchen's prices.

    As purchased: the edible portion is divided by its yield, where the pantry knows it.
    """
    prices = _prices(study.brief.kitchen.prices)
    if not prices:
        return Cost(missing=tuple(i.item for i in recipe.ingredients))
    from proofpan.science.foods import look_up
    from proofpan.science.measures import parse_line

    country = measures_of(study.brief.kitchen.country)
    low = high = 0.0
    missing = []
    for line in recipe.ingredients:
        price = prices.get(line.item.casefold())
        parsed = parse_line(line.text, country)
        amount = parsed.mass_g or parsed.volume_ml
        if price is None or (amount is None and price[1] != "each") or (price[1] == "each" and parsed.low is None):
            if line.item.casefold() != "water":
                missing.append(line.item)
            continue
        food = look_up(line.item)
        share = (food.edible_portion_percent or 100) / 100 if food is not None and not line.prep else 1.0
        used = (parsed.low, parsed.high or parsed.low) if price[1] == "each" else amount
        assert used is not None and used[0] is not None and used[1] is not None
        low += used[0] * price[0] / (1.0 if price[1] == "each" else share)
        high += used[1] * price[0] / (1.0 if price[1] == "each" else share)
    serves = recipe.serves or (number_in(recipe.makes) if recipe.makes else None)
    middle = (low + high) / 2
    return Cost(batch=middle, a_serve=middle / serves if serves else None, low=low, high=high,
                currency=study.brief.kitchen.currency or "", missing=tuple(missing))


def _prices(lines: tuple[str, ...]) -> dict[str, tuple[float, str]]:
    """{item: (price of one gram, millilitre or piece, kind)}."""
    out: dict[str, tuple[float, str]] = {}
    for line in lines:
        match = _PRICE.match(line)
        if match is None:
            continue
        price = float(match["price"].replace(",", "."))
        count = float((match["amount"] or "1").replace(",", "."))
        unit = match["unit"]
        if unit in _PER:
            out[match["item"].casefold()] = (price / (count * _PER[unit]), "mass")
        else:
            out[match["item"].casefold()] = (price / (count * (12 if unit == "dozen" else 1)), "each")
    return out
