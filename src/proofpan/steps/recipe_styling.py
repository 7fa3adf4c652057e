"""A line or a step as a house writes it: which measure leads, how an oven is set, how numbers, units and ranges stand."""

from __future__ import annotations

import re

from proofpan.study.house import HouseStyle
from proofpan.study.lines import FRACTIONS
from proofpan.study.wording import say

_SPACES = {"plain": " ", "thin": "\u202f", "none": ""}       # a narrow space that doesn't break
_METRIC = r"(?:kg|mg|g|mL|ml|cL|cl|dL|dl|L|cm|mm|kJ|kcal|°C|°F)"
_N = r"(?:\d[\d,.]*\s?[⅛¼⅓⅜½⅝⅔¾⅞]?|[⅛¼⅓⅜½⅝⅔¾⅞])"
_TWO = re.compile(rf"^(?P<a>{_N}[^()]*?)\s*\((?P<b>(?:about )?{_N}[^(),]*)\)(?P<rest>\s.*|$)", re.S)
_LEADS_METRIC = re.compile(rf"^(?:about )?{_N}(?:\s*(?:–|to)\s*{_N})?\s*(?:kg|mg|g|mL|ml|cL|dL|L)$")
_UNIT = re.compile(rf"(?<=\d)\s*(?={_METRIC}\b|°[CF]\b)")
_DASH = re.compile(r"(?<=[\d⅛¼⅓⅜½⅝⅔¾⅞])\s*(?:–|-|\bto\b)\s*(?=[\d⅛¼⅓⅜½⅝⅔¾⅞])")
_FRACTION = re.compile(r"(?:(\d+)\s?)?([⅛¼⅓⅜½⅝⅔¾⅞])")
_DEGREES = re.compile(r"(?<![\d.,])(\d{2,3})\s*(?:°|º|degrees\s)?\s*([CF])\b(?![\w'’-])")
_SLASHED = {"⅛": "1/8", "¼": "1/4", "⅓": "1/3", "⅜": "3/8", "½": "1/2", "⅝": "5/8", "⅔": "2/3", "¾": "3/4", "⅞": "7/8"}


def with_degrees(text: str) -> str:
    """Temperatures with their sign: `190 C fan` → `190 °C fan`; only after two digits or more, since 1 C may be a cup."""
    return _DEGREES.sub(r"\1 °\2", text)


def styled_line(text: str, house: HouseStyle) -> str:
    """An ingredient line in the house's order of measures and its numbers."""
    found = _TWO.match(text)
    if found is not None:
        a, b = found["a"].strip(), found["b"].strip()
        counted = not re.search(r"\b(?:cups?|tsp|tbsp|oz|lb|pint|quart|fl oz|stick)s?\b", f"{a} {b}")
        metric = bool(_LEADS_METRIC.match(a)), bool(_LEADS_METRIC.match(b))
        if not counted and metric[0] != metric[1] and metric[0] != house.metric_first:
            text = f"{b.removeprefix('about ')} ({a}){found['rest']}"
    return styled_numbers(text, house)


def styled_numbers(text: str, house: HouseStyle) -> str:
    """Fractions, the space before a metric unit and ranges as the house writes them."""
    text = with_degrees(text)
    if house.numbers != "fractions":
        text = _FRACTION.sub(_slashed if house.numbers == "slashes" else _decimal, text)
    text = _UNIT.sub(_SPACES[house.space], text)
    return _DASH.sub("–" if house.dash == "–" else " to ", text)


def _slashed(match: re.Match[str]) -> str:
    return f"{match[1]} {_SLASHED[match[2]]}" if match[1] else _SLASHED[match[2]]


def _decimal(match: re.Match[str]) -> str:
    return f"{float(match[1] or 0) + FRACTIONS[match[2]]:.3g}"


def egg_note(house: HouseStyle, lines: tuple[str, ...]) -> str | None:
    """Which eggs are meant, where a line counts eggs and says neither their size nor their weight."""
    if house.egg is None:
        return None
    unsized = [t for t in lines if re.search(r"\beggs?\b(?!\s*(?:noodle|plant|yolk|white))", t, re.I)
               and not re.search(r"\b(?:large|medium|small|size)\b|\d\s*g\b|quail|duck", t, re.I) and re.match(r"\s*\d", t)]
    return say("Eggs are {size}.", size=house.egg) if unsized else None
