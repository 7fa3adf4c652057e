"""What the pantry knows of one food, as frozen values read from the tables beside this module."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType

COUNTRIES = ("UK", "US", "AU", "NZ", "CA", "IE", "IN", "EU")
_COUNTRY_WORDS = {"GB": "UK", "US-LABEL": "US", "METRIC": None, "": None}

Interval = tuple[float, float, float]
"""(value, low, high)."""


class FoodError(ValueError):
    """A food, unit, country or amount that can't be used as given."""


def country_code(country: str | None) -> str | None:
    """A country as this package writes it, or None when no country is meant.

    Parameters: country, one of COUNTRIES, "GB", "US-label" or "metric" in any case, or None.
    Raises: FoodError, naming the countries known.
    """
    if country is None:
        return None
    code = country.strip().upper()
    code_or_none = _COUNTRY_WORDS.get(code, code)
    if code_or_none is not None and code_or_none not in COUNTRIES:
        raise FoodError(f'"{country}" is not a country known here: use one of {", ".join(COUNTRIES)}.')
    return code_or_none


@dataclass(frozen=True)
class Composition:
    """Grams per 100 g edible portion.

    `carbohydrate_g` is available carbohydrate (EU sense: without fibre). Tables that find carbohydrate by difference
    count organic acids and polyols in it: then `acids_and_polyols_in_carbohydrate` is true. `energy_kcal` is the
    source's own figure; the label's is `energy_label` of the parts. `sugars_g` is None where the source has no figure.
    """

    water_g: float
    protein_g: float
    fat_g: float
    saturates_g: float | None
    carbohydrate_g: float
    sugars_g: float | None
    fibre_g: float
    salt_g: float
    organic_acids_g: float = 0.0
    polyols_g: float = 0.0
    alcohol_g: float = 0.0
    ash_g: float = 0.0
    acids_and_polyols_in_carbohydrate: bool = False
    energy_kcal: float | None = None
    source: str = ""
    confidence: str = ""

    def total_g(self) -> float:
        """What the parts add up to; 100 ± 3 but for the foods named in docs/method/foods.md."""
        apart = 0.0 if self.acids_and_polyols_in_carbohydrate else self.organic_acids_g + self.polyols_g
        parts = (self.water_g, self.protein_g, self.fat_g, self.carbohydrate_g, self.fibre_g, self.alcohol_g, self.ash_g)
        return sum(parts) + apart


@dataclass(frozen=True)
class Portion:
    """Grams of one household measure; `country` is empty where the measure is the same everywhere."""

    unit: str
    state: str
    country: str
    mass_g: float
    source: str = ""
    confidence: str = ""


@dataclass(frozen=True)
class Food:
    """One pantry entry. Figures that no source gives are None or empty, never guessed."""

    key: str
    name: str
    category: str = ""
    names: tuple[tuple[str, str], ...] = ()
    also: tuple[str, ...] = ()
    composition: Composition | None = None
    density_g_per_ml: Interval | None = None
    density_state: str = ""
    density_source: str = ""
    portions: tuple[Portion, ...] = ()
    edible_portion_percent: float | None = None
    smoke_point_c: float | None = None
    allergens_eu: tuple[str, ...] = ()
    allergens_us: tuple[str, ...] = ()
    diet: tuple[str, ...] = ()
    safety: tuple[str, ...] = ()
    countable: bool = False
    season_north: tuple[int, int] | None = None
    season_south: tuple[int, int] | None = None
    variety_group: str = ""
    source: str = ""
    confidence: str = ""

    def name_in(self, country: str | None) -> str:
        """The name that cooks of a country use; the house name where they use no other."""
        code = country_code(country)
        return dict(self.names).get(code, self.name) if code else self.name


