"""What a batch, a test batch and a serve cost, from the kitchen's own prices."""

from __future__ import annotations

import re
from dataclasses import dataclass

from proofpan.steps.recipe_lines import grams_of
from proofpan.study.countries import measures_of
from proofpan.study.errors import quoted
from proofpan.study.reader_recipe import Cost
from proofpan.study.recipe import Ingredient, Recipe
from proofpan.study.study import Study

_PRICE = re.compile(
    r"^\s*(?P<item>.+?)[\s:,]+[^\w\s.,]{0,3}\s*(?P<price>\d+(?:[.,]\d+)?)\s*(?:[A-Z]{3}\s*)?(?:(?:per|an?|/|for)\s*(?P<amount>\d+(?:[.,]\d+)?)?\s*|(?=each\b))"
    r"(?P<unit>kg|g|lb|oz|L|l|litres?|mL|ml|each|eaches|pieces?|eggs?|dozen|bunch|head|bulb|clove|tin|can|sheet|leaf|sprig|stick|loaf)\s*$"
)
_GRAMS = {"kg": 1000.0, "g": 1.0, "lb": 453.59237, "oz": 28.349523125}
_ML = {"L": 1000.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0, "mL": 1.0, "ml": 1.0}
_EACH = ("each", "eaches", "piece", "pieces", "egg", "eggs", "dozen")
_FREE = ("water", "iced water", "cold water", "boiling water", "warm water", "ice")
_TRIMMED = re.compile(r"\b(?:peeled|trimmed|cored|deseeded|stoned|pitted|hulled|shelled|boned|skinned|destoned|podded)\b", re.I)


@dataclass(frozen=True)
class Price:
    """What one gram, millilitre or piece costs (`per` g, ml, each, or the piece's unit: head, tin, bunch)."""

    one: float
    per: str


def cost_of(study: Study, recipe: Recipe) -> Cost:
    """The batch's cost, the test batch's and a serve's, from lines such as "plain flour 1.80 per kg" in the kitchen's prices.

    As purchased: what the list weighs ready to use ("200 g peeled pumpkin") is divided by its yield where the pantry knows it; what it
    weighs before ("200 g pumpkin, peeled") is bought as it stands.
    """
    from proofpan.steps.recipe_facts import serves_of

    prices, unread = prices_of(study.brief.kitchen.prices)
    limit = study.brief.limits.cost_a_serve
    currency = study.brief.kitchen.currency or ""
    if not prices:
        return Cost(missing=tuple(i.item for i in recipe.ingredients), unread=unread, limit=limit, currency=currency)
    country = measures_of(study.brief.kitchen.country)
    low = high = 0.0
    missing = []
    for line in recipe.ingredients:
        used = _used(line, prices.get(line.item.casefold()) or prices.get(pantry_key(line.item)), country)
        if used is not None:
            low, high = low + used[0], high + used[1]
        elif line.item.casefold() not in _FREE:
            missing.append(line.item)
    serves = serves_of(recipe)
    middle = (low + high) / 2
    share = _test_share(recipe)
    return Cost(batch=middle, a_serve=middle / serves if serves else None, low=low, high=high, currency=currency, missing=tuple(missing),
                unread=unread, limit=limit, test_batch=None if share is None else middle * share)


def _used(line: Ingredient, price: Price | None, country: str | None) -> tuple[float, float] | None:
    """(low, high) cost of a line; none where its amount can't be set beside the price."""
    from proofpan.science.foods import density_g_per_ml, look_up, mass_g
    from proofpan.science.measures import parse_line

    if price is None:
        return None
    parsed = parse_line(line.text, country)
    if price.per not in ("g", "ml") and price.per == parsed.unit and parsed.low is not None:
        return parsed.low * price.one, (parsed.high or parsed.low) * price.one
    grams = grams_of(line.text, line.item, country)
    if price.per not in ("g", "ml"):
        one = mass_g(line.item, 1, price.per) or (mass_g(line.item, 1, "medium") if price.per == "each" else None)
        return None if one is None or grams is None else (grams[0] / one[0] * price.one, grams[1] / one[0] * price.one)
    if price.per == "ml":
        density = density_g_per_ml(line.item)
        amount = parsed.volume_ml or (None if grams is None or density is None else (grams[0] / density[0], grams[1] / density[0]))
    else:
        amount = grams
    if amount is None:
        return None
    food = look_up(line.item)
    ready = parsed.prep_first is not None and _TRIMMED.search(parsed.prep_first) is not None
    share = (food.edible_portion_percent or 100) / 100 if food is not None and ready else 1.0
    return amount[0] * price.one / share, amount[1] * price.one / share


def pantry_key(item: str) -> str:
    """The pantry's name of a thing, so that “egg” is priced as eggs are; its own where the pantry doesn't know it."""
    from proofpan.science.foods import look_up

    food = look_up(item)
    return food.key if food is not None else item.casefold()


def _test_share(recipe: Recipe) -> float | None:
    """How much of the recipe one trial makes; none where it makes all of it or can't be set beside the yield."""
    from proofpan.steps.recipe_yield import yield_factor
    from proofpan.study.errors import QuantityError

    if not recipe.trial_makes:
        return None
    try:
        return yield_factor(recipe.makes, recipe.trial_makes)
    except QuantityError:
        return None


def prices_of(lines: tuple[str, ...]) -> tuple[dict[str, Price], tuple[str, ...]]:
    """({item: price}, a sentence for each line that can't be read)."""
    out: dict[str, Price] = {}
    unread = []
    for line in lines:
        match = _PRICE.match(line)
        price = 0.0 if match is None else float(match["price"].replace(",", "."))
        count = 1.0 if match is None else float((match["amount"] or "1").replace(",", "."))
        if match is None or count <= 0:
            unread.append(f"The price {quoted(line)} can't be read, so it isn't counted: write it as plain flour 1.80 per kg, or eggs 6.00 a dozen.")
            continue
        unit = match["unit"]
        if unit in _GRAMS:
            found = Price(price / (count * _GRAMS[unit]), "g")
        elif unit in _ML:
            found = Price(price / (count * _ML[unit]), "ml")
        else:
            kind = {"can": "tin"}.get(unit, unit if unit not in _EACH else "each")
            found = Price(price / (count * (12 if unit == "dozen" else 1)), kind)
        out[match["item"].strip().casefold()] = found
        out.setdefault(pantry_key(match["item"].strip()), found)
    return out, tuple(unread)
