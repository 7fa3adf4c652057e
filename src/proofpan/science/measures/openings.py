"""How a line opens before its first number: "just under", "c.", "max", "thumb-sized piece of", "bunch of", "juice ½ lemon"."""

import re
from typing import NamedTuple

from proofpan.science.measures.words import CONTAINERS, LOOSE, SIZEABLE, SPOONS, unit_of

_DIGIT = r"[\d¼½¾⅐-⅞]"
_CIRCA = re.compile(rf"^(?:c|ca|circa|approx|abt)\.?\s*(?={_DIGIT})", re.IGNORECASE)
_MOST = re.compile(r"^(?:max(?:imum)?\.?(?:\s+of)?|not more than)\s+(?=\S)", re.IGNORECASE)
_LEAST = re.compile(r"^(?:min(?:imum)?\.?(?:\s+of)?|not less than)\s+(?=\S)", re.IGNORECASE)
_UNDER = re.compile(r"^(?:not quite|just under|a (?:little|bit|touch) (?:under|less than)|slightly (?:under|less than)|just shy of)\s+", re.IGNORECASE)
_OVER = re.compile(r"^(?:just over|a (?:little|bit|touch) (?:over|more than)|slightly (?:over|more than))\s+", re.IGNORECASE)
_SPOONED = re.compile(rf"^(?:an?|one|{_DIGIT}[\d\s/⁄.¼½¾⅐-⅞]*)\s*(?P<unit>[^\W\d_]+)", re.IGNORECASE)
_LIKE_A = re.compile(
    r"^(?:(?:an?|1|one)\s+)?(?P<size>(?:thumb|walnut|finger|fist|matchbox|egg|golf[- ]ball|hazelnut)(?:[- ]?(?:sized?|tip|nail))?)"
    r"\s+(?P<unit>piece|knob|lump|chunk|nub)\s+(?:of\s+)?(?=\S)", re.IGNORECASE)
_OF = re.compile(r"^(?P<mod>(?:good|large|small|big|medium|whole|heaped|generous)\s+)?(?P<unit>[^\W\d_]+)\s+of\s+(?=[^\W\d_])", re.IGNORECASE)
_COUNTED = SIZEABLE | CONTAINERS | frozenset(["sprig", "slice", "rasher", "sheet", "stick", "stalk", "clove", "strip", "leaf", "rib", "fillet",
                                              "cob", "ear"])
_PART = re.compile(rf"^(?P<part>(?:finely\s+grated\s+|grated\s+)?(?:juice|zest|rind)(?:\s*(?:and|&|\+)\s*(?:juice|zest|rind))?)\s+(?={_DIGIT}|an?\s|half\s)",
                   re.IGNORECASE)


_SIZE_FIRST = re.compile(r"^(?P<n>\d+)\s*\((?P<size>\d[\d½¼¾./–-]*[\s-]*(?:cm|mm|inch|inches|in|\"))\)\s+"
                         r"(?=(?:piece|stick|knob|block|sheet|round|strip)s?\b)", re.IGNORECASE)
_SEVERAL = re.compile(r"^(?P<unit>[^\W\d_]+)\s+(?:of\s+)?(?=[^\W\d_])", re.IGNORECASE)


_AMOUNT = rf"(?P<first>{_DIGIT}[\d\s/⁄.¼½¾⅐-⅞]*\s*[^\W\d_]+\.?)"
_COMMA_PLUS = re.compile(rf"^{_AMOUNT},\s+(?P<plus>plus|and|\+)\s+(?={_DIGIT})", re.IGNORECASE)
_BRACKET_PLUS = re.compile(rf"^{_AMOUNT}\s*\([^()]*\)\s*(?P<plus>plus|and|\+)\s+"
                           rf"(?={_DIGIT}[\d\s/⁄.¼½¾⅐-⅞]*\s*(?:tsp|tbsp|teasp|tablesp|cup|t\b|g\b|ml\b|oz\b))", re.IGNORECASE)
_SAID_LEVEL = re.compile(rf"^(?P<n>{_DIGIT}[\d\s/⁄.¼½¾⅐-⅞]*?)\s*(?P<unit>tsp|tbsp|teaspoons?|tablespoons?|cups?),\s*(?P<mod>heaped|level|rounded|scant)\b,?\s*",
                         re.IGNORECASE)


class Opening(NamedTuple):
    """The line with a plainer beginning, what is to be said of it, a size that it named, and whether its amount is near enough."""

    body: str
    flags: tuple[str, ...] = ()
    size: str | None = None


def plain_opening(body: str) -> Opening:
    """A line that begins in one of these ways, as if it began with a number; any other line as it is."""
    if found := _CIRCA.match(body):
        return Opening(f"about {body[found.end():]}")
    if found := _MOST.match(body):
        return Opening(f"up to {body[found.end():]}")
    if found := _LEAST.match(body):
        return Opening(f"at least {body[found.end():]}")
    if found := _UNDER.match(body):
        return _near(body[found.end() :], found[0], "scant")
    if found := _OVER.match(body):
        return _near(body[found.end() :], found[0], "generous")
    if found := _LIKE_A.match(body):
        said = " ".join(found["size"].lower().split())
        return Opening(f"1 {'piece' if found['unit'].lower() != 'knob' else 'knob'} {body[found.end():]}", (), said)
    if found := _COMMA_PLUS.match(body):
        return Opening(f"{found['first']} {found['plus']} {body[found.end():]}")
    if found := _BRACKET_PLUS.match(body):
        return Opening(f"{found['first']} {found['plus']} {body[found.end():]}", ("the measure in brackets is of the first part alone",))
    if found := _SAID_LEVEL.match(body):
        return Opening(f"{found['n']} {found['mod']} {found['unit']} {body[found.end():]}")
    if found := _SIZE_FIRST.match(body):
        return Opening(f"{found['n']} {found['size']} {body[found.end():]}")
    if found := _PART.match(body):
        return Opening(f"{body[:found.end()].rstrip()} of {body[found.end():]}")
    return _of(body)


def _near(rest: str, words: str, spoon_word: str) -> Opening:
    """A spoon or cup just under or over is scant or generous; of anything else the amount is only about so much."""
    spooned = _SPOONED.match(rest)
    if spooned and unit_of(spooned["unit"]) in SPOONS:
        return Opening(f"{spoon_word} {rest}")
    return Opening(f"about {rest}", (f'"{words.strip().lower()}" read as about',))


def _of(body: str) -> Opening:
    """Such as "bunch of spring onions": one of them."""
    found = _OF.match(body)
    unit = unit_of(found["unit"]) if found else None
    if found is None or unit is None or unit not in _COUNTED or unit in LOOSE:
        return Opening(body)
    return Opening(f"1 {body}", (f"read as one {unit}",))


def unit_of_several(body: str) -> tuple[str | None, str]:
    """Such as "sprigs of thyme" after "a few": the unit, and the words after it; no unit where none is named."""
    found = _SEVERAL.match(body)
    unit = unit_of(found["unit"]) if found else None
    if found is None or unit is None or unit not in _COUNTED | LOOSE:
        return None, body
    return unit, body[found.end() :]
