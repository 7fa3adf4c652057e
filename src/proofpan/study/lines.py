"""Writing an ingredient line again with another amount."""

from __future__ import annotations

from proofpan.study.countries import measures_of
from proofpan.study.fields import plain_number

_JOINED = {"g": "g", "kg": "kg", "ml": "mL", "l": "L", "fl_oz": "fl oz", "dl": "dL", "cl": "cL"}


def amount_text(value: float) -> str:
    """A number as it is written on a recipe: whole from 100 up, else at most three figures."""
    if value >= 100:
        return plain_number(round(value))
    digits = 1 if value >= 10 else 2
    return plain_number(round(value, digits)) if round(value, digits) else f"{value:.2g}"


def scale_line(text: str, by: float, country: str | None = None) -> str:
    """The same line with `by` times the amount; a line without an amount stays as it is."""
    from proofpan.science.measures import parse_line

    parsed = parse_line(text, measures_of(country))
    if parsed.low is None:
        return text
    low, high = parsed.low * by, (parsed.high or parsed.low) * by
    amount = amount_text(low) if low == high else f"{amount_text(low)}–{amount_text(high)}"
    unit = parsed.unit or ""
    word = "" if unit in ("each", "") else " " + _JOINED.get(unit, unit.replace("_", " "))
    return f"{amount}{word} {parsed.item}" + (f", {parsed.prep}" if parsed.prep else "")
