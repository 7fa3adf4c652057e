"""JSON-LD held against the public vocabulary: schema.org release 30.0, its types and properties files (CC BY-SA 3.0).

`tests/data/schema_org_30.csv` keeps what the release says of Recipe and of what stands inside one: each property of the type and of its
supertypes, the types that it expects, and whether it is superseded; below RestrictedDiet, its members.
"""

from __future__ import annotations

import csv
import re
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

DURATION = re.compile(r"P(?!$)(\d+D)?(T(?=\d)(\d+H)?(\d+M)?)?")      # ISO 8601-1:2019, 5.5.2
ADDRESS = "https://schema.org/"


@cache
def vocabulary() -> dict[str, dict[str, tuple[frozenset[str], bool]]]:
    """{type: {property: (types it expects, whether it is superseded)}}."""
    out: dict[str, dict[str, tuple[frozenset[str], bool]]] = {}
    with (Path(__file__).parent / "data" / "schema_org_30.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            out.setdefault(row["type"], {})[row["property"]] = (frozenset(row["expected_types"].split()), bool(row["superseded"]))
    return out


def faults(data: dict[str, Any], where: str = "") -> list[str]:
    """What the vocabulary says is wrong, in sentences; none where it holds."""
    kind = data.get("@type")
    if not where and data.get("@context") != "https://schema.org":
        return ["@context isn't https://schema.org"]
    if kind not in vocabulary():
        return [f"{where}: {kind} is no type kept here"]
    out = []
    for name, value in data.items():
        if name.startswith("@"):
            continue
        expected, superseded = vocabulary()[kind].get(name, (frozenset(), False))
        here = f"{where}.{name}" if where else name
        if not expected:
            out.append(f"{here} is no property of {kind}")
        elif superseded:
            out.append(f"{here} is superseded")
        else:
            out += [f for v in (value if isinstance(value, list) else [value]) for f in _value_faults(v, expected, here)]
    return out


def _value_faults(value: Any, expected: frozenset[str], where: str) -> list[str]:
    if isinstance(value, dict):
        fits = value.get("@type") in expected or (value.get("@type") in ("HowToStep", "HowToSection") and "CreativeWork" in expected)
        return faults(value, where) if fits else [f"{where}: {value.get('@type')} isn't one of {sorted(expected)}"]
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return [] if expected & {"Number", "Integer", "Text"} else [f"{where}: a number isn't one of {sorted(expected)}"]
    if not isinstance(value, str) or not value.strip():
        return [f"{where}: {value!r} isn't text"]
    if "RestrictedDiet" in expected:
        return [] if value.removeprefix(ADDRESS) in vocabulary()["RestrictedDiet"] else [f"{where}: {value} is no diet of the vocabulary"]
    if expected == {"Duration"}:
        return [] if DURATION.fullmatch(value) else [f"{where}: {value} is no ISO 8601 duration"]
    if expected <= {"Date", "DateTime"}:
        return [] if _is_date(value) else [f"{where}: {value} is no ISO 8601 date"]
    measured = {"Mass", "Energy", "Quantity", "Distance"}          # written as text with their unit: <Number> <Unit>
    if expected <= measured:
        return [] if re.fullmatch(r"[<]?\d+([.,]\d+)? \w+", value) else [f"{where}: {value} is no amount with its unit"]
    plain = {"Text", "URL", "CreativeWork", "DefinedTerm"}
    return [] if expected & plain else [f"{where}: text isn't one of {sorted(expected)}"]


def _is_date(value: str) -> bool:
    try:
        date.fromisoformat(value[:10])
    except ValueError:
        return False
    return True
