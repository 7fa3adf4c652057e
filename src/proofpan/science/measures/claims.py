"""What a source means in our units, and our plan as a multiple of it.

On screen this is "check a source". A multiple is planned over meant; it agrees when its interval meets 0.8 to 1.25, and then
nothing is said.
"""

from dataclasses import dataclass, replace

from proofpan.science.measures.concentrations import brine_percent
from proofpan.science.measures.definitions import country_named, vocabulary
from proofpan.science.measures.densities import Lookup, density, substance
from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.strengths import (
    Amount,
    Interval,
    Strength,
    as_grams,
    as_ml,
    read_strength,
    said_of,
    shown,
    unit_interval_ml,
)
from proofpan.science.measures.usual import UsualRange, usual_range

AGREES = (0.8, 1.25)
CURING = (
    "Curing salts harm in small excess: weigh them, never spoon them, and follow a tested process and your local food-safety authority."
)
_LIQUIDS = vocabulary("liquids")


@dataclass(frozen=True, slots=True)
class ClaimResult:
    """A source's quantity beside ours.

    `meant` and `planned` are texts in one unit; `multiple` (low to high) is planned over meant; `usual` is (low, high) in
    the unit of `meant`, or None. `says` is empty where the two agree. `unit` names that unit; `steps` show the arithmetic,
    then the chemistry where it matters.
    """

    meant: str
    planned: str
    multiple: float
    low: float
    high: float
    usual: tuple[float, float] | None
    agrees: bool
    says: str
    steps: tuple[str, ...]
    unit: str = ""


@dataclass(frozen=True, slots=True)
class _Compared:
    """Both sides in one unit: strengths (or bare amounts), how they were reached, and whether packing cancelled."""

    meant: Interval
    planned: Interval
    multiple: Interval
    unit: str
    steps: tuple[str, ...]
    cancels: bool


def check(
    words: str,
    ours: str,
    country: str | None = None,
    ours_country: str | None = None,
    source: str = "the source",
    look_up: Lookup | None = None,
) -> ClaimResult:
    """Checks a source's quantity against ours.

    Args:
        words: as read or heard: "1 tsp agar powder per cup of liquid".
        ours: what we intend: "1 tbsp agar powder per 250 mL of water".
        country: the source's country; its spoons, cups and pints.
        ours_country: ours; the source's when not given.
        source: who says so, for the sentence: "an old leaflet".
        look_up: densities of a pantry, asked before our own table.

    Returns:
        What is meant and planned, the multiple with its interval, the usual range, and a sentence where they differ.

    Raises:
        QuantityError: when either can't be read, or they can't be compared; the sentence says what is missing.
    """
    country, ours_country = country_named(country), country_named(ours_country or country)
    theirs, mine = read_strength(words, country), read_strength(ours, ours_country)
    _both_per_something(theirs, mine, source)
    compared = _compare(theirs, mine, source, look_up)
    usual = _usual(theirs, mine, words, ours, compared.unit)
    m = compared.multiple
    agrees = m.low <= AGREES[1] and m.high >= AGREES[0]
    steps = [*compared.steps, f"planned ÷ meant = {shown(m)}"]
    if compared.cancels:
        steps.append("Both are spooned alike, so packing cancels.")
    if usual is not None:
        steps.append(f"Usual, {usual.what}: {usual.low:g} to {usual.high:g} {usual.unit} ({usual.source}).")
    steps += _chemistry(theirs, mine, compared)
    says = "" if agrees else _sentence(theirs, mine, compared, usual, source, look_up)
    return ClaimResult(
        _text(compared.meant, compared.unit), _text(compared.planned, compared.unit), m.value, m.low, m.high,
        (usual.low, usual.high) if usual else None, agrees, says, tuple(steps), compared.unit,
    )  # fmt: skip


def _the(source: str) -> str:
    """An old leaflet → the old leaflet; a name stays."""
    words = source.strip().split(maxsplit=1)
    if len(words) == 2 and words[0].lower() in ("a", "an", "the"):
        return f"the {words[1]}"
    return source.strip() or "the source"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _both_per_something(theirs: Strength, mine: Strength, source: str) -> None:
    if (theirs.bottom is None) == (mine.bottom is None):
        return
    if mine.bottom is None and theirs.bottom is not None:
        raise QuantityError(
            f"{_capital(_the(source))} gives it per {said_of(theirs.bottom)}, and ours is an amount alone: "
            f"what it goes into is missing, such as per {said_of(theirs.bottom)}."
        )
    assert mine.bottom is not None
    raise QuantityError(
        f"Ours is per {said_of(mine.bottom)}, and {_the(source)} gives an amount alone: what it goes into there is missing."
    )


