"""How versions, options and numbers are said: one place, so that page, paper and command line say the same."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from proofpan.study.wording import figure, say, say_counted, spoken

ABSENT = {"none", "no", "without", "never", "not"}
PRESENT = {"yes", "with"}
HOW_OFTEN = {"once", "twice", "thrice", "overnight"}               # nothing by themselves: fries twice, drying overnight
HOW_MUCH = {"half", "double", "less", "more", "extra", "added"}    # nor these: half salt, added pectin
HOW_MANY = {"one", "two", "three", "four", "five", "six", "few", "many", "several"}       # one egg
WHEN = {"before", "after", "early", "late", "earlier", "later", "first", "last", "at once", "at the start", "at the end"}     # lemon after


def option_words(factor: str, option: str) -> str:
    """One option in words: `no rest`, `30 min rest`, `oven 170`, `olive oil`."""
    low = option.casefold()
    if low in ABSENT:
        return say("no {what}", what=factor)
    if low in PRESENT:
        return factor
    if low in HOW_OFTEN | WHEN or low.startswith("every ") or re.fullmatch(r"[\d.,/:×x %-]+", option):
        return f"{factor} {option}"
    if low in HOW_MUCH | HOW_MANY or re.match(r"\d", option) and factor.casefold() not in low:
        return f"{option} {factor}"
    if _SOME.fullmatch(low):
        return say("{some} of {what}", some=option, what=factor)
    return option


_SOME = re.compile(r"an? (?:pinch|dash|knob|handful|splash|drop|squeeze|glug|spoonful|grating)")      # nothing by itself: a pinch of salt
_UNIT = r"(?:[km]?g|[cd]?L|m[Ll]|ml|°\s?[CF]|[CF]|min|minutes?|h|hours?|days?|cm|mm|oz|lb|cups?|tsp|tbsp|in 100|fan)"
_NUMBERED = "|".join(rf"(?<=\b{word}) (?=\d)" for word in ("[Oo]ven", "[Ll]oad", "[Tt]rial", "[Rr]ound", "[Dd]ay"))
_APART = re.compile(rf"(?<=\d) (?={_UNIT}(?![\w°]))|{_NUMBERED}")


def unbroken(text: str) -> str:
    """A text whose lines don't break between a number and its unit, nor between an oven, a load, a trial, a round or a day and its number."""
    return _APART.sub("\u00a0", text)


def version_words(version: Mapping[str, str]) -> str:
    """A version in words, in the study's order."""
    return ", ".join(option_words(f, o) for f, o in version.items())


def joined(words: Iterable[str], last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`. Parameters: last, "and" or "or"."""
    return spoken().joined(words, last)


def length_words(minutes: int) -> str:
    """`45 min`, `2 h 24 min`, `21 days 2 h`."""
    if minutes < 60:
        return say("{minutes} min", minutes=minutes)
    if not minutes % 60 and minutes < 3 * 1440:
        return say("{hours} h", hours=minutes // 60)
    if minutes < 3 * 1440:
        return say("{hours} h {minutes} min", hours=minutes // 60, minutes=minutes % 60)
    return say("{days} days {hours} h", days=minutes // 1440, hours=minutes % 1440 // 60)


def capital(text: str) -> str:
    """The sentence with its first letter large."""
    return text[:1].upper() + text[1:]


def points(value: float, near: float | None = None) -> str:
    """A size in points, to one figure after the point; two where one would put it on the bar it is held against."""
    size = abs(value)
    if near is not None and round(size, 1) == round(abs(near), 1) and abs(size - abs(near)) > 1e-9:
        return figure(size, ".2f")
    return figure(size, ".1f")


def bar(size: float, *held: float) -> str:
    """A size that others are held against: two figures after the point where one of them is so near that it has two itself."""
    near = any(len(points(x, size)) > len(points(x)) for x in held)
    return figure(abs(size), ".2f") if near and abs(size - round(size, 1)) > 0.004 else points(size)


def on_scale(score: float, low: float, high: float, scale: tuple[float, float] = (0.0, 10.0)) -> str:
    """`9.5 (9.0 to 10.0)`: what is likely of a score, kept on the scale that it was marked on."""
    shown = within((score, low, high), scale)
    return say("{score:.1f} ({low:.1f} to {high:.1f})", score=shown[0], low=shown[1], high=shown[2])


def within(values: Iterable[float], scale: tuple[float, float]) -> list[float]:
    """The values, kept on the scale."""
    least, most = scale
    return [min(max(x, least), most) for x in values]


def of_a_point(size: float) -> str:
    """What a round adds, or publishing gives up: `about 3.5 points`, `about 0.3 of a point`, `about 0.06 of a point`, `less than 0.01 of a point`."""
    if size >= 0.95:
        return say("about {size:.1f} points", size=size)
    if size >= 0.095:
        return say("about {size:.1f} of a point", size=size)
    return say("about {size:.2f} of a point", size=size) if size >= 0.005 else say("less than {size:.2f} of a point", size=0.01)


def signed_range(low: float, high: float, worth: float) -> str:
    """`0.8 to 2.2`, `0.6 worse to 0.5 better`, `0.3 to 1.2 worse`."""
    least, most = points(low, worth), points(high, worth)
    if low >= 0:
        return say("{low} to {high}", low=least, high=most)
    if least == points(0.0):
        return say("{low} to {high} better", low=least, high=most)
    if most == points(0.0) and high > 0:
        return say("{low} worse to {high}", low=least, high=most)
    if high <= 0:
        return say("{low} to {high} worse", low=most, high=least)
    return say("{low} worse to {high} better", low=least, high=most)


def better_or_worse(value: float) -> str:
    """`1.5 better`, `0.3 worse`, `no different (0.0)`."""
    if round(value, 1) == 0:
        return say("no different ({size})", size=points(0.0))
    return say("{size} better", size=points(value)) if value > 0 else say("{size} worse", size=points(value))


def odds(value: float) -> str:
    """`62 in 100`; never 0 or 100."""
    count = round(100 * value)
    if count < 1:
        return say("fewer than 1 in 100")
    if count > 99:
        return say("more than 99 in 100")
    return say("{count} in 100", count=count)


def times(number: int) -> str:
    """`once`, `twice`, `3 times`."""
    return say("once") if number == 1 else say("twice") if number == 2 else say_counted(number, "{number} time", "{number} times")


def counted(number: int, thing: str, many: str | None = None) -> str:
    """`1 trial`, `12 trials`: the catalogue lists the thing as `{number} trial`, in one form and in the other."""
    return say_counted(number, f"{{number}} {thing}", f"{{number}} {many or thing + 's'}")
