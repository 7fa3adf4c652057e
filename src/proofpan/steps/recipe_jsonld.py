"""schema.org structured data of a recipe (schema.org vocabulary, Recipe; durations by ISO 8601)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from proofpan.steps.recipe import WorkedRecipe

DIETS = {"vegan": "https://schema.org/VeganDiet", "vegetarian": "https://schema.org/VegetarianDiet"}


def duration(minutes: float) -> str:
    """Minutes as an ISO 8601 duration: 95 → PT1H35M, 2880 → P2D."""
    whole = round(minutes)
    days, rest = divmod(whole, 1440)
    hours, mins = divmod(rest, 60)
    time = (f"{hours}H" if hours else "") + (f"{mins}M" if mins or not (hours or days) else "")
    return "P" + (f"{days}D" if days else "") + (f"T{time}" if time else "")


def jsonld_of(recipe: WorkedRecipe) -> dict[str, Any]:
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
    if recipe.active_minutes:
        out["prepTime"] = duration(recipe.active_minutes)
    energy = dict(recipe.nutrition.per_serve)
    if energy and not recipe.nutrition.missing:
        kinds = {"energy": "calories", "fat": "fatContent", "saturates": "saturatedFatContent", "carbohydrate": "carbohydrateContent",
                 "sugars": "sugarContent", "fibre": "fiberContent", "protein": "proteinContent"}
        facts = {kinds[k]: v for k, v in energy.items() if k in kinds}
        out["nutrition"] = {"@type": "NutritionInformation", **facts}
    if recipe.equipment:
        out["tool"] = list(recipe.equipment)
    if recipe.credits:
        out["creditText"] = " ".join(recipe.credits)
    return out
