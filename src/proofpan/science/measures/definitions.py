"""Reads kitchen.txt and countries.csv: how many millilitres or grams a unit is, country by country.

pint reads the same file for dimension-checked conversion (`registry`), but takes about half a second to import; lines of a
recipe only need factors, which this reader has in a millisecond. A test holds the two readings to each other.
"""

import csv
import re
from functools import cache
from importlib.resources import files
from typing import Any

from proofpan.science.measures.errors import QuantityError

HERE = files("proofpan.science.measures")
COUNTRIES = ("US", "US-label", "UK", "AU", "NZ", "CA", "IE", "IN", "metric")
ALIASES = {"USA": "US", "GB": "UK", "EU": "metric"}
METRIC = {"ml": "millilitre", "cl": "centilitre", "dl": "decilitre", "l": "litre", "litre": "litre"}
MASSES = {
    "mg": "milligram", "g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound", "stone": "stone",
    "grain": "grain", "dram_avoirdupois": "dram_avoirdupois",
}  # fmt: skip


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one of this package's CSV tables."""
    with (HERE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@cache
def _vocabularies() -> dict[str, frozenset[str]]:
    text = (HERE / "vocabulary.txt").read_text(encoding="utf-8")
    entries = re.findall(r"^(\w+):((?:.*\n(?: +.*\n)*))", text + "\n", re.MULTILINE)
    return {name: frozenset(words.split()) for name, words in entries}


def vocabulary(name: str) -> frozenset[str]:
    """One list of words of vocabulary.txt."""
    return _vocabularies()[name]


@cache
def factors() -> dict[str, float]:
    """Millilitres or grams in each unit of kitchen.txt."""
    found: dict[str, float] = {}
    for line in (HERE / "kitchen.txt").read_text(encoding="utf-8").splitlines():
        statement = line.split("#")[0].strip()
        if not statement or ";" in statement or "kelvin" in statement:
            continue
        name, body = (part.strip() for part in statement.split("=", 1))
        if body.startswith("["):
            found[name] = 1.0
            continue
        value = 1.0
        for sign, term in re.findall(r"([*/]?)\s*([\w.]+)", body):
            factor = found[term] if term in found else float(term)
            value = value / factor if sign == "/" else value * factor
        found[name] = value
    return found


@cache
def names() -> dict[tuple[str, str], str]:
    """(country, unit) → the name in kitchen.txt."""
    return {(row["country"], row["unit"]): row["defined_as"] for row in rows("countries.csv")}


def country_named(text: str | None) -> str | None:
    """The country as this package writes it, or None when none is given.

    Raises:
        QuantityError: for a country without kitchen measures here.
    """
    if text is None or text in COUNTRIES:
        return text
    wanted = ALIASES.get(text.upper(), next((c for c in COUNTRIES if c.lower() == text.lower()), None))
    if wanted is None:
        raise QuantityError(f'"{text}" has no kitchen measures here; it would be one of {", ".join(COUNTRIES)} or EU.')
    return wanted


@cache
def registry() -> Any:
    """The registry by pint of kitchen.txt alone; never given a user's text."""
    import pint

    with (HERE / "kitchen.txt").open(encoding="utf-8") as file:
        return pint.UnitRegistry(file.read().splitlines(), on_redefinition="raise")
