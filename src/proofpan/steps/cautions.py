"""Cautions by rule from a recipe's ingredients and steps. Each names its source and defers to the local authority.

Sources: FDA Food Code 2022, 3-401.11 (cooking), 3-501.14/16 (cooling, holding); EU 2017/2158 (acrylamide benchmarks); FDA Bad Bug
Book, 2nd ed. (phytohaemagglutinin in kidney beans; C. botulinum; infant botulism and honey); USDA FSIS guidance on garlic in oil
(refrigerated, use within 4 days; other sources say up to 7: the shorter is said); the rest is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from proofpan.steps.making import recipe_of
from proofpan.study.recipe import Recipe, Step
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.wording import say

DEFER = "Follow your local food-safety authority."
_POULTRY = r"\b(chicken|turkey|duck|poultry|quail|goose)\b"
_NOT_MEAT = r"\b(stock|broth|bouillon|fat|egg|eggs)\b"
_MEAT = r"\b(pork|beef|lamb|veal|mince|sausages?|venison|goat)\b"
_OIL = r"\b(oil|ghee|lard|dripping|shortening)\b"
_JAR = r"\b(jam|marmalade|chutney|pickles?|relish|preserve[sd]?|curd|conserve)\b"
_SHELF = r"shelf[- ]?stable|\bcupboard\b|room temperature|keeps? (for )?(a year|months|\d+ months)|\bpantry shelf\b"
# a process that can be looked up: whose it is, or what it is called; a water bath alone is no tested process
_PROCESS = (r"\b(tested|approved|validated) process(es)?\s*(\(|:|of|from|by|no\b|number)\s*\S|\bprocess authority\b"
            r"|\b(usda|nchfp|home canning|extension service)\b")
_FRY = r"deep[- ]?fr(y|ied|ying)|shallow[- ]?fr(y|ied|ying)"
_BOIL = r"\b(boil(ed|ing)?|boils)\b"


def _defer() -> str:
    return " " + say(DEFER)


@dataclass(frozen=True)
class Caution:
    """A caution, and whether it stops publishing until it is met."""

    kind: str
    says: str
    blocks: str | None = None


def cooking_cautions(study: Study, versions: Iterable[Version]) -> list[str]:
    """What must be seen to before a round is cooked and tasted."""
    if study.brief.base is None:
        return []
    found = dict.fromkeys(c.says for v in versions for c in cautions(recipe_of(study, v), base=study.brief.base))
    # a version's longer caution may end in the words of another version's
    return [c for c in found if not any(c != other and c in other for other in found)]


def cautions(recipe: Recipe, *, base: Recipe | None = None) -> tuple[Caution, ...]:
    """Every caution that a recipe calls for; `base` tells whether a preserve's ratio was changed."""
    rules = (_poultry, _meat, _kidney, _garlic_in_oil, _preserve, _hot_oil, _hot_sugar, _raw_egg, _raw_flour, _rice, _honey, _alcohol,
             _browning)
    out: list[Caution] = []
    for rule in rules:
        found = rule(recipe, base or recipe)
        if found is not None:
            out.append(found)
    return (*out, *_by_the_pantry(recipe))


OF_THE_PANTRY = ("raw fish", "raw shellfish", "ready-to-eat smoked fish", "raw sprouts", "soft cheese", "raw cassava", "raw taro",
                 "rhubarb leaves", "raw elderberries")


def _by_the_pantry(recipe: Recipe) -> tuple[Caution, ...]:
    """What the pantry's own table says of foods that no rule here is about (safety.csv, each row with its source)."""
    from proofpan.science.foods import cautions as safety
    from proofpan.science.foods import look_up

    classes = {c for i in recipe.ingredients if (food := look_up(i.item)) is not None for c in food.safety}
    return tuple(Caution(c, say(f"{safety()[c].split('; follow')[0].rstrip('.')}.") + _defer()) for c in OF_THE_PANTRY if c in classes)


def _items(recipe: Recipe) -> list[str]:
    return [i.item.casefold() for i in recipe.ingredients]


def _has(recipe: Recipe, pattern: str, but: str | None = None) -> bool:
    return any(re.search(pattern, i) and not (but and re.search(but, i)) for i in _items(recipe))


def _classed(recipe: Recipe, safety: str, category: str | None = None) -> bool:
    """Whether the pantry puts an ingredient as listed in that safety class: rajma is a dried kidney bean, chook is poultry."""
    from proofpan.science.foods import look_up

    return any((food := look_up(i.item)) is not None and safety in food.safety and category in (None, food.category) for i in recipe.ingredients)


def _method(recipe: Recipe) -> str:
    return " ".join(s.do for s in recipe.method).casefold()


