"""A house style: a small file that says whose measures, spelling, numbers and words a text is written in."""

from __future__ import annotations

import json
import re
import tomllib
from functools import lru_cache, partial
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ValidationError

from proofpan.study.errors import QuantityError, did_you_mean, quoted
from proofpan.study.fields import Doc, Name, Text, wrong
from proofpan.study.words import capital

HERE = "proofpan.study"
MEASURES = ("US", "UK", "AU", "NZ", "metric")
FILE_KEYS = ("source",)         # what a file may say beside the style itself
MOST_BYTES = 100_000


def _measures(value: Any) -> Any:
    text = str(value).strip()
    known = {m.casefold(): m for m in MEASURES}
    if text.casefold() not in known:
        raise wrong(f"The measures {quoted(text)} aren't known here. {did_you_mean(text, MEASURES)}")
    return known[text.casefold()]


class HouseStyle(Doc):
    """How a house writes.

    `measures` whose spoons, cups and names; `metric_first` which of two measures leads; `fan` and `gas` how an oven is set;
    `egg` the size that is meant where a line doesn't say; `numbers`, `space` and `dash` how numbers stand; `words` of the
    spelling, everywhere; `kit` and `method` words for equipment and for what is done, in the method and the list of kit alone;
    `headings` what the list, the method and the kit are called, on screen and on paper.
    """

    name: Name
    measures: Annotated[str, BeforeValidator(_measures)] = "metric"
    metric_first: bool = True
    fan: bool = True
    gas: bool = False
    egg: Text | None = None
    numbers: Literal["fractions", "slashes", "decimals"] = "fractions"
    space: Literal["plain", "thin", "none"] = "plain"
    dash: Literal["–", "to"] = "–"
    words: tuple[tuple[str, str], ...] = ()
    kit: tuple[tuple[str, str], ...] = ()
    method: tuple[tuple[str, str], ...] = ()
    headings: tuple[Text, Text, Text] = ("Take", "Make", "You need")

    def said(self, text: str) -> str:
        """A text with the house's spelling; a capital stays a capital."""
        return replaced(text, self.words)

    def done(self, text: str) -> str:
        """A text of the method or the kit with the house's spelling and its words for kit and method."""
        return replaced(text, (*self.kit, *self.method, *self.words))


def replaced(text: str, pairs: tuple[tuple[str, str], ...]) -> str:
    """A text with each word of the pairs replaced once, the longest first, so that nothing replaced is replaced again."""
    if not pairs or not text:
        return text
    to: dict[str, str] = {}
    for old, new in pairs:
        to.setdefault(old.casefold(), new)
    return _pattern(pairs).sub(partial(_in_case, to), text)


@lru_cache(maxsize=64)
def _pattern(pairs: tuple[tuple[str, str], ...]) -> re.Pattern[str]:
    longest = sorted({old for old, _ in pairs if old}, key=len, reverse=True)
    return re.compile(r"(?<![\w-])(?:" + "|".join(map(re.escape, longest)) + r")(?=(?:e?s)?(?![\w-]))", re.I)


def _in_case(to: dict[str, str], match: re.Match[str]) -> str:
    new = to[match[0].casefold()]
    return capital(new) if match[0][:1].isupper() else new


@lru_cache(maxsize=1)
def house_styles() -> tuple[str, ...]:
    """The styles that come with it."""
    folder = files(HERE) / "house_styles"
    return tuple(sorted(Path(f.name).stem for f in folder.iterdir() if f.name.endswith(".json")))


def house_style(name: str) -> HouseStyle:
    """A style that comes with it ("AU", "NZ", "UK", "US"), or one read from a JSON or TOML file of the same keys.

    Raises: QuantityError for an unknown name, or a file that can't be read.
    """
    known = {k.casefold(): k for k in house_styles()}
    if name.strip().casefold() in known:
        return _built_in(known[name.strip().casefold()])
    if not name.lower().endswith((".json", ".toml")):
        raise QuantityError(f"{quoted(name)} isn't a house style. {did_you_mean(name, house_styles())}")
    path = Path(name).expanduser()
    if not path.is_file():
        raise QuantityError(f"There is no file {quoted(path.name)}: look for it with its full path.")
    return read_style(path.read_bytes(), path.name)


@lru_cache(maxsize=16)
def _built_in(name: str) -> HouseStyle:
    return read_style(style_file(name).encode(), f"{name}.json")


def style_file(name: str) -> str:
    """The text of a style that comes with it, to begin one's own from."""
    return (files(HERE) / "house_styles" / f"{name}.json").read_text(encoding="utf-8")


def read_style(data: bytes, name: str) -> HouseStyle:
    """A style from a file's bytes.

    Raises: QuantityError naming what can't be read.
    """
    if len(data) > MOST_BYTES:
        raise QuantityError(f"The house style {quoted(name)} is too large: a style is a small file.")
    try:
        text = data.decode("utf-8-sig")
        value: Any = tomllib.loads(text) if name.lower().endswith(".toml") else json.loads(text)
    except UnicodeDecodeError:
        raise QuantityError(f"The house style {quoted(name)} isn't text in UTF-8: save it as such.") from None
    except json.JSONDecodeError as error:
        raise QuantityError(f"The house style {quoted(name)} isn't JSON at line {error.lineno}: {error.msg}.") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise QuantityError(f"The house style {quoted(name)} can't be read: {str(error)[:120]}.") from None
    return style_of(value, name)


def style_of(value: Any, name: str) -> HouseStyle:
    """A style from a mapping of its keys.

    Raises: QuantityError naming the key that can't be read.
    """
    if not isinstance(value, dict):
        raise QuantityError(f"The house style {quoted(name)} isn't a mapping of keys such as measures, fan and words.")
    try:
        return HouseStyle.model_validate({k: v for k, v in value.items() if k not in FILE_KEYS})
    except ValidationError as error:
        first = error.errors()[0]
        key = str(first["loc"][0]) if first["loc"] else "the file"
        if first["type"] == "missing":
            says = f"The house style {quoted(name)} has no {key}: give it one."
        elif first["type"] == "extra_forbidden":
            says = f"{quoted(key)} isn't a key of a house style ({quoted(name)}). {did_you_mean(key, list(HouseStyle.model_fields))}"
        else:
            told = (first.get("ctx") or {}).get("says") or first["msg"]
            says = f"The house style {quoted(name)} can't be read at {quoted(key)}: {told}"
        raise QuantityError(says if says.endswith((".", "?")) else says + ".") from None
