"""Grams in a millilitre of what kitchens spoon, with the interval that packing leaves.

Sources: the `source` column of spoon_densities.csv. A caller's own look-up is asked first, then this table by whole name,
then the pantry of science/foods, then this table by a name's last words.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from proofpan.science.measures.definitions import rows

Lookup = Callable[[str], tuple[float, float, float] | None]


@dataclass(frozen=True, slots=True)
class Density:
    """A bulk density as spooned: value with low to high, what it was read as, and its source."""

    name: str
    value: float
    low: float
    high: float
    powder: bool
    source: str


_NEVER_BY_SPOON = frozenset(("curing", "nitrite", "nitrate", "saltpetre", "saltpeter"))  # a spoon of these is a hazard


@cache
def _table() -> dict[str, Density]:
    found: dict[str, Density] = {}
    for row in rows("spoon_densities.csv"):
        value, low, high = (float(row[key]) for key in ("density_g_per_ml", "low", "high"))
        density = Density(row["name"], value, low, high, row["kind"] == "powder", row["source"])
        for name in [row["name"], *filter(None, row["also"].split(";"))]:
            found[name] = density
    return found


def substance(name: str) -> Density | None:
    """The row of our table that a name means: whole, or by its last words ("good olive oil" is olive oil)."""
    words = name.lower().replace(",", " ").split()
    if any(word in _NEVER_BY_SPOON for word in words):
        return None
    for start in range(len(words)):
        if (found := _table().get(" ".join(words[start:]))) is not None:
            return found
    return None


def density(name: str, look_up: Lookup | None = None) -> Density | None:
    """Density of what a name means, or None.

    Args:
        name: such as "fine salt".
        look_up: another table, asked first: name → (value, low, high) in g/mL, or None.
    """
    own = substance(name)
    if any(word in _NEVER_BY_SPOON for word in name.lower().split()):
        return None
    if look_up is not None and (found := look_up(name)) is not None:
        return Density(name, *found, own.powder if own else False, "the pantry")
    if name.lower() in _table():
        return own
    if (found := _of_pantry(name)) is not None:
        return Density(name.lower(), *found, own.powder if own else False, "the pantry table")
    return own


def _of_pantry(name: str) -> tuple[float, float, float] | None:
    """Our own pantry's density, where it knows the food."""
    from proofpan.science.foods.amounts import density_g_per_ml
    from proofpan.science.foods.food import FoodError

    try:
        return density_g_per_ml(name)
    except FoodError:
        return None
