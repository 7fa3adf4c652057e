"""The commission's limits: which versions lie outside, and why."""

from __future__ import annotations

from proofpan.steps import hands
from proofpan.steps.making import recipe_of
from proofpan.steps.observing import Cooked, number_in
from proofpan.study.countries import measures_of
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study
from proofpan.study.versions import current

DIET_CLASSES = ("vegetarian", "vegan")


def outside_of(study: Study, cooked: Cooked) -> tuple[str | None, ...]:
    """For each version the limit it breaks, or none."""
    limits = study.brief.limits
    asked = any((limits.cost_a_serve, limits.active_minutes, limits.ingredients, limits.must_use, limits.diet))
    if study.brief.base is None or not asked:
        return tuple(None for _ in cooked.versions)
    return tuple(
        _broken(study, recipe_of(study, current(study.brief, v))) if i < cooked.candidates else "no longer in the brief"
        for i, v in enumerate(cooked.versions)
    )


def active_minutes(recipe: Recipe) -> float:
    """Busy minutes: what the steps say of hands, else by what each does (steps/hands.py)."""
    return hands.active_minutes(recipe.method)


def _broken(study: Study, recipe: Recipe) -> str | None:
    limits = study.brief.limits
    if limits.ingredients is not None and len(recipe.ingredients) > limits.ingredients:
        return f"{len(recipe.ingredients)} ingredients where {limits.ingredients} are allowed"
    if limits.active_minutes is not None and active_minutes(recipe) > limits.active_minutes:
        return f"{active_minutes(recipe):.0f} active minutes where {limits.active_minutes:g} are allowed"
    for must in limits.must_use:
        short = _short_of(recipe, must, study.brief.kitchen.country)
        if short is not None:
            return short
    for diet in limits.diet:
        breaker = _breaks_diet(recipe, diet)
        if breaker is not None:
            return f"not {diet}: {breaker}"
    return _too_dear(study, recipe)


def _short_of(recipe: Recipe, must: str, country: str | None) -> str | None:
    """Whether a version uses less than an amount it must use."""
    from proofpan.science.measures import parse_line

    wanted = parse_line(must, measures_of(country))
    for line in recipe.ingredients:
        if line.item.casefold() == wanted.item.casefold():
            used = parse_line(line.text, measures_of(country))
            if wanted.mass_g is None or used.mass_g is None:
                return None
            if used.mass_g[1] + 1e-9 < wanted.mass_g[0]:
                return f"uses {used.mass_g[1]:g} g of {line.item} where {must} must be used"
            return None
    return f"doesn't use the {must} that it must"


def _breaks_diet(recipe: Recipe, diet: str) -> str | None:
    from proofpan.science.foods import look_up

    for line in recipe.ingredients:
        food = look_up(line.item)
        if food is not None and diet.casefold() in DIET_CLASSES and diet.casefold() not in food.diet:
            return line.item
    return None


def _too_dear(study: Study, recipe: Recipe) -> str | None:
    limit = study.brief.limits.cost_a_serve
    if limit is None:
        return None
    from proofpan.steps.costing import cost_of

    cost = cost_of(study, recipe)
    if cost.a_serve is None or cost.a_serve <= limit:
        return None
    return f"{cost.a_serve:.2f} a serve where {limit:.2f} is allowed"


__all__ = ["active_minutes", "number_in", "outside_of"]
