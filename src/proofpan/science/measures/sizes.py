"""What an amount weighs or fills: from definitions by country, from the line itself, or by common practice with its interval."""

import re
from functools import cache

from proofpan.science.measures.countries import SHOWN, span_ml, unit_g, unit_ml
from proofpan.science.measures.definitions import factors, rows
from proofpan.science.measures.heads import Head, Measure, Second
from proofpan.science.measures.words import LOOSE, METRIC

Pair = tuple[float, float]
Triple = tuple[float, float, str]

_LIQUID = re.compile(
    r"(?:^|\s|-)(?:water|milk|cream|half-and-half|buttermilk|stock|broth|juice|wine|beer|cider|ale|stout|vinegar|oil|syrup|coffee|tea"
    r"|brandy|rum|whisky|whiskey|vodka|liqueur|soda|lemonade|kefir|brine|passata|gin|tequila|vermouth|champagne|prosecco|nectar|sauce|cordial|honey|molasses)$",
    re.IGNORECASE,
)
_NOT_POURED = re.compile(r"\b(?:powdered|dried|sour|clotted|ice) \w+$", re.IGNORECASE)
_BEYOND_NAME = re.compile(r"\s+(?:with|in|from|for|at|or|and)\s+|,", re.IGNORECASE)


@cache
def indefinite() -> dict[tuple[str, str], tuple[str, float, float]]:
    """(unit or word, ingredient) → (ml, g or times, low, high): pinches, knobs and heaped spoons, by common practice."""
    return {(r["unit"], r["item"]): (r["kind"], float(r["low"]), float(r["high"])) for r in rows("indefinite.csv")}


def poured(item: str) -> bool:
    """Whether the name is of a liquid: its last word decides, so "tuna in oil" and "water chestnuts" are not."""
    name = _BEYOND_NAME.split(item.strip(), maxsplit=1)[0]
    return bool(_LIQUID.search(name)) and not _NOT_POURED.search(name)


def _measure_sizes(m: Measure, country: str | None, item: str, flags: list[str]) -> tuple[Pair | None, Pair | None]:
    """(mass, volume) of one measure, each None where nothing defines it."""
    low_times = high_times = 1.0
    for mod in m.mods:
        mod = "heaped" if mod == "heaping" else mod
        if (mod, "") in indefinite():
            _, a, b = indefinite()[(mod, "")]
            low_times, high_times = low_times * a, high_times * b
            flags.append(f'"{mod}" is {a:g} to {b:g} times a level one, by common practice')
    if (grams := unit_g(m.unit, country)) is not None:
        if m.unit == "oz" and poured(item):
            flags.append("an ounce of a liquid may be a weight or a fluid ounce")
            return None, None
        return (m.low * grams, m.high * grams), None
    if m.unit in LOOSE:
        found = indefinite().get((m.unit, item.lower())) or indefinite().get((m.unit, ""))
        flags.append(
            f'"{m.unit}" is no fixed measure' + (f": {found[1]:g} to {found[2]:g} {found[0]}, by common practice" if found else "")
        )
        if found is None:
            return None, None
        span = (m.low * found[1], m.high * found[2])
        return (span, None) if found[0] == "g" else (None, span)
    spans = _volume_span(m.unit, country, item, flags)
    return None, None if spans is None else (m.low * spans[0] * low_times, m.high * spans[1] * high_times)


def _volume_span(unit: str, country: str | None, item: str, flags: list[str]) -> Pair | None:
    """Least and most millilitres that one unit can mean here."""
    word = SHOWN.get(unit, unit)
    if country is None:
        span = span_ml(unit)
        if span is not None and span[0] != span[1]:
            flags.append(f"a {word} is {span[0]:.4g} to {span[1]:.4g} mL by country, and none is given")
        return span
    ml = unit_ml(unit, country)
    if ml is None:
        if span_ml(unit) is not None:
            flags.append(f"a {word} has no defined size in {country}")
        return None
    dry = unit_ml(f"dry_{unit}", country) if unit in ("pint", "quart") else None
    if dry is not None and dry != ml and not poured(item):
        flags.append(f"a {word} of this may be liquid ({ml:.0f} mL) or dry ({dry:.0f} mL)")
        return ml, dry
    return ml, ml


