"""Degrees: which ones a kitchen reads its thermometers in; documents hold °C."""

from __future__ import annotations

from proofpan.study.brief import Kitchen
from proofpan.study.house import HouseStyle, house_style


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
