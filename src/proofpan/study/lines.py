"""Writing an ingredient line again with another amount: only its numbers change, every other word stays.

Which numbers belong to the amount: the first one, one joined to it by "+" or "or", and a measure in brackets beside it. The
content of each tin ("2 x 400 g"), sizes (3 cm), per cents, temperatures and whatever stands after the comma are none of it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from proofpan.study.fields import plain_number

FRACTIONS = {"⅛": 0.125, "¼": 0.25, "⅓": 1 / 3, "⅜": 0.375, "½": 0.5, "⅝": 0.625, "⅔": 2 / 3, "¾": 0.75, "⅞": 0.875}
METRIC = {"g": "g", "kg": "kg", "ml": "mL", "l": "L", "dl": "dL", "cl": "cL", "mg": "mg"}
PLAIN_ERROR = 0.01        # a metric amount is written as roundly as one per cent allows
NUMBER = r"(?:\d+\s+\d+[/⁄]\d+|\d+[/⁄]\d+|\d+\s?[⅛¼⅓⅜½⅝⅔¾⅞]|[⅛¼⅓⅜½⅝⅔¾⅞]|\d{1,3}(?:,\d{3})+(?!\d)|\d+(?:[.,]\d+)?)"
AMOUNT = re.compile(
    rf"(?P<low>{NUMBER})(?:\s*(?P<dash>–|-|—|\bto\b|\bor\b)\s*(?P<high>{NUMBER}))?(?P<gap>[\s-]*)(?P<unit>[^\W\d_]+\b\.?)?"
)
_NO_AMOUNT = re.compile(r"\s*(?:%|cm|mm|inch(?:es)?|in\.|\"|°|degrees|per cent|percent|-?inch|st\b|nd\b|rd\b|th\b|hours?|minutes?|days?)", re.I)
_TIMES = re.compile(r"\s*[x×*]\s*(?=\d)", re.I)
_AGAIN = re.compile(r"^\s*(?:\(|\[|/|\+|\band\b|\bplus\b|\bor\b|,\s*about\b|\babout\b)\s*(?:about |approx\.? |plus |or )?$", re.I)
_PLURALS = {"leaf": "leaves", "loaf": "loaves", "half": "halves", "bunch": "bunches", "pinch": "pinches", "dash": "dashes", "box": "boxes",
            "splash": "splashes", "punnet": "punnets", "knob": "knobs", "inch": "inches", "pouch": "pouches"}
_SINGULARS = {v: k for k, v in _PLURALS.items()}
_NEVER_MANY = frozenset(["tsp", "tbsp", "g", "kg", "ml", "l", "dl", "cl", "mg", "oz", "lb", "dsp", "fl", "x"])


@dataclass(frozen=True)
class Measure:
    """One amount in a text: where it stands, its numbers, its unit as this package names it, and the word it is written with."""

    start: int
    end: int
    low: float
    high: float
    unit: str
    word: str
    gap: str
    dash: str | None


def number_of(text: str) -> float:
    """`1½`, `1 1/2`, `2/3`, `1,200` and `0,5` as numbers."""
    text = text.strip().replace("⁄", "/")
    if text[-1] in FRACTIONS:
        return (float(text[:-1].strip()) if text[:-1].strip() else 0.0) + FRACTIONS[text[-1]]
    if re.fullmatch(r"\d{1,3}(,\d{3})+", text):
        return float(text.replace(",", ""))
    whole, _, part = text.rpartition(" ")
    if "/" in part:
        top, bottom = part.split("/")
        return (float(whole) if whole.strip() else 0.0) + float(top) / (float(bottom) or 1.0)
    return float(text.replace(",", "."))


def measures_in(text: str) -> list[Measure]:
    """Every number of a text that may be an amount, with its unit ("each" where it has none)."""
    from proofpan.science.measures.words import unit_of

    out = []
    for m in AMOUNT.finditer(text):
        if _NO_AMOUNT.match(text[m.end("high") if m["high"] else m.end("low"):]) or (m.start() and text[m.start() - 1].isalpha()):
            continue
        word = m["unit"] or ""
        if word.rstrip(".") in ("C", "F"):
            continue
        if word.endswith(".") and not re.match(r"\s*[a-zà-ÿ(\d]", text[m.end() :]):
            word = word[:-1]
        unit = unit_of(word.rstrip(".")) if word else None
        if word.casefold() in ("x",):
            unit = None
        end = m.start("unit") + len(word) if unit else (m.end("high") if m["high"] else m.end("low"))
        low, high = number_of(m["low"]), number_of(m["high"] or m["low"])
        out.append(Measure(m.start(), end, low, high, unit or "each", word if unit else "", m["gap"] if unit else "", m["dash"]))
    return out


def amount_of_line(text: str) -> list[Measure]:
    """The measures of a line that say how much of it there is, the first one first; none where it says none."""
    found = measures_in(text)
    if not found:
        return []
    first = found[0]
    if "," in text[: first.start] and not re.match(r"[^,]*,\s*$", text[: first.start]):
        return []
    out, last = [first], first
    inside_each = bool(_TIMES.match(text, first.end))
    for nxt in found[1:]:
        between = text[last.end : nxt.start]
        if inside_each:
            inside_each, last = False, nxt
            continue
        bracket = re.match(r"\s*[^,;()]*\(\s*(?:about |approx\.? )?$", between) is not None
        closing = text[nxt.end : nxt.end + 24]
        if bracket and (re.match(r"\s*(?:each|a piece|apiece)\b", closing, re.I) or _container_content(text, first, nxt)):
            break
        pounds = (last.unit, nxt.unit) == ("lb", "oz") and not between.strip()
        if not (_AGAIN.match(between) or bracket or pounds):
            break
        if nxt.unit == "each" and not bracket and "+" not in between:
            break
        out.append(nxt)
        last = nxt
    return out


def _container_content(text: str, first: Measure, inner: Measure) -> bool:
    """`2 tins (400 g)`: what each tin holds, unless the bracket says that it is the whole."""
    from proofpan.science.measures.words import CONTAINERS

    return first.unit in CONTAINERS and inner.unit not in ("each", *CONTAINERS)


Writer = Callable[[float, str], str]


def scale_line(text: str, by: float, country: str | None = None, *, write: Writer | None = None) -> str:
    """The same line with `by` times the amount; a line without an amount stays as it is.

    Parameters: text, one ingredient line; by, above zero; country, whose measures these are (spoons are added up in it); write,
        how a number of a unit is written (by default as roundly as one per cent allows).
    """
    return rewritten(text, amount_of_line(text), by, write or written_number)


def rewritten(text: str, amounts: list[Measure], by: float, write: Writer) -> str:
    """A text with each of these amounts `by` times as large, the words beside them singular or plural as the number asks."""
    out, at = [], 0
    for measure in amounts:
        low, high = measure.low * by, measure.high * by
        unit, word = measure.unit, measure.word
        if unit in METRIC and (shown := _other_size(unit, high)) is not None:
            factor, unit, word = shown
            low, high = low * factor, high * factor
        number = write(low, unit)
        if measure.high != measure.low:
            dash = f" {measure.dash} " if (measure.dash or "").isalpha() else measure.dash or "–"
            number += dash + write(high, unit)
        out += [text[at : measure.start], number, measure.gap if word else "", as_many(word, high) if word else ""]
        at = measure.end
        if not word and measure is amounts[0]:
            noun, at = _noun_after(text, at, high, measure.high)
            out.append(noun)
    return "".join(out) + text[at:]


def _other_size(unit: str, value: float) -> tuple[float, str, str] | None:
    """Grams as kilograms from 1,000 up, and back below 1."""
    up = {"g": ("kg", "kg"), "ml": ("l", "L"), "mg": ("g", "g")}
    down = {"kg": ("g", "g"), "l": ("ml", "mL")}
    if unit in up and value >= 1000:
        return 0.001, *up[unit]
    if unit in down and value < 1:
        return 1000.0, *down[unit]
    return None


def as_many(word: str, count: float) -> str:
    """A unit or piece word as so many ask: clove, cloves; measures that never change stay."""
    bare = word.rstrip(".")
    low = bare.casefold()
    if low in _NEVER_MANY or len(low) < 3:
        return word
    if count > 1:
        return bare if low in _SINGULARS or low.endswith("s") else _PLURALS.get(low, bare + "s")
    if low in _SINGULARS:
        return _SINGULARS[low]
    return bare[:-1] if low.endswith("s") and not low.endswith("ss") else bare


_NOUN = re.compile(r"[^,;(\d]+")
_JOINS = re.compile(r"\s+(?:of|in|with|from|for|or|and|on)\s+|\s+–\s+")


def _noun_after(text: str, at: int, count: float, was: float) -> tuple[str, int]:
    """The words of a counted thing after its number, its head made singular or plural where the count crosses one."""
    found = _NOUN.match(text, at)
    if found is None or (count > 1) == (was > 1):
        return "", at
    from proofpan.science.foods.words import plural, singular

    phrase = found[0].rstrip()
    joined = _JOINS.search(phrase)
    phrase = phrase[: joined.start()] if joined else phrase
    head, space, last = phrase.rpartition(" ")
    if not last or not last.isalpha():
        return "", at
    many = "chillies" if last.casefold() in ("chilli", "chillie") else plural(last)
    return f"{head}{space}{many if count > 1 else singular(last)}", at + len(phrase)


def written_number(value: float, unit: str) -> str:
    """A number as a kitchen writes it: fractions for spoons, cups and pieces, else as round as one per cent allows."""
    return round_number(value, PLAIN_ERROR) if unit in METRIC or unit in ("oz", "lb") else fraction_text(value)


def round_number(value: float, bound: float) -> str:
    """The plainest decimal within a relative bound, with a comma in thousands."""
    for step in (100.0, 50.0, 10.0, 5.0, 1.0, 0.5, 0.25, 0.1, 0.05, 0.01, 0.005, 0.001):
        rounded = round(round(value / step) * step, 6)
        if rounded > 0 and abs(rounded - value) <= bound * value + 1e-12:
            return f"{rounded:,.0f}" if rounded >= 1000 else plain_number(rounded)
    return f"{value:.3g}"


def fraction_text(value: float) -> str:
    """A number with kitchen fractions where one is within one per cent: 1½, ⅓; else a decimal."""
    whole = int(value + 1e-9)
    rest = value - whole
    allowed = 0.01 * max(value, 0.05)
    if abs(rest) <= allowed and whole:
        return f"{whole:,}" if whole >= 1000 else str(whole)
    if 1 - rest <= allowed:
        return str(whole + 1)
    sign, size = min(FRACTIONS.items(), key=lambda f: abs(f[1] - rest))
    if abs(rest - size) <= allowed:
        return f"{whole or ''}{sign}"
    return plain_number(round(value, 2)) if value >= 0.1 else f"{value:.2g}"
