"""The EU's benchmark levels for acrylamide in browned starchy foods."""

from proofpan.science.foods.food import FoodError, table
from proofpan.science.foods.words import tokens

_EMPTY = set(tokens("or and not other than ready to eat based exclusively from product in of the a an for with"))


def acrylamide_benchmark_ug_per_kg(category: str) -> float:
    """The benchmark level of a category of food, micrograms a kilogram: a benchmark to cook below, not a limit.

    Parameters: category, as in Annex IV ("crackers, not potato", "French fries, ready to eat").
    Raises: FoodError naming the categories, where none is meant for sure.
    Source: Commission Regulation (EU) 2017/2158, Annex IV (acrylamide.csv).
    """
    rows = table("acrylamide.csv")
    wanted = tokens(category)
    for row in rows:
        if any(tokens(name) == wanted for name in (row["category"], *row["also"].split("|"))):
            return float(row["benchmark_ug_per_kg"])
    words = set(wanted) - _EMPTY
    scored = []
    for row in rows:
        for name in (row["category"], *row["also"].split("|")):
            known = set(tokens(name)) - _EMPTY
            if words and known:
                scored.append((len(words & known) / len(words | known), row))
    best = max((score for score, _ in scored), default=0.0)
    levels = {float(row["benchmark_ug_per_kg"]) for score, row in scored if score == best}
    if best >= 0.5 and len(levels) == 1:
        return levels.pop()
    raise FoodError(f'"{category}" is not a category of Annex IV; use one of: {"; ".join(r["category"] for r in rows)}.')
