"""Nutrients of a recipe per 100 g and per serving, from its ingredients, with yield and retention."""

from collections.abc import Sequence
from dataclasses import dataclass, fields

from proofpan.science.foods.food import Composition, Food, FoodError
from proofpan.science.foods.labels import energy_general_factors_kcal, energy_label, round_eu, round_us
from proofpan.science.foods.lookup import look_up


@dataclass(frozen=True)
class Nutrients:
    """What a label lists, in grams, of 100 g or of one serving.

    Energy is the EU label's, by Annex XIV from the parts; `energy_us_kcal` by the US general factors. A part that some
    ingredient's source leaves out counts it as 0 there and is named in Nutrition.gaps.
    """

    energy_kj: float
    energy_kcal: float
    energy_us_kcal: float
    fat_g: float
    saturates_g: float
    carbohydrate_g: float
    sugars_g: float
    fibre_g: float
    protein_g: float
    salt_g: float
    polyols_g: float
    organic_acids_g: float
    alcohol_g: float

    def label_eu(self) -> dict[str, str]:
        """Rounded as the EU declares it per 100 g, in the order of the label."""
        listed = ("energy_kj", "energy_kcal", "fat_g", "saturates_g", "carbohydrate_g", "sugars_g", "fibre_g", "protein_g")
        return {name.removesuffix("_g"): round_eu(name, getattr(self, name)) for name in (*listed, "salt_g")}

    def label_us(self) -> dict[str, str]:
        """Rounded as the US declares it per serving, in the order of the label; carbohydrate with fibre."""
        total = self.carbohydrate_g + self.fibre_g + self.polyols_g + self.organic_acids_g
        return {
            "calories": round_us("calories", self.energy_us_kcal),
            "total fat": round_us("total_fat", self.fat_g),
            "saturated fat": round_us("saturated_fat", self.saturates_g),
            "sodium": round_us("sodium", self.salt_g / 2.5 * 1000),
            "total carbohydrate": round_us("total_carbohydrate", total),
            "dietary fiber": round_us("dietary_fiber", self.fibre_g),
            "total sugars": round_us("total_sugars", self.sugars_g),
            "protein": round_us("protein", self.protein_g),
        }


@dataclass(frozen=True)
class Nutrition:
    """A recipe's nutrients. `missing` names ingredients without figures: then the sums are at least so much."""

    per_100_g: Nutrients
    per_serve: Nutrients
    raw_mass_g: float
    final_mass_g: float
    serves: float
    missing: tuple[str, ...]
    gaps: tuple[str, ...]


_PARTS: tuple[str, ...] = ("protein_g", "fat_g", "saturates_g", "carbohydrate_g", "sugars_g", "fibre_g", "salt_g", "organic_acids_g")
_PARTS += ("polyols_g", "alcohol_g")


def _label_parts(c: Composition) -> dict[str, float]:
    """Parts of 100 g with carbohydrate in the label's sense: without organic acids and polyols."""
    parts = {name: getattr(c, name) or 0.0 for name in _PARTS}
    if c.acids_and_polyols_in_carbohydrate:
        parts["carbohydrate_g"] = max(0.0, parts["carbohydrate_g"] - parts["organic_acids_g"] - parts["polyols_g"])
    return parts


def _nutrients(parts: dict[str, float], share: float) -> Nutrients:
    of = {name: grams * share for name, grams in parts.items()}
    kj, kcal = energy_label(
        carbohydrate_g=of["carbohydrate_g"],
        polyols_g=of["polyols_g"],
        protein_g=of["protein_g"],
        fat_g=of["fat_g"],
        alcohol_g=of["alcohol_g"],
        organic_acids_g=of["organic_acids_g"],
        fibre_g=of["fibre_g"],
    )
    total = of["carbohydrate_g"] + of["fibre_g"] + of["polyols_g"] + of["organic_acids_g"]
    us = energy_general_factors_kcal(of["fat_g"], total, of["protein_g"]) + 7 * of["alcohol_g"]
    return Nutrients(energy_kj=kj, energy_kcal=kcal, energy_us_kcal=us, **of)


