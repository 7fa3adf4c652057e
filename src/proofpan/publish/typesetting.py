"""Setting a document as PDF or PNG: a template, its data as JSON, our own fonts, the same bytes for the same input."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from proofpan.study.errors import StudyError
from proofpan.study.wording import spoken
from proofpan.study.words import unbroken

# Written another way on paper: the house's fonts hold no glyph for these.
WRITTEN = {"⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "✓": "x"}


_MARKED = re.compile(r'\btr\(("(?:[^"\\]|\\.)*")')


class SettingError(StudyError):
    """A paper that can't be set as meant: a template at fault, or a sign that our fonts don't hold."""


@cache
def _fonts() -> Any:
    import typst

    folder = str(files("proofpan.publish") / "fonts")
    return typst.Fonts(font_paths=[folder], include_system_fonts=False, include_embedded_fonts=False)


def _set(template: str, data: Mapping[str, Any], pictures: Mapping[str, str] | None, form: str, ppi: float | None,
         said: Callable[[str], str] = str) -> Any:
    import typst

    here = files("proofpan.publish") / "templates"
    data = unbroken_in(writable(data))
    sources: dict[str, bytes] = {"main.typ": (here / f"{template}.typ").read_bytes(), "house.typ": (here / "house.typ").read_bytes()}
    for name, picture in (pictures or {}).items():
        # a photograph within an SVG is a megabyte of base64 that holds no words
        sources[name] = (picture if "data:image/" in picture else writable(_inked(picture))).encode("utf-8")
    given = {"main": sources.pop("main.typ"), **sources}
    words = {text: said(words) for text, words in _said(template).items()}
    inputs = {"data": json.dumps(data, ensure_ascii=False), "words": json.dumps(words, ensure_ascii=False),
              "language": spoken().locale.split("-")[0]}
    options: dict[str, Any] = {"format": form, "font_paths": _fonts(), "sys_inputs": inputs}
    if ppi is not None:
        options["ppi"] = ppi
    try:
        found, warnings = typst.compile_with_warnings(given, **options)
    except typst.TypstError as error:
        raise SettingError(str(error)) from error
    if warnings:
        raise SettingError(f"{template}: " + "; ".join(w.message for w in warnings))
    return found


def template_texts(template: str) -> list[str]:
    """The fixed texts of a paper's template, in their order. Parameters: template, its name, such as card, or house for what all share."""
    source = (files("proofpan.publish") / "templates" / f"{template}.typ").read_text(encoding="utf-8")
    return [json.loads(found) for found in _MARKED.findall(source)]


@cache
def _texts(template: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys([*template_texts("house"), *template_texts(template)]))


def _said(template: str) -> dict[str, str]:
    """{English: what is said} of a template's texts in the language that is spoken here; what is in a sign our fonts don't hold is refused."""
    return dict(writable({text: spoken().as_it_stands(text) for text in _texts(template)}))


@cache
def _signs() -> frozenset[str]:
    """Every sign of which our fonts hold a glyph; fonts/signs.txt is kept true by a test."""
    return frozenset((files("proofpan.publish") / "fonts" / "signs.txt").read_text(encoding="utf-8")) | {"\n", "\t"}


def writable(value: Any) -> Any:
    """The same values in signs that our fonts hold: fractions spelt out, an unheld accent dropped, else SettingError."""
    if isinstance(value, str):
        return value if _signs().issuperset(value) else "".join(_written(c) for c in value)
    if isinstance(value, Mapping):
        return {k: writable(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [writable(v) for v in value]
    return value


def unbroken_in(value: Any) -> Any:
    """The same values with each number kept on one line with its unit."""
    if isinstance(value, str):
        return unbroken(value)
    if isinstance(value, Mapping):
        return {k: unbroken_in(v) for k, v in value.items()}
    return [unbroken_in(v) for v in value] if isinstance(value, list | tuple) else value


def _written(sign: str) -> str:
    if sign in _signs():
        return sign
    plain = WRITTEN.get(sign) or "".join(c for c in unicodedata.normalize("NFKD", sign) if not unicodedata.combining(c))
    if not plain or not _signs().issuperset(plain):
        raise SettingError(f"The paper's letters have no “{sign}” ({unicodedata.name(sign, 'unnamed')}): write that word in Latin, Greek or Cyrillic letters.")
    return plain


def _inked(svg: str) -> str:
    """A page's picture on paper: black ink, no variables."""
    paper = {"ink": "#000000", "ink-soft": "#333333", "enamel": "#000000", "hatch": "#777777", "paper": "#ffffff"}
    for name, colour in paper.items():
        for given in ("#17191b", "#474c50", "#1746a2", "#a9aea9", "#fcfcf9"):
            svg = svg.replace(f"var(--{name}, {given})", colour)
    return svg.replace(' width="100%"', "").replace("'Atkinson Hyperlegible Next', system-ui, sans-serif", "Atkinson Hyperlegible Next")


def pdf(template: str, data: Mapping[str, Any], pictures: Mapping[str, str] | None = None, *, said: Callable[[str], str] = str) -> bytes:
    """A document as PDF.

    Parameters: template, its name; data, plain values; pictures, SVG by file name (a photograph lies within one as data); said, how a kitchen says a
        fixed text of the template: a US one has a gray card.
    """
    return bytes(_set(template, data, pictures, "pdf", None, said))


def png(template: str, data: Mapping[str, Any], pictures: Mapping[str, str] | None = None, *, ppi: float = 144) -> bytes:
    """A document's only page as PNG."""
    found = _set(template, data, pictures, "png", ppi)
    return bytes(found[0] if isinstance(found, list) else found)