def _noun(item: str) -> str:
    """The last word of a name, or "" for none; all liquids are one."""
    words = item.lower().split()
    return "" if not words else "liquid" if words[-1] in _LIQUIDS else words[-1].rstrip("s")


def _same_substance(a: str, b: str) -> bool:
    """Whether two names are spooned alike: equal, one unnamed, one the general word of the other, or one row of our table."""
    one, other = a.lower(), b.lower()
    if not one or not other or one == other:
        return True
    found_a, found_b = substance(one), substance(other)
    if found_a is not None and found_b is not None:
        return found_a.name == found_b.name
    return one.endswith(other) or other.endswith(one)


def _tops(theirs: Amount, mine: Amount, look_up: Lookup | None) -> tuple[Interval, Interval, str, bool, list[str]]:
    """Both amounts in one measure: (theirs, mine, "g", "mL" or a count's unit, whether spooned alike, steps)."""
    if theirs.kind == mine.kind == "count":
        if theirs.unit != mine.unit and "each" not in (theirs.unit, mine.unit):
            raise QuantityError(f"{_capital(theirs.unit)} and {mine.unit} aren't one measure: give both by weight.")
        return theirs.size, mine.size, theirs.unit if theirs.unit != "each" else "pieces", False, []
    if "count" in (theirs.kind, mine.kind):
        counted = theirs if theirs.kind == "count" else mine
        raise QuantityError(f'"{said_of(counted)}" is a count, and the other side isn\'t: its weight is missing, in grams.')
    if theirs.kind == mine.kind == "volume" and _same_substance(theirs.item, mine.item):
        name = max((theirs.item, mine.item), key=len)
        if not name or density(name, look_up) is None:
            return theirs.size, mine.size, "mL", True, []
    named = [_with_name(theirs, mine.item), _with_name(mine, theirs.item)]
    (a, steps_a, _), (b, steps_b, _) = (as_grams(amount, look_up) for amount in named)
    alike = theirs.kind == mine.kind == "volume" and _same_substance(theirs.item, mine.item)
    return a, b, "g", alike, [*steps_a, *steps_b]


def _with_name(amount: Amount, other: str) -> Amount:
    return amount if amount.item else replace(amount, item=other)


def _bottoms(theirs: Amount, mine: Amount, source: str, look_up: Lookup | None) -> tuple[Interval, Interval, str, list[str]]:
    """What both are per, in one measure: (theirs, mine, "mL", "g" or a count's unit, steps)."""
    if theirs.kind == mine.kind:
        if theirs.kind == "count" and theirs.unit != mine.unit:
            raise QuantityError(f"{_capital(theirs.unit)} and {mine.unit} aren't one measure: give both by weight.")
        unit = {"weight": "g", "volume": "mL", "count": mine.item or "piece"}[theirs.kind]
        a, b = theirs.item, mine.item
        differ = bool(a and b) and _noun(a) != _noun(b)
        if differ and "liquid" in (_noun(a), _noun(b)) and theirs.kind == "weight":
            raise QuantityError(
                f"{_capital(_the(source))} is per {a} and ours per {b}, so they can't be compared: how much {a} ours goes into is missing."
            )
        return theirs.size, mine.size, unit, [f"{a} beside {b}: taken as they stand."] if differ else []
    if "count" not in (theirs.kind, mine.kind) and _noun(theirs.item) == _noun(mine.item) != "":
        one, other = _with_name(theirs, mine.item), _with_name(mine, theirs.item)
        if mine.kind == "weight":
            return _grams_of_both(one, other, look_up)
        (ml_a, steps_a), (ml_b, steps_b) = as_ml(one, look_up), as_ml(other, look_up)
        return ml_a, ml_b, "mL", [*steps_a, *steps_b]
    raise QuantityError(
        f"{_capital(_the(source))} is per {theirs.kind} ({said_of(theirs)}) and ours per {mine.kind} ({said_of(mine)}), "
        f"so they can't be compared: {_missing(theirs, mine)} is missing."
    )


def _grams_of_both(a: Amount, b: Amount, look_up: Lookup | None) -> tuple[Interval, Interval, str, list[str]]:
    (g_a, steps_a, _), (g_b, steps_b, _) = as_grams(a, look_up), as_grams(b, look_up)
    return g_a, g_b, "g", [*steps_a, *steps_b]