def nutrition(
    lines: Sequence[tuple[str | Food, float]],
    final_mass_g: float | None,
    serves: float,
    *,
    country: str | None = None,
    alcohol_kept: float = 1.0,
) -> Nutrition:
    """Nutrients of a recipe by the yield method: what goes in, over what comes out.

    Parameters: lines, (food or its name, grams of its edible portion); final_mass_g, grams after cooking, or None for
    what went in; serves, number of servings; country, whose names these are; alcohol_kept, share 0–1 that cooking leaves
    (USDA retention factors: 0.85 stirred into hot food, 0.4 baked or simmered 15 min, 0.25 an hour, 0.05 2½ h).
    Raises: FoodError for a negative mass, a final mass or servings not above 0, or a share outside 0–1.
    Source: recipe calculation by yield, EuroFIR/FAO guidelines; energy Annex XIV.
    """
    if not 0 <= alcohol_kept <= 1:
        raise FoodError(f"alcohol_kept can't be {alcohol_kept}: give a share from 0 to 1.")
    if not serves > 0:
        raise FoodError(f"A recipe can't serve {serves}: give a number above 0.")
    batch = dict.fromkeys(_PARTS, 0.0)
    missing, gaps, raw = [], [], 0.0
    for named, grams in lines:
        if not grams >= 0:
            raise FoodError(f"{named} can't weigh {grams} g: give a number of at least 0.")
        raw += grams
        food = look_up(named, country)
        if food is None or food.composition is None:
            missing.append(named if isinstance(named, str) else named.name)
            continue
        for part, amount in _label_parts(food.composition).items():
            batch[part] += amount * grams / 100
        gaps += [f"{food.name}: {f.name}" for f in fields(Composition) if getattr(food.composition, f.name) is None]
    batch["alcohol_g"] *= alcohol_kept
    final = raw if final_mass_g is None else final_mass_g
    if not final > 0:
        raise FoodError(f"A recipe can't weigh {final} g: give a mass above 0.")
    return Nutrition(
        per_100_g=_nutrients(batch, 100 / final),
        per_serve=_nutrients(batch, 1 / serves),
        raw_mass_g=raw,
        final_mass_g=final,
        serves=serves,
        missing=tuple(missing),
        gaps=tuple(gaps),
    )


def nutrient_after_cooking(raw_per_100_g: float, retention_percent: float, yield_percent: float) -> float:
    """A nutrient per 100 g cooked: raw × retention ÷ yield.

    Parameters: retention_percent, share of the nutrient that cooking keeps; yield_percent, cooked mass of raw mass.
    Raises: FoodError for a negative amount or a yield not above 0.
    Source: USDA Table of Nutrient Retention Factors, release 6; EuroFIR recipe guideline.
    """
    if not (raw_per_100_g >= 0 and retention_percent >= 0):
        raise FoodError("A raw amount and its retention can't be negative.")
    if not yield_percent > 0:
        raise FoodError(f"A yield can't be {yield_percent} %: give a number above 0.")
    return raw_per_100_g * retention_percent / yield_percent


def recipe_energy_kcal(lines: Sequence[tuple[float, float]], final_mass_g: float) -> tuple[float, float]:
    """A batch's energy and that of 100 g of what comes out.

    Parameters: lines, (grams, kcal per 100 g); final_mass_g, grams after cooking.
    Returns: (kcal of the batch, kcal per 100 g).
    Raises: FoodError for a final mass not above 0.
    """
    if not final_mass_g > 0:
        raise FoodError(f"A recipe can't weigh {final_mass_g} g: give a mass above 0.")
    batch = sum(grams * kcal / 100 for grams, kcal in lines)
    return batch, batch / final_mass_g * 100
