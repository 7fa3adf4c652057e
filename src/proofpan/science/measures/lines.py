"""Reads one ingredient line: amount, unit, ingredient, preparation, and what it weighs where definitions or the line say so."""

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from proofpan.science.measures.amounts import NotANumber
from proofpan.science.measures.counting import missing_unit
from proofpan.science.measures.definitions import country_named
from proofpan.science.measures.heads import Head, Measure, Second, longest_head, parse_tokens
from proofpan.science.measures.openings import plain_opening, unit_of_several
from proofpan.science.measures.plainly import plainly
from proofpan.science.measures.scanning import Scan
from proofpan.science.measures.sizes import Pair, Triple, as_triple, times_range, unit_known, whole_sizes
from proofpan.science.measures.tails import Tail, split_tail
from proofpan.science.measures.tidying import tidy
from proofpan.science.measures.words import CONTAINERS, VESSELS, VOLUMES, WEIGHTS, read_country, unit_of

LINES_KEPT = 4096   # read once: a round looks at the same few lines in each of a thousand versions


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


_BULLET = re.compile(r"^(?:\[[ xX]?\]|[•◦▪▫▢◻◽◼◾◯‣·●○☐☑☒□■✓✔➢➤►▶›»★☆*–-]|\u2022)+\s+|^[•◦▪▫▢◻◽◼◾◯‣·●○☐☑☒□■✓✔➢➤►▶›»★☆]+\s*")
_PART = re.compile(
    r"^(?:the\s+)?(?P<how>(?:(?:finely|freshly|coarsely|thinly|roughly|pared|grated|squeezed|strained|chopped|sliced|picked)\s+)*)"
    r"(?P<part>(?:juice|zest|rind|peel|seeds?|kernels|leaves|flesh|pulp|meat|whites?|yolks?|white part|green part|stalks|greens)"
    r"(?:\s*(?:and|&|\+|,)\s*(?:finely\s+grated\s+|grated\s+)?(?:juice|zest|rind|peel|seeds|leaves|flesh|pulp|stalks))?)\s+"
    r"(?:(?:only\s+)?(?:scraped|picked|stripped|removed|squeezed|cut)\s+)?(?:of|from)\s+(?P<rest>.+)$",
    re.IGNORECASE,
)
_NUMBERED = re.compile(r"^\d{1,2}(?:\)\s*|\.\s+)(?=[\d¼½¾⅐-⅞])")
_BRACKET = re.compile(r"\([^()]*\)")
_BRACKET_WITH_DIGIT = re.compile(r"\(([^()]*\d[^()]*)\)")
_LETTER, _WORD, _COMMA, _NEGATIVE = (re.compile(p) for p in (r"[^\W\d_]", r"\w", r"[,;]", r"[-–]\s*\d"))
_OF = re.compile(r"^(?:of|an?|the)\s+(?=\S)", re.IGNORECASE)
_SAID_TWICE = re.compile(r"^(\d+|one|two|three|four|five|six)\s*\((?:\d+|one|two|three|four|five|six|seven|eight)\)\s+", re.IGNORECASE)
_MOD_FIRST = re.compile(r"^(scant|heaped|heaping|rounded|level|generous)\s+([\d¼½¾⅐-⅞][\d\s/⁄.¼½¾⅐-⅞]*?)\s+(?=[^\W\d_])", re.IGNORECASE)
_BOUNDS = re.compile(r"^(?P<kind>up to|at most|no more than|at least|no less than|more than)\s+(?=\S)", re.IGNORECASE)
_BETWEEN = re.compile(r"^(?:between|from)\s+(?P<low>\S.*?)\s+(?:and|to)\s+(?=[\d¼½¾⅐-⅞]|one|two|three|four|five|six)", re.IGNORECASE)
_VAGUE = re.compile(
    r"^(?:(?P<enough>enough|sufficient)"
    r"|(?P<some>few\b|a\s+little|a\s+bit\s+of|a\s+few|a\s+lot\s+of|some|several|plenty\s+of|lots\s+of))\s+",
    re.IGNORECASE,
)
_HEADING = re.compile(
    r"^(?:(?P<named>[^\d:]{1,60}):|to (?:serve|finish|garnish|decorate)|for\s+(?:the\s+)?(?!\w+ing\b)[a-z' -]{2,40}$)$", re.IGNORECASE
)
_WHEN = r"optional|to (?:serve|garnish|finish|decorate)"
_LABEL = re.compile(rf"^(?:(?P<label>{_WHEN})\s*:|\((?P<bracket>{_WHEN})\))\s*(?=\S)", re.IGNORECASE)
_EQUIPMENT = re.compile(
    r"\b(?:baking|greaseproof|parchment|wax|kitchen)\s+(?:paper|parchment|foil)|\b(?:paper|muffin|cupcake)\s+(?:cases|liners)"
    r"|\bskewers?\b|\bparchment\b|\b(?:aluminium|aluminum)?\s*foil\b|\bcling\s?film|\bplastic wrap|\bkitchen string|\btoothpicks?"
    r"|\bmuslin|\bcheesecloth|\bice[- ]cream sticks|\bwooden sticks|\bpiping bag|\bspringform"
    r"|\bloaf (?:tin|pan)|\b(?:cake|muffin|baking) (?:tin|tray|pan|sheet)s?|\bramekins?|\bpaper towels?",
    re.IGNORECASE,
)
_REMARK = re.compile(
    r"^(?:see|note|notes|tip|n\.?b\.?|page|recipe|step|adapted|makes|serves|prep time|cook time|total time|cooking time|https?|www)\b",
    re.IGNORECASE,
)
_ONE_AS_LETTER = re.compile(
    r"^(?:[lI|][\dOo½¼¾]|\d+[oO]+\d*\s*(?:g|ml|kg|oz)\b|\d*[lI|]\s*[/⁄]\s*\d"
    r"|[lI|]\s+(?:cups?|tsp|tbsp|lb|oz|kg|pint)\b|[oO][.,]\d|\d+[oO]\s*(?:g|ml)\b)"
)
_TRAILING = re.compile(r"^(?P<item>[^\d(¼½¾⅐-⅞]*?[^\W\d_][^\d(¼½¾⅐-⅞]*?)\s*[,:–-]?\s+(?P<head>(?:about\s+|approx\.?\s+)?[\d¼½¾⅐-⅞].*)$")
_TIMES_LAST = re.compile(r"\s+[x×]\s*(?=\d+$)", re.IGNORECASE)       # "eggs x 3"
_COUNT_IN_BRACKETS = re.compile(r"^(?P<name>[^\d(),;]+?)\s*\((?P<count>[\d¼½¾⅐-⅞]+(?:\s?[-–]\s?\d+)?(?:\s+(?:extra-)?(?:large|medium|small))?)\)(?P<rest>.*)$")
_SIZED_EACH = re.compile(r"^\s*(?P<size>extra-large|large|medium|small)\s*\((?P<measure>\d[^()]*)\)\s+(?=[^\W\d_])", re.IGNORECASE)
_COUPLE = re.compile(r"^couple\s+(?:of\s+)?(?=[^\W\d_])", re.IGNORECASE)
_FEW = re.compile(r"[1-9]|[1-4]\d")        # "eggs 2"; not "flour 00"
_ODD_DIGITS = re.compile(
    r"(?!00\b|\d\d/\d\d\b)(?<![\d/])\d+(?:[.,/]\d+)?(?!\d)(?!\s?%)"
    r"(?![-\s]?(?:cm|mm|inch|in\b|spice|minute|grain|day|year|month|hour|°|C\b|F\b|\"))"
)
_SAID_AFTER = re.compile(r"(?:,\s*(?=about|approx|roughly|\d)|\s+or\s+(?=\d))(?P<measure>[^,;()]*\d[^,;()]*)$", re.IGNORECASE)
_SIZE_SAID = re.compile(r"\((?P<size>[\d¼½¾./–-]+[\s-]*(?:cm|mm|inch|inches|in|\")\.?)\)", re.IGNORECASE)
_OF_EACH = re.compile(r"^each\b(?:\s+of)?:?\s+(?=\S)", re.IGNORECASE)


