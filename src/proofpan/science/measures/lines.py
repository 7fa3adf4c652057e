"""Reads one ingredient line: amount, unit, ingredient, preparation, and what it weighs where definitions or the line say so."""

import html
import re
import unicodedata
from dataclasses import dataclass, replace
from functools import cache

from proofpan.science.measures.amounts import NotANumber
from proofpan.science.measures.countries import SHOWN, span_ml, unit_g, unit_ml
from proofpan.science.measures.counting import missing_unit
from proofpan.science.measures.definitions import country_named, factors, rows
from proofpan.science.measures.heads import Head, Measure, Second, longest_head, parse_tokens
from proofpan.science.measures.scanning import Scan
from proofpan.science.measures.tails import Tail, split_tail
from proofpan.science.measures.words import CONTAINERS, LOOSE, METRIC, VESSELS

Pair = tuple[float, float]
Triple = tuple[float, float, str]


@dataclass(frozen=True, slots=True)
class ParsedLine:
    """One ingredient line as read; what isn't given is None.

    `low`, `high`, `unit` are the first measure as written; `plus` what is added to it ("2 tbsp + 1 tsp"; negative where it is
    taken off); `second` the other measure printed; `each` the content of one ("1 × 400 ml can"). `mass_g` and `volume_ml`
    are (low, high) of the whole amount, only where definitions or the line itself give them. `prep_first` is the part of
    `prep` that stands before the name, so is done before measuring. `kind` is ingredient, heading, equipment, note or
    blank. `flags` are sentences about what was in doubt: a line with any is to be looked at, and is kept as written.
    """

    text: str
    low: float | None = None
    high: float | None = None
    unit: str | None = None
    item: str = ""
    prep: str | None = None
    second: Triple | None = None
    mass_g: Pair | None = None
    volume_ml: Pair | None = None
    flags: tuple[str, ...] = ()
    each: Triple | None = None
    plus: tuple[Triple, ...] = ()
    prep_first: str | None = None
    size: str | None = None
    part: str | None = None
    note: str | None = None
    extra: str | None = None
    alternatives: tuple[str, ...] = ()
    approximate: bool = False
    kind: str = "ingredient"


