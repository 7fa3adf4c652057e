"""Scaling a line: amounts rounded as a kitchen rounds, within a bound; eggs to whole numbers with the error shown."""

from __future__ import annotations

import re
from collections.abc import Sequence

from proofpan.study.errors import QuantityError, quoted
from proofpan.study.fields import plain_number

TIGHT, LOOSE = 0.03, 0.05        # bound on rounding: leavening and salt, everything else (common practice, no source)
_TIGHT_ITEMS = re.compile(r"\b(salt|baking powder|bicarbonate|baking soda|bicarb|yeast|gelatine|agar|cream of tartar|ammonia)\b", re.I)
_EGG = re.compile(r"\beggs?\b(?! (noodle|plant))", re.I)
_STEPS = (50.0, 25.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.25, 0.1, 0.05, 0.01)
_SHOWN = {"g": "g", "kg": "kg", "ml": "mL", "l": "L", "dl": "dL", "cl": "cL", "fl_oz": "fl oz", "oz": "oz", "lb": "lb"}
_SPOONS = ("tsp", "tbsp", "cup", "dessertspoon")
_FRACTIONS = ((0.125, "⅛"), (0.25, "¼"), (1 / 3, "⅓"), (0.5, "½"), (2 / 3, "⅔"), (0.75, "¾"))


def bound_of(item: str) -> float:
    """The rounding that an item bears, relative."""
    return TIGHT if _TIGHT_ITEMS.search(item) else LOOSE


def kitchen_number(value: float, bound: float) -> float:
    """The roundest number within a bound."""
    for step in _STEPS:
        rounded = round(value / step) * step
        if rounded > 0 and abs(rounded - value) <= bound * value + 1e-12:
            return round(rounded, 6)
    return value


def fraction_text(value: float) -> str:
    """A number with kitchen fractions: 1½, ⅓, 0.4."""
    whole, rest = int(value), value - int(value)
    if rest < 0.02:
        return str(whole)
    if rest > 0.98:
        return str(whole + 1)
    for size, sign in _FRACTIONS:
        if abs(rest - size) < 0.02:
            return f"{whole or ''}{sign}"
    return plain_number(round(value, 2))


def scaled_line(text: str, by: float, country: str | None) -> tuple[str, str]:
    """(line, note): the line with `by` times the amount, and what it costs to keep it in whole eggs.

    A line without an amount, or one that isn't understood, stays as written.
    """
    from proofpan.science.measures import parse_line

    parsed = parse_line(text, country)
    if parsed.low is None or by == 1:
        return text, ""
    low, high = parsed.low * by, (parsed.high if parsed.high is not None else parsed.low) * by
    unit, item = parsed.unit or "each", parsed.item
    tail = f", {parsed.prep}" if parsed.prep else ""
    if unit == "each" and _EGG.search(item):
        return _eggs(low, high, item, tail)
    bound = bound_of(item)
    amount = _amount(low, high, unit, bound)
    plus = "".join(f" {'+' if t[0] >= 0 else '−'} {_amount(abs(t[0]) * by, abs(t[1]) * by, t[2], bound)}" for t in parsed.plus)
    each = f" × {_amount(parsed.each[0], parsed.each[1], parsed.each[2], 0)}" if parsed.each is not None else ""
    size = f"{parsed.size} " if parsed.size else ""
    second = ""
    if parsed.second is not None:
        second = f" ({_amount(parsed.second[0] * by, parsed.second[1] * by, parsed.second[2], bound)})"
    return f"{amount}{each}{plus}{second} {size}{item}{tail}".replace("  ", " "), ""


def _amount(low: float, high: float, unit: str, bound: float) -> str:
    word = _SHOWN.get(unit, "" if unit == "each" else unit.replace("_", " "))
    if unit in _SPOONS or unit == "each":
        number = fraction_text(low) if abs(low - high) < 1e-9 else f"{fraction_text(low)}–{fraction_text(high)}"
    else:
        a, b = (kitchen_number(x, bound) if bound else x for x in (low, high))
        number = plain_number(a) if abs(low - high) < 1e-9 else f"{plain_number(a)}–{plain_number(b)}"
    return f"{number} {word}".strip()


def _eggs(low: float, high: float, item: str, tail: str) -> tuple[str, str]:
    whole = max(1, round((low + high) / 2))
    singular = re.sub(r"\beggs\b", "egg", item)
    name = singular if whole == 1 else re.sub(r"\begg\b", "eggs", singular)
    exact = (low + high) / 2
    error = whole / exact - 1
    note = "" if abs(error) < 0.01 else (f"Eggs are whole: {whole} where {exact:.3g} would be exact, {abs(error):.0%} "
                                         f"{'more' if error > 0 else 'less'}; beat and weigh to be exact.")
    return f"{whole} {name}{tail}", note


_ROUND = re.compile(r"(\d+(?:[.,]\d+)?)\s*(cm|mm|in(?:ch(?:es)?)?|\")\s*(?:round|springform|cake|diameter)", re.I)
_SQUARE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(cm|mm|in(?:ch(?:es)?)?|\")\s*square", re.I)
_SIDES = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:cm|in|\")?\s*[x×]\s*(\d+(?:[.,]\d+)?)\s*(cm|mm|in(?:ch(?:es)?)?|\")?", re.I)
_CM = {"cm": 1.0, "mm": 0.1}


def tin_area_cm2(text: str) -> float | None:
    """Base area of a tin in words: `20 cm square`, `23 x 33 cm`, `9 inch round`."""
    import math

    def cm(number: str, unit: str | None) -> float:
        return float(number.replace(",", ".")) * _CM.get((unit or "cm").lower(), 2.54)

    if m := _SIDES.search(text):
        return cm(m[1], m[3]) * cm(m[2], m[3])
    if m := _SQUARE.search(text):
        return cm(m[1], m[2]) ** 2
    if m := _ROUND.search(text):
        return math.pi * cm(m[1], m[2]) ** 2 / 4
    return None


def tin_factor(now: str | None, wanted: str, steps: Sequence[str]) -> float:
    """New base area over old, equal depth; the old tin is the recipe's, else the first that the method names, else a 20 cm square.

    Raises: QuantityError when the wanted tin's size can't be read.
    """
    new = tin_area_cm2(wanted)
    if new is None:
        raise QuantityError(f"{quoted(wanted)} holds no size: write 20 cm square, 23 x 33 cm or 23 cm round.")
    old = tin_area_cm2(now or "") or next((a for s in steps if (a := tin_area_cm2(s)) is not None), None)
    return new / (old or 400.0)
