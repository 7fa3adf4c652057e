"""Amounts in words as numbers and units: "half a cup of", "a cup and a half of", "1 cup (Japan)", "1 part vinegar to 3 parts water".

A Japanese cup is 200 mL (common practice, from memory; the rice cooker's cup of 180 mL is another). Parts of two liquids are taken by volume, which is
what a kitchen pours; of anything else nobody knows whether they are weighed.
"""

import re

from proofpan.science.measures.amounts import NUMBER, value_of
from proofpan.science.measures.definitions import vocabulary
from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.words import unit_of

JAPANESE_CUP_ML = 200.0
POURED = frozenset(["vinegar", "oil", "syrup", "spirit", "vodka", "rum", "gin", "cordial"])
_HALF = re.compile(r"(?<![\w-])(?P<part>half|(?:a\s+)?quarter|(?:a\s+)?third|(?:three|3)\s+quarters|two\s+thirds)\s+(?:of\s+)?an?\s+(?P<unit>[^\W\d_]+)\b",
                   re.IGNORECASE)
_AND_A_HALF = re.compile(r"(?<![\w-])(?P<n>an?|one|two|three|four|\d+)\s+(?P<unit>[^\W\d_]+)\s+and\s+a\s+(?P<part>half|quarter)\b", re.IGNORECASE)
_VULGAR = {"half": "½", "quarter": "¼", "third": "⅓", "three quarters": "¾", "3 quarters": "¾", "two thirds": "⅔"}
_JAPANESE = re.compile(rf"(?P<n>{NUMBER.pattern})\s*(?:Japanese\s+cups?\b|cups?\s*\((?:Japan|Japanese|JP)\))", re.IGNORECASE)
_N = r"\d+(?:[.,]\d+)?"
_PARTS = re.compile(
    rf"^(?:about\s+)?(?P<a>one|{_N})\s+parts?\b\s*(?P<x>[^\d:]*?)\s*(?:\bto\b|\bin\b|\band\b|,|:)\s*(?P<b>one|two|three|four|five|{_N})\s+(?:parts?\b\s*)?(?P<y>.*?)"
    r"(?:,?\s+by\s+(?P<by>weight|mass|volume))?$", re.IGNORECASE)


def plainly(text: str) -> str:
    """A line or an amount with halves and Japanese cups in numbers; anything else as it is."""
    text = _HALF.sub(_half, _AND_A_HALF.sub(_and_a_half, text))
    return _JAPANESE.sub(_in_ml, text)


def _half(found: re.Match[str]) -> str:
    part = re.sub(r"^a\s+", "", " ".join(found["part"].lower().split()))
    return f"{_VULGAR[part]} {found['unit']}" if unit_of(found["unit"]) else found[0]


def _and_a_half(found: re.Match[str]) -> str:
    whole = {"a": "1", "an": "1", "one": "1", "two": "2", "three": "3", "four": "4"}.get(found["n"].lower(), found["n"])
    return f"{whole}{_VULGAR[found['part'].lower()]} {found['unit']}" if unit_of(found["unit"]) else found[0]


def _in_ml(found: re.Match[str]) -> str:
    return f"{value_of(found['n']) * JAPANESE_CUP_ML:g} ml"


def sides_in_parts(text: str) -> tuple[str, str] | None:
    """The two sides of a ratio in parts as amounts in mL or g; None where it isn't one.

    Raises:
        QuantityError: when what they are parts of isn't said, or whether they are weighed.
    """
    found = _PARTS.match(text.strip())
    if found is None:
        return None
    one, other = (found[k].strip(" ,") for k in ("x", "y"))
    if not one or not other:
        raise QuantityError(f'"{text.strip()[:60]}" doesn\'t say what it is parts of: it would be such as 1 part vinegar to 3 parts water.')
    poured = vocabulary("liquids") | POURED
    by = (found["by"] or "").lower() or ("volume" if one.split()[-1].lower() in poured and other.split()[-1].lower() in poured else "")
    if not by:
        raise QuantityError(f'"{text.strip()[:60]}" doesn\'t say whether its parts are weighed or measured: write "by weight" or "by volume" after it.')
    unit = "ml" if by == "volume" else "g"
    counts = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5"}
    a, b = (counts.get(found[k].lower(), found[k]) for k in ("a", "b"))
    return f"{a} {unit} {one}", f"{b} {unit} {other}"