def table(name: str) -> list[dict[str, str]]:
    """The rows of one CSV of this package, as text."""
    text = resources.files(__package__).joinpath("tables", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _number(text: str) -> float | None:
    return float(text) if text else None


def _split(text: str) -> tuple[str, ...]:
    return tuple(text.split("|")) if text else ()


def _months(text: str) -> tuple[int, int] | None:
    if not text:
        return None
    first, last = text.split("-")
    return int(first), int(last)


def _compositions() -> dict[str, Composition]:
    found = {}
    for row in table("composition.csv"):
        found[row["key"]] = Composition(
            water_g=float(row["water_g"]),
            protein_g=float(row["protein_g"]),
            fat_g=float(row["fat_g"]),
            saturates_g=_number(row["saturates_g"]),
            carbohydrate_g=float(row["carbohydrate_g"]),
            sugars_g=_number(row["sugars_g"]),
            fibre_g=float(row["fibre_g"]),
            salt_g=float(row["salt_g"]),
            organic_acids_g=float(row["organic_acids_g"]),
            polyols_g=float(row["polyols_g"]),
            alcohol_g=float(row["alcohol_g"]),
            ash_g=float(row["ash_g"]),
            acids_and_polyols_in_carbohydrate=row["acids_and_polyols_in_carbohydrate"] == "1",
            energy_kcal=_number(row["energy_kcal"]),
            source=row["source"],
            confidence=row["confidence"],
        )
    return found


def _portions() -> dict[str, tuple[Portion, ...]]:
    found: dict[str, list[Portion]] = {}
    for row in table("portions.csv"):
        found.setdefault(row["key"], []).append(
            Portion(row["unit"], row["state"], row["country"], float(row["mass_g"]), row["source"], row["confidence"])
        )
    return {key: tuple(rows) for key, rows in found.items()}


@lru_cache(maxsize=1)
def pantry() -> Mapping[str, Food]:
    """Every food of the tables by key, read once."""
    compositions, portions = _compositions(), _portions()
    densities = {row["key"]: row for row in table("densities.csv")}
    traits = {row["key"]: row for row in table("traits.csv")}
    allergens = {row["key"]: row for row in table("allergens.csv")}
    foods = {}
    for row in table("names.csv"):
        key = row["key"]
        trait, density, allergen = traits.get(key), densities.get(key), allergens.get(key)
        foods[key] = Food(
            key=key,
            name=row["name"],
            category=row["category"],
            names=tuple((code, row[code]) for code in COUNTRIES if row[code]),
            also=_split(row["also"]),
            composition=compositions.get(key),
            density_g_per_ml=((float(density["density_g_per_ml"]), float(density["low"]), float(density["high"])) if density else None),
            density_state=density["state"] if density else "",
            density_source=density["source"] if density else "",
            portions=portions.get(key, ()),
            edible_portion_percent=_number(trait["edible_portion_percent"]) if trait else None,
            smoke_point_c=_number(trait["smoke_point_c"]) if trait else None,
            allergens_eu=_split(allergen["eu"]) if allergen else (),
            allergens_us=_split(allergen["us"]) if allergen else (),
            diet=_split(row["diet"]),
            safety=_split(row["safety"]),
            countable=row["countable"] == "1",
            season_north=_months(trait["season_north"]) if trait else None,
            season_south=_months(trait["season_south"]) if trait else None,
            variety_group=trait["variety_group"] if trait else "",
            source=compositions[key].source if key in compositions else row["source"],
            confidence=compositions[key].confidence if key in compositions else row["confidence"],
        )
    return MappingProxyType(foods)


@lru_cache(maxsize=1)
def cautions() -> Mapping[str, str]:
    """The customary caution of each safety class, as one sentence.

    Source: safety.csv, each row with its own; they are the customary ones, and the local authority's come first.
    """
    return MappingProxyType({row["safety_class"]: row["caution"] for row in table("safety.csv")})


@lru_cache(maxsize=1)
def varieties() -> Mapping[str, tuple[Mapping[str, str], ...]]:
    """Kinds of one food that countries sell under other names, by variety group (potatoes, flours, creams …).

    Each kind: `kind`, `note`, and its usual name or names by country code. Source: common practice, no source.
    """
    found: dict[str, list[Mapping[str, str]]] = {}
    for row in table("varieties.csv"):
        found.setdefault(row["variety_group"], []).append(MappingProxyType(row))
    return MappingProxyType({group: tuple(rows) for group, rows in found.items()})
