"""Converts an amount, a strength or a temperature, and shows each step.

pint holds the unit factors together (kitchen.txt) and is only given numbers and names of ours, never a user's text.
"""

import re
from dataclasses import dataclass

from proofpan.science.measures.brix import WANTED as WANTED_BRIX
from proofpan.science.measures.brix import from_brix, given_brix, to_brix
from proofpan.science.measures.countries import unit_g, unit_ml
from proofpan.science.measures.definitions import MASSES, METRIC, country_named, names, registry
from proofpan.science.measures.densities import Lookup
from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.intervals import Interval, shown
from proofpan.science.measures.oven import (
    FAN_LOWER_C,
    GAS_MARKS,
    conventional_oven_c,
    fan_oven_c,
    gas_mark,
    gas_mark_for_c,
    temperature,
)
from proofpan.science.measures.strengths import (
    Amount,
    Strength,
    as_grams,
    as_ml,
    read_strength,
    said_of,
    unit_interval_ml,
)
from proofpan.science.measures.tidying import tidy
from proofpan.science.measures.words import FLUID_OUNCE, read_country, unit_of


@dataclass(frozen=True, slots=True)
class Conversion:
    """A converted value with its interval, its unit as asked for, and the steps in order."""

    value: float
    low: float
    high: float
    unit: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Unit:
    """A wanted unit: how much of one base (g or mL) it is."""

    kind: str
    size: Interval
    country: str | None
    name: str


_TEMPERATURE = re.compile(
    r"^(?:about\s+)?(?P<low>-?\d+(?:[.,]\d+)?)(?:\s*(?:–|to|-)\s*(?P<high>\d+(?:[.,]\d+)?))?\s*"
    r"(?:°\s*|deg(?:rees?)?\s*)?(?P<scale>C|F|K|c|f|celsius|Celsius|fahrenheit|Fahrenheit|centigrade|kelvin)?\b"
    r"\s*(?P<oven>fan|convection|conventional|static)?(?:\s+oven)?$"
)
_GAS = re.compile(r"^gas(?:\s*mark)?\s*(?P<mark>1/4|1/2|¼|½|\d{1,2})$|^mark\s*(?P<mark2>\d{1,2})$", re.IGNORECASE)
_WANTED_TEMPERATURE = re.compile(
    r"^(?:°\s*)?(?:(?P<scale>C|F|K|c|f|celsius|fahrenheit|kelvin)\b)?\s*(?P<oven>fan|conventional)?(?:\s*oven)?$",
    re.IGNORECASE,
)
_WANTED_PARTS = re.compile(r"\s*/\s*|\s+per\s+")


def convert(text: str, to: str, country: str | None = None, look_up: Lookup | None = None) -> Conversion:
    """Converts a quantity as written.

    Args:
        text: an amount ("1 tbsp water", "3 eggs"), a strength ("1 tsp salt per 3 US quart water", "65 °Bx"), or a temperature ("350 F",
            "180 C fan", "gas mark 4").
        to: the unit wanted: a unit ("mL"), a ratio ("g/L", "g per 100 g", "%", "% of solution", "ppm", "°Bx"), a scale ("C",
            "C fan") or "gas mark".
        country: whose spoons and cups. Without one, spoons are read as 5 and 15 mL and a cup as 250; low to high then
            covers the countries and a step says so.
        look_up: densities of a pantry, asked before our own table: name → (value, low, high) in g/mL.

    Returns:
        The value, its interval from packing, ranges and countries, and the steps.

    Raises:
        QuantityError: when it can't be read, or something is missing, such as a density.
    """
    country = country_named(country)
    body, wanted = tidy(text).strip(" ."), tidy(to).strip()
    if not body or len(body) > 300:
        raise QuantityError("There is no quantity to convert: it would be such as 1 tsp salt per 3 US quart water.")
    gas, reading = _GAS.match(body), _TEMPERATURE.match(body)
    if (degrees := given_brix(body)) is not None:
        result, said = from_brix(degrees, wanted)
        return Conversion(result.value, result.low, result.high, wanted, tuple(said))
    heat = _wants_heat(wanted)
    if gas is not None or (reading is not None and (reading["scale"] or reading["oven"])):
        if not heat:
            raise QuantityError(f'"{body}" is a temperature, and "{to}" is no scale: it would be C, F, C fan or gas mark.')
        return _heat(body, gas, reading, wanted)
    if heat:
        raise QuantityError(f'"{body}" is no temperature: it would be such as 350 F, 180 C fan or gas mark 4.')
    if re.match(r"[-−]\s*\d", text.strip()):
        raise QuantityError(f'"{text.strip()}" is below nothing: an amount is above zero.')
    strength = read_strength(body, country)
    if WANTED_BRIX.match(wanted):
        result, said = to_brix(strength, look_up)
        return Conversion(result.value, result.low, result.high, "°Bx", tuple(said))
    if wanted in ("%", "% w/w", "% of solution", "ppm", "% w/v") or _WANTED_PARTS.search(wanted):
        return _ratio(strength, wanted, country, look_up)
    if strength.bottom is not None:
        raise QuantityError(f'"{body}" is an amount per another, and "{to}" isn\'t: it would be such as g/L.')
    return _plain(strength.top, wanted, country, look_up)


