"""Reads an amount, or an amount per amount ("1 tsp salt per 3 US quart water"), into grams and millilitres with intervals."""

import re
from dataclasses import dataclass, field, replace

from proofpan.science.measures.amounts import NotANumber
from proofpan.science.measures.baume import given_baume
from proofpan.science.measures.counting import missing_unit
from proofpan.science.measures.countries import LOOSE, SHOWN, span_ml, unit_g, unit_ml
from proofpan.science.measures.definitions import country_named
from proofpan.science.measures.densities import Density, Lookup, density
from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.heads import Head, Measure
from proofpan.science.measures.intervals import Interval, shown
from proofpan.science.measures.intervals import number as _number
from proofpan.science.measures.lines import ParsedLine, parse_line, read_head, trailing_amount
from proofpan.science.measures.pieces import piece_g
from proofpan.science.measures.plainly import plainly, sides_in_parts
from proofpan.science.measures.sizes import indefinite
from proofpan.science.measures.tails import split_tail
from proofpan.science.measures.tidying import tidy
from proofpan.science.measures.words import LOOSE as LOOSE_UNITS
from proofpan.science.measures.words import read_country


@dataclass(frozen=True, slots=True)
class Amount:
    """One amount as read: by weight, by volume, or by count.

    Exactly one of `mass_g`, `volume_ml`, `count` is given. `shown` is the amount as written without its name, and
    `unit` the neutral unit; `steps` say how it was read.
    """

    shown: str
    item: str
    unit: str
    country: str | None
    mass_g: Interval | None = None
    volume_ml: Interval | None = None
    count: Interval | None = None
    steps: tuple[str, ...] = field(default=())

    @property
    def kind(self) -> str:
        """weight, volume or count."""
        return "weight" if self.mass_g else "volume" if self.volume_ml else "count"

    @property
    def size(self) -> Interval:
        """Grams, millilitres or pieces."""
        found = self.mass_g or self.volume_ml or self.count
        assert found is not None
        return found


@dataclass(frozen=True, slots=True)
class Strength:
    """An amount per another, or an amount alone; `percent` where it was written as a per cent."""

    top: Amount
    bottom: Amount | None
    percent: bool = False


_ARTICLE = re.compile(r"^(?:an?|each|every|the)\s+", re.IGNORECASE)
_PER = re.compile(
    r"\s+(?:per|for (?:each|every)|to (?:each|every|the|an?)|in (?:each|every)|for (?:an?\s+)?(?=[\d¼½¾])|to (?=[\d¼½¾])|in (?=[\d¼½¾])"
    r"|in an?|for an?|an? (?=litre|liter|kilo|kg|cup|pint|quart|lb|pound)|on (?=[\d¼½¾]))\s*"
    r"|(?<=[a-zA-Z])\s*/\s*(?=(?:\d+\s*)?(?:l|L|litre|kg|g|mL|ml|cup|quart|qt|pint|pt|gallon|gal|lb|100)\b)",
)
_FIRST_FOR = re.compile(r"^(?:for|to|per|in)\s+(?:each|every|an?)\s+(?P<bottom>[^,]+),\s*(?P<top>.+)$", re.IGNORECASE)
_BRINE = re.compile(r"(?:(?:an? |the )?(?:salt )?brine)(?: by weight)?", re.IGNORECASE)
_PERCENT = re.compile(
    r"^(?P<item>[^\d%]*?)\s*(?:at\s+)?(?P<low>\d+(?:[.,]\d+)?)(?:\s*[-–]\s*(?P<high>\d+(?:[.,]\d+)?))?\s*(?:%|per ?cent)\s*(?P<rest>.*)$"
)


def unit_interval_ml(unit: str, country: str | None) -> Interval:
    """Millilitres in one unit; without a country spoons are 5 and 15 mL and a cup 250, and low to high covers the countries.

    Raises:
        QuantityError: when that country has none, or a pint or gallon has no country.
    """
    word = SHOWN.get(unit, unit)
    ml = unit_ml(unit, country)
    if ml is not None:
        return Interval(ml, ml, ml)
    span = span_ml(unit)
    if span is None:
        raise QuantityError(f'"{unit}" is not a measure of volume known here.')
    if country is not None:
        raise QuantityError(f"A {word} has no defined size in {country}: give mL, or name the country it comes from.")
    if unit in LOOSE:
        return Interval(LOOSE[unit], *span)
    if unit == "fl_oz":
        return Interval(sum(span) / 2, *span)
    raise QuantityError(f"A {word} is {span[0]:.0f} to {span[1]:.0f} mL by country: name the country.")


