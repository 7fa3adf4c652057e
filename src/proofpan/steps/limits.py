"""The commission's limits: which versions lie outside, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from proofpan.steps import hands
from proofpan.steps.making import recipe_of
from proofpan.steps.observing import Cooked, number_in
from proofpan.study.countries import measures_of
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study
from proofpan.study.versions import current
from proofpan.study.wording import say
from proofpan.study.words import capital, joined, option_words, points, signed_range, version_words

if TYPE_CHECKING:
    from proofpan.steps.judged import Judged

DIET_CLASSES = ("vegetarian", "vegan")


def outside_of(study: Study, cooked: Cooked) -> tuple[str | None, ...]:
    """For each version the limit it breaks, or none."""
    limits = study.brief.limits
    asked = any((limits.cost_a_serve, limits.active_minutes, limits.ingredients, limits.must_use, limits.diet))
    if study.brief.base is None or not asked:
        return tuple(None for _ in cooked.versions)
    return tuple(
        _broken(study, recipe_of(study, current(study.brief, v))) if i < cooked.candidates else say("no longer in the brief")
        for i, v in enumerate(cooked.versions)
    )


NONE: dict[str, Any] = {"cost_a_serve": None, "active_minutes": None, "ingredients": None, "must_use": (), "diet": ()}


def limit_words(judged: Judged) -> tuple[str, ...]:
    """What each limit costs, in a sentence: the best version that it alone keeps out against the best inside.

    The difference is of scores less prices, with its 95 % interval from the joint posterior; a limit that costs nothing says so. What
    holds an option that nobody tasted gives no figure: it would be what is usual, not what this kitchen knows.
    """
    study, chosen = judged.study, judged.decision.publish
    if chosen is None or study.brief.base is None or not any(judged.outside) or not len(judged.scores):
        return ()
    limits = study.brief.limits
    asked = [(name, None) for name in ("cost_a_serve", "active_minutes", "ingredients") if getattr(limits, name) is not None]
    asked += [(name, one) for name in ("must_use", "diet") for one in getattr(limits, name)]
    return tuple(s for name, one in asked if (s := _price_of(judged, name, one, int(chosen))))


def _price_of(judged: Judged, name: str, one: str | None, chosen: int) -> str:
    import numpy as np

    from proofpan.science.versions import contrast

    study, limits = judged.study, judged.study.brief.limits
    without = NONE[name] if one is None else tuple(x for x in getattr(limits, name) if x != one)
    freed_brief = study.brief.model_copy(update={"limits": limits.model_copy(update={name: without})})
    freed = study.model_copy(update={"brief": freed_brief})
    cooked, net = judged.cooked, judged.posterior.mean - judged.prices
    opened = [i for i in range(cooked.candidates) if cooked.eligible[i] and judged.outside[i] is not None
              and _broken(freed, recipe_of(study, current(study.brief, cooked.versions[i]))) is None]
    called = _called(limits, name, one)
    if not opened:
        return ""
    tasted = [i for i in opened if not judged.untasted_in(i)]
    unknown = _only_outside(judged, opened)
    if not tasted:
        return say("What {called} costs isn't known: nobody has tasted {options}; cook it once to know.", called=called, options=_options_or(unknown))
    best = max(tasted, key=lambda i: (float(net[i]), -i))
    weights = np.zeros(len(cooked.versions))
    weights[best] += 1
    weights[chosen] -= 1
    found, price = contrast(judged.posterior, weights), float(judged.prices[best] - judged.prices[chosen])
    gain = (found.mean - price) / judged.unit
    low, high = ((x - price) / judged.unit for x in found.interval(study.brief.level))
    shown = version_words(current(study.brief, cooked.versions[best]))
    also = " " + say("Nobody has tasted {options}, which it also keeps out.", options=_options_or(unknown)) if unknown else ""
    if gain <= 0 or points(gain) == points(0.0):
        span = signed_range(low, high, study.brief.worth)
        return say("{called} costs nothing that we can see: the best without it ({shown}) is no better ({span}).",
            called=capital(called), shown=shown, span=span) + also
    return say("{gain} better without {called} ({range}): {shown}.",
        gain=points(gain), called=called, range=signed_range(low, high, study.brief.worth), shown=shown) + also


def _only_outside(judged: Judged, opened: list[int]) -> list[tuple[str, str]]:
    """Untasted options of the versions that a limit keeps out; those that it alone bars where there are any, else all of them."""
    there = {item for i, v in enumerate(judged.cooked.versions) if judged.outside[i] is None for item in v.items()}
    unknown = list(dict.fromkeys(item for i in opened for item in judged.untasted_in(i)))
    return [item for item in unknown if item not in there] or unknown


def _options_or(unknown: list[tuple[str, str]]) -> str:
    return joined([option_words(factor, option) for factor, option in unknown], "or")


def _called(limits: Any, name: str, one: str | None) -> str:
    if name == "cost_a_serve":
        return say("the limit of {cost:.2f} a serve", cost=limits.cost_a_serve)
    if name == "active_minutes":
        return say("the limit of {minutes:g} active minutes", minutes=limits.active_minutes)
    if name == "ingredients":
        return say("the limit of {number} ingredients", number=limits.ingredients)
    return say("the {amount}", amount=one) if name == "must_use" else say("the {diet} diet", diet=one)


def active_minutes(recipe: Recipe) -> float:
    """Busy minutes: what the steps say of hands, else by what each does (steps/hands.py)."""
    return hands.active_minutes(recipe.method)


def _broken(study: Study, recipe: Recipe) -> str | None:
    limits = study.brief.limits
    if limits.ingredients is not None and len(recipe.ingredients) > limits.ingredients:
        return say("{there} ingredients where {allowed} are allowed", there=len(recipe.ingredients), allowed=limits.ingredients)
    if limits.active_minutes is not None and active_minutes(recipe) > limits.active_minutes:
        return say("{there:.0f} active minutes where {allowed:g} are allowed", there=active_minutes(recipe), allowed=limits.active_minutes)
    for must in limits.must_use:
        short = _short_of(recipe, must, study.brief.kitchen.country)
        if short is not None:
            return short
    for diet in limits.diet:
        breaker = _breaks_diet(recipe, diet)
        if breaker is not None:
            return say("not {diet}: {breaker}", diet=diet, breaker=breaker)
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
                return say("uses {used:g} g of {item} where {must} must be used", used=used.mass_g[1], item=line.item, must=must)
            return None
    return say("doesn't use the {must} that it must", must=must)


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
    return say("{cost:.2f} a serve where {limit:.2f} is allowed", cost=cost.a_serve, limit=limit)


__all__ = ["active_minutes", "number_in", "outside_of"]
