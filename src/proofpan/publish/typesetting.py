"""Setting a document as PDF or PNG: a template, its data as JSON, our own fonts, the same bytes for the same input."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any


class SettingError(RuntimeError):
    """A template that can't be set: a fault of ours, never of the cook's."""


@cache
def _fonts() -> Any:
    import typst

    folder = str(files("proofpan.publish") / "fonts")
    return typst.Fonts(font_paths=[folder], include_system_fonts=False, include_embedded_fonts=True)


def _set(template: str, data: Mapping[str, Any], pictures: Mapping[str, str] | None, form: str, ppi: float | None) -> Any:
    import typst

    here = files("proofpan.publish") / "templates"
    sources: dict[str, bytes] = {"main.typ": (here / f"{template}.typ").read_bytes(), "house.typ": (here / "house.typ").read_bytes()}
    for name, svg in (pictures or {}).items():
        sources[name] = _inked(svg).encode("utf-8")
    given = {"main": sources.pop("main.typ"), **sources}
    options: dict[str, Any] = {"format": form, "font_paths": _fonts(), "sys_inputs": {"data": json.dumps(data, ensure_ascii=False)}}
    if ppi is not None:
        options["ppi"] = ppi
    try:
        return typst.compile(given, **options)
    except typst.TypstError as error:
        raise SettingError(str(error)) from error


def _inked(svg: str) -> str:
    """A page's picture on paper: black ink, no variables."""
    paper = {"ink": "#000000", "ink-soft": "#333333", "enamel": "#000000", "hatch": "#777777", "paper": "#ffffff"}
    for name, colour in paper.items():
        for given in ("#17191b", "#474c50", "#1746a2", "#a9aea9", "#fcfcf9"):
            svg = svg.replace(f"var(--{name}, {given})", colour)
    return svg.replace(' width="100%"', "")


def pdf(template: str, data: Mapping[str, Any], pictures: Mapping[str, str] | None = None) -> bytes:
    """A document as PDF. Parameters: template, its name; data, plain values; pictures, SVG by file name."""
    return bytes(_set(template, data, pictures, "pdf", None))


def png(template: str, data: Mapping[str, Any], pictures: Mapping[str, str] | None = None, *, ppi: float = 144) -> bytes:
    """A document's only page as PNG."""
    found = _set(template, data, pictures, "png", ppi)
    return bytes(found[0] if isinstance(found, list) else found)
