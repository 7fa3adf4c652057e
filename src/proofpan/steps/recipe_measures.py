"""A line in a reader's measures and names: grams lead, and the nearest spoon or cup follows where it holds the bound."""

from __future__ import annotations

import re

from proofpan.steps.recipe_scaling import bound_of, fraction_text, kitchen_number
from proofpan.study.countries import measures_of
from proofpan.study.fields import plain_number

REGIONS = ("US", "UK", "AU", "metric")
_SPOON_FROM_G = 0.2           # below this many grams a scale of 1 g says little, so the spoon leads
_LIQUID = re.compile(r"\b(water|milk|cream|stock|broth|wine|vinegar|juice|oil|buttermilk|beer|cider)\b", re.I)
_SOLID = re.compile(r"\b(powder|ice|cream cheese|cream of)\b", re.I)


def name_in_region(item: str, region: str, country: str | None) -> str:
    """An item's name where the reader lives."""
    from proofpan.science.foods import rename

    target = {"metric": None}.get(region, region)
    return item if target is None else rename(item, target, measures_of(country) if country not in (None, "EU") else None)


def line_in_region(text: str, item: str, grams: tuple[float, float] | None, region: str, country: str | None) -> str:
    """The line in a region's measures; one that holds no weight or volume only gets its name."""
    from proofpan.science.measures import parse_line

    parsed = parse_line(text, measures_of(country))
    name = name_in_region(item, region, country)
    tail = f", {parsed.prep}" if parsed.prep else ""
    if parsed.low is None or grams is None or parsed.unit == "each":
        return text if name == item else re.sub(re.escape(item), name, text, flags=re.I)
    middle = (grams[0] + grams[1]) / 2
    volume = None if parsed.volume_ml is None else sum(parsed.volume_ml) / 2
    if volume is None:
        volume = _volume_of(item, middle)
    bound = bound_of(item)
    if region == "US":
        cups = spoons(volume, "US", bound) if volume is not None else None
        weight = f"{plain_number(kitchen_number(middle, bound))} g"
        return f"{cups} ({weight}) {name}{tail}" if cups else f"{weight} {name}{tail}"
    if _LIQUID.search(item) and not _SOLID.search(item) and volume is not None and volume >= 5:
        return f"{plain_number(kitchen_number(volume, bound))} mL {name}{tail}"
    small = spoons(volume, region, bound) if volume is not None and middle <= 20 and region in ("UK", "AU") else None
    weight = f"{plain_number(kitchen_number(middle, bound))} g"
    return f"{weight} ({small}) {name}{tail}" if small else f"{weight} {name}{tail}"


def _volume_of(item: str, grams: float) -> float | None:
    from proofpan.science.foods import density_g_per_ml

    density = density_g_per_ml(item)
    return None if density is None else grams / density[0]


def spoons(volume_ml: float, region: str, bound: float) -> str | None:
    """The plainest cups and spoons within a bound of a volume; none where spoons can't hold it."""
    from proofpan.science.measures.countries import unit_ml

    country = "metric" if region == "metric" else region
    tsp, tbsp = unit_ml("tsp", country) or 5.0, unit_ml("tbsp", country) or 15.0
    cup = unit_ml("cup", country)
    choices: list[tuple[int, float, str]] = []
    for n in (0.125, 0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.5):
        choices.append((1, n * tsp, f"{fraction_text(n)} tsp"))
    for n in (1, 1.5, 2, 2.5, 3, 3.5):
        choices.append((1, n * tbsp, f"{fraction_text(n)} tbsp"))
    for a in (1, 2, 3):
        for b in (0.5, 1, 1.5, 2):
            choices.append((2, a * tbsp + b * tsp, f"{a} tbsp + {fraction_text(b)} tsp"))
    if cup:
        whole = [q / 4 for q in range(1, 33)] + [k / 3 for k in range(1, 24) if k % 3]
        choices += [(1, n * cup, f"{fraction_text(n)} cup{'s' if n > 1 else ''}") for n in whole]
        choices += [(2, n * cup + t * tbsp, f"{fraction_text(n)} cup{'s' if n > 1 else ''} + {t} tbsp") for n in whole for t in (1, 2, 3)]
    fits = [(parts, abs(v / volume_ml - 1), text) for parts, v, text in choices if abs(v / volume_ml - 1) <= bound]
    return min(fits)[2] if fits else None


_FAN = re.compile(r"(\d{2,3})\s*°?\s*C\s*fan\b", re.I)
_PLAIN_C = re.compile(r"(\d{2,3})\s*°?\s*C\b(?!\s*(?:fan|\())", re.I)


def oven_in_region(text: str, region: str) -> str:
    """Oven settings as a region's readers set them: °F for the US, gas mark for the UK, both kinds of °C for Australia."""
    from proofpan.science.measures.oven import conventional_oven_c, gas_mark_for_c, temperature

    def fan(match: re.Match[str]) -> str:
        c = float(match[1])
        still = conventional_oven_c(c)
        if region == "US":
            return f"{_tens(temperature(still, 'C', 'F'))} °F ({_tens(temperature(c, 'C', 'F'))} °F convection)"
        if region == "UK":
            return f"{c:g} °C fan (gas {gas_mark_for_c(still)})"
        return f"{c:g} °C fan ({still:g} °C)" if region == "AU" else f"{c:g} °C fan"

    def still(match: re.Match[str]) -> str:
        c = float(match[1])
        return f"{round(temperature(c, 'C', 'F')):g} °F" if region == "US" else f"{c:g} °C"

    return _PLAIN_C.sub(still, _FAN.sub(fan, text))


def _tens(value: float) -> str:
    return f"{5 * round(value / 5):g}"
