"""schema.org structured data of a recipe.

Source: schema.org, type Recipe and the types it inherits from (HowTo, CreativeWork, Thing); durations by ISO 8601 as schema.org's
Duration asks; diets by its enumeration RestrictedDiet. Only what is known is written: an empty property says something wrong.
"""

from __future__ import annotations

from typing import Any

from proofpan.study.reader_recipe import ReaderRecipe

DIETS = {"vegan": "https://schema.org/VeganDiet", "vegetarian": "https://schema.org/VegetarianDiet"}
NUTRIENTS = {"energy_kcal": ("calories", "kcal"), "fat": ("fatContent", "g"), "saturates": ("saturatedFatContent", "g"),
             "carbohydrate": ("carbohydrateContent", "g"), "sugars": ("sugarContent", "g"), "fibre": ("fiberContent", "g"),
             "protein": ("proteinContent", "g"), "calories": ("calories", "kcal"), "total fat": ("fatContent", "g"),
             "saturated fat": ("saturatedFatContent", "g"), "sodium": ("sodiumContent", "mg"), "total carbohydrate": ("carbohydrateContent", "g"),
             "dietary fiber": ("fiberContent", "g"), "total sugars": ("sugarContent", "g")}


def duration(minutes: float) -> str:
    """Minutes as an ISO 8601 duration: 95 → PT1H35M, 2880 → P2D."""
    whole = round(minutes)
    days, rest = divmod(whole, 1440)
    hours, mins = divmod(rest, 60)
    time = (f"{hours}H" if hours else "") + (f"{mins}M" if mins or not (hours or days) else "")
    return "P" + (f"{days}D" if days else "") + (f"T{time}" if time else "")


def jsonld_of(recipe: ReaderRecipe) -> dict[str, Any]:
    """The recipe as a schema.org Recipe."""
    out: dict[str, Any] = {
        "@context": "https://schema.org", "@type": "Recipe", "name": recipe.title, "recipeIngredient": list(recipe.ingredients),
        "recipeInstructions": [{"@type": "HowToStep", "name": s.id, "text": s.text} for s in recipe.method],
    }
    if recipe.headnote:
        out["description"] = recipe.headnote
    if recipe.makes or recipe.serves:
        out["recipeYield"] = recipe.makes or f"{recipe.serves:g} serves"
    if recipe.total_minutes:
        out["totalTime"] = duration(recipe.total_minutes)
    if recipe.active_minutes and (recipe.total_minutes is None or recipe.active_minutes <= recipe.total_minutes):
        out["prepTime"] = duration(recipe.active_minutes)
        if recipe.total_minutes and recipe.total_minutes - recipe.active_minutes >= 1:
            out["cookTime"] = duration(recipe.total_minutes - recipe.active_minutes)
    if (facts := _nutrition(recipe)) is not None:
        out["nutrition"] = facts
    if recipe.diet:
        out["suitableForDiet"] = [DIETS[d] for d in recipe.diet]
    if recipe.equipment or recipe.tin:
        out["tool"] = [*recipe.equipment, *([recipe.tin] if recipe.tin else [])]
    if recipe.cost.batch is not None and recipe.cost.currency and not recipe.cost.missing:
        out["estimatedCost"] = {"@type": "MonetaryAmount", "currency": recipe.cost.currency, "value": round(recipe.cost.batch, 2)}
    if recipe.credits:
        out["creditText"] = " ".join(recipe.credits)
    return out


def _nutrition(recipe: ReaderRecipe) -> dict[str, str] | None:
    """NutritionInformation of a serve; none while an ingredient's figures are missing, since the sums would be too low."""
    if recipe.nutrition.missing or not recipe.nutrition.per_serve:
        return None
    out = {"@type": "NutritionInformation", "servingSize": "1 serve"}
    for name, value in recipe.nutrition.per_serve:
        if name in NUTRIENTS:
            key, unit = NUTRIENTS[name]
            out[key] = value if any(c.isalpha() for c in value) else f"{value} {unit}"
    return out