def _wants_heat(wanted: str) -> bool:
    if re.match(r"gas(\s*mark)?$", wanted, re.IGNORECASE):
        return True
    found = _WANTED_TEMPERATURE.match(wanted)
    return found is not None and bool(found["scale"] or found["oven"]) and wanted != "c"


def _heat(body: str, gas: re.Match[str] | None, reading: re.Match[str] | None, wanted: str) -> Conversion:
    steps: list[str] = []
    if gas is not None:
        mark = gas["mark"] or gas["mark2"]
        c, f = gas_mark(mark)
        steps.append(f"gas mark {mark} is about {c:g} °C, {f:g} °F (UK domestic marks, within 5)")
        if re.match(r"°?\s*f(ahrenheit)?$", wanted, re.IGNORECASE):
            return Conversion(f, f - 9, f + 9, "F", tuple(steps))
        value, low, high, fan = c, c - 5, c + 5, False
    else:
        assert reading is not None
        scale = (reading["scale"] or "C")[0].upper()
        first, last = (float((reading[k] or reading["low"]).replace(",", ".")) for k in ("low", "high"))
        if first > last:
            raise QuantityError(f'"{body}" runs downwards: the lower temperature comes first.')
        low, high = temperature(first, scale, "C"), temperature(last, scale, "C")
        value, fan = (low + high) / 2, (reading["oven"] or "") in ("fan", "convection")
        if scale != "C":
            steps.append(f"{body}: {value:.4g} °C")
    return _heat_to(Interval(value, low, high), fan, wanted, steps)


def _heat_to(celsius: Interval, fan: bool, wanted: str, steps: list[str]) -> Conversion:
    gas = wanted.lower().startswith("gas")
    found = _WANTED_TEMPERATURE.match(wanted)
    to_fan = False if gas or found is None else (found["oven"] or "").lower() == "fan"
    if to_fan != fan and (fan or to_fan):
        move = fan_oven_c if to_fan else conventional_oven_c
        celsius = Interval(move(celsius.value), move(celsius.low) - 5, move(celsius.high) + 5)
        steps.append(f"a fan oven is set about {FAN_LOWER_C:g} °C lower, by common practice (15 to 25)")
    if gas:
        mark = gas_mark_for_c(celsius.value)
        steps.append(f"{celsius.value:.4g} °C is nearest to gas mark {mark} ({GAS_MARKS[mark][1]} °C)")
        number = {"1/4": 0.25, "1/2": 0.5}.get(mark) or float(mark)
        return Conversion(number, number, number, "gas mark", tuple(steps))
    scale = (found["scale"] if found and found["scale"] else "C")[0].upper()
    value, low, high = (temperature(c, "C", scale) for c in (celsius.value, celsius.low, celsius.high))
    if scale != "C":
        steps.append(f"{celsius.value:.4g} °C = {value:.4g} {scale}")
    return Conversion(value, low, high, f"{scale} fan" if to_fan else scale, tuple(steps))


def _unit(text: str, country: str | None) -> _Unit:
    """A unit as asked for: "mL", "US quart", "100 g", "g salt"."""
    body, said = read_country(text.strip())
    where = said or country
    found = re.match(r"(?P<number>\d+(?:\.\d+)?)?\s*(?P<word>.*)$", body)
    number, word = (float(found["number"] or 1), found["word"].strip()) if found else (1.0, body)
    fluid = FLUID_OUNCE.match(word)
    first = re.match(r"[^\W\d_]+", word)
    unit = "fl_oz" if fluid else unit_of(first[0]) if first else None
    if number <= 0:
        raise QuantityError(f'"{text}" is no unit: its number would be above zero.')
    if unit is not None and (grams := unit_g(unit, where)) is not None:
        return _Unit("weight", Interval(grams, grams, grams).scaled(number), where, unit)
    if unit is None or unit in ("stick",):
        raise QuantityError(f'"{text}" is no unit known here: it would be such as g, mL, tsp, g/L or %.')
    return _Unit("volume", unit_interval_ml(unit, where).scaled(number), where, unit)


