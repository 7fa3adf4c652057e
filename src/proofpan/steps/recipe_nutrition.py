"""Nutrition as eaten: what goes in less what isn't eaten, over what it weighs when it is done, with how that weight is known."""

from __future__ import annotations

import re
from dataclasses import dataclass

from proofpan.science.foods import Food
from proofpan.steps.cooking_in import HEATED, alcohol_share
from proofpan.steps.recipe_facts import serves_of
from proofpan.study.countries import measures_of
from proofpan.study.lines import measures_in
from proofpan.study.reader_recipe import RecipeLine, RecipeNutrition
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.wording import say

_FRYING = re.compile(r"\bfor (?:deep[- ]|shallow[- ])?frying\b", re.I)
_POT = re.compile(r"\bfor (?:the )?(?:pot|boiling|blanching|brine|soaking)\b|\bto (?:boil|cook|blanch|soak)\b|\b(?:cooking|pasta) water\b", re.I)
_TRIMMED = re.compile(r"\b(?:peeled|trimmed|cored|deseeded|seeded|stoned|pitted|hulled|shelled|boned|skinned|destoned|podded|topped)\b", re.I)
_DRAINS = re.compile(r"\bdrain(?:ed)?\b", re.I)
_TIN = re.compile(r"\b(?:tins?|cans?)\b", re.I)
MOSTLY = 0.65           # of what goes in, before a yield of that food speaks for the dish
DRAINED = 0.6           # of a tin's contents, drained (common practice, no source)
_SALT = re.compile(r"\bsalt\b", re.I)
_LOSS = re.compile(r"\bloss\b", re.I)
_MASS = {"g": 1.0, "kg": 1000.0}


@dataclass(frozen=True)
class Weighed:
    """What it weighs cooked, in grams, and how that is known."""

    value: float
    low: float
    high: float
    basis: str


@dataclass
class Eaten:
    """Grams of one line that end in the dish."""

    line: RecipeLine
    food: Food | None
    grams: float


def nutrition_of(study: Study, version: Version, made: Recipe, lines: tuple[RecipeLine, ...]) -> RecipeNutrition:
    """Nutrients per 100 g as eaten and per serve, by EU rules, or by US rules for a US kitchen."""
    from proofpan.science.foods import FoodError, look_up, nutrition

    country = study.brief.kitchen.country
    unknown = [line.item for line in lines if line.grams is None and not _left_out(line)]
    speaks = measures_of(country)     # a country without kitchen words of its own reads names as anyone does
    held = [Eaten(line, look_up(line.item, speaks if speaks != "metric" else None), sum(line.grams) / 2) for line in lines if line.grams]
    notes = _what_is_eaten(made, held)
    held = [h for h in held if h.grams > 0]
    if not held:
        return RecipeNutrition(missing=tuple(dict.fromkeys(unknown)))
    weighed = _cooked(study, version, made, held)
    kept, said = alcohol_share(made, [h.line.item for h in held if h.food and h.food.composition and h.food.composition.alcohol_g > 0])
    notes += [said] if said else []
    serves = serves_of(made)
    try:
        found = nutrition([(h.food or h.line.item, h.grams) for h in held], weighed.value, serves or 1, alcohol_kept=kept)
    except FoodError:
        return RecipeNutrition(missing=tuple(dict.fromkeys(unknown)))
    raw = sum(h.grams for h in held)
    eu = tuple(tuple(n.label_eu().items()) for n in (found.per_100_g, found.per_serve))
    us = tuple(tuple(n.label_us().items()) for n in (found.per_100_g, found.per_serve))
    if serves is None:       # it isn't said how many it serves: 100 g alone
        eu, us = (eu[0], ()), (us[0], ())
    ours, theirs = (us, eu) if country == "US" else (eu, us)
    return RecipeNutrition(
        per_100_g=ours[0], per_serve=ours[1], rules="US" if country == "US" else "EU", others=(theirs[0], theirs[1]),
        missing=tuple(dict.fromkeys((*found.missing, *unknown))), serve_g=weighed.value / serves if serves else None, basis=weighed.basis, notes=tuple(notes),
        weight_percent=(100 * weighed.value / raw, 100 * weighed.low / raw, 100 * weighed.high / raw),
    )


