"""How versions, options and numbers are said: one place, so that page, paper and command line say the same."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

ABSENT = {"none", "no", "without", "never", "not"}
PRESENT = {"yes", "with"}


def option_words(factor: str, option: str) -> str:
    """One option in words: `no rest`, `30 min rest`, `oven 170`, `olive oil`."""
    low = option.casefold()
    if low in ABSENT:
        return f"no {factor}"
    if low in PRESENT:
        return factor
    if re.fullmatch(r"[\d.,/:×x %-]+", option):
        return f"{factor} {option}"
    if re.match(r"\d", option) and factor.casefold() not in low:
        return f"{option} {factor}"
    return option


def version_words(version: Mapping[str, str]) -> str:
    """A version in words, in the study's order."""
    return ", ".join(option_words(f, o) for f, o in version.items())


def joined(words: Iterable[str], last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    items = list(words)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def capital(text: str) -> str:
    """The sentence with its first letter large."""
    return text[:1].upper() + text[1:]


def points(value: float, near: float | None = None) -> str:
    """A size in points, to one figure after the point; two where one would put it on the bar it is held against."""
    size = abs(value)
    if near is not None and round(size, 1) == round(abs(near), 1) and abs(size - abs(near)) > 1e-9:
        return f"{size:.2f}"
    return f"{size:.1f}"


def on_scale(score: float, low: float, high: float, scale: tuple[float, float] = (0.0, 10.0)) -> str:
    """`9.5 (9.0 to 10.0)`: what is likely of a score, kept on the scale that it was marked on."""
    least, most = scale
    shown = [min(max(x, least), most) for x in (score, low, high)]
    return f"{shown[0]:.1f} ({shown[1]:.1f} to {shown[2]:.1f})"


def gives_up(regret: float) -> str:
    """What publishing now gives up: `about 0.3 of a point`, `less than 0.1 of a point`."""
    return f"about {regret:.1f} of a point" if regret >= 0.05 else "less than 0.1 of a point"


def signed_range(low: float, high: float, worth: float) -> str:
    """`0.8 to 2.2`, `0.6 worse to 0.5 better`, `0.3 to 1.2 worse`."""
    if low >= 0:
        return f"{points(low, worth)} to {points(high, worth)}"
    if points(low, worth) == "0.0":
        return f"0.0 to {points(high, worth)} better"
    if points(high, worth) == "0.0" and high > 0:
        return f"{points(low, worth)} worse to 0.0"
    if high <= 0:
        return f"{points(high, worth)} to {points(low, worth)} worse"
    return f"{points(low, worth)} worse to {points(high, worth)} better"


def better_or_worse(value: float) -> str:
    """`1.5 better`, `0.3 worse`, `0.0 apart`."""
    if round(value, 1) == 0:
        return "no different (0.0)"
    return f"{points(value)} {'better' if value > 0 else 'worse'}"


def odds(value: float) -> str:
    """`62 in 100`; never 0 or 100."""
    count = round(100 * value)
    if count < 1:
        return "fewer than 1 in 100"
    if count > 99:
        return "more than 99 in 100"
    return f"{count} in 100"


def times(number: int) -> str:
    """`once`, `twice`, `3 times`."""
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def counted(number: int, thing: str, many: str | None = None) -> str:
    """`1 trial`, `12 trials`."""
    return f"{number} {thing if number == 1 else many or thing + 's'}"