def _missing(theirs: Amount, mine: Amount) -> str:
    if theirs.kind == "volume":
        return f"how many mL of {theirs.item or 'liquid'} ours goes into"
    if theirs.kind == "weight":
        return f"how many grams of {theirs.item or 'it'} ours goes into"
    return f"how many {theirs.item or 'pieces'} ours goes into"


def _compare(theirs: Strength, mine: Strength, source: str, look_up: Lookup | None) -> _Compared:
    a, b, unit, alike, steps = _tops(theirs.top, mine.top, look_up)
    steps = [*theirs.top.steps, *mine.top.steps, *steps]
    multiple = mine.top.size.over(theirs.top.size) if alike else b.over(a)
    if theirs.bottom is None or mine.bottom is None:
        return _Compared(a, b, multiple, unit, tuple(steps), alike)
    per_a, per_b, per, more = _bottoms(theirs.bottom, mine.bottom, source, look_up)
    steps += [*theirs.bottom.steps, *mine.bottom.steps, *more]
    multiple = multiple.over(per_b).times(per_a) if per_a.exact and per_b.exact else multiple.times(per_a.over(per_b))
    factor, name = _per(unit, per)
    meant, planned = a.over(per_a).scaled(factor), b.over(per_b).scaled(factor)
    steps.append(f"meant: {shown(a)} {unit} ÷ {shown(per_a)} {per} = {shown(meant)} {name}")
    steps.append(f"planned: {shown(b)} {unit} ÷ {shown(per_b)} {per} = {shown(planned)} {name}")
    return _Compared(meant, planned, multiple, name, tuple(steps), alike)


def _per(unit: str, per: str) -> tuple[float, str]:
    """What a quotient is multiplied by to stand in a kitchen's unit, and its name."""
    if per == "mL":
        return 1000.0, f"{unit}/L"
    if per == "g":
        return 100.0, f"{unit} per 100 g"
    return 1.0, f"{unit} per {per}"


def _usual(theirs: Strength, mine: Strength, words: str, ours: str, unit: str) -> UsualRange | None:
    if theirs.bottom is None or mine.bottom is None or unit not in ("g/L", "g per 100 g"):
        return None
    solute = max((theirs.top.item, mine.top.item), key=len)
    base, said = theirs.bottom.item or mine.bottom.item, f"{words} {ours}"
    if unit == "g per 100 g" and _noun(base) == "liquid" and (found := usual_range(solute, base, said, True)) is not None:
        return replace(found, low=found.low / 10, high=found.high / 10, unit=unit)  # a litre of it weighs about 1 kg
    return usual_range(solute, base, said, unit == "g/L")


def rounded(value: float) -> str:
    """Two significant digits, as a kitchen reads them: 3.5, 11, 120, 0.35, 6."""
    return f"{float(f'{value:.2g}'):.10f}".rstrip("0").rstrip(".") if value else "0"


def times(value: float) -> str:
    """A multiple with two significant digits, a nought kept: 3.0, 3.8, 0.43, 12."""
    return f"{value:.1f}" if 1 <= value < 9.95 else rounded(value)


def _text(x: Interval, unit: str) -> str:
    body = f"{_three(x.value)} {unit}"
    low, high = _three(x.low), _three(x.high)
    return body if low == high else f"{body} ({low} to {high})"


def _three(value: float) -> str:
    """Three significant digits below 100 where they matter, else two: 8.45, 32.5, 160."""
    return f"{float(f'{value:.3g}'):.10f}".rstrip("0").rstrip(".") if value else "0"


_FRACTIONS = {0.0: "", 0.25: "¼", 0.5: "½", 0.75: "¾", 1 / 3: "⅓", 2 / 3: "⅔"}


def _spoons(ml: float, country: str | None) -> str:
    """Millilitres in the kitchen's spoons and cups, to the nearest quarter or third."""
    for unit, least in (("cup", 0.25), ("tbsp", 0.9), ("tsp", 0.1)):
        try:
            one = unit_interval_ml(unit, country).value
        except QuantityError:
            continue
        count = ml / one
        if count < least:
            continue
        whole = int(count)
        part = min([*_FRACTIONS, 1.0], key=lambda f: abs(count - whole - f))
        whole, part = (whole + 1, 0.0) if part == 1.0 else (whole, part)
        number = (str(whole) if whole else "") + _FRACTIONS[part]
        if number:
            return f"{number} {unit}"
    return f"{rounded(ml)} mL"