def _sum_sizes(terms: tuple[Measure, ...], country: str | None, item: str, flags: list[str]) -> tuple[Pair | None, Pair | None]:
    """(mass, volume) of a sum of terms; None where any term lacks it."""
    mass: Pair | None = (0.0, 0.0)
    volume: Pair | None = (0.0, 0.0)
    for term in terms:
        grams, ml = _measure_sizes(term, country, item, flags)
        mass, volume = _added(mass, grams, term.sign), _added(volume, ml, term.sign)
    return mass, volume


def _added(total: Pair | None, more: Pair | None, sign: int) -> Pair | None:
    if total is None or more is None:
        return None
    ends = more if sign > 0 else (-more[1], -more[0])
    return max(total[0] + ends[0], 0.0), max(total[1] + ends[1], 0.0)


def _joined(first: Pair | None, other: Pair | None, metric_first: bool, flags: list[str]) -> Pair | None:
    """One size from two printed measures: metric first stands; else both are inside; far apart is said."""
    if first is None or other is None:
        return first or other
    far = other[0] > first[1] * 1.2 or other[1] < first[0] / 1.2
    if far:
        flags.append("its two measures disagree")
    return first if metric_first and not far else (min(first[0], other[0]), max(first[1], other[1]))


def times_range(one: Pair | None, low: float, high: float) -> Pair | None:
    """The size of one, so many times; None stays None."""
    return None if one is None else (one[0] * low, one[1] * high)


def as_triple(terms: tuple[Measure, ...]) -> Triple | None:
    """One (low, high, unit) for a printed second measure; pounds and ounces become ounces."""
    if not terms:
        return None
    last = terms[-1]
    low, high = 0.0, 0.0
    for term in terms:
        times = 1.0
        if term.unit != last.unit:
            a, b = unit_g(term.unit, None), unit_g(last.unit, None)
            if a is None or b is None:
                return (terms[0].low, terms[0].high, terms[0].unit)
            times = a / b
        low, high = low + term.sign * times * term.low, high + term.sign * times * term.high
    return low, high, last.unit


def whole_sizes(head: Head, country: str | None, item: str, flags: list[str]) -> tuple[Pair | None, Pair | None]:
    """(mass, volume) of the whole amount from everything the line prints."""
    silent: list[str] = []
    mass: Pair | None = None
    volume: Pair | None = None
    metric = False
    loose = len(head.alike) == 1 and head.unit in LOOSE and any(unit_known(t.unit) for other in head.seconds for t in other.terms)
    if head.alike and not loose:
        mass, volume = _sum_sizes(head.alike[0], country, item, flags)
        metric = head.alike[0][0].unit in METRIC
    elif head.each is not None:
        mass, volume = (times_range(size, head.low, head.high) for size in _sum_sizes(head.each, country, item, flags))
    elif head.unit == "stick":
        per = _stick_g(item, country, flags)
        mass = None if per is None else (head.low * per, head.high * per)
    others = [Second(terms) for terms in head.alike[1:]] + list(head.seconds)
    for other in others:
        if any(term.unit in ("each", "stick") or unit_known(term.unit) is False for term in other.terms):
            continue
        grams, ml = _sum_sizes(other.terms, country, item, silent)
        if other.each:
            grams, ml = times_range(grams, head.low, head.high), times_range(ml, head.low, head.high)
        mass = _joined(mass, grams, metric, flags)
        volume = _joined(volume, ml, metric, flags)
    return mass, volume


def unit_known(unit: str) -> bool:
    """Whether the unit is one of weight or volume somewhere."""
    return unit_g(unit, None) is not None or span_ml(unit) is not None


def _stick_g(item: str, country: str | None, flags: list[str]) -> float | None:
    """A stick of butter is a US measure (4 oz); of celery or cinnamon it is only a piece."""
    if not re.search(r"\b(?:butter|margarine|shortening)\b", item, re.IGNORECASE):
        return None
    if country != "US":
        flags.append(f"a stick of butter isn't a measure in {country or 'every country'}: give grams")
        return None
    return factors()["us_butter_stick"]