def _kept(text: str, why: str, kind: str = "ingredient") -> ParsedLine:
    return ParsedLine(text, item=tidy(text), flags=(why,), kind=kind)


def _tail_seconds(tail: str) -> tuple[str, list[Second]]:
    """Measures in brackets among the words: taken out, and read."""
    seconds: list[Second] = []
    for match in list(_BRACKET_WITH_DIGIT.finditer(tail)):
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
    return head.seconds if whole and head is not None and all(t.unit != "each" for s in head.seconds for t in s.terms) else ()


def read_head(text: str) -> tuple[Head | None, str, list[str]]:
    """Head and the words after it; a count word at the very end is given back as the name ("4 cloves")."""
    scan = Scan(text)
    head, end = longest_head(scan)
    tail = text[end:]
    if head is not None and not _LETTER.search(_COMMA.split(_BRACKET.sub("", tail))[0]):
        for count in range(len(scan.tokens) - 1, 0, -1):
            if scan.tokens[count].kind == "COUNT":
                shorter = parse_tokens(scan.tokens[:count])
                if shorter is not None and scan.tokens[count].end <= end + 1:
                    return shorter, text[scan.tokens[count].start :], scan.flags
                break
    return head, tail, scan.flags


def trailing_amount(text: str) -> tuple[Head, str, list[str]] | None:
    """Such as "plain flour, 250 g": the amount at the end of the line."""
    match = _TRAILING.match(_TIMES_LAST.sub(": ", text))
    if match is None:
        return None
    scan = Scan(match["head"])
    head, end = longest_head(scan)
    apart = re.search(r"[,:–-]\s*$", match.string[: match.start("head")])
    if head is None or scan.stopped or end < len(match["head"]) or (head.unit == "each" and not apart and not _FEW.fullmatch(match["head"])):
        return None
    return head, match["item"], scan.flags + ([] if apart or head.unit != "each" else ["the amount stands after the name"])


