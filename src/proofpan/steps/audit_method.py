"""Audit rules on the method: what is used, in what order, what isn't listed, vessels, the oven, times and cues, prep done twice."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofpan.steps.audit_words import EVERYTHING, Item, Page, words_of
from proofpan.study.errors import quoted
from proofpan.study.lines import amount_of_line

Found = Iterator[tuple[str, str, str, str, str]]     # kind, place, name, says, fix

TIME = re.compile(
    r"\b\d+(?:[.,]\d+)?(?:\s*(?:–|-|to|or)\s*\d+(?:[.,]\d+)?)?\s*(?:minutes?|mins?|hours?|hrs?|h|seconds?|days?)\b"
                  r"|\b(?:overnight|a minute|an hour|half an hour)\b", re.I)
RANGE = re.compile(
    r"\d+(?:[.,]\d+)?\s*(?:–|-|to|or)\s*\d+(?:[.,]\d+)?\s*(?:minutes?|mins?|hours?|hrs?|h|seconds?|days?)\b|overnight", re.I
)
CUE = re.compile(r"\b(until|till|when|once|as soon as|before it|so that it)\b", re.I)
HEATS_OVEN = re.compile(r"\b(?:pre-?heat|heat|turn on|set|light)\b[^.;]{0,30}\boven\b|\boven\b[^.;]{0,20}\b(?:on to|to heat|on at)\b", re.I)
BAKES = re.compile(r"\b(bake[sd]?|baking|roast(?:ed|ing|s)?)\b(?!\s+(?:paper|parchment|tray|sheet|powder|soda|tin|dish))", re.I)
SIZED = r"(tray|sheet|tin|pan|dish|skillet|casserole|mould|ramekin|saucepan|pot|frame|griddle)"
SIZE = re.compile(
    r"\d+(?:[.,]\d+|[¼½¾])?[\s-]*(?:cm|mm|in\b|inch(?:es)?|\"|litres?|liters?|l\b|L\b|ml\b|mL\b|quarts?|-?hole|GN)|\bGN\b|\blarge\b.{0,12}\bwide\b",
    re.I,
)


def unused(page: Page) -> Found:
    """Every ingredient is used."""
    if EVERYTHING.search(page.text) or not page.recipe.method:
        return
    for item in page.items:
        if page.first_use(item) is None:
            yield ("unused", "ingredient", item.line.text, f"{quoted(item.name)} is listed and never used in the method.",
                   "Say where it goes, or take it off the list.")
        elif part := _part_unused(page, item):
            yield ("unused", "ingredient", item.line.text, f"The {part} of {quoted(item.name)} is listed and never used in the method.",
                   f"Say where the {part} goes, or take it off the list.")


_ZEST_AND_JUICE = ({"zest", "rind", "peel"}, {"juice"})


def _part_unused(page: Page, item: Item) -> str | None:
    """Of a fruit whose zest and juice are both listed, the one that no step names; none where the steps name neither."""
    listed = set(words_of(item.line.text))
    if not all(words & listed for words in _ZEST_AND_JUICE):
        return None
    said = {w for words in page.step_words for w in words}
    said |= {"juice"} if "squeeze" in said else set()
    missing = [words & listed for words in _ZEST_AND_JUICE if not words & said]
    return missing[0].pop() if len(missing) == 1 else None


def out_of_order(page: Page) -> Found:
    """Ingredients stand in the order in which they are used."""
    # what bears no amount (salt, oil for frying) is listed at the end as often as in its place
    uses = [(item, n) for item in page.items if amount_of_line(item.line.text) and (n := page.first_use(item)) is not None]
    while True:
        crossings = {
            i: sum((i < j and uses[i][1] > uses[j][1]) or (i > j and uses[i][1] < uses[j][1]) for j in range(len(uses)))
            for i in range(len(uses))
        }
        worst = max(crossings, key=lambda i: (crossings[i], uses[i][1]), default=None)
        if worst is None or crossings[worst] == 0:
            return
        item, n = uses.pop(worst)
        step = page.recipe.method[n].id
        yield ("order", "ingredient", item.line.text,
               f"{quoted(item.name)} is out of order: it is first used in step {step}, and the list should follow the order of use.",
               "Move it to where it is used.")


_PREP = {"toast": "toasted", "chop": "chopped", "sift": "sifted", "grate": "grated", "melt": "melted", "peel": "peeled", "slice": "sliced",
         "dice": "diced", "crush": "crushed", "soak": "soaked", "drain": "drained", "roast": "roasted", "mince": "minced", "beat": "beaten",
         "wash": "washed", "grind": "ground", "shell": "shelled", "zest": "zested", "rinse": "rinsed", "trim": "trimmed", "cube": "cubed"}
_EARLIER = ("sift", "grind", "chop", "toast", "melt", "grate", "peel", "slice", "dice", "crush", "soak", "drain", "roast", "mince", "rinse",
            "trim", "cube", "zest", "shell", "wash")


def prepared_twice(page: Page) -> Found:
    """What the list has prepared isn't prepared again: whether it is measured before or after matters."""
    for item in page.items:
        said = f"{item.line.text} {item.line.prep}".casefold()
        for verb in _EARLIER:
            if verb == "grind" or not re.search(rf"\b{_PREP[verb]}\b", said):
                continue
            pattern = re.compile(rf"\b{verb}\b\s+(?:in\s+|together\s+|over\s+)?(?:the\s+|all the\s+)?{_reach(item)}", re.I)
            step = next((s for _, s in page.steps() if pattern.search(s.do)), None)
            if step is not None:
                yield ("prep", "ingredient", item.line.text,
                       f"{quoted(item.name)} is {_PREP[verb]} in the list already and {_PREP[verb]} again, twice, in step {step.id}: it isn't "
                       f"clear whether it is measured before or after.", f"Say it once: {_PREP[verb]} before measuring, or in the method.")
                break


