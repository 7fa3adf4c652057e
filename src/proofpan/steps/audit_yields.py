"""Audit rules on what comes out: minutes add up, pieces are as many and as heavy as the yield says, no more comes out than went in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from proofpan.steps.audit_words import EVERYTHING, Page, words_of
from proofpan.steps.observing import number_in
from proofpan.study.errors import quoted
from proofpan.study.recipe import Step

Found = Iterator[tuple[str, str, str, str, str]]

NUMBER_WORDS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "twelve": 12}
LOSS = 0.05      # pieces and what is lost on bench and bowl, of what went in (the audit's own rule)


_BATCHES = re.compile(r"\b(?:in\s+)?(\d+|" + "|".join(NUMBER_WORDS) + r")\s+batches\b", re.I)
_SPAN = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s*(?:–|-|to)\s*(\d+(?:[.,]\d+)?))?\s*(?:minutes?|mins?)\b", re.I)


def minutes_add_up(page: Page) -> Found:
    """A step's minutes are those of its text, and the steps' minutes those of the whole."""
    for _, step in page.steps():
        spans = [(float(a), float(b or a)) for a, b in _SPAN.findall(step.do)]
        if step.minutes is None or not spans:
            continue
        low, high = sum(a for a, _ in spans), sum(b for _, b in spans)
        batches = _BATCHES.search(step.do)
        if batches:
            count = NUMBER_WORDS.get(batches[1].lower()) or int(batches[1])
            if not re.search(r"\bin all\b|\baltogether\b|\bin total\b", step.do, re.I):
                low, high = low * count, high * count
        expected = step.minutes
        if expected[1] < low * 0.85 - 0.5 or expected[0] > high * 1.15 + 0.5:
            said = f"{expected[0]:g}" if expected[0] == expected[1] else f"{expected[0]:g}–{expected[1]:g}"
            yield ("times", "step", step.id, f"The minutes of step {step.id} don't add up: its text comes to {low:g}–{high:g} minutes, "
                   f"and {said} are set down" + (f" ({batches[1]} batches)." if batches else "."), "Mend the text or the minutes.")
    total = page.recipe.total_minutes
    known = [s.minutes for s in page.recipe.method if s.minutes is not None]
    if total is not None and known and len(known) == len(page.recipe.method):
        low, high = sum(m[0] for m in known), sum(m[1] for m in known)
        if total < low * 0.5 or total > high * 1.5 + 5:
            yield ("times", "makes", "total_minutes", f"The total of {total:g} minutes isn't the sum of the steps' ({low:g}–{high:g}).",
                   "Add the steps up again.")


_INTO = re.compile(
    r"\b(?:into|in|out|form|make|shape|roll|cut|divide|portion|between|fry|drop|pipe)\s+(?:the\s+\w+\s+into\s+)?(?P<n>\d+|"
    + "|".join(NUMBER_WORDS) + r")\s+(?:(?:equal|even|small|large|flat|round|thin)\s+)*(?P<noun>[^\W\d_]+)(?=(?P<tail>[^.;]{0,40}))", re.I)
_EACH = re.compile(r"(?:of|about|weighing|each|at)\s+(?:about\s+)?(\d+(?:[.,]\d+)?)\s*g\b(?:\s+each)?", re.I)
_PAIRED = re.compile(r"\b(?:sandwich"
                     r"|pairs?|two by two"
                     r"|in half|halve|halves|each (?:piece |one )?into|twos|threes|stack|layers?|per|a plate|each plate)\b", re.I)
_NOT_PIECES = {"minute", "hour", "min", "cm", "mm", "g", "ml", "batch", "tray", "bowl", "tin", "layer", "time", "sheet", "c", "degree", "part",
               "pan", "side", "turn", "fold", "third", "half", "second", "kg", "rack", "jar", "glas", "dishe", "dish", "tbsp", "tsp", "cup"}


def yields(page: Page) -> Found:
    """What the text cuts, rolls or divides into is what the recipe makes."""
    for _, step, number, m in _divisions(page):
        if _another_number(page, m, number):
            yield ("yield", "step", step.id, f"Step {step.id} comes to {number} {m['noun']}, and the recipe makes {quoted(page.recipe.makes or '')}.",
                   "Mend the yield or the number.")


def masses(page: Page) -> Found:
    """Pieces weigh what went in, and no more comes out than went in; only where the list itself is in order, since its sum is what is held against."""
    makes = page.recipe.makes
    if not makes or not number_in(makes):
        return
    yield from _too_much(makes, _mass_in(page))
    for at, step, number, m in _divisions(page):
        if not _another_number(page, m, number):
            yield from _pieces_weigh(step.id, number, m["tail"], _mass_in(page, until=at))


def _divisions(page: Page) -> Iterator[tuple[int, Step, int, re.Match[str]]]:
    """Where a step cuts, rolls or divides into so many; none where the yield is by weight or volume."""
    makes = page.recipe.makes
    if not makes or not number_in(makes) or re.search(r"\d\s*(?:g|kg|ml|l|litres?)\b", makes, re.I):
        return
    for at, step in page.steps():
        for m in _INTO.finditer(step.do):
            number = NUMBER_WORDS.get(m["n"].lower()) or int(m["n"])
            noun = words_of(m["noun"])
            if noun and number >= 2 and (noun[0] not in _NOT_PIECES or noun[0] in words_of(makes)):
                yield at, step, number, m


def _another_number(page: Page, match: re.Match[str], number: int) -> bool:
    makes = page.recipe.makes or ""
    return number != number_in(makes) and _is_the_yield(page, match, words_of(match["noun"])[0], makes)


def _pieces_weigh(step: str, number: int, tail: str, went_in: Mass | None) -> Found:
    each = _EACH.search(tail)
    if each is None or went_in is None:
        return
    total = number * float(each[1].replace(",", "."))
    if total > went_in.high * (1 + LOSS) or total < went_in.low * (1 - LOSS):
        yield ("yield", "step", step, f"The yield doesn't add up: {number} × {each[1]} g are {total:g} g, "
               f"and about {went_in.middle:.0f} g went in.",
               "Weigh the pieces again, or say what is lost.")


_PIECES = {"piece", "spoonful", "ball", "round", "slice", "portion", "square", "bar", "wedge", "strip", "disc", "disk", "cake", "bun", "roll",
           "patty", "log", "triangle", "finger", "serve", "serving"}


_SERVED = {"plate", "bowl", "serve", "serving", "portion", "person", "people", "glass", "jar", "helping", "side"}
_SHAPES = re.compile(r"\b(?:shape|roll|form|make|divide|portion|pipe|drop|fry)\b[^.;]*$", re.I)


def _is_the_yield(page: Page, match: re.Match[str], noun: str, makes: str) -> bool:
    """Whether these pieces are what the recipe makes: of its own noun, or pieces of the whole and not of one ingredient."""
    named = words_of(makes)
    if noun in named:
        return True
    if set(named) & _SERVED:
        return noun in _SERVED
    clause = re.split(r"[.;]", match.string[: match.start()])[-1] + match[0].split(match["n"])[0]
    words = set(words_of(clause))
    if words & {w for item in page.items for w in item.telling} and not words & {"dough", "mixture", "batter", "mix"}:
        return False
    if _PAIRED.search(page.text):
        return False
    return noun in _PIECES or _SHAPES.search(clause) is not None


def _too_much(makes: str, went_in: Mass | None) -> Found:
    found = re.search(r"(\d+(?:[.,]\d+)?)\s*(kg|g|l|L|litres?|mL|ml)\b", makes)
    if found is None or went_in is None:
        return
    out = float(found[1].replace(",", ".")) * (1000 if found[2].lower() in ("kg", "l", "litre", "litres") else 1)
    if out > went_in.high * (1 + LOSS):
        yield ("yield", "makes", "makes",
               f"The yield can't be: it makes {quoted(makes)}, more than the {went_in.middle / 1000:.2f} kg that go in.",
               "Weigh what comes out.")


_DRINKS = {"rice", "pasta", "spaghetti", "macaroni", "bean", "lentil", "chickpea", "barley", "noodle", "quinoa", "couscous", "oat", "bulgur"}
_NOT_IN_IT = re.compile(r"\bfor (?:deep[- ]|shallow[- ])?frying\b"
                        r"|\bfor (?:the )?(?:tins?|pans?|dish|trays?|board|bench|dusting|greasing|rolling)\b"
                        r"|\bto (?:dust|grease|glaze|serve|garnish|finish)\b", re.I)


@dataclass(frozen=True)
class Mass:
    """Grams of everything that goes in."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Half way between."""
        return (self.low + self.high) / 2


def _mass_in(page: Page, until: int | None = None) -> Mass | None:
    """Grams of everything on the list, or of what was used up to a step (numbered from 0); none where a weight is unknown.

    Left out: water that is poured off, and what is for frying, the tin or the board.
    """
    from proofpan.steps.recipe_lines import grams_of

    low = high = 0.0
    unknown = 0
    poured_off = re.search(r"\bdrain\b", page.text, re.I) is not None and not any(set(item.telling) & _DRINKS for item in page.items)
    for item in page.items:
        if item.telling[-1] == "water" and poured_off or _NOT_IN_IT.search(item.line.text):
            continue
        if until is not None and not EVERYTHING.search(page.text) and (page.first_use(item) or 0) > until:
            continue
        grams = grams_of(item.line.text, item.name, None)
        if grams is None:
            unknown += 1
            continue
        low, high = low + grams[0], high + grams[1]
    return Mass(low, high) if high > 0 and unknown == 0 else None