def _in_our_measure(theirs: Strength, mine: Strength, compared: _Compared, look_up: Lookup | None) -> str:
    """What the source means for our batch, in the measure we wrote: "11 g", "1 tsp"."""
    share = 1 / compared.multiple.value
    if mine.top.kind == "weight":
        grams = mine.top.size.value * share
        return f"{rounded(grams / 1000)} kg" if grams >= 1000 else f"{rounded(grams)} g"
    if mine.top.kind == "volume":
        ml = mine.top.size.value * share
        return f"{rounded(ml)} mL" if mine.top.unit in ("ml", "l", "cl", "dl") else _spoons(ml, mine.top.country)
    count = mine.top.size.value * share
    return f"{rounded(count)} {_counted(mine.top.unit, count) if mine.top.unit != 'each' else ''}".strip()


def _sentence(theirs: Strength, mine: Strength, compared: _Compared, usual: UsualRange | None, source: str, look_up: Lookup | None) -> str:
    name = mine.top.item or theirs.top.item
    m = compared.multiple
    low, high = times(m.low), times(m.high)
    span = f" ({low} to {high})" if low != high else ""
    wrote = f"You wrote {_wrote(mine.top, name)}."
    means = f"{_capital(_the(source))} means about {_in_our_measure(theirs, mine, compared, look_up)}."
    said = [wrote, means, f"That is {times(m.value)} times as much{span}."]
    if usual is not None:
        sides = [_beside(x.value, usual) for x in (compared.planned, compared.meant)]
        if sides[0]:
            who = "both are" if sides[0] == sides[1] else "yours is"
            said.append(f"Usual is {usual.low:g} to {usual.high:g} {usual.unit}: {who} {sides[0]} it.")
    if _is_curing_salt(theirs, mine):
        said.append(CURING)
    return " ".join(said)


def _beside(value: float, usual: UsualRange) -> str:
    return "above" if value > usual.high else "below" if value < usual.low else ""


_PLURALS = {
    "leaf": "leaves",
    "pinch": "pinches",
    "dash": "dashes",
    "loaf": "loaves",
    "bunch": "bunches",
    "box": "boxes",
}


def _wrote(top: Amount, name: str) -> str:
    """Our amount in words: "40 g of malt syrup", "4 leaves of gelatine", "2 eggs"."""
    if top.kind != "count":
        return f"{top.shown} of {name}" if name else top.shown
    if top.unit == "each":
        return f"{top.shown} {name or 'pieces'}"
    number = top.shown.split()[0]
    return f"{number} {_counted(top.unit, top.size.value)}{f' of {name}' if name else ''}"


def _counted(unit: str, count: float) -> str:
    return unit if abs(count - 1) < 0.005 else _PLURALS.get(unit, f"{unit}s")


def _is_curing_salt(theirs: Strength, mine: Strength) -> bool:
    return any(word in f"{theirs.top.item} {mine.top.item}".lower() for word in ("curing", "nitrite", "nitrate", "saltpetre"))


def _chemistry(theirs: Strength, mine: Strength, compared: _Compared) -> list[str]:
    """What the amount does in the pot, where that matters."""
    found = substance(max((theirs.top.item, mine.top.item), key=len) or "")
    name, base = (found.name if found else ""), (mine.bottom.item if mine.bottom else "").lower()
    notes: list[str] = []
    if _is_curing_salt(theirs, mine):
        notes.append(CURING)
    if name == "baking soda" and compared.unit == "g/L":
        notes.append(
            "Sodium bicarbonate in water: pH about 8.3 at any usual strength while no CO2 is lost; an open boil drives CO2 off "
            "and the pH climbs, above 9 after some minutes."
        )
    if name == "baking soda" and compared.unit == "g per 100 g" and "flour" in f"{base} {(theirs.bottom.item if theirs.bottom else '')}":
        notes.append(
            "Soda that no acid meets stays in the crumb, soapy and brown: 1 g needs 2.2 g of cream of tartar, "
            "or about 14 g of vinegar at 5 %."
        )
    if name in ("fine salt", "coarse salt", "flaky salt") and compared.unit == "g/L":
        sides = [brine_percent(max(x.value, 0.0), 998.0) for x in (compared.meant, compared.planned)]
        notes.append(
            f"As brine: meant {sides[0].percent_of_water:.2g} % of the water, {sides[0].percent_of_solution:.2g} % of the solution; "
            f"planned {sides[1].percent_of_water:.2g} % and {sides[1].percent_of_solution:.2g} %."
        )
    return notes
