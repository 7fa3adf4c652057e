"""Amounts in words: conversions and ingredient lines, with errors in the house's own type."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofpan.study.errors import QuantityError

if TYPE_CHECKING:
    from proofpan.science.measures import Conversion, ParsedLine


def convert(text: str, to: str, country: str | None = None) -> Conversion:
    """An amount, a temperature or an amount per amount in another unit.

    Parameters: text, such as "1 tsp salt per 3 US quart water"; to, a unit such as "g/L"; country, whose spoons and cups are meant
        (without one spoons are 5 and 15 mL, a cup 250, and the interval covers the countries).

    Raises: QuantityError.
    """
    from proofpan.science import measures

    try:
        return measures.convert(text, to, country)
    except measures.QuantityError as error:
        raise QuantityError(str(error)) from None


def parse_line(text: str, country: str | None = None) -> ParsedLine:
    """An ingredient line as amount, unit, item and prep; what isn't understood is kept as written and flagged.

    Raises: QuantityError only when it isn't text.
    """
    from proofpan.science import measures

    if not isinstance(text, str):
        raise QuantityError("An ingredient line is text, such as 250 g plain flour.")
    try:
        return measures.parse_line(text, country)
    except measures.QuantityError as error:
        raise QuantityError(str(error)) from None
