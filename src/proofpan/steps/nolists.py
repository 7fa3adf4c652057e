"""What a taster doesn't eat: which plates leave their order."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from proofpan.steps.making import recipe_of
from proofpan.study.errors import quoted
from proofpan.study.rounds import PlannedTrial
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.words import joined

if TYPE_CHECKING:
    from proofpan.science.foods import Food


def withheld_plates(study: Study, trials: Sequence[PlannedTrial]) -> dict[tuple[str, int], str]:
    """{(taster, trial): what it holds} for every plate that a taster can't have."""
    tasters = [t for t in study.brief.tasters if t.no and t.left is None]
    out: dict[tuple[str, int], str] = {}
    if not tasters:
        return out
    for trial in trials:
        words = contents(study, trial.version)
        for taster in tasters:
            hit = next((no for no in taster.no if holds(words, no)), None)
            if hit is not None:
                out[taster.name, trial.trial] = hit
    return out


# a word of a no-list → what else it means, taken widely: keeping a plate back costs a mark, serving it may cost more
# (EU 1169/2011 Annex II groups; words that a kitchen uses for them: common practice, no source)
MEANS = {
    "dairy": ("milk",), "lactose": ("milk",), "gluten": ("cereals containing gluten", "wheat"), "nut": ("nuts", "tree nuts", "peanuts"),
    "tree nut": ("nuts", "tree nuts"), "groundnut": ("peanuts",), "shellfish": ("crustaceans", "molluscs", "crustacean shellfish"),
    "seafood": ("fish", "crustaceans", "molluscs"), "soya": ("soybeans", "soy"), "soy": ("soybeans", "soya"), "sulphite": ("sulphur dioxide",),
    "sulfite": ("sulphur dioxide",), "egg": ("eggs", "mayonnaise"),
}
CLASSES = {"meat": ("meat", "poultry"), "poultry": ("poultry",), "alcohol": ("alcohol",), "seafood": ("fish", "shellfish"), "fish": ("fish",)}
PORK = ("pork", "bacon", "ham", "pancetta", "prosciutto", "lard", "chorizo", "salami", "gammon", "guanciale", "gelatine", "gelatin")


def contents(study: Study, version: Version) -> tuple[str, ...]:
    """Everything that a version is known to hold: its items, their kinds, its allergens, what its options say they contain."""
    from proofpan.science.foods import allergens, look_up

    options = [f.option(version.get(f.name, "")) for f in study.factors]
    said = [c for option in options if option is not None for c in option.contains]
    items = items_of(study, version)
    known = [str(a) for regime in ("EU", "US") for a in allergens(items, regime)] if items else []
    foods = [food for food in map(look_up, items) if food is not None]
    kinds = [f"kind: {food.category}" for food in foods]
    animal = [f"not {d}" for food in foods for d in ("vegan", "vegetarian") if d not in food.diet]
    return tuple(dict.fromkeys([*said, *items, *(food.name for food in foods), *known, *kinds, *animal]))


def items_of(study: Study, version: Version) -> list[str]:
    """The ingredients of a version by name."""
    return [i.item for i in recipe_of(study, version).ingredients] if study.brief.base is not None else []


def holds(words: Sequence[str], no: str) -> bool:
    """Whether any word names what a taster doesn't eat (singular or plural, or what the word means in a kitchen)."""
    stem = _stem(_asked(no))
    if stem in ("meat", "animal", "vegan", "vegetarian"):
        return f"not {'vegan' if stem in ('vegan', 'animal') else 'vegetarian'}" in words or _named(words, stem)
    wanted = (stem, *MEANS.get(stem, ()), *(PORK if stem == "pork" else ()), *_by_another_name(stem))
    return any(_named(words, w) for w in wanted) or any(f"kind: {k}" in words for k in CLASSES.get(stem, ()))


def nolist_cautions(study: Study, versions: Sequence[Version]) -> list[str]:
    """What no no-list can be checked against: words that are known nowhere, ingredients whose contents aren't known."""
    from proofpan.science.foods import look_up

    asking = [t for t in study.brief.tasters if t.no and t.left is None]
    if not asking:
        return []
    if study.brief.base is None and not all(o.contains for f in study.factors for o in f.kept):
        return [f"There is no recipe, so what a plate holds isn't known: say what each option contains, or ask {joined(t.name for t in asking)} "
                "before serving."]
    items = list(dict.fromkeys(i for v in versions for i in items_of(study, v)))
    out = []
    for taster in asking:
        for no in taster.no:
            if not _is_known(no) and not _named(items, _stem(_asked(no))):
                out.append(f"{taster.name}'s no-list says {quoted(no)}, which isn't known here: a plate is kept back only where its "
                           "ingredients hold that word or the nearest one. Check each plate's labels yourself, or write it in another word.")
    unknown = [i for i in items if look_up(i) is None]
    if unknown:
        out.append(f"What {joined(unknown[:4])} holds isn't known: read the label for {joined(t.name for t in asking)} before serving.")
    return out


def _by_another_name(stem: str) -> tuple[str, ...]:
    """The pantry's own name for a word that is no group of foods; for one that is only near a name, its allergens too."""
    from proofpan.science.foods import look_up

    food = None if stem in MEANS or stem in CLASSES else look_up(stem)
    if food is None:
        return ()
    return (food.name,) if _is_spelt_so(food, stem) else (food.name, *food.allergens_eu, *food.allergens_us)


def _is_spelt_so(food: Food, stem: str) -> bool:
    return _named([food.name, *(name for _, name in food.names), *food.also], stem)


def _is_known(no: str) -> bool:
    from proofpan.science.foods import look_up, pantry

    stem = _stem(_asked(no))
    food = look_up(stem)
    if stem in MEANS or stem in CLASSES or stem in ("pork", "meat", "animal", "vegan", "vegetarian") or food is not None and _is_spelt_so(food, stem):
        return True
    words = {a for food in pantry().values() for a in (*food.allergens_eu, *food.allergens_us)}
    return any(_named([w], stem) for w in words)


def _asked(no: str) -> str:
    return re.sub(r"^(no|non|not)[\s-]+|[\s-]+free$", "", no.casefold().strip())


def _stem(word: str) -> str:
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def _named(words: Sequence[str], wanted: str) -> bool:
    stem = re.escape(_stem(wanted))
    return any(re.search(rf"\b{stem}(s|es)?\b", w.casefold()) for w in words if not w.startswith(("kind: ", "not ")))
