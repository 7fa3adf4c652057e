"""A house style: a small file that says whose measures, spelling and words a text is written in."""

from __future__ import annotations

import json
import re
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from proofpan.study.errors import QuantityError, did_you_mean, quoted
from proofpan.study.fields import Doc, Name, Text
from proofpan.study.words import capital

HERE = "proofpan.steps"


class HouseStyle(Doc):
    """Whose measures (`measures`), how oven settings and eggs are meant, and [from, to] pairs for spelling and words."""

    name: Name
    measures: Name = "metric"
    metric_first: bool = True
    fan: bool = True
    egg: Text = "large"
    words: tuple[tuple[str, str], ...] = ()

    def said(self, text: str) -> str:
        """A text with the house's spelling and words; a capital stays a capital."""
        for old, new in self.words:
            text = re.sub(rf"\b{re.escape(old)}\b", partial(_in_case, new), text, flags=re.I)
        return text


def _in_case(new: str, match: re.Match[str]) -> str:
    return capital(new) if match[0][:1].isupper() else new


def house_styles() -> tuple[str, ...]:
    """The styles that come with it."""
    folder = files(HERE) / "house_styles"
    return tuple(sorted(Path(f.name).stem for f in folder.iterdir() if f.name.endswith(".json")))


def house_style(name: str) -> HouseStyle:
    """A style that comes with it ("AU", "NZ", "UK", "US"), or one read from a JSON file of the same keys.

    Raises: QuantityError for an unknown name, or a file that can't be read.
    """
    known = house_styles()
    if name in known:
        return _style((files(HERE) / "house_styles" / f"{name}.json").read_text(encoding="utf-8"), name)
    if not name.endswith(".json"):
        raise QuantityError(f"{quoted(name)} isn't a house style. {did_you_mean(name, known)}")
    path = Path(name)
    if not path.is_file():
        raise QuantityError(f"There is no file {quoted(path.name)}: look for it with its full path.")
    return _style(path.read_text(encoding="utf-8", errors="replace"), path.name)


def _style(text: str, name: str) -> HouseStyle:
    try:
        value: Any = json.loads(text)
    except json.JSONDecodeError as error:
        raise QuantityError(f"The house style {quoted(name)} isn't JSON at line {error.lineno}: {error.msg}.") from None
    try:
        return HouseStyle.model_validate({k: v for k, v in value.items() if k != "source"} if isinstance(value, dict) else value)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(p) for p in first["loc"]) or "the file"
        raise QuantityError(f"The house style {quoted(name)} can't be read at {quoted(key)}. {did_you_mean(key, list(HouseStyle.model_fields))}") from None