def _left_out(line: RecipeLine) -> bool:
    return bool(re.search(r"\bto (?:serve|taste|garnish)\b", line.written, re.I)) or line.item.casefold() == "water"


def _what_is_eaten(made: Recipe, held: list[Eaten]) -> list[str]:
    """Takes away, in place, what is poured off, left in the pan or trimmed; the sentences that say so."""
    from proofpan.science.foods import cooked_water, usual_yield

    notes = []
    method = " ".join(s.do for s in made.method)
    pot = next((h for h in held if h.line.item.casefold().endswith("water") and (_POT.search(h.line.written) or _DRAINS.search(method)
                                                                                and h.grams >= 900)), None)
    poured = pot is not None and _DRAINS.search(method) is not None
    pot_g, taken_up = (pot.grams if pot is not None else 0.0), 0.0
    for h in held:
        if _FRYING.search(h.line.written):
            uptake = usual_yield("fried food takes up oil")
            food = sum(o.grams for o in held if o is not h and o is not pot)
            h.grams = min(h.grams, food * uptake.value / 100)
            notes.append(say("Of the oil to fry in, about {grams:.0f} g is taken to be eaten: {low:.0f} to {high:.0f} g per 100 g fried (common practice, "
                             "no source).", grams=h.grams, low=uptake.low, high=uptake.high))
        elif _TIN.search(h.line.written) and _DRAINS.search(f"{h.line.written} {method}"):
            h.grams *= DRAINED
            notes.append(say("Drained, a tin of {item} is taken as {share:.0f} % of its weight (common practice, no source).", item=h.line.item,
                             share=100 * DRAINED))
        elif _TRIMMED.search(h.line.written.partition(",")[2]) and h.food is not None and h.food.edible_portion_percent:
            h.grams *= h.food.edible_portion_percent / 100
        if poured and h is not pot and h.food is not None and h.food.composition is not None and _boiled_dry(h, pot_g):
            ends = cooked_water(h.line.item, "food")
            if ends is not None:
                solids = h.grams * (1 - h.food.composition.water_g / 100)
                taken_up += max(0.0, solids / (1 - ends.value / 100) - h.grams)
    if poured and pot is not None:
        share = min(1.0, taken_up / pot_g) if pot_g else 0.0
        pot.grams = taken_up
        for h in held:
            if _SALT.search(h.line.item) and (_POT.search(h.line.written) or _salts_the_pot(made, h)):
                h.grams *= share
                notes.append(say("Of the water for the pot and its salt, only what is taken up is counted."))
    return notes


def _boiled_dry(held: Eaten, pot_g: float) -> bool:
    return held.food is not None and held.food.composition is not None and held.food.composition.water_g < 20 and pot_g > 0


def _salts_the_pot(made: Recipe, held: Eaten) -> bool:
    """Whether the first step that names the salt boils or brines something in the water."""
    first = next((s.do for s in made.method if re.search(r"\bsalt", s.do, re.I)), "")
    return bool(re.search(r"\b(?:boil|simmer|blanch|brine)\w*\b", first, re.I) and re.search(r"\bwater\b", first, re.I))


def _cooked(study: Study, version: Version, made: Recipe, held: list[Eaten]) -> Weighed:
    """The cooked weight: as said, as made, as measured on trials, by the water such a dish ends with, by a usual yield, else as it goes in."""
    raw = sum(h.grams for h in held)
    said = _said(made.cooked_weight, raw)
    if said is not None:
        return Weighed(said, said, said, say("As eaten: by the cooked weight that the recipe gives."))
    made_g = next((m for m in measures_in(made.makes or "") if m.unit in _MASS), None)
    if made_g is not None:
        low, high = made_g.low * _MASS[made_g.unit], made_g.high * _MASS[made_g.unit]
        return Weighed((low + high) / 2, low, high, say("As eaten: by what the recipe makes."))
    return _measured(study, version, raw) or _estimated(made, held, raw) or Weighed(
        raw, raw, raw, "Of what goes in: nothing in the method changes its weight." if not _heated(made) else
        "Of what goes in: what it weighs cooked isn't known. Weigh it when it is done (cooked_weight) to have it as eaten.")