def _reach(item: Item) -> str:
    """An ingredient as the object of a verb, alone or in a run of others."""
    names = "|".join(re.escape(w) for w in (item.telling[-1], *item.kinds))
    return rf"[^.;]{{0,40}}?\b(?:{names})"


_INDEFINITE = re.compile(r"\b(?:an?|another|two|three|four|2|3|4)\s+(?:[\w×.-]+\s+){0,4}$", re.I)
_SIZE_BEFORE = re.compile(r"(?:" + SIZE.pattern + r"|\b\d+(?:[.,]\d+)?\s*(?:g|kg|lb)\s+(?=loaf|pudding)" +
                          r"|\b(?:large|small|medium|wide|deep|heavy|big)\b)(?:[\s-]+[\w-]+){0,4}[\s-]*$", re.I)
_SIZE_AFTER = re.compile(r"s?\b[^.;]{0,14}?(?:" + SIZE.pattern + ")", re.I)
_KIND_OF = re.compile(r"\b(frying|saut[eé]|roasting|stock|griddle|baking)[\s-]+$", re.I)
_HOB_VESSEL = re.compile(r"\b(?:(?:sauce|frying |saut[eé] |stock)?(?:pan|pot)|skillet|wok|casserole|griddle|kettle|steamer|cooker|fryer"
                         r"|barbecue|grill|plancha|hotplate|microwave|bain-marie"
                         r"|double boiler)s?\b", re.I)
_OVEN_VESSEL = re.compile(r"\b(?:tray|sheet"
                          r"|tin|pan|dish|skillet|casserole|stone|ramekin|mould|rack|frame|pot|cups?|foil|paper|shelf|plate|steel|jar)(?:e?s)?\b",
                          re.I)
_ON_HOB = re.compile(r"(?:^|[.;:]\s+|,\s+|\bthen\s+|\band\s+)(?:gently\s+|slowly\s+|lightly\s+)?(?:fry"
                     r"|deep-fry|saut[eé]|simmer|boil|melt|poach|toast|sear|"
                     r"warm|sizzle|parboil|blanch)\b(?!\s+(?:in the oven|the oven))", re.I)


_TAKEN = re.compile(r"\bthe (tin|tray|dish|mould|ramekin)s?\b", re.I)


def vessels(page: Page) -> Found:
    """Tin, pan and dish are named, with a size."""
    around = " ".join([page.recipe.tin or "", *page.recipe.equipment])
    said = around
    for _, step in page.steps():
        said += " " + HEATS_OVEN.sub(" ", step.do)
        in_oven = (step.oven is not None or BAKES.search(step.do) is not None) and not HEATS_OVEN.search(step.do)
        on_hob = not in_oven and _ON_HOB.search(step.do) is not None
        if in_oven and not _OVEN_VESSEL.search(said) or on_hob and not _HOB_VESSEL.search(said):
            what = "tin, tray or dish" if in_oven else "pan"
            yield ("vessel", "step", step.id, f"No pan or tin is named for step {step.id}.", f"Name the {what}, with its size.")
            return
    if SIZE.search(around):
        return
    sized, first = _nouns(page)
    for noun, where in first.items():
        if noun not in sized:
            yield ("vessel", "step", where, f"The {noun} of step {where} has no size.",
                   f"Give the {noun}'s size in cm, or what it holds in litres.")
            return
    if not sized and not first and (taken := _TAKEN.search(page.text)) is not None:
        where = next(step.id for _, step in page.steps() if taken[0] in step.do)
        yield ("vessel", "step", where, f"Step {where} takes the {taken[1].lower()} as known, and it is named nowhere.",
               f"Name the {taken[1].lower()} on the list of kit or in the step, with its size.")