def _named(unit: str) -> str:
    return {"fl_oz": "fl oz", "l": "L", "ml": "mL", "dl": "dL", "cl": "cL"}.get(unit, unit)


def _amount_text(low: float, high: float) -> str:
    return _number(low) if low == high else f"{_number(low)}–{_number(high)}"


_COUNTED_ALOUD = frozenset(["cup", "pint", "quart", "gallon", "dessertspoon", "gill"])


def _term(measure: Measure, country: str | None) -> tuple[str, Interval, str]:
    """(weight or volume, interval, step) of one measure."""
    amount = Interval((measure.low + measure.high) / 2, measure.low, measure.high)
    for mod in measure.mods:
        if (found := indefinite().get(("heaped" if mod == "heaping" else mod, ""))) is not None:
            amount = amount.times(Interval((found[1] + found[2]) / 2, found[1], found[2]))
    many = "s" if measure.high > 1 and measure.unit in _COUNTED_ALOUD else ""
    said = f"{_amount_text(measure.low, measure.high)} {_named(measure.unit)}{many}"
    grams = unit_g(measure.unit, country)
    if grams is not None:
        total = amount.scaled(grams)
        return (
            "weight",
            total,
            "" if measure.unit in ("g", "kg", "mg") else f"{said} × {_number(grams)} g = {shown(total)} g",
        )
    one = unit_interval_ml(measure.unit, country)
    total = amount.times(one)
    where = f" ({country})" if country else ""
    if measure.unit in ("ml", "l", "cl", "dl"):
        return "volume", total, ""
    step = f"{said}{where}: {_number(amount.value)} × {_number(one.value)} mL = {shown(total)} mL"
    if country is None and not one.exact:
        step += f"; no country is given, and a {SHOWN.get(measure.unit, measure.unit)} is {one.low:.4g} to {one.high:.4g} mL by country"
    return "volume", total, step


def _terms_size(terms: tuple[Measure, ...], country: str | None) -> tuple[str, Interval, list[str]]:
    kinds, steps = set(), []
    value = low = high = 0.0
    for term in terms:
        kind, size, step = _term(term, country)
        kinds.add(kind)
        steps += [step] if step else []
        ends = (size.low, size.high) if term.sign > 0 else (-size.high, -size.low)
        value, low, high = value + term.sign * size.value, low + ends[0], high + ends[1]
    if len(kinds) > 1:
        raise QuantityError("A weight and a volume are added up: give both as grams or both as mL.")
    return kinds.pop(), Interval(value, low, high), steps


def _loose(line: ParsedLine, head: Head, country: str | None) -> Amount:
    """Pinches and knobs: by the interval of common practice."""
    sizes = line.mass_g or line.volume_ml
    if sizes is None:
        raise QuantityError(f'"{line.unit}" is no fixed measure: give grams or mL.')
    interval = Interval(sum(sizes) / 2, *sizes)
    step = f"{_amount_text(head.low, head.high)} {line.unit}: {shown(interval)} {'g' if line.mass_g else 'mL'}, by common practice"
    mass, volume = (interval, None) if line.mass_g else (None, interval)
    return Amount(
        f"{_amount_text(head.low, head.high)} {line.unit}",
        line.item,
        str(line.unit),
        country,
        mass,
        volume,
        steps=(step,),
    )