def _said(text: str | None, raw: float) -> float | None:
    if not text:
        return None
    if share := re.match(r"\s*(\d+(?:[.,]\d+)?)\s*(?:%|per ?cent)", text):
        return raw * float(share[1].replace(",", ".")) / 100 or None
    found = next((m for m in measures_in(text) if m.unit in _MASS), None)
    return None if found is None else (found.low + found.high) / 2 * _MASS[found.unit] or None


def _measured(study: Study, version: Version, raw: float) -> Weighed | None:
    """From measured cooking losses of this version's trials, in per cent."""
    names = {a.name for a in study.attributes if a.measured and a.unit == "%" and _LOSS.search(a.name)}
    trials = {t.trial for t in study.cooked if t.version == version and not t.failed}
    losses = [r.value for r in study.reading_records if r.attribute in names and r.trial in trials and 0 <= r.value < 100]
    if not losses:
        return None
    grams = [raw * (1 - x / 100) for x in losses]
    count = f"{len(losses)} reading{'' if len(losses) == 1 else 's'}"
    return Weighed(sum(grams) / len(grams), min(grams), max(grams), f"As eaten: by the cooking loss of {count} on this version's trials.")


def _heated(made: Recipe) -> bool:
    return any(s.oven is not None or HEATED.search(s.do) for s in made.method)


def _estimated(made: Recipe, held: list[Eaten], raw: float) -> Weighed | None:
    from proofpan.science.foods import cooked_water, mass_at_water, usual_yield

    if not _heated(made):
        return None
    baked = any(s.oven is not None for s in made.method) or re.search(r"\bbak(?:e|ed|ing)\b", " ".join(s.do for s in made.method), re.I)
    water = cooked_water(f"{made.title} {made.makes or ''}") if baked else None
    if water is not None:
        wet = sum(h.grams * (h.food.composition.water_g if h.food and h.food.composition else 0.0) / 100 for h in held)
        value, low, high = (min(raw, mass_at_water(raw, min(wet, raw), w)) for w in (water.value, water.low, water.high))
        return Weighed(value, low, high, f"As eaten, worked out: {water.what} end with about {water.value:g} % water ({water.low:g} to {water.high:g}; "
                       f"{water.source}). Weigh it to be sure.")
    way = _way(made, held, raw, bool(baked))
    if way is None:
        return None
    usual = usual_yield(way)
    return Weighed(raw * usual.value / 100, raw * usual.low / 100, raw * usual.high / 100,
                   f"As eaten, worked out: what is {_SAID.get(way, way)} weighs about {usual.value:g} % of what went in "
                   f"({usual.low:g} to {usual.high:g}; {usual.source}). Weigh it to be sure.")


_SAID = {"roast poultry": "roast poultry", "fried meat": "fried or grilled meat", "roast vegetables": "mostly roast vegetables"}


def _way(made: Recipe, held: list[Eaten], raw: float, baked: bool) -> str | None:
    def share(*categories: str) -> float:
        return sum(h.grams for h in held if h.food is not None and h.food.category in categories) / raw

    method = " ".join(s.do for s in made.method)
    if share("poultry") > MOSTLY:
        return "roast poultry" if baked else "fried meat"
    if share("meat") > MOSTLY:
        return "roast meat" if baked else "fried meat"
    if share("fish", "shellfish") > MOSTLY:
        return "baked fish"
    if share("vegetable", "vegetables") > MOSTLY and baked:
        return "roast vegetables"
    return "simmered" if re.search(r"\b(?:simmer|stew|brais|boil)\w*\b", method, re.I) and not baked else None