def _finish(text: str, head: Head | None, tail_text: str, country: str | None, flags: list[str], **more: object) -> ParsedLine:
    """Puts head and tail together."""
    if (sized := _SIZE_SAID.search(tail_text)) and head is not None and head.size is None:
        head, tail_text = replace(head, size=sized["size"]), tail_text[: sized.start()] + tail_text[sized.end() :]
    if of_each := _OF_EACH.match(tail_text.lstrip()):
        flags.append("the amount is of each of several")
        tail_text = tail_text.lstrip()[of_each.end() :]
    head, tail_text = _each_in_brackets(head, tail_text)
    tail_text, seconds = _tail_seconds(tail_text)
    seconds = [s for s in seconds if head is None or s.terms[0].unit != "each" or s.terms[0].low != head.low]
    if head is not None and seconds:
        head = replace(head, seconds=(*head.seconds, *seconds))
    elif seconds:
        first = seconds[0].terms[0]
        alike = (seconds[0].terms,) if first.unit != "each" and unit_known(first.unit) else ()
        head = Head(first.low, first.high, first.unit, alike, tuple(seconds[1:]), about=seconds[0].about)
        flags.append("the amount stands after the name")
    container = head is not None and head.unit in CONTAINERS
    tail = split_tail(_OF.sub("", tail_text.strip(" ,;:")), container)
    if head is None:
        return _with_tail(ParsedLine(text), tail, flags, more)
    return _with_tail(_measured(text, head, tail, country, flags), tail, flags, more)


def _each_in_brackets(head: Head | None, tail: str) -> tuple[Head | None, str]:
    """Such as "2 medium (8 oz) sweet potatoes": the bracket before the name is of each."""
    sized = _SIZED_EACH.match(tail)
    if head is None or sized is None or head.unit != "each" or head.each is not None or head.high <= 1:
        return head, tail
    found = [x for x in _whole_measure(sized["measure"]) if not x.about and unit_known(x.terms[0].unit)]
    if not found:
        return head, tail
    return replace(head, each=found[0].terms, implied_each=True), f" {sized['size']} {tail[sized.end() :]}"


