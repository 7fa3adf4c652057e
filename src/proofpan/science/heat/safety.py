"""Holding times and least core temperatures that authorities print. Always with the customary caution."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from .components import rows
from .errors import HeatError

CAUTION = "Follow your local food-safety authority; measure the coldest part with a checked probe."
_NEAR_F, _NEAR_C = 0.051, 0.051  # a temperature printed to a tenth is the row's


@dataclass(frozen=True)
class Hold:
    """How long a core must stay at a temperature.

    Attributes: hold_minutes; row_temperature_c, the row used (at or below what was asked); log10_reduction; source; confidence;
        caution, always shown.
    """

    hold_minutes: float
    row_temperature_c: float
    log10_reduction: float
    source: str
    confidence: str
    caution: str = CAUTION


@dataclass(frozen=True)
class SafeTemperature:
    """An authority's least core temperature.

    Attributes: food, as the row names it; authority; temperature_c; hold_s, seconds at it (0 = no hold); note; source; confidence;
        caution, always shown.
    """

    food: str
    authority: str
    temperature_c: float
    hold_s: float
    note: str
    source: str
    confidence: str
    caution: str = CAUTION


def _fahrenheit(temperature_c: float | None, temperature_f: float | None) -> float:
    if temperature_f is not None:
        return float(temperature_f)
    if temperature_c is None:
        raise HeatError("Say the core temperature, in °C or °F.")
    return float(temperature_c) * 1.8 + 32


def _row_at_or_below(found: list[dict[str, str]], f: float, what: str) -> dict[str, str]:
    """The warmest row not above the temperature: its time is never too short."""
    below = [row for row in found if float(row["temperature_f"]) <= f + _NEAR_F]
    if not below:
        least = min(float(row["temperature_f"]) for row in found)
        raise HeatError(f"The table for {what} begins at {(least - 32) / 1.8:.1f} °C; no holding time is printed for {(f - 32) / 1.8:.1f} °C.")
    return max(below, key=lambda row: float(row["temperature_f"]))


def poultry_hold_minutes(
    meat: str, fat_percent: float | None = None, temperature_c: float | None = None, temperature_f: float | None = None,
    log10_reduction: float = 7.0,
) -> Hold:
    """How long poultry must stay at a core temperature for 7 log10 of Salmonella.

    Parameters: meat, chicken or turkey (other birds: the longer of the two); fat_percent of the meat (None = unknown); the core
        temperature, in °C or °F. Between rows the colder row stands, above 1 % fat the 12 % column does: never too short.
    Raises: HeatError, below the table, for another reduction, or where a column has no row.
    Source: USDA FSIS, time–temperature tables for ready-to-eat poultry (poultry_holds.csv); 12 % for more or unknown fat is their own
        advice, as is the longer species for other birds (Cooking Guideline 2021).
    """
    if log10_reduction != 7:
        raise HeatError(f"The poultry table is for 7 log10; {log10_reduction:g} is not printed.")
    if fat_percent is not None and not 0 <= fat_percent <= 100:
        raise HeatError(f"Fat is a percentage of the meat; {fat_percent:g} came.")
    f = _fahrenheit(temperature_c, temperature_f)
    column = "1" if fat_percent is not None and fat_percent <= 1 else "12"
    kind = meat.strip().lower()
    kinds = [k for k in ("chicken", "turkey") if k in kind] or ["chicken", "turkey"]
    table = rows("poultry_holds.csv")
    chosen = []
    for k in kinds:
        found = [row for row in table if row["meat"] == k and row["fat_percent"] == column]
        if k == "turkey" and column == "12" and f < 160 - _NEAR_F:
            raise HeatError("No row is at hand here for turkey over 1 % fat below 71.1 °C; cook it to 74 °C, or look it up with the authority.")
        chosen.append(_row_at_or_below(found, f, f"{k} with {column} % fat"))
    row = max(chosen, key=lambda r: float(r["hold_minutes"]))
    return Hold(float(row["hold_minutes"]), (float(row["temperature_f"]) - 32) / 1.8, 7.0, row["source"], row["confidence"])


def roast_hold_minutes(temperature_c: float | None = None, temperature_f: float | None = None) -> Hold:
    """How long a whole meat roast must stay at a core temperature for 6.5 log10 of Salmonella.

    Parameters: the core temperature, in °C or °F; between rows the colder row stands.
    Raises: HeatError, below the table (54.4 °C).
    Source: USDA FSIS Appendix A (6.5 log10 column), as FDA Food Code 3-401.11(B) (roast_holds.csv). Intact whole roasts only.
    """
    table = rows("roast_holds.csv")
    if temperature_f is not None:
        row = _row_at_or_below(table, float(temperature_f), "roasts")
    else:
        _fahrenheit(temperature_c, None)
        below = [r for r in table if float(r["temperature_c"]) <= float(temperature_c or 0) + _NEAR_C]
        if not below:
            raise HeatError(f"The table for roasts begins at 54.4 °C; no holding time is printed for {temperature_c:.1f} °C.")
        row = max(below, key=lambda r: float(r["temperature_c"]))
    return Hold(float(row["hold_minutes"]), float(row["temperature_c"]), 6.5, row["source"], row["confidence"])


_IDLE = frozenset(["and", "or", "a", "an", "the", "of", "for", "in", "with", "by", "to", "be", "not", "from", "cooked", "food", "foods"])
_AMERICAN = {"tenderized": "tenderised", "minced": "ground", "mince": "ground", "comminuted": "ground", "holding": "hold", "held": "hold"}


def _words(text: str) -> frozenset[str]:
    found = re.findall(r"[a-z]+", text.lower())
    plain = (w[:-1] if w.endswith("s") and not w.endswith("ss") and len(w) > 3 else w for w in found)
    return frozenset(_AMERICAN.get(w, w) for w in plain) - _IDLE


@lru_cache(maxsize=1)
def _safe_rows() -> tuple[dict[str, str], ...]:
    return tuple(rows("safe_temperatures.csv"))


def authorities() -> tuple[str, ...]:
    """The authorities whose least temperatures are known here."""
    return tuple(dict.fromkeys(row["authority"] for row in _safe_rows()))


def _authority(name: str) -> str:
    words = _words(name)
    for known in authorities():
        if _words(known) <= words or words <= _words(known) and words:
            return known
    initials = {"fda": "US Food Code 2022", "usda": "USDA consumer chart", "fsi": "USDA consumer chart", "fsa": "UK FSA", "agency": "UK FSA",
                "canada": "Health Canada", "australia": "FSANZ", "zealand": "FSANZ"}
    for word, known in initials.items():
        if word in words:
            return known
    raise HeatError(f'No least temperatures are known here from "{name}"; use one of {", ".join(authorities())}.')


def safe_temperature_c(food: str, authority: str = "US Food Code 2022") -> SafeTemperature:
    """The least core temperature an authority prints for a kind of food.

    Parameters: food ("poultry", "minced meat", "plant foods for hot holding"); authority, one of `authorities()`.
    Raises: HeatError, naming what is known, where the words fit no row or two rows with different figures.
    Source: safe_temperatures.csv, each row with its own.
    """
    known = _authority(authority)
    found = [row for row in _safe_rows() if row["authority"] == known]
    wanted, scores = _words(food), []
    for row in found:
        names = [row["food"], *filter(None, row["also"].split("|"))]
        if any(n.lower() == food.strip().lower() for n in names):
            scores.append((2.0, row))
            continue
        overlap = [len(wanted & _words(n)) / max(len(wanted | _words(n)), 1) for n in names]
        scores.append((max(overlap), row))
    best = max(score for score, _ in scores)
    top = [row for score, row in scores if score == best]
    if best < 0.34 or len({(row["temperature_c"], row["hold_s"]) for row in top}) > 1:
        raise HeatError(f'"{food}" fits no one line of {known}; use one of {"; ".join(row["food"] for row in found)}.')
    row = top[0]
    return SafeTemperature(row["food"], known, float(row["temperature_c"]), float(row["hold_s"]), row["note"], row["source"], row["confidence"])