def read_amount(text: str, country: str | None = None, one: bool = False) -> Amount:
    """One amount with its name.

    Args:
        text: such as "1 tsp salt", "3 US quart water", "500 g", "litre" (one), "2 eggs".
        country: whose measures, where the text doesn't say.
        one: whether a bare name is one of it ("egg").

    Raises:
        QuantityError: when there is no amount, or its unit has no size there.
    """
    body, said = read_country(plainly(tidy(text)).strip(" .,;"))
    country = said or country_named(country)
    head, item = _head(body)
    if head is None:
        head, item = _head("1 " + _ARTICLE.sub("", body))
        if head is None or (head.unit == "each" and not one):
            raise QuantityError(f'"{text.strip()[:60]}" holds no amount: it would be such as 40 g malt syrup, or 1 tsp.')
    if head.unit == "each" and head.each is None and not item:
        number = _amount_text(head.low, head.high)
        raise QuantityError(f'"{text.strip()[:60]}" has no unit: it would be such as {number} g, or {number} tsp.')
    if head.unit == "each" and head.each is None and (odd := missing_unit(item)):
        what = "lacks a unit" if odd[0] == "no unit" else f'holds a unit unknown here, "{odd[1]}"'
        raise QuantityError(f'"{text.strip()[:60]}" {what}: it would be such as 10 g, or 1 tsp.')
    line = parse_line(body, country)
    if any(re.search(r"\d", words or "") for words in (line.prep, line.extra)) or re.search(r"\d+\s?(?:g|kg|ml|l|oz|tsp|tbsp)\b", item):
        raise QuantityError(f'"{text.strip()[:60]}" holds more than one amount: write one, or one per another.')
    item = split_tail(item).item
    written = f"{_amount_text(head.low, head.high)} {_named(head.unit)}" if head.unit != "each" else _amount_text(head.low, head.high)
    terms = head.alike[0] if head.alike else head.each
    if terms is not None and any(term.unit in LOOSE_UNITS for term in terms):
        return _loose(line, head, country)
    if head.unit == "stick" and line.mass_g is not None:
        mass = Interval(sum(line.mass_g) / 2, *line.mass_g)
        return Amount(written, item, "stick", country, mass_g=mass, steps=(f"{written} butter: {shown(mass)} g",))
    if terms is None:
        pieces = Interval((head.low + head.high) / 2, head.low, head.high)
        return Amount(written, item, head.unit, country, count=pieces)
    return _sized(head, terms, written, item, country)


def _head(body: str) -> tuple[Head | None, str]:
    """The amount, at the start or the end of a text, and the name."""
    try:
        head, tail, _ = read_head(body)
        if head is None and (last := trailing_amount(body)) is not None:
            head, tail, _ = last
    except NotANumber as error:
        raise QuantityError(str(error)) from None
    return head, re.sub(r"^(?:of|the)\s+", "", tail.strip(" ,;:"), flags=re.IGNORECASE)


def _sized(head: Head, terms: tuple[Measure, ...], written: str, item: str, country: str | None) -> Amount:
    kind, size, steps = _terms_size(terms, country)
    if head.each is not None and not head.alike:
        size = size.times(Interval((head.low + head.high) / 2, head.low, head.high))
    if len(terms) > 1:
        written = " + ".join(f"{_amount_text(t.low, t.high)} {_named(t.unit)}" for t in terms)
        steps.append(f"together {shown(size)} {'g' if kind == 'weight' else 'mL'}")
    mass, volume = (size, None) if kind == "weight" else (None, size)
    return Amount(written, item, head.unit, country, mass, volume, steps=tuple(steps))


def read_strength(text: str, country: str | None = None) -> Strength:
    """An amount, or an amount per another, or a per cent (of what follows "of").

    Args:
        text: such as "1 tbsp malt syrup per lb of flour", "20 g/L salt", "salt at 2 % of flour".
        country: whose measures, where the text doesn't say; a country named on one side holds for the other too.

    Raises:
        QuantityError: when no amount can be read.
    """
    body = plainly(tidy(text)).strip(" .")
    if (baume := given_baume(body)) is not None:
        return _by_weight(*baume)
    if (sides := sides_in_parts(body)) is not None:
        return Strength(read_amount(sides[0], country), read_amount(sides[1], country))
    if percent := _PERCENT.match(body):
        low, high = (float((percent[k] or percent["low"]).replace(",", ".")) for k in ("low", "high"))
        rest = re.sub(r"^(?:w/w|of (?:the )?)\s*", "", percent["rest"]).strip()
        before = re.sub(r"^(?:an?|the)$", "", percent["item"].strip(), flags=re.IGNORECASE)
        item, base = (before, rest) if before else (rest, "")
        if not base and (split := re.match(r"(?P<item>.+?)\s+(?:on|of|in|to|by)\s+(?:the\s+)?(?P<base>.+)$", rest)):
            item, base = split["item"], split["base"]
        size = Interval((low + high) / 2, low, high)
        written = f"{_amount_text(low, high)} g"
        if not base and _BRINE.fullmatch(f"{item}".strip()) and 0 < high < 100:
            return _brine(size, written, country)
        base = re.sub(r"\s*(?:weight|mass|by weight)$", "", base)
        return Strength(Amount(written, item, "g", country, size), Amount("100 g", base, "g", country, Interval(100, 100, 100)), percent=True)
    if turned := _FIRST_FOR.match(body):
        parts = [turned["top"], turned["bottom"]]
    else:
        found = _PER.search(body)
        parts = [body] if found is None else [body[: found.start()], body[found.end() :]]
    named = [c for part in parts if (c := read_country(part)[1]) is not None]
    fallback = named[0] if named else country
    amounts = [read_amount(part, fallback, one=i > 0) for i, part in enumerate(parts)]
    if len(amounts) == 2 and not amounts[0].item and amounts[1].item and not turned and found is not None and "/" in found[0]:
        amounts = [_renamed(amounts[0], amounts[1].item), _renamed(amounts[1], "")]  # "20 g/L salt" is salt per litre
    return Strength(amounts[0], amounts[1] if len(amounts) == 2 else None)