def _measured(text: str, head: Head, tail: Tail, country: str | None, flags: list[str]) -> ParsedLine:
    item, unit = tail.item, head.unit
    mass, volume = whole_sizes(head, country, item, flags)
    second = next((t for s in head.seconds if not s.each and (t := as_triple(s.terms))), None)
    if second is None and len(head.alike) > 1:
        second = as_triple(head.alike[1])
    each_terms = head.each or next((s.terms for s in head.seconds if s.each), None)
    if head.each is None and each_terms is None and unit in CONTAINERS and second is not None and unit_known(second[2]):
        each_terms, mass, volume = _content_of_each(head, mass, volume, flags)
        second = None if each_terms else second
    if head.spans:
        flags.append("two measures joined like a range")
    if head.implied_each:
        flags.append("the measure read as of each")
    if head.implied_one:
        flags.append("read as one" if unit == "each" else f"read as one {unit}")
    plus = tuple((m.sign * m.low, m.sign * m.high, m.unit) for m in head.alike[0][1:]) if head.alike else ()
    if unit == "each" and head.each is None and not head.size and mass is volume is None and (odd := missing_unit(item)):
        flags.append("no unit is given" if odd[0] == "no unit" else f'"{odd[1]}" is no unit known here')
    if unit == "each" and head.each is not None and head.low == 1 and not head.seconds and re.match(r"\d+ \d{3} ", tidy(text)):
        flags.append("the number may be one, in thousands")
    if unit in VESSELS:
        flags.append(f"a {unit} has no fixed size")
    if head.low > head.high:
        flags.append("the range runs downwards")
    if head.high == 0:
        flags.append("the amount is zero")
    counted = not head.alike and head.each is None and head.high > 10_000
    if counted or max((mass or (0, 0))[1], (volume or (0, 0))[1]) > 1e6:
        flags.append("the amount is far beyond a kitchen")
    return ParsedLine(
        text, head.low, head.high, unit, item, second=second, mass_g=mass, volume_ml=volume,
        each=as_triple(each_terms) if each_terms else None, plus=plus, size=head.size or _size_word(head, item),
        approximate=head.about,
    )  # fmt: skip


def _content_of_each(
    head: Head, mass: Pair | None, volume: Pair | None, flags: list[str]
) -> tuple[tuple[Measure, ...] | None, Pair | None, Pair | None]:
    """Such as "2 tins (400 g)": of each, or of both? One tin is plain; several are read as each, and said."""
    terms = head.seconds[0].terms
    if head.low == head.high == 1:
        return terms, mass, volume
    flags.append(f"the measure in brackets read as of each {head.unit}")
    return terms, times_range(mass, head.low, head.high), times_range(volume, head.low, head.high)


def _size_word(head: Head, item: str) -> str | None:
    words = [m for m in head.mods if m in ("large", "small", "medium", "big")] or re.findall(
        r"^(extra-large|large|medium|small)\b", item.lower()
    )
    return words[0] if words else None


def _with_tail(line: ParsedLine, tail: Tail, flags: list[str], more: dict[str, object]) -> ParsedLine:
    flags += tail.flags
    unit, item = str(more.pop("unit", "")) or line.unit, tail.item
    if line.low is not None and unit == "each":
        unit, item = _counted_last(item)
    if not any(letter.isalpha() for letter in item):
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
    r"^(?P<item>(?:(?:large|small|medium|fat|big)\s+)*(?P<named>(?:(?:peeled|fresh)\s+)*(?P<food>garlic))|.*\bgelatine?"
    r"|[\w ]*?(?:rosemary|thyme|parsley|mint|coriander|dill|oregano|basil|sage|tarragon))"
    r"\s+(?P<unit>cloves?|sprigs?|leaves|leaf|sheets?)$",
    re.IGNORECASE,
)


def _counted_last(item: str) -> tuple[str, str]:
    """Such as "3 garlic cloves" is 3 cloves of garlic; "2 bay leaves" stay bay leaves."""
    match = _COUNTED_LAST.match(item)
    if match is None:
        return "each", item
    word = match["unit"].lower()
    unit = {"cloves": "clove", "sprigs": "sprig", "leaves": "leaf", "sheets": "sheet"}.get(word, word)
    if unit == "leaf" and "gelatin" not in match["item"].lower() or unit == "clove" and not match["food"]:
        return "each", item
    return unit, match["named"] or match["item"]


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


