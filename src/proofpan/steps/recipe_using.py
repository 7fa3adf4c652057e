"""Scaling by what is in the cupboard, and reading what a recipe is asked for: 60 crackers, 2x, 23 cm round tin, 180 g rolled oats."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from proofpan.steps.recipe_lines import grams_of
from proofpan.steps.recipe_tins import read_tin
from proofpan.study.countries import measures_of
from proofpan.study.errors import QuantityError, did_you_mean, quoted
from proofpan.study.lines import number_of
from proofpan.study.reader_recipe import ReaderRecipe, RecipeLine

_TIMES = re.compile(r"^(\d+(?:[.,]\d+)?|\d+\s?[½¼¾⅓⅔]|[½¼¾⅓⅔])\s*(?:x|×|times)$", re.I)
_WORDS = {"half": 0.5, "double": 2.0, "twice": 2.0, "triple": 3.0, "a third": 1 / 3, "a quarter": 0.25}
_SERVES = re.compile(r"^(?:serves?|for)\s+(\d+(?:[.,]\d+)?)(?:\s+people)?$|^(\d+(?:[.,]\d+)?)\s+(?:serves?|servings?|people|portions?)$", re.I)
_VESSEL = re.compile(r"\b(?:tin|pan|dish|round|square|tray|mould|ramekin|springform)\b|\d\s*(?:cm|mm|in|inch|\")?\s*(?:x|×|by)\s*\d", re.I)


def factor_by_ingredient(lines: Iterable[RecipeLine], wanted: str, country: str | None) -> float:
    """How many times the recipe so much of one ingredient makes.

    Raises: QuantityError when the ingredient isn't on the list once, or its two amounts can't be set beside each other.
    """
    from proofpan.science.measures import parse_line

    lines = tuple(lines)
    parsed = parse_line(wanted, measures_of(country))
    found = [x for x in lines if _same(x.item, parsed.item)]
    if not found:
        raise QuantityError(f"{quoted(parsed.item or wanted)} isn't on the list. {did_you_mean(parsed.item, [x.item for x in lines])}")
    if len(found) > 1:
        raise QuantityError(f"{quoted(parsed.item)} stands on the list more than once: scale by another ingredient.")
    line = found[0]
    new = grams_of(wanted, line.item, country)
    if new is not None and line.grams is not None and sum(line.grams) > 0 and sum(new) > 0:
        return sum(new) / sum(line.grams)
    ours = parse_line(line.text, measures_of(country))
    if parsed.low and ours.low and parsed.unit == ours.unit:
        return (parsed.low + (parsed.high or parsed.low)) / (ours.low + (ours.high or ours.low))
    raise QuantityError(f"{quoted(wanted)} can't be set beside {quoted(line.text)}: give it in the same measure.")


def _same(item: str, wanted: str) -> bool:
    from proofpan.science.foods import look_up

    if not wanted.strip():
        return False
    if item.casefold() == wanted.strip().casefold():
        return True
    a, b = look_up(item), look_up(wanted)
    return a is not None and b is not None and a.key == b.key


def asked_for(recipe: ReaderRecipe, text: str) -> dict[str, Any]:
    """What `scaled` is to be given for a reader's words; empty for none.

    Raises: QuantityError for words that say no amount.
    """
    text = " ".join(text.split())
    low = text.casefold().rstrip(".")
    if not text:
        return {}
    if low in ("test batch", "one trial", "a trial"):
        return {"test_batch": True}
    if low in _WORDS:
        return {"by": _WORDS[low]}
    if times := _TIMES.match(text):
        return {"by": number_of(times[1])}
    if serves := _SERVES.match(low):
        return {"serves": float((serves[1] or serves[2]).replace(",", "."))}
    if _VESSEL.search(text):
        tin = read_tin(text)
        if tin.pan is not None or tin.volume_ml is not None:
            return {"tin": text}
    if any(x.item.casefold() in low for x in recipe.lines) or _named(recipe, text):
        return {"using": text}
    if not re.search(r"\d|[½¼¾⅓⅔]", text) or re.match(r"[-–−]\s*\d", text):
        raise QuantityError(f"{quoted(text)} says no amount: write 60 crackers, 8 serves, 2x, 23 cm round tin, 180 g of an ingredient, or test batch.")
    if re.fullmatch(r"\d+(?:[.,]\d+)?", text) and (recipe.serves or not recipe.makes):
        return {"serves": float(text.replace(",", "."))}
    return {"makes": text}


def _named(recipe: ReaderRecipe, text: str) -> bool:
    from proofpan.science.measures import parse_line

    parsed = parse_line(text, measures_of(recipe.country))
    return parsed.low is not None and parsed.unit != "each" and any(_same(x.item, parsed.item) for x in recipe.lines)