def _brine(size: Interval, written: str, country: str | None) -> Strength:
    """A brine said in per cent alone: salt to the water, or to the whole brine, since the trade says either (common practice, no source)."""
    whole = Interval(100.0, 100.0 - size.high, 100.0)
    step = f"{written.removesuffix(' g')} % brine: {written} salt to 100 g water, or to {_number(whole.low)} g where it is of the whole brine"
    return Strength(Amount(written, "salt", "g", country, size), Amount("100 g", "water", "g", country, whole, steps=(step,)), percent=True)


def _by_weight(of_what: str, share: Interval, step: str) -> Strength:
    """Grams in 100 g of a solution as what is dissolved and its water."""
    water = Interval(100 - share.value, 100 - share.high, 100 - share.low)
    top = Amount(f"{shown(share)} g", of_what, "g", None, share, steps=(step,))
    return Strength(top, Amount(f"{_number(water.value)} g", "water", "g", None, water), percent=True)


def _renamed(amount: Amount, item: str) -> Amount:
    return replace(amount, item=item)


def said_of(amount: Amount) -> str:
    """The amount with its name: "1 tsp salt"."""
    return f"{amount.shown} {amount.item}".strip()


def as_grams(amount: Amount, look_up: Lookup | None = None) -> tuple[Interval, list[str], Density | None]:
    """Grams of an amount, with the steps, by density where it was given by volume.

    Raises:
        QuantityError: when its density is unknown, or nobody knows what one of it weighs.
    """
    if amount.mass_g is not None:
        return amount.mass_g, [], None
    if amount.volume_ml is None:
        return *_counted_g(amount), None
    found = density(amount.item, look_up) if amount.item else None
    if found is None:
        if not amount.item:
            raise QuantityError(f"What the {amount.shown} is of is missing, so it has no weight: name it, or give grams.")
        raise QuantityError(f"The weight of a spoon or cup of {amount.item} is missing: give {amount.item} in grams.")
    grams = amount.volume_ml.times(Interval(found.value, found.low, found.high))
    named = "" if found.name == amount.item.lower() else f", read as {found.name}"
    step = (
        f"{shown(amount.volume_ml)} mL {amount.item}{named}: × {_number(found.value)} g/mL ({_number(found.low)} to"
        f" {_number(found.high)}{' with packing' if found.powder else ''}) = {shown(grams)} g"
    )
    return grams, [step], found


def _counted_g(amount: Amount) -> tuple[Interval, list[str]]:
    found = piece_g(amount.item, amount.unit, amount.country) if amount.item else None
    if found is None:
        raise QuantityError(f'"{said_of(amount)}" is a count, and no table here says what one weighs: give it in grams.')
    one, said = found
    grams = amount.size.times(one)
    return grams, [said, f"{shown(amount.size)} × {shown(one)} g = {shown(grams)} g"]


def as_ml(amount: Amount, look_up: Lookup | None = None) -> tuple[Interval, list[str]]:
    """Millilitres of an amount, with the steps, by density where it was given by weight.

    Raises:
        QuantityError: when its density is unknown, or nobody knows what one of it weighs.
    """
    if amount.volume_ml is not None:
        return amount.volume_ml, []
    steps: list[str] = []
    mass = amount.mass_g
    if mass is None:
        mass, steps = _counted_g(amount)
    found = density(amount.item, look_up) if amount.item else None
    if found is None:
        if not amount.item:
            raise QuantityError(f"What the {amount.shown} is of is missing, so it has no volume: name it, or give mL.")
        raise QuantityError(f"The density of {amount.item} is missing: give {amount.item} by volume, in mL.")
    ml = mass.over(Interval(found.value, found.low, found.high))
    by = f"{_number(found.value)} g/mL ({_number(found.low)} to {_number(found.high)})"
    return ml, [*steps, f"{shown(mass)} g {amount.item} ÷ {by} = {shown(ml)} mL"]
