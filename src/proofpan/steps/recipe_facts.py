"""What follows from a worked recipe's list: allergens, nutrients, a preserve's yield, keeping, credits, water's boiling point up high."""

from __future__ import annotations

import re

from proofpan.steps.cautions import DEFER, Caution
from proofpan.steps.observing import number_in
from proofpan.study.reader_recipe import RecipeLine
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.wording import say
from proofpan.study.words import capital, joined

JAM_SOLIDS, FRUIT_SOLIDS = 0.65, 0.08      # set jam's solids (Codex Stan 296-2009, 3.1.2: 60 % or more; 65 usual); fruit (common practice)
HIGHEST_M = 9000.0                         # nobody cooks above it, and the standard atmosphere's lowest layer ends at 11,000
HIGH_M = 300.0                             # below this, water boils within a degree of 100 °C
_PRESERVE = re.compile(r"\b(jam|marmalade|jelly|conserve)\b", re.I)
_SUGAR = re.compile(r"\bsugar\b", re.I)
_NOT_FRUIT = re.compile(r"\b(sugar|water|pectin|butter|salt|acid|vinegar|spice|cinnamon|vanilla|ginger|seeds?)\b", re.I)
_BOILS = re.compile(r"\b(boil|boils|boiled|boiling|simmer|simmers|simmering|poach|steam|blanch)\b", re.I)
_COLD = re.compile(r"\b(fridge|refrigerat\w*|chill\w*|freez\w*|frozen)\b", re.I)


def allergens_in(made: Recipe, study: Study, version: Version) -> tuple[str, ...]:
    """What must be declared: of the list, and what the chosen options are said to contain."""
    from proofpan.science.foods import allergens

    country = study.brief.kitchen.country
    options = [f.option(version.get(f.name, "")) for f in study.factors]
    said = [c for o in options if o is not None for c in o.contains]
    return tuple(dict.fromkeys([*allergens([i.item for i in made.ingredients], "US" if country == "US" else "EU"), *said]))


def allergens_of_line(item: str, country: str | None) -> tuple[str, ...]:
    """The allergens that one line must declare, for setting it off in the list (Regulation (EU) No 1169/2011, Article 21)."""
    from proofpan.science.foods import allergens

    return tuple(allergens([item], "US" if country == "US" else "EU"))


def allergens_changed(study: Study, version: Version, made: Recipe) -> str:
    """What the version's options add to or take from the base's allergens, in a sentence; empty where nothing changes."""
    from proofpan.science.foods import allergens

    base = study.brief.base
    if base is None:
        return ""
    regime = "US" if study.brief.kitchen.country == "US" else "EU"
    before, after = set(allergens([i.item for i in base.ingredients], regime)), set(allergens_in(made, study, version))
    said = [say("adds {allergens}", allergens=joined(map(say, sorted(after - before)))) if after - before else "",
            say("leaves out {allergens}", allergens=joined(map(say, sorted(before - after)))) if before - after else ""]
    return say("This version {changes}, beside the base recipe.", changes=joined(s for s in said if s)) if before != after else ""


def serves_of(made: Recipe) -> float | None:
    """How many it serves: as said, else the number of what it makes, where that is a count and not a weight."""
    if made.serves:
        return float(made.serves)
    if not made.makes or re.search(r"\d\s*(?:k?g|ml|mL|l|L|litres?|jars?)\b", made.makes):
        return None
    return number_in(made.makes) or None


def yield_notes(made: Recipe, lines: tuple[RecipeLine, ...]) -> tuple[str, ...]:
    """What a jam makes when it is boiled to 65 % solids: sugar and the fruit's own solids over 0.65 (a mass balance)."""
    if not _PRESERVE.search(made.title):
        return ()
    sugar = sum(sum(line.grams) / 2 for line in lines if line.grams and _SUGAR.search(line.item))
    fruit = sum(sum(line.grams) / 2 for line in lines if line.grams and not _NOT_FRUIT.search(line.item))
    if not sugar or not fruit:
        return ()
    grams = (fruit * FRUIT_SOLIDS + sugar) / JAM_SOLIDS
    return (say("Boiled to 65 % solids it makes about {grams:,.0f} g, the fruit taken as 8 % soluble solids (common practice, no source).", grams=grams),)


def keeping_of(made: Recipe, found: tuple[Caution, ...]) -> str | None:
    """How it keeps; a preserve is never said to keep at room temperature, for no text here is a tested process."""
    if any(c.kind == "preserve" for c in found) and not (made.keeping and _COLD.search(made.keeping)):
        return f"{say('In the fridge, unless a named tested process says otherwise.')} {say(DEFER)}"
    return made.keeping


def credits_of(study: Study, made: Recipe) -> tuple[str, ...]:
    """The recipe's credit lines and those of the sources that were taken up."""
    return tuple(dict.fromkeys((*made.credits, *(f"{capital(c.credit)} {c.source}." for c in study.claims if c.credit and c.source))))


def altitude_notes(made: Recipe, altitude_m: float) -> tuple[str, ...]:
    """A note where the kitchen is high and the method boils; jam and syrup are boiled to so many degrees above water's own boil."""
    if altitude_m < HIGH_M or not any(_BOILS.search(s.do) for s in made.method):
        return ()
    from proofpan.science.heat.steam import boiling_point_c

    boils = float(boiling_point_c(min(altitude_m, HIGHEST_M)))
    jam = " " + say("A set or a syrup is reached at as many degrees lower.") if _PRESERVE.search(made.title) else ""
    return (say("At {altitude_m:,.0f} m water boils at about {boils:.1f} °C: what boils or simmers takes longer than at sea level.",
                altitude_m=altitude_m, boils=boils) + jam,)
