"""A line and a step in a reader's measures and names; only the measure and the names change, every other word stays."""

from __future__ import annotations

import re
from dataclasses import dataclass

from proofpan.steps.recipe_scaling import bound_of
from proofpan.steps.recipe_spoons import nearest_spoons, scant_or_generous, spoons_for
from proofpan.study.countries import measures_of
from proofpan.study.lines import PLAIN_ERROR, Measure, amount_of_line, measures_in, round_number

REGIONS = ("US", "UK", "AU", "NZ", "metric")
SMALL_G = 20.0               # up to here a spoon is said beside the grams (common practice, no source)
_LIQUID = re.compile(r"\b(water|milk|cream|stock|broth|wine|vinegar|juice|oil|buttermilk|beer|cider|coffee|tea|brine)\b", re.I)
_SOLID = re.compile(r"\b(powder(ed)?|ice|cream cheese|cream of|dried|condensed|sour|clotted|coconut cream|tea leaves|ground coffee"
                    r"|beans)\b", re.I)
_BY_WEIGHT = re.compile(r"\b(butter|chocolate|cheese|beef|pork|lamb|chicken|fish|potato|pumpkin|squash|carrot|onion|tomato|apple|plum|fruit|meat"
                        r"|beetroot"
                        r"|mushroom|leek|pasta|beans?|lentils?|cabbage|date|courgette|zucchini|aubergine|eggplant|pepper)(e?s)?\b", re.I)
_SCOOPED = re.compile(r"(berry|berries)\b|\b(peas|corn|kernels|cherries|currants?|grapes|pur[eé]e|passata|paste|juice|zest|grated|chopped|diced"
                      r"|leaves)\b", re.I)
_WEIGHED = ("vegetable", "fruit", "mushroom", "meat", "poultry", "fish", "shellfish", "cheese")      # categories of the pantry
_MEASURED = ("g", "kg", "mg", "oz", "lb", "ml", "l", "cl", "dl", "fl_oz", "tsp", "tbsp", "cup", "dessertspoon", "pint", "quart", "stick", "gill")


def name_in_region(item: str, region: str, country: str | None) -> str:
    """An item's name where the reader lives."""
    from proofpan.science.foods import rename

    target = {"metric": None}.get(region, region)
    return item if target is None else rename(item, target, _named_in(country))


def _named_in(country: str | None) -> str | None:
    return country if country in ("US", "UK", "AU", "NZ", "CA", "IE", "IN") else None


def line_in_region(text: str, item: str, grams: tuple[float, float] | None, region: str, country: str | None) -> str:
    """The line in a region's measures and names; one that counts things only gets its name.

    Grams lead everywhere but in the US, where cups and spoons lead as far as they hold the bound; else the grams lead there too, with
    the nearest spoons and their error behind them.
    """
    amounts = amount_of_line(text)
    renamed = _rename_words(text, item, region, country)
    if not amounts or amounts[0].unit not in _MEASURED or (amounts[0].low != amounts[0].high):
        return renamed
    measure = _measure(text, item, amounts, grams, region, country)
    if measure is None:
        return renamed
    head, tail = text[: amounts[0].start], text[_end_of(text, amounts) :]
    return head + measure + _rename_words(tail, item, region, country)


def _rename_words(text: str, item: str, region: str, country: str | None) -> str:
    new = name_in_region(item, region, country)
    return text if new == item else re.sub(rf"\b{re.escape(item)}\b", new, text, count=1, flags=re.I)


def _end_of(text: str, amounts: list[Measure]) -> int:
    end = amounts[-1].end
    closing = re.match(r"\s*\)", text[end:])
    return end + closing.end() if closing and "(" in text[amounts[0].start : end] else end