_PLAIN = str.maketrans(
    {
        **{chr(c): chr(c - 0xFEE0) for c in range(0xFF01, 0xFF5F)},
        **dict.fromkeys("\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000\t", " "),
        **dict.fromkeys("\u00ad\u200b\u200c\u200d\u2060\ufeff\u200e\u200f", ""),
        **dict.fromkeys("—―−‒‐‑", "–"),
        "\ufb01": "fi", "\ufb02": "fl", "㎖": "ml", "㎏": "kg", "ℓ": "l", "㎝": "cm", "’": "'", "✕": "×", "⨯": "×",
    }
)  # fmt: skip
_BOLD = re.compile(r"(?<!\w)(\*\*|__)(\S[^*_]*?)\1(?!\w)")
_BULLET = re.compile(r"^(?:\[[ xX]?\]|[•◦▪‣·●○☐☑☒□■✓✔*–-]|\u2022)+\s+|^[•◦▪‣·●○☐☑☒□■✓✔]+\s*")
_PART = re.compile(
    r"^(?:the\s+)?(?P<how>(?:(?:finely|freshly|coarsely|grated|squeezed|strained|chopped|sliced|picked)\s+)*)"
    r"(?P<part>(?:juice|zest|rind|peel|seeds?|leaves|flesh|pulp|meat|whites?|yolks?|white part|green part|stalks|greens)"
    r"(?:\s*(?:and|&|\+|,)\s*(?:finely\s+grated\s+|grated\s+)?(?:juice|zest|rind|peel|seeds|leaves|flesh|pulp|stalks))?)\s+"
    r"(?:(?:only\s+)?(?:scraped|picked|stripped|removed|squeezed)\s+)?(?:of|from)\s+(?P<rest>.+)$",
    re.IGNORECASE,
)
_NUMBERED = re.compile(r"^\d{1,2}(?:\)\s*|\.\s+)(?=[\d¼½¾⅐-⅞])")
_BOUNDS = re.compile(r"^(?P<kind>up to|at most|no more than|at least|no less than|more than)\s+(?=\S)", re.IGNORECASE)
_BETWEEN = re.compile(
    r"^(?:between|from)\s+(?P<low>\S.*?)\s+(?:and|to)\s+(?=[\d¼½¾⅐-⅞]|one|two|three|four|five|six)", re.IGNORECASE
)
_VAGUE = re.compile(
    r"^(?:(?P<enough>enough|sufficient)|(?P<some>a\s+little|a\s+bit\s+of|a\s+few|a\s+lot\s+of|some|several|plenty\s+of|lots\s+of))\s+",
    re.IGNORECASE,
)
_HEADING = re.compile(r"^(?:(?P<named>[^\d:]{1,60}):|for\s+(?:the\s+)?(?!\w+ing\b)[a-z' -]{2,40}$)$", re.IGNORECASE)
_LABEL = re.compile(r"^(?P<label>optional|to (?:serve|garnish|finish|decorate))\s*:\s*(?=\S)", re.IGNORECASE)
_EQUIPMENT = re.compile(
    r"\b(?:baking|greaseproof|parchment|wax|kitchen)\s+(?:paper|parchment|foil)|\b(?:paper|muffin|cupcake)\s+(?:cases|liners)"
    r"|\bskewers?\b|\bparchment\b|\b(?:aluminium|aluminum)?\s*foil\b|\bcling\s?film|\bplastic wrap|\bkitchen string|\btoothpicks?"
    r"|\bmuslin|\bcheesecloth|\bice[- ]cream sticks|\bwooden sticks|\bpiping bag",
    re.IGNORECASE,
)
_REMARK = re.compile(r"^(?:see|note|notes|tip|n\.?b\.?|page|recipe|step|adapted|makes|serves)\b", re.IGNORECASE)
_ONE_AS_LETTER = re.compile(
    r"^(?:\d*[lI|]\s*[/⁄]\s*\d|[lI|]\s+(?:cups?|tsp|tbsp|lb|oz|kg|pint)\b|[oO][.,]\d|\d+[oO]\s*(?:g|ml)\b)"
)
_TRAILING = re.compile(
    r"^(?P<item>[^\d(¼½¾⅐-⅞]*?[^\W\d_][^\d(¼½¾⅐-⅞]*?)\s*[,:–-]?\s+(?P<head>(?:about\s+|approx\.?\s+)?[\d¼½¾⅐-⅞].*)$"
)
_LIQUID = re.compile(
    r"(?:^|\s|-)(?:water|milk|cream|half-and-half|buttermilk|stock|broth|juice|wine|beer|cider|ale|stout|vinegar|oil|syrup|coffee|tea"
    r"|brandy|rum|whisky|whiskey|vodka|liqueur|soda|lemonade|kefir|brine|passata|nectar|sauce|cordial|honey|molasses)$",
    re.IGNORECASE,
)
_NOT_POURED = re.compile(r"\b(?:powdered|dried|sour|clotted|ice) \w+$", re.IGNORECASE)
_BEYOND_NAME = re.compile(r"\s+(?:with|in|from|for|at|or|and)\s+|,", re.IGNORECASE)
_ODD_DIGITS = re.compile(
    r"(?!00\b|\d\d/\d\d\b)(?<![\d/])\d+(?:[.,/]\d+)?(?!\d)(?!\s?%)(?![-\s]?(?:cm|mm|inch|in\b|spice|minute|grain|day|year|month|hour|°|C\b|F\b|\"))"
)
_SAID_AFTER = re.compile(
    r"(?:,\s*(?=about|approx|roughly|\d)|\s+or\s+(?=\d))(?P<measure>[^,;()]*\d[^,;()]*)$", re.IGNORECASE
)
_SIZE_SAID = re.compile(r"\((?P<size>[\d¼½¾./–-]+[\s-]*(?:cm|mm|inch|inches|in|\")\.?)\)", re.IGNORECASE)
_OF_EACH = re.compile(r"^each\b(?:\s+of)?:?\s+(?=\S)", re.IGNORECASE)


@cache
def indefinite() -> dict[tuple[str, str], tuple[str, float, float]]:
    """(unit or word, ingredient) → (ml, g or times, low, high): pinches, knobs and heaped spoons, by common practice."""
    return {(r["unit"], r["item"]): (r["kind"], float(r["low"]), float(r["high"])) for r in rows("indefinite.csv")}


def tidy(text: str) -> str:
    """The line with odd spaces, full-width letters, dashes and HTML entities made plain; fractions stay as they are."""
    if "&" in text:
        text = html.unescape(text)
    text = unicodedata.normalize("NFC", text.translate(_PLAIN))
    if "**" in text or "__" in text:
        text = _BOLD.sub(r"\2", text)
    return " ".join(text.split())


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
            f'"{m.unit}" is no fixed measure'
            + (f": {found[1]:g} to {found[2]:g} {found[0]}, by common practice" if found else "")
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