def _celsius(step: Step) -> list[float]:
    """Temperatures of a step that are not its oven's."""
    if step.oven is not None:
        return []
    return [float(m) for run in re.split(r"[.;]", step.do) if not re.search(r"\boven\b|\bfan\b", run, re.I)
            for m in re.findall(r"(\d{2,3})\s*°?\s*C\b", run)]


_CORE = re.compile(r"\b(?:core|thick\w*|middle|inside|cent(?:re|er)|internal\w*|probe|thermometer|reach\w*|reads?|is|to)\b[^.;]{0,50}?"
                   r"(?:\b(?:7[4-9]|8\d|9\d)\s*°?\s*c\b|\b1(?:6[5-9]|[78]\d)\s*°?\s*f\b)")


def _poultry(recipe: Recipe, base: Recipe) -> Caution | None:
    if not (_has(recipe, _POULTRY, _NOT_MEAT) or _classed(recipe, "raw poultry")):
        return None
    said = _CORE.search(_method(recipe) + " " + " ".join(s.until or "" for s in recipe.method).casefold())
    blocks = None if said else say("Poultry without a core temperature in the method: say that the thickest part must reach 74 °C.")
    return Caution("poultry", say("Poultry is done when its thickest part has reached 74 °C (165 °F).") + _defer(), blocks)


def _meat(recipe: Recipe, base: Recipe) -> Caution | None:
    if not _has(recipe, _MEAT, _NOT_MEAT):
        return None
    return Caution("meat", say("Check meat with a probe: minced meat and sausages at 71 °C, whole cuts at 63 °C with three minutes' rest.") + _defer())


def _kidney(recipe: Recipe, base: Recipe) -> Caution | None:
    if not any(re.search(r"kidney bean", i) and not re.search(r"\b(tin|tinned|can|canned|cooked)\b", t.text.casefold())
               for i, t in zip(_items(recipe), recipe.ingredients, strict=True)) and not _rajma(recipe):
        return None
    return Caution("kidney beans", say("Dried kidney beans must boil hard for at least 10 minutes (30 is advised by some) in fresh water: held "
                                       "below a full boil they become more poisonous, not less.") + _defer())


def _rajma(recipe: Recipe) -> bool:
    """Dried kidney beans by another name, as no tin says it."""
    return _classed(recipe, "dried kidney beans") and not _has(recipe, r"kidney bean")


def _garlic_in_oil(recipe: Recipe, base: Recipe) -> Caution | None:
    raw = r"\bgarlic\b|\b(fresh )?(basil|rosemary|thyme|chilli|chili)\b"
    if not (_has(recipe, raw, r"powder|dried|granul") and _has(recipe, _OIL)):
        return None
    kept = _method(recipe) + " " + (recipe.keeping or "").casefold()
    if not re.search(r"\binfus|\bconfit|\b(?:under|covered (?:with|in|by)|submerged in|topped (?:up )?with) (?:the |its |its own |more |olive )*oil\b", kept):
        baked = any(s.oven is not None or re.search(r"\b(?:bake|roast)", s.do, re.I) for s in recipe.method)
        dough = _has(recipe, r"\bflour\b") or _classed(recipe, "raw flour", "flour")
        jarred = re.search(r"\bjars?\b|\bbottles?\b", kept)
        # what is baked isn't kept under its oil: not a loaf, whatever it is kept in, nor a dish that only says how long it keeps
        if not (jarred and not (baked and dough) or not baked and re.search(r"\bstored?\b|\bkeeps?\b", kept)):
            return None
    return Caution("garlic in oil", say("Garlic or fresh herbs kept under oil can grow botulism: keep it in the fridge and use it within 4 days, or "
                                        "freeze it.") + _defer())


def _preserve(recipe: Recipe, base: Recipe) -> Caution | None:
    text = " ".join([recipe.title, recipe.keeping or "", *recipe.notes, _method(recipe)]).casefold()
    jarred = re.search(_JAR, recipe.title.casefold()) or re.search(r"\bjars?\b", _method(recipe))
    if not jarred:
        return None
    shelf = re.search(_SHELF, text)
    process = re.search(_PROCESS, text)
    changed = {i.text for i in recipe.ingredients} != {i.text for i in base.ingredients}
    blocks = None
    if shelf and not process:
        blocks = say("It is called shelf-stable without a named tested process: name it and its pH (tested process: whose, and for how long), "
                     "or say to refrigerate.")
    ratio = say("Its ratio was changed from the base recipe, so nothing is known of how it keeps.") + " " if changed else ""
    return Caution("preserve", ratio + say("Refrigerate it unless a named tested process and its acidity (pH below 4.6) say otherwise.") + _defer(),
                   blocks)


