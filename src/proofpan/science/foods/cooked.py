"""What cooking leaves: the weight of a dish from the water it ends with, usual yields, and the alcohol that stays."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from proofpan.science.foods.food import FoodError, table

OFF_HEAT, NO_HEAT, FLAMED, SIMMERED = "stirred in off the heat", "no heat", "flamed", "baked or simmered"


@dataclass(frozen=True)
class Share:
    """A figure with its interval, all three per cent, and where it is from."""

    value: float
    low: float
    high: float
    what: str
    source: str


def cooked_water(words: str, what: str = "dish") -> Share | None:
    """The water that a dish ends with (`what` dish), or a boiled grain, pasta or pulse (`what` food), g per 100 g.

    Parameters: words, such as a recipe's title or an ingredient's name; the longest name found in them counts.
    Returns: the share, or None where no kind is named.
    Source: USDA SR26 composition of the same kind of food (cooked_water.csv, each row with its own).
    """
    best: tuple[int, Share] | None = None
    for row in table("cooked_water.csv"):
        if row["what"] != what:
            continue
        for name in row["words"].split("|"):
            if re.search(rf"\b{re.escape(name)}(?:e?s)?\b", words, re.I) and (best is None or len(name) > best[0]):
                best = len(name), Share(float(row["water_percent"]), float(row["low"]), float(row["high"]), row["kind"], row["source"])
    return None if best is None else best[1]


def mass_at_water(mass_g: float, water_g: float, water_percent: float) -> float:
    """Grams of what holds so much water when its solids stay: solids ÷ (1 − water).

    Parameters: mass_g and water_g, what goes in and the water in it; water_percent, what it ends with, 0 to below 100.
    Raises: FoodError for a share outside that, or more water than mass.
    Source: a mass balance.
    """
    if not 0 <= water_percent < 100:
        raise FoodError(f"A dish can't hold {water_percent} % water: give a share from 0 to below 100.")
    if not 0 <= water_g <= mass_g:
        raise FoodError(f"{mass_g} g can't hold {water_g} g of water.")
    return (mass_g - water_g) / (1 - water_percent / 100)


def usual_yield(way: str) -> Share:
    """The usual cooked weight, per cent of the raw, of a way of cooking in cooking_yields.csv.

    Raises: FoodError naming the ways.
    """
    rows = table("cooking_yields.csv")
    for row in rows:
        if row["way"] == way:
            return Share(float(row["yield_percent"]), float(row["low"]), float(row["high"]), way, row["source"])
    raise FoodError(f'No yield is known of "{way}": {"; ".join(r["way"] for r in rows)}.')


def alcohol_kept(way: str, minutes: float = 0.0) -> float:
    """The share of alcohol, 0–1, that a way of cooking leaves.

    Parameters: way, as in alcohol_retention.csv; minutes of baking or simmering: linear between the table's times, from 0.85
        (stirred into something hot) at 0 to 0.05 at 150 and beyond.
    Raises: FoodError for an unknown way or a negative time.
    Source: USDA Table of Nutrient Retention Factors, release 6 (2007), nutrient 221.
    """
    if not minutes >= 0:
        raise FoodError(f"{minutes} minutes can't be: give a number of at least 0.")
    rows = table("alcohol_retention.csv")
    shares = {r["way"]: float(r["percent"]) / 100 for r in rows if r["way"] != SIMMERED}
    if way in shares:
        return shares[way]
    if way != SIMMERED:
        raise FoodError(f'No factor is known of "{way}": {"; ".join([*shares, SIMMERED])}.')
    timed = [(float(r["minutes"]), float(r["percent"]) / 100) for r in rows if r["way"] == SIMMERED]
    points = [(0.0, shares[OFF_HEAT]), *timed]
    for (t0, kept0), (t1, kept1) in pairwise(points):
        if minutes <= t1:
            return kept0 + (kept1 - kept0) * (minutes - t0) / (t1 - t0)
    return points[-1][1]