def _sum_sizes(
    terms: tuple[Measure, ...], country: str | None, item: str, flags: list[str]
) -> tuple[Pair | None, Pair | None]:
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


def _times(one: Pair | None, low: float, high: float) -> Pair | None:
    return None if one is None else (one[0] * low, one[1] * high)


def _triple(terms: tuple[Measure, ...]) -> Triple | None:
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


def _sizes(head: Head, country: str | None, item: str, flags: list[str]) -> tuple[Pair | None, Pair | None]:
    """(mass, volume) of the whole amount from everything the line prints."""
    silent: list[str] = []
    mass: Pair | None = None
    volume: Pair | None = None
    metric = False
    loose = (
        len(head.alike) == 1
        and head.unit in LOOSE
        and any(unit_known(t.unit) for other in head.seconds for t in other.terms)
    )
    if head.alike and not loose:
        mass, volume = _sum_sizes(head.alike[0], country, item, flags)
        metric = head.alike[0][0].unit in METRIC
    elif head.each is not None:
        mass, volume = (_times(size, head.low, head.high) for size in _sum_sizes(head.each, country, item, flags))
    elif head.unit == "stick":
        per = _stick_g(item, country, flags)
        mass = None if per is None else (head.low * per, head.high * per)
    others = [Second(terms) for terms in head.alike[1:]] + list(head.seconds)
    for other in others:
        if any(term.unit in ("each", "stick") or unit_known(term.unit) is False for term in other.terms):
            continue
        grams, ml = _sum_sizes(other.terms, country, item, silent)
        if other.each:
            grams, ml = _times(grams, head.low, head.high), _times(ml, head.low, head.high)
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


def _kept(text: str, why: str, kind: str = "ingredient") -> ParsedLine:
    return ParsedLine(text, item=tidy(text), flags=(why,), kind=kind)


def _tail_seconds(tail: str) -> tuple[str, list[Second]]:
    """Measures in brackets among the words: taken out, and read."""
    seconds: list[Second] = []
    for match in list(re.finditer(r"\(([^()]*\d[^()]*)\)", tail)):
        scan = Scan(f"1 {match[0]}")
        head, end = longest_head(scan)
        if head is not None and not scan.stopped and end == len(scan.text) and head.seconds:
            seconds += head.seconds
            tail = tail.replace(match[0], "", 1)
    if (said := _SAID_AFTER.search(tail)) and (more := _whole_measure(said["measure"])):
        seconds += more
        tail = tail[: said.start()] + tail[said.end() :]
    return " ".join(tail.replace(" ,", ",").split()), seconds


def _whole_measure(text: str) -> tuple[Second, ...]:
    """The measures that a whole text is, or none."""
    scan = Scan(f"1 ({text})")
    head, end = longest_head(scan)
    whole = head is not None and not scan.stopped and end == len(scan.text)
    return (
        head.seconds
        if whole and head is not None and all(t.unit != "each" for s in head.seconds for t in s.terms)
        else ()
    )


def read_head(text: str) -> tuple[Head | None, str, list[str]]:
    """Head and the words after it; a count word at the very end is given back as the name ("4 cloves")."""
    scan = Scan(text)
    head, end = longest_head(scan)
    tail = text[end:]
    if head is not None and not re.search(r"[^\W\d_]", re.split(r"[,;]", re.sub(r"\([^()]*\)", "", tail))[0]):
        for count in range(len(scan.tokens) - 1, 0, -1):
            if scan.tokens[count].kind == "COUNT":
                shorter = parse_tokens(scan.tokens[:count])
                if shorter is not None and scan.tokens[count].end <= end + 1:
                    return shorter, text[scan.tokens[count].start :], scan.flags
                break
    return head, tail, scan.flags


def trailing_amount(text: str) -> tuple[Head, str, list[str]] | None:
    """ "plain flour, 250 g": the amount at the end of the line."""
    match = _TRAILING.match(text)
    if match is None:
        return None
    scan = Scan(match["head"])
    head, end = longest_head(scan)
    if head is None or scan.stopped or end < len(match["head"]) or head.unit == "each":
        return None
    return head, match["item"], scan.flags