def _pint_name(unit: str, country: str | None) -> str | None:
    return names().get((country or "", unit)) or METRIC.get(unit) or MASSES.get(unit)


def _in_unit(base: Interval, unit: _Unit) -> Interval:
    """A base interval (g or mL) in the unit asked for; by pint where the unit is one exact definition."""
    name = _pint_name(unit.name, unit.country)
    exact_one = unit_g(unit.name, unit.country) or unit_ml(unit.name, unit.country)
    if name is not None and exact_one is not None and unit.size.exact and abs(unit.size.value / exact_one - 1) < 1e-12:
        start = "gram" if unit.kind == "weight" else "millilitre"
        one = float(registry().convert(1.0, start, name))
        return base.scaled(one)
    return base.over(unit.size)


def _as(amount: Amount, kind: str, look_up: Lookup | None) -> tuple[Interval, list[str]]:
    if kind == "weight":
        grams, steps, _ = as_grams(amount, look_up)
        return grams, steps
    return as_ml(amount, look_up)


def _plain(amount: Amount, wanted: str, country: str | None, look_up: Lookup | None) -> Conversion:
    unit = _unit(wanted, country)
    size, more = _as(amount, unit.kind, look_up)
    result = _in_unit(size, unit)
    steps = [*amount.steps, *more]
    base = "g" if unit.kind == "weight" else "mL"
    if wanted.lower() not in ("g", "ml"):
        per = "" if unit.size.exact else ", whose size differs by country"
        steps.append(f"{shown(size)} {base} ÷ {unit.size.value:.4g} {base}{per} = {shown(result)} {wanted}")
    elif not steps:
        steps.append(f"{amount.shown} = {shown(result)} {wanted}")
    return Conversion(result.value, result.low, result.high, wanted, tuple(steps))


def _ratio(strength: Strength, wanted: str, country: str | None, look_up: Lookup | None) -> Conversion:
    if strength.bottom is None:
        raise QuantityError(f'"{said_of(strength.top)}" lacks what it is per: it would be such as per litre of water.')
    if wanted in ("%", "% w/w", "% of solution", "ppm", "% w/v"):
        return _of_hundred(strength, wanted, look_up)
    parts = _WANTED_PARTS.split(wanted)
    if len(parts) != 2:
        raise QuantityError(f'"{wanted}" is no unit known here: it would be such as g/L.')
    top_unit, bottom_unit = _unit(parts[0], country), _unit(parts[1], country or strength.bottom.country)
    if strength.bottom.kind == "count" and bottom_unit.kind == "volume":
        raise QuantityError(f'"{said_of(strength.bottom)}" is a count, which no liquid is measured by: it would be by weight, such as g/kg.')
    top, top_steps = _as(strength.top, top_unit.kind, look_up)
    bottom, bottom_steps = _as(strength.bottom, bottom_unit.kind, look_up)
    result = top.over(bottom).times(bottom_unit.size).over(top_unit.size)
    base = {"weight": "g", "volume": "mL"}
    steps = [*strength.top.steps, *top_steps, *strength.bottom.steps, *bottom_steps]
    steps.append(f"{shown(top)} {base[top_unit.kind]} ÷ {shown(bottom)} {base[bottom_unit.kind]} = {shown(result)} {wanted}")
    return Conversion(result.value, result.low, result.high, wanted, tuple(steps))


def _of_hundred(strength: Strength, wanted: str, look_up: Lookup | None) -> Conversion:
    assert strength.bottom is not None
    kind = "volume" if wanted == "% w/v" or (wanted == "%" and strength.bottom.kind == "volume") else "weight"
    top, top_steps = _as(strength.top, "weight", look_up)
    bottom, bottom_steps = _as(strength.bottom, kind, look_up)
    steps = [*strength.top.steps, *top_steps, *strength.bottom.steps, *bottom_steps]
    ratio = top.over(bottom)
    if wanted in ("% of solution", "% w/w"):
        ratio = Interval(*(x / (1 + x) for x in (ratio.value, ratio.low, ratio.high)))
        steps.append("of the solution: the solute counts in the whole")
    elif wanted == "%" and kind == "volume":
        steps.append("grams in 100 mL of the liquid added to (w/v)")
    result = ratio.scaled(1e6 if wanted == "ppm" else 100)
    steps.append(f"{shown(top)} g per {shown(bottom)} {'mL' if kind == 'volume' else 'g'} = {shown(result)} {wanted}")
    return Conversion(result.value, result.low, result.high, wanted, tuple(steps))