def _measure(text: str, item: str, amounts: list[Measure], grams: tuple[float, float] | None, region: str, country: str | None) -> str | None:
    """The amount as the region writes it."""
    from proofpan.science.measures import parse_line

    parsed = parse_line(text, measures_of(country))
    if parsed.each is not None or any(m.unit not in _MEASURED for m in amounts):
        return None
    bound = bound_of(item)
    written_g = None if parsed.mass_g is None else sum(parsed.mass_g) / 2
    written_ml = None if parsed.volume_ml is None else sum(parsed.volume_ml) / 2
    middle = written_g if written_g is not None else None if grams is None else sum(grams) / 2
    volume = written_ml if written_ml is not None else None if middle is None else _volume_of(item, middle)
    liquid = _LIQUID.search(item) is not None and _SOLID.search(item) is None
    spooned = amounts[0].unit in ("tsp", "tbsp", "cup", "dessertspoon") and written_g is None
    target = "metric" if region == "metric" else region
    if region == "US":
        return _american(item, middle, volume, liquid, bound, written_g is not None)
    if volume is not None and spooned and (volume < 60 and (middle is None or middle <= 60)):
        fits = spoons_for(volume, target, bound)
        said = fits.text if fits is not None else None
        about = f"{round_number(middle, 0.05)} g" if middle is not None and not liquid else f"{round_number(volume, PLAIN_ERROR)} mL"
        return f"{said} (about {about})" if said and middle is not None and not liquid else f"{about} ({said})" if said else about
    metric_ml = next((m.high * ML[m.unit] for m in amounts if m.unit in ML), None)
    if metric_ml is not None and written_g is None:
        return volume_words(metric_ml)
    if liquid and volume is not None and volume >= 5 and written_g is None:
        return volume_words(volume)
    if middle is None:
        return None
    weight = weight_words(middle, PLAIN_ERROR)
    small = spoons_for(volume, target, bound) if volume is not None and middle <= SMALL_G and not liquid else None
    if region in ("AU", "NZ") and volume is not None and middle > SMALL_G and not _BY_WEIGHT.search(item):
        cups = spoons_for(volume, target, bound)
        small = cups if cups is not None and cups.parts == 1 and "cup" in cups.text else None
    return f"{weight} ({small.text})" if small is not None and region != "metric" else weight


ML = {"ml": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0}


def volume_words(volume_ml: float) -> str:
    """`90 mL`, `1.5 L`."""
    return f"{round_number(volume_ml, PLAIN_ERROR)} mL" if volume_ml < 1000 else f"{round_number(volume_ml / 1000, PLAIN_ERROR)} L"


def weight_words(grams: float, bound: float) -> str:
    """`180 g`, `1.2 kg`."""
    return f"{round_number(grams, bound)} g" if grams < 1000 else f"{round_number(grams / 1000, bound)} kg"


def _by_weight(item: str) -> bool:
    """Whether an American shop sells it by the pound, whole: lemons and not blueberries (common practice, no source)."""
    from proofpan.science.foods import look_up

    if _BY_WEIGHT.search(item):
        return True
    food = None if _SCOOPED.search(item) else look_up(item)
    return food is not None and food.category in _WEIGHED


def _american(item: str, middle: float | None, volume: float | None, liquid: bool, bound: float, weighed: bool) -> str | None:
    """Cups and spoons first where they hold the bound, with the grams; what is bought by weight in ounces and pounds."""
    weight = None if middle is None else weight_words(middle, PLAIN_ERROR if weighed else 0.05)
    if weight is not None and middle is not None and middle > SMALL_G and _by_weight(item) and not liquid:
        return f"{_ounces(middle)} ({weight})"
    if volume is None:
        return f"{weight} ({_ounces(middle)})" if weight is not None and middle is not None and middle > SMALL_G else weight
    other = volume_words(volume) if liquid else weight
    fits = spoons_for(volume, "US", bound)
    if fits is not None:
        return f"{fits.text} ({other})" if other else fits.text
    near, error = nearest_spoons(volume, "US")
    return f"{other} ({scant_or_generous(near, error)})" if other else near


def _ounces(grams: float) -> str:
    """Pounds and ounces to the nearest quarter of an ounce, or half above a pound (1 lb = 453.59237 g, exact)."""
    from proofpan.study.lines import fraction_text

    ounces = grams / 28.349523125
    if ounces < 16:
        return f"{fraction_text(max(0.25, round(ounces * 4) / 4))} oz"
    pounds, rest = divmod(round(ounces * 2) / 2, 16)
    return f"{pounds:.0f} lb" + (f" {fraction_text(rest)} oz" if rest else "")


def _volume_of(item: str, grams: float) -> float | None:
    from proofpan.science.foods import density_g_per_ml

    density = density_g_per_ml(item)
    return None if density is None else grams / density[0]


_HEAT = re.compile(r"(?P<c>\d{2,3}(?:[–-]\d{2,3})?)\s*°?\s*C\b(?P<fan>\s*fan\b)?", re.I)
_CENTIMETRES = re.compile(r"(?P<a>\d+(?:\.\d+)?)(?:\s*(?P<x>[×x])\s*(?P<b>\d+(?:\.\d+)?))?\s*cm\b(?!\s*\()")


@dataclass(frozen=True)
class Ovens:
    """How an oven is said: whether the setting of a fan oven leads (none: as the text has it), and whether its gas mark is given."""

    fan_first: bool | None = None
    gas: bool = False


def ovens_of(region: str) -> Ovens:
    """As a region's readers expect it where no house says otherwise."""
    return Ovens(None, region == "UK")