def _hot_oil(recipe: Recipe, base: Recipe) -> Caution | None:
    deep = re.search(_FRY, _method(recipe)) or any(re.search(r"\bfor (deep[- ]|shallow[- ])?frying\b", i.text, re.I) for i in recipe.ingredients)
    heated = _has(recipe, _OIL) and any(t >= 140 and re.search(r"\b(oil|fat|fry)", s.do, re.I) for s in recipe.method for t in _celsius(s))
    if not (deep or heated):
        return None
    return Caution("hot oil", say("Hot oil burns and can catch fire: fill the pan no more than a third, never leave it unattended, dry what goes "
                                  "in, and put out a fire with a lid, never water.") + _defer())


def _hot_sugar(recipe: Recipe, base: Recipe) -> Caution | None:
    hot = _has(recipe, r"\bsugar|syrup|honey|glucose\b") and any(
        t >= 105 for s in recipe.method for t in _celsius(s)
        if not re.search(r"\b(oil|fry|fried)\b", s.do, re.I))
    if not (hot or "caramel" in _method(recipe)):
        return None
    return Caution("hot sugar", say("Boiling sugar, up to 150 °C and more, sticks and burns deeply: no children near, a bowl of cold water "
                                    "at hand.") + _defer())


def _raw_egg(recipe: Recipe, base: Recipe) -> Caution | None:
    if not _has(recipe, r"\beggs?\b|\begg (yolk|white)s?\b"):
        return None
    cooked = any(s.oven is not None or re.search(r"bake|boil|fry|simmer|poach|steam|roast|cook", s.do, re.I) for s in recipe.method)
    if cooked:
        return None
    return Caution("raw egg", say("It holds raw egg: use pasteurised egg for the old, the young, the pregnant and the ill, and keep it cold.") + _defer())


def _raw_flour(recipe: Recipe, base: Recipe) -> Caution | None:
    if not (_has(recipe, r"\bflour\b") or _classed(recipe, "raw flour", "flour")):
        return None
    return Caution("raw flour", say("Don't taste raw dough or batter: flour is a raw food.") + _defer())


def _rice(recipe: Recipe, base: Recipe) -> Caution | None:
    if not _has(recipe, r"\brice\b", r"flour|vinegar|wine|noodle|paper|bran|syrup"):
        return None
    return Caution("rice", say("Cool cooked rice within an hour or two, keep it below 5 °C, reheat it once until steaming.") + _defer())


def _honey(recipe: Recipe, base: Recipe) -> Caution | None:
    if not _has(recipe, r"\bhoney\b"):
        return None
    return Caution("honey", say("Not for infants under 12 months: honey can carry infant botulism.") + _defer())


def _alcohol(recipe: Recipe, base: Recipe) -> Caution | None:
    if not _has(recipe, r"\b(wine"
                        r"|rum|brandy|whisky|whiskey|vodka|liqueur|sherry|beer|gin|ale|stout|cider|port|vermouth|bourbon)\b", r"vinegar|ginger|root beer") \
            and not _classed(recipe, "alcohol"):
        return None
    return Caution("alcohol", say("It holds alcohol, and not all of it cooks off.") + _defer())


def _browning(recipe: Recipe, base: Recipe) -> Caution | None:
    starch = _has(recipe, r"\b(flour|potato(es)?|oats?|bread|breadcrumbs|semolina|polenta)\b")
    hot = any(s.oven is not None and s.oven.temperature_c >= 150 for s in recipe.method) or re.search(_FRY, _method(recipe))
    hot = hot or re.search(r"\b(?:bake|roast|toast|grill|griddle)\b", _method(recipe))
    if not (starch and hot):
        return None
    level = _benchmark(recipe)
    if level is not None:
        return Caution("browning", say("Golden, not brown: over-browned starch forms acrylamide (for {what} the benchmark is {level:.0f} µg/kg; the benchmarks "
                                       "of Regulation (EU) 2017/2158 are for trade products, not limits for a kitchen).",
                                       what=say(level[0]), level=level[1]) + _defer())
    return Caution("browning", say("Golden, not brown: over-browned starch forms acrylamide (the benchmarks of Regulation (EU) 2017/2158 are "
                                   "for trade products, not limits for a kitchen).") + _defer())


# a word of the title → a category of Annex IV to Regulation (EU) 2017/2158
_CATEGORIES = {"crispbread": "crispbread", "gingerbread": "gingerbread", "cracker": "crackers, not potato", "biscuit": "biscuits and wafers",
               "cookie": "biscuits and wafers", "wafer": "biscuits and wafers", "fries": "French fries, ready to eat"}


def _benchmark(recipe: Recipe) -> tuple[str, float] | None:
    from proofpan.science.foods import acrylamide_benchmark_ug_per_kg

    title = f"{recipe.title} {recipe.makes or ''}".casefold()
    category = next((c for word, c in _CATEGORIES.items() if re.search(rf"\b{word}s?\b", title)), None)
    return None if category is None else (category.split(",")[0], acrylamide_benchmark_ug_per_kg(category))
