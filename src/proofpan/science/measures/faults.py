"""Says in one sentence why a line can't stand as an ingredient of a study; ordinary lines, however loose, have no fault."""

import re
from dataclasses import dataclass

from proofpan.science.measures.amounts import NotANumber, parse_amount
from proofpan.science.measures.counting import missing_unit
from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.lines import ParsedLine, parse_line
from proofpan.science.measures.tidying import tidy

TONNE_G = 1e6
MOST_COUNTED = 10_000


@dataclass(frozen=True, slots=True)
class LineFault:
    """What is wrong with a line.

    `kind` is one of empty, negative, no number, no unit, unknown unit, no ingredient, range, absurd.
    `says` is one sentence that names what would be right.
    """

    kind: str
    says: str


def check_line(text: str, country: str | None = None) -> LineFault | None:
    """The fault of an ingredient line, or None: "3 eggs", "salt to taste" and "a handful of parsley" have none.

    Args:
        text: one line as written.
        country: whose measures it uses.

    Raises:
        QuantityError: for a country without kitchen measures here.
    """
    line, shown = parse_line(text, country), tidy(text)[:60]
    if not re.search(r"\w", shown):
        return LineFault("empty", "The line is empty: it would be an ingredient such as 250 g plain flour.")
    if re.match(r"[-–]\d", shown):
        return LineFault("negative", f'"{shown}" is negative: an amount is more than zero.')
    if line.low is None:
        return _unread(line, shown)
    if not line.item:
        return LineFault("no ingredient", f'"{shown}" names no ingredient: it would be such as 250 g plain flour.')
    if line.high is not None and line.low > line.high:
        return LineFault("range", f'"{shown}" runs downwards: the smaller number comes first.')
    if (
        line.unit == "each"
        and line.each is None
        and line.mass_g is None
        and line.volume_ml is None
        and line.size is None
        and (found := missing_unit(line.item))
    ):
        kind, word = found
        amount = f"{line.low:g}"
        if kind == "no unit":
            return LineFault(kind, f'"{shown}" has no unit: it would be such as {amount} g {line.item[:40]}.')
        return LineFault(kind, f'"{word}" in "{shown}" is no unit known here: it would be a unit such as g, ml, tsp or cup.')
    return _absurd(line, shown)


def _unread(line: ParsedLine, shown: str) -> LineFault | None:
    number = re.match(r"[\d¼½¾⅐-⅞][\d\s.,/⁄¼½¾⅐-⅞-]*", shown)
    if number is None:
        return None
    try:
        parse_amount(number[0].strip())
    except NotANumber as error:
        return LineFault("no number", f'The amount of "{shown}" can\'t be read: {error}')
    except QuantityError:
        return None
    word = re.match(r"[^\W\d_]+", shown[number.end() :].lstrip())
    if word is None or line.kind != "ingredient":
        return None
    return LineFault("unknown unit", f'"{word[0]}" in "{shown}" is no unit known here: it would be a unit such as g, ml, tsp or cup.')


def _absurd(line: ParsedLine, shown: str) -> LineFault | None:
    too_heavy = line.mass_g is not None and line.mass_g[1] > TONNE_G
    too_large = line.volume_ml is not None and line.volume_ml[1] > TONNE_G
    counted = line.mass_g is None and line.volume_ml is None and line.high is not None and line.high > MOST_COUNTED
    if too_heavy or too_large or counted:
        return LineFault("absurd", f'"{shown}" is more than any kitchen holds: it would be less than a tonne.')
    return None
