"""Field types that every document shares: names, texts, numbers, dates, as a cook writes them in a file."""

from __future__ import annotations

import math
from datetime import date, datetime
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

from proofpan.study.errors import quoted

Pairs = tuple[tuple[str, tuple[str, ...]], ...]
VersionPairs = tuple[tuple[str, str], ...]


class Doc(BaseModel):
    """A document: immutable, and strict about its keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, arbitrary_types_allowed=False)


def wrong(says: str) -> PydanticCustomError:
    """A complaint that is already a sentence."""
    return PydanticCustomError("sentence", "{says}", {"says": says})


def as_text(value: Any) -> str:
    """Text, or a number as it was written (190.0 is 190)."""
    if isinstance(value, bool):
        word = "true" if value else "false"
        raise wrong(f"A bare {word} is a truth value: put it in quotes to use it as a word.")
    written = getattr(value, "written", None)
    if isinstance(value, (int, float)):
        if isinstance(value, float) and not math.isfinite(value):
            raise wrong("A name or text is wanted here, not .nan or .inf: put it in quotes to use it as a word.")
        return plain_number(float(value)) if float(value) == int(value) else str(written or value)
    if isinstance(value, (date, datetime)):
        return value.isoformat()
    if not isinstance(value, str):
        kind = "a list" if isinstance(value, (list, tuple)) else "nothing" if value is None else "a group of keys"
        raise wrong(f"Text is wanted here, not {kind}.")
    return value


def plain_number(value: float) -> str:
    """190.0 as 190, 2.5 as 2.5."""
    return str(int(value)) if value == int(value) else repr(float(value))


def _name(value: Any) -> str:
    text = as_text(value).strip()
    if not text:
        raise wrong("A name is empty: give it a word.")
    bad = next((c for c in ";=\n\r" if c in text), None)
    if bad is not None:
        shown = "a line break" if bad in "\n\r" else f"“{bad}”"
        raise wrong(f"The name {quoted(text)} holds {shown}: names hold no “;”, “=” or line break.")
    if len(text) > 120:
        raise wrong(f"The name {quoted(text)} is longer than 120 characters.")
    return text


def as_number(value: Any) -> float:
    """A finite number; never a truth value or text."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise wrong(f"{quoted(value)} isn't a number.")
    if not math.isfinite(value):
        raise wrong(f"{value} isn't a finite number.")
    return float(value)


def _positive(value: Any) -> float:
    number = as_number(value)
    if number <= 0:
        raise wrong(f"{plain_number(number)} isn't above zero: a positive number is wanted.")
    return number


def _not_negative(value: Any) -> float:
    number = as_number(value)
    if number < 0:
        raise wrong(f"{plain_number(number)} is negative: zero or more is wanted.")
    return number


def _count(value: Any) -> int:
    number = as_number(value)
    if number != int(number) or number < 1:
        raise wrong(f"{plain_number(number)} isn't a whole number of 1 or more.")
    return int(number)


def _day(value: Any) -> date:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(str(value).strip())
    except ValueError:
        raise wrong(f"{quoted(value)} isn't a date: write it as 2026-05-29.") from None


def as_list(value: Any) -> Any:
    """A list stays one; a single text becomes a list of one; anything else is for pydantic to refuse."""
    return [value] if isinstance(value, (str, int, float)) and not isinstance(value, bool) else value


def pairs_of_options(value: Any) -> Any:
    """`{other: option}` or `{other: [options]}` as pairs."""
    if isinstance(value, dict):
        return tuple((_name(k), tuple(_name(o) for o in as_list(v) or ())) for k, v in value.items())
    return value


def pairs_of_names(value: Any) -> Any:
    """`{factor: option}` as pairs."""
    if isinstance(value, dict):
        return tuple((_name(k), _name(v)) for k, v in value.items())
    return value


Name = Annotated[str, BeforeValidator(_name)]
Text = Annotated[str, BeforeValidator(as_text)]
Finite = Annotated[float, BeforeValidator(as_number)]
Positive = Annotated[float, BeforeValidator(_positive)]
NotNegative = Annotated[float, BeforeValidator(_not_negative)]
Count = Annotated[int, BeforeValidator(_count)]
Day = Annotated[date, BeforeValidator(_day)]
Names = Annotated[tuple[Name, ...], BeforeValidator(as_list)]
Texts = Annotated[tuple[Text, ...], BeforeValidator(as_list)]
When = Annotated[Pairs, BeforeValidator(pairs_of_options)]
VersionText = Annotated[VersionPairs, BeforeValidator(pairs_of_names)]
Probability = Annotated[float, BeforeValidator(as_number), Field(gt=0, lt=1)]


def one_of(*words: str) -> Any:
    """A validator for a word out of a few."""

    def check(value: Any) -> Any:
        if value not in words:
            known = ", ".join(words[:-1]) + f" or {words[-1]}"
            raise wrong(f"{quoted(value)} isn't known here: {known}.")
        return value

    return BeforeValidator(check)