@lru_cache(maxsize=LINES_KEPT)
def _parse(text: str, country: str | None) -> ParsedLine:
    body = plainly(_BULLET.sub("", tidy(text)).strip())
    if not _WORD.search(body):
        return ParsedLine(text, item=tidy(text), kind="note" if body or tidy(text) else "blank", flags=("nothing to read",))
    body = _SAID_TWICE.sub(r"\1 ", body.replace("[", "(").replace("]", ")"))
    body, said = read_country(_MOD_FIRST.sub(r"\2 \1 ", body))
    country = said or country
    if _ONE_AS_LETTER.match(body) and not _agrees_anyway(body, country):
        return _kept(text, "a letter may stand for a digit")
    if _NEGATIVE.match(body):
        return _kept(text, "the amount is negative")
    if _REMARK.match(body) and not re.match(r"recipe\b.*\d", body, re.IGNORECASE):
        return _kept(text, "a remark, not an ingredient", "note")
    more: dict[str, object] = {}
    flags: list[str] = []
    if numbered := _NUMBERED.match(body):
        flags.append(f'"{numbered[0].strip()}" read as the number of the line')
        body = body[numbered.end() :]
    if label := _LABEL.match(body):
        more["note"], body = (label["label"] or label["bracket"]).lower(), body[label.end() :]
    elif _HEADING.match(body) and not Scan(body).tokens:
        return ParsedLine(text, item=body.rstrip(": "), kind="heading")
    if part := _PART.match(body):
        more["part"], more["how"], body = part["part"].lower(), part["how"].strip(), part["rest"]
    body, said_so, size = plain_opening(body)
    flags += said_so
    if size:
        more["size"] = size
    body = _MOD_FIRST.sub(r"\2 \1 ", body)
    if "part" not in more and (part := _PART.match(body)):
        more["part"], more["how"], body = part["part"].lower(), part["how"].strip(), part["rest"]
    if couple := _COUPLE.match(body):
        body = f"2 {body[couple.end() :]}"
        flags.append(f'"{" ".join(couple[0].split())}" read as two')
    bound = _BOUNDS.match(body)
    if bound:
        body = body[bound.end() :]
        flags.append(f'"{bound["kind"].lower()}" leaves one end open')
    if between := _BETWEEN.match(body):
        body = f"{between['low']}–{body[between.end() :]}"
    if vague := _VAGUE.match(body):
        flags.append(f'"{" ".join(vague[0].split())}" is no amount')
        unit, rest = unit_of_several(body[vague.end() :])
        return _finish(text, None, rest, country, flags, **more, **({"unit": unit} if unit else {}))
    return _with_amount(text, body, country, flags, more, bound["kind"].lower() if bound else "")


def _agrees_anyway(body: str, country: str | None) -> bool:
    """Such as "1l/4 cups" may be a litre after all: when both measures say the same."""
    head, _, _ = read_head(body)
    if head is None or len(head.alike) < 2:
        return False
    doubts: list[str] = []
    whole_sizes(head, country, "", doubts)
    return "its two measures disagree" not in doubts


def _amount_last(body: str) -> tuple[Head, str, list[str]] | None:
    """An amount after the name: "Salt 5 g", "milk 250 ml, warm", "Onion (1 large), chopped"."""
    if (counted := _COUNT_IN_BRACKETS.match(body)) is not None:
        head, tail, doubts = read_head(f"{counted['count']} {counted['name']}{counted['rest']}")
        if head is not None and head.unit == "each":
            return head, tail, [*doubts, "the amount stands after the name"]
    if (last := trailing_amount(body)) is not None:
        return last
    name, comma, rest = body.partition(",")
    if not comma or (last := trailing_amount(name)) is None or last[0].unit == "each":
        return None
    return last[0], f"{last[1]},{rest}", last[2]


def _with_amount(text: str, body: str, country: str | None, flags: list[str], more: dict[str, object], bound: str) -> ParsedLine:
    head, tail, doubts = read_head(body)
    if head is None and (last := _amount_last(body)) is not None:
        head, tail, doubts = last
    flags += doubts
    if head is None:
        if re.match(r"[\d¼½¾⅐-⅞]", body):
            return _kept(text, "the amount can't be read")
        first = re.findall(r"[^\W\d_]{2,}", body)[:2]
        if any((unit_of(word) or "each") in VOLUMES | WEIGHTS for word in first):
            flags.append("a measure stands there without a number")
        return _finish(text, None, body, country, flags, **more)
    if bound in ("up to", "at most", "no more than"):
        head = replace(head, low=0.0, alike=tuple(tuple(replace(m, low=0.0) for m in terms) for terms in head.alike))
    return _finish(text, head, tail, country, flags, **more)