def _nouns(page: Page) -> tuple[set[str], dict[str, str]]:
    """(vessels that stand beside a size somewhere, {vessel brought in without one: its step})."""
    sized: set[str] = set()
    first: dict[str, str] = {}
    for _, step in page.steps():
        for m in re.finditer(rf"\b{SIZED}s?\b", step.do, re.I):
            kind = _KIND_OF.search(step.do[: m.start()])
            noun = f"{kind[1].lower()} {m[1].lower()}" if kind else m[1].lower()
            if re.match(r"\s+(?:paper|cloth|lining|fat|juices?|lid)", step.do[m.end():]):
                continue
            if _SIZE_BEFORE.search(step.do[: m.start()]) or _SIZE_AFTER.match(step.do, m.end(1)):
                sized |= {noun, m[1].lower()}
            elif _INDEFINITE.search(step.do[: m.start()]):
                first.setdefault(noun, step.id)
    return sized, first


def oven_late(page: Page) -> Found:
    """The oven goes on before it is needed."""
    bake = next((n for n, s in page.steps() if _bakes(s.do, s.oven is not None)), None)
    if bake is None:
        return
    heat = next((n for n, s in page.steps() if HEATS_OVEN.search(s.do)), None)
    step = page.recipe.method[bake]
    if heat is None:
        yield ("oven_late", "step", step.id, f"The oven is never put on to heat before step {step.id}.",
               "Add a step before it: heat the oven, to which temperature, until a thermometer reads it.")
    elif heat > bake:
        late = page.recipe.method[heat].id
        yield ("oven_after", "step", late, f"The oven is heated in step {late}, after step {step.id} needs it: heat it before.",
               f"Move step {late} before step {step.id}.")


def _bakes(text: str, has_oven: bool) -> bool:
    if HEATS_OVEN.search(text) and not re.search(r"[.;]\s*(?:bake|roast)\b", text, re.I):
        return False
    return bool(has_oven or re.search(r"\b(?:bake|roast)\b", text, re.I) and not re.search(r"\bblind-bake later\b", text))


_TAKES_TIME = re.compile(r"(?:^|[.;,]\s+|\bthen\s+|\band\s+)(?:gently\s+|slowly\s+|lightly\s+)?(?:bake|roast|simmer|boil|fry|saut[eé]|sear|poach|steam"
                         r"|grill|chill|freeze|rest|prove|proof|knead|soak|marinate)\b", re.I)


def times_without_range_or_cue(page: Page) -> Found:
    """Every time has a range and a cue."""
    for _, step in page.steps():
        timed = TIME.search(step.do) is not None or step.minutes is not None
        cue = CUE.search(step.do) is not None or step.until is not None
        ranged = RANGE.search(step.do) is not None or (step.minutes is not None and step.minutes[0] != step.minutes[1])
        text_timed = TIME.search(step.do) is not None
        if not timed and not cue and _TAKES_TIME.search(HEATS_OVEN.sub(" ", step.do)):
            yield ("time", "step", step.id, f"Step {step.id} has neither a time nor a cue: “{step.do[:30].strip()}”.", "Write it as 10–13 minutes, until …")
        elif not timed and cue and (step.until is not None or not _only_condition(step.do)):
            yield ("time", "step", step.id, f"Step {step.id} has a cue and no time: a reader can't tell how long, in minutes.",
                   "Give a range of minutes beside the cue.")
        elif timed and not cue and not ranged:
            yield ("time", "step", step.id, f"The time of step {step.id} has neither a range nor a cue (until …): “{_said(step.do)}”.",
                   "Write it as 10–13 minutes, until …")
        elif timed and not cue:
            yield ("time", "step", step.id, f"The time of step {step.id} has a range and no cue (until …).", "Say what it looks like when done.")
        elif timed and not ranged and text_timed:
            yield ("time", "step", step.id, f"The time of step {step.id} has a cue and no range: “{_said(step.do)}”.",
                   "Give the shortest and the longest time.")
        elif not text_timed and cue and CUE.search(step.do) is not None and not ranged:
            yield ("time", "step", step.id, f"Step {step.id} has a cue without a range of time: how long, in minutes?",
                   "Give a range of minutes beside the cue.")


def _only_condition(text: str) -> bool:
    """`when` and `once` that begin a sentence tell the order of things, not a cue."""
    return not re.search(r"\b(until|till)\b", text, re.I)


def _said(text: str) -> str:
    found = TIME.search(text)
    return found[0] if found else text[:30]