def _finish(
    text: str, head: Head | None, tail_text: str, country: str | None, flags: list[str], **more: object
) -> ParsedLine:
    """Puts head and tail together."""
    if (sized := _SIZE_SAID.search(tail_text)) and head is not None and head.size is None:
        head, tail_text = replace(head, size=sized["size"]), tail_text[: sized.start()] + tail_text[sized.end() :]
    if of_each := _OF_EACH.match(tail_text.lstrip()):
        flags.append("the amount is of each of several")
        tail_text = tail_text.lstrip()[of_each.end() :]
    tail_text, seconds = _tail_seconds(tail_text)
    if head is not None and seconds:
        head = replace(head, seconds=(*head.seconds, *seconds))
    container = head is not None and head.unit in CONTAINERS
    tail = split_tail(re.sub(r"^(?:of|an?|the)\s+(?=\S)", "", tail_text.strip(" ,;:"), flags=re.IGNORECASE), container)
    if head is None:
        return _with_tail(ParsedLine(text), tail, flags, more)
    return _with_tail(_measured(text, head, tail, country, flags), tail, flags, more)


def _measured(text: str, head: Head, tail: Tail, country: str | None, flags: list[str]) -> ParsedLine:
    item, unit = tail.item, head.unit
    mass, volume = _sizes(head, country, item, flags)
    second = next((t for s in head.seconds if not s.each and (t := _triple(s.terms))), None)
    if second is None and len(head.alike) > 1:
        second = _triple(head.alike[1])
    each_terms = head.each or next((s.terms for s in head.seconds if s.each), None)
    if head.each is None and each_terms is None and unit in CONTAINERS and second is not None and unit_known(second[2]):
        each_terms, mass, volume = _content_of_each(head, mass, volume, flags)
        second = None if each_terms else second
    if head.spans:
        flags.append("two measures joined like a range")
    if head.implied_one:
        flags.append("read as one" if unit == "each" else f"read as one {unit}")
    plus = tuple((m.sign * m.low, m.sign * m.high, m.unit) for m in head.alike[0][1:]) if head.alike else ()
    if (
        unit == "each"
        and head.each is None
        and not head.size
        and mass is volume is None
        and (odd := missing_unit(item))
    ):
        flags.append("no unit is given" if odd[0] == "no unit" else f'"{odd[1]}" is no unit known here')
    if (
        unit == "each"
        and head.each is not None
        and head.low == 1
        and not head.seconds
        and re.match(r"\d+ \d{3} ", tidy(text))
    ):
        flags.append("the number may be one, in thousands")
    if unit in VESSELS:
        flags.append(f"a {unit} has no fixed size")
    if head.low > head.high:
        flags.append("the range runs downwards")
    if head.high == 0:
        flags.append("the amount is zero")
    limit = max(
        head.high / 10_000 if not head.alike and head.each is None else 0,
        (mass or (0, 0))[1] / 1e6,
        (volume or (0, 0))[1] / 1e6,
    )
    if limit > 1:
        flags.append("the amount is far beyond a kitchen")
    return ParsedLine(
        text, head.low, head.high, unit, item, second=second, mass_g=mass, volume_ml=volume,
        each=_triple(each_terms) if each_terms else None, plus=plus, size=head.size or _size_word(head, item),
        approximate=head.about,
    )  # fmt: skip


def _content_of_each(
    head: Head, mass: Pair | None, volume: Pair | None, flags: list[str]
) -> tuple[tuple[Measure, ...] | None, Pair | None, Pair | None]:
    """ "2 tins (400 g)": of each, or of both? One tin is plain; several are read as each, and said."""
    terms = head.seconds[0].terms
    if head.low == head.high == 1:
        return terms, mass, volume
    flags.append(f"the measure in brackets read as of each {head.unit}")
    return terms, _times(mass, head.low, head.high), _times(volume, head.low, head.high)


def _size_word(head: Head, item: str) -> str | None:
    words = [m for m in head.mods if m in ("large", "small", "medium", "big")] or re.findall(
        r"^(extra-large|large|medium|small)\b", item.lower()
    )
    return words[0] if words else None


def _with_tail(line: ParsedLine, tail: Tail, flags: list[str], more: dict[str, object]) -> ParsedLine:
    flags += tail.flags
    unit, item = line.unit, tail.item
    if line.low is not None and unit == "each":
        unit, item = _counted_last(item)
    if not item and line.low is not None:
        flags.append("no ingredient is named")
    if _ODD_DIGITS.search(item):
        flags.append("another number stands in the name")
    prep = ", ".join(filter(None, (str(more.pop("how", "") or ""), tail.prep or ""))) or None
    note = "; ".join(filter(None, (str(more.pop("note", "") or ""), tail.note or ""))) or None
    kind = "equipment" if _EQUIPMENT.search(item) else "ingredient"
    return replace(
        line, unit=unit, item=item, prep=prep, prep_first=tail.prep_first, note=note, extra=tail.extra,
        alternatives=tail.alternatives, flags=tuple(dict.fromkeys(flags)), kind=kind, **more,  # type: ignore[arg-type]
    )  # fmt: skip


