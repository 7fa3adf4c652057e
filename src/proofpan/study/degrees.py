"""Degrees: which ones a kitchen reads its thermometers and sets its dials in; documents hold °C."""

from __future__ import annotations

import re

from proofpan.study.house import HouseStyle, house_style
from proofpan.study.kitchen import Kitchen

DIAL_F = 5      # an oven is set to the nearest five
_SAID = re.compile(r"(?P<low>\d+(?:\.\d+)?)(?:(?P<between> ?[-–] ?| to | and )(?P<high>\d+(?:\.\d+)?))? °C(?: \((?P<there>\d+ °F)\))?")


def reads_fahrenheit(kitchen: Kitchen) -> bool:
    """Whether a kitchen works in US measures: as its style has it, else by its country."""
    style = house_style(kitchen.style) if isinstance(kitchen.style, str) else kitchen.style
    if isinstance(style, HouseStyle):
        return style.measures == "US" and not style.metric_first
    return kitchen.country == "US"


def degree_of(kitchen: Kitchen) -> str:
    """`°F` or `°C`."""
    return "°F" if reads_fahrenheit(kitchen) else "°C"


def celsius(fahrenheit: float) -> float:
    """°F in °C."""
    return (fahrenheit - 32) / 1.8


def degrees(core_c: float, kitchen: Kitchen) -> str:
    """°C as the kitchen reads them, without the unit: `165`, `73.5`."""
    return f"{round(core_c * 1.8 + 32, 1):g}" if reads_fahrenheit(kitchen) else f"{core_c:g}"


def dial_words(oven_c: float, kitchen: Kitchen) -> str:
    """What an oven is set to: `190 °C`, in a US kitchen `375 °F`."""
    return f"{DIAL_F * round((oven_c * 1.8 + 32) / DIAL_F)} °F" if reads_fahrenheit(kitchen) else f"{oven_c:g} °C"


def in_its_degrees(text: str, kitchen: Kitchen) -> str:
    """A sentence of ours with its temperatures as the kitchen reads them; never one that says how much hotter something is."""
    return _SAID.sub(_in_fahrenheit, text) if reads_fahrenheit(kitchen) else text


def _in_fahrenheit(match: re.Match[str]) -> str:
    if match["there"]:
        return match["there"]
    ends = [f"{float(end) * 1.8 + 32:.0f}" for end in (match["low"], match["high"]) if end]
    return (match["between"] or "").join(ends) + " °F"