def step_in_region(text: str, region: str, settings: tuple[tuple[float, bool], ...] = (), ovens: Ovens | None = None) -> str:
    """A step's heat and sizes as a region's readers know them.

    Oven settings: °F for the US to the nearest 25 of the dial, gas mark for the UK, both kinds of °C for Australia and New Zealand.
    A temperature that is read on a thermometer is converted to the degree.

    Parameters: settings, the recipe's oven settings as (degrees Celsius, fan): the same number in the text is that setting; ovens, how
        a house says them.
    """
    said = ovens or ovens_of(region)
    if region == "metric" and ovens is None:
        return text
    fan_of = dict(settings)

    def heat(match: re.Match[str]) -> str:
        parts = [float(p) for p in re.split(r"[–-]", match["c"])]
        if len(parts) == 1 and (match["fan"] or parts[0] in fan_of):
            short = not match["fan"] and _READ.search(match.string[: match.start()]) is not None
            return oven_words(parts[0], bool(match["fan"]) or fan_of.get(parts[0], False), region, short=short, ovens=said)
        if region != "US":
            return match[0]
        return f"{'–'.join(f'{p * 1.8 + 32:.0f}' for p in parts)} °F ({match['c']} °C)"

    text = _HEAT.sub(heat, text)
    return _ARTICLE.sub(_article, _CENTIMETRES.sub(_inches, text)) if region == "US" else text


_READ = re.compile(r"\b(?:reads?|shows?|reaches|reached|thermometer|probe)\b[^.;]{0,16}$", re.I)


_ARTICLE = re.compile(r"\b(an?) (?=(\d+)[½¼¾]? )", re.I)


def _article(match: re.Match[str]) -> str:
    """`an 8 inch`, `a 7 inch`."""
    vowel = match[2] in ("11", "18") or match[2].startswith("8")
    return ("an " if vowel else "a ") if match[1][0] == "a" else ("An " if vowel else "A ")


def _inches(match: re.Match[str]) -> str:
    from proofpan.study.lines import fraction_text

    sides = [round(float(s) / 2.54 * 2) / 2 if float(s) > 5 else round(float(s) / 2.54 * 4) / 4 for s in (match["a"], match["b"]) if s]
    return match[0] if not all(sides) else f"{' × '.join(fraction_text(s) for s in sides)} inch ({match[0]})"


def oven_words(celsius: float, fan: bool, region: str, *, short: bool = False, ovens: Ovens | None = None) -> str:
    """An oven setting by type of oven; a fan oven's equal without a fan is 20 °C hotter (common practice, no source).

    Parameters: short, where it is read on a thermometer, which stands lower where a fan blows; ovens, which type leads and whether gas is said.
    """
    from proofpan.science.measures.oven import conventional_oven_c, fan_oven_c

    said = ovens or ovens_of(region)
    still, blown = (conventional_oven_c(celsius), celsius) if fan else (celsius, fan_oven_c(celsius))
    fan_first = said.fan_first if said.fan_first is not None else fan and region != "US"
    if region == "US":
        if short and not fan and said.fan_first is None:
            return f"{_read_f(celsius)} °F"
        if short:
            return f"{_read_f(still)} °F, or {_read_f(blown)} °F with convection"
        first, other = f"{_dial_f(still)} °F", f"{_dial_f(blown)} °F convection"
        return f"{other} ({first})" if fan_first else f"{first} ({other})" if fan or said.fan_first is not None else first
    if short:
        return f"{blown:g} °C with the fan, or {still:g} °C without" if fan_first else f"{still:g} °C, or {blown:g} °C with the fan"
    first, other = f"{still:g} °C", f"{blown:g} °C fan"
    gas = f", {mark}" if said.gas and (mark := _gas(still)) else ""
    return f"{other} ({first}{gas})" if fan_first else f"{first} ({other}{gas})"


def _gas(still_c: float) -> str:
    from proofpan.science.measures.errors import QuantityError
    from proofpan.science.measures.oven import gas_mark_for_c

    try:
        return f"gas {gas_mark_for_c(still_c)}"
    except QuantityError:
        return ""


def _read_f(celsius: float) -> str:
    return f"{5 * round((celsius * 1.8 + 32) / 5):g}"


def _dial_f(celsius: float) -> str:
    """The mark of a US dial, every 25 °F, where it is within 10 °F; else the nearest 5 °F."""
    exact = celsius * 1.8 + 32
    mark = 25 * round(exact / 25)
    return f"{mark:g}" if abs(mark - exact) <= 10 else f"{5 * round(exact / 5):g}"


def amounts_in_step(text: str, region: str, country: str | None) -> str:
    """Spoons of one country in a step read by another's reader: an Australian tablespoon holds 20 mL, others 15."""
    if {"AU"} & {region, country or ""} and region != country:
        for m in reversed(measures_in(text)):
            if m.unit == "tbsp" and m.low == m.high:
                ml = m.low * (20.0 if country == "AU" else 15.0)
                fits = spoons_for(ml, "metric" if region == "metric" else region, 0.03)
                if fits is not None:
                    text = text[: m.start] + fits.text + text[m.end :]
    return text