_COUNTED_LAST = re.compile(
    r"^(?P<item>(?:(?:large|small|medium|fat|peeled|fresh)\s+)*(?P<food>garlic)|.*\bgelatine?|[\w ]*?(?:rosemary|thyme|parsley|mint|coriander|dill|oregano|basil|sage|tarragon))"
    r"\s+(?P<unit>cloves?|sprigs?|leaves|leaf|sheets?)$",
    re.IGNORECASE,
)


def _counted_last(item: str) -> tuple[str, str]:
    """ "3 garlic cloves" is 3 cloves of garlic; "2 bay leaves" stay bay leaves."""
    match = _COUNTED_LAST.match(item)
    if match is None:
        return "each", item
    word = match["unit"].lower()
    unit = {"cloves": "clove", "sprigs": "sprig", "leaves": "leaf", "sheets": "sheet"}.get(word, word)
    if unit == "leaf" and "gelatin" not in match["item"].lower() or unit == "clove" and not match["food"]:
        return "each", item
    return unit, match["item"]


def parse_line(text: str, country: str | None = None) -> ParsedLine:
    """Reads one ingredient line. Never fails: what can't be read is kept as written, with a flag.

    Args:
        text: one line, such as "1½ cups (190 g) plain flour, sifted".
        country: whose spoons, cups and pints (`definitions.COUNTRIES`); None leaves them as an interval over the countries.

    Returns:
        The line as read.

    Raises:
        QuantityError: only for a country that has no kitchen measures here.
    """
    country = country_named(country)
    try:
        return _parse(text, country)
    except NotANumber as error:
        return _kept(text, str(error).rstrip("."))


def _parse(text: str, country: str | None) -> ParsedLine:
    body = _BULLET.sub("", tidy(text)).strip()
    if not re.search(r"\w", body):
        return ParsedLine(
            text, item=tidy(text), kind="note" if body or tidy(text) else "blank", flags=("nothing to read",)
        )
    if _ONE_AS_LETTER.match(body) and not _agrees_anyway(body, country):
        return _kept(text, "a letter may stand for a digit")
    if re.match(r"[-–]\s*\d", body):
        return _kept(text, "the amount is negative")
    if _REMARK.match(body) and not re.match(r"recipe\b.*\d", body, re.IGNORECASE):
        return _kept(text, "a remark, not an ingredient", "note")
    more: dict[str, object] = {}
    flags: list[str] = []
    if numbered := _NUMBERED.match(body):
        flags.append(f'"{numbered[0].strip()}" read as the number of the line')
        body = body[numbered.end() :]
    if label := _LABEL.match(body):
        more["note"], body = label["label"].lower(), body[label.end() :]
    elif (heading := _HEADING.match(body)) and not Scan(body).tokens:
        return ParsedLine(text, item=body.rstrip(": "), kind="heading")
    if part := _PART.match(body):
        more["part"], more["how"], body = part["part"].lower(), part["how"].strip(), part["rest"]
    bound = _BOUNDS.match(body)
    if bound:
        body = body[bound.end() :]
        flags.append(f'"{bound["kind"].lower()}" leaves one end open')
    if between := _BETWEEN.match(body):
        body = f"{between['low']}–{body[between.end() :]}"
    if vague := _VAGUE.match(body):
        flags.append(f'"{" ".join(vague[0].split())}" is no amount')
        return _finish(text, None, body[vague.end() :], country, flags, **more)
    return _with_amount(text, body, country, flags, more, bound["kind"].lower() if bound else "")


def _agrees_anyway(body: str, country: str | None) -> bool:
    """ "1l/4 cups" may be a litre after all: when both measures say the same."""
    head, _, _ = read_head(body)
    if head is None or len(head.alike) < 2:
        return False
    doubts: list[str] = []
    _sizes(head, country, "", doubts)
    return "its two measures disagree" not in doubts


def _with_amount(
    text: str, body: str, country: str | None, flags: list[str], more: dict[str, object], bound: str
) -> ParsedLine:
    head, tail, doubts = read_head(body)
    if head is None and (last := trailing_amount(body)) is not None:
        head, tail, doubts = last
    flags += doubts
    if head is None:
        if re.match(r"[\d¼½¾⅐-⅞]", body):
            return _kept(text, "the amount can't be read")
        return _finish(text, None, body, country, flags, **more)
    if bound in ("up to", "at most", "no more than"):
        head = replace(head, low=0.0, alike=tuple(tuple(replace(m, low=0.0) for m in terms) for terms in head.alike))
    return _finish(text, head, tail, country, flags, **more)
