"""Taps on a photograph, as numbers: hundredths of its width and height, so that a picture shown smaller means the same."""

from __future__ import annotations

import re
from typing import Any

from proofpan.study.errors import TrialError
from proofpan.web.desk import Typed

TAP = re.compile(r"(\d{1,3}(?:\.\d+)?)\s*,\s*(\d{1,3}(?:\.\d+)?)")
MOST_TAPS = 40
Taps = list[tuple[float, float]]


def taps_in(form: Typed, name: str) -> Taps:
    """The taps of one field, as shares of width and height.

    Raises: TrialError for what isn't a place within the photograph.
    """
    out: Taps = []
    for word in re.sub(r"\s*,\s*", ",", form.get(name)).replace(";", " ").split():
        found = TAP.fullmatch(word)
        if found is None or max(float(found[1]), float(found[2])) > 100:
            raise TrialError(f"“{word[:20]}” isn’t a place: hundredths from the left and from the top, like 40,55.", field=name)
        out.append((float(found[1]) / 100, float(found[2]) / 100))
    if len(out) > MOST_TAPS:
        raise TrialError(f"{len(out)} taps are many: at most {MOST_TAPS}.", field=name)
    return out


def taps_of(form: Typed) -> dict[str, Any]:
    """What `read_colour` takes from a form's taps."""
    taps: dict[str, Any] = {name: taps_in(form, name) for name in ("card", "include", "exclude")}
    reference = form.get("reference") or ("grey card" if taps["card"] else None)
    return {**taps, "reference": reference, "share": True, "split": bool(form.get("split"))}


def marks_of(form: Typed) -> tuple[Taps, float]:
    """Two marks of a ruler and the millimetres between them.

    Raises: TrialError where they aren't two, or the length isn't a number.
    """
    marks = taps_in(form, "marks")
    try:
        length_mm = float(form.get("mm").replace(",", "."))
    except ValueError:
        raise TrialError("Say how many millimetres the two marks lie apart.", field="mm") from None
    if len(marks) != 2:
        raise TrialError("Tap two marks of a ruler, a known length apart.", field="marks")
    return marks, length_mm


def crumb_of(form: Typed) -> dict[str, Any]:
    """What `read_cut_face` takes: two marks, and two corners of nothing but crumb where they were tapped."""
    marks, length_mm = marks_of(form)
    corners = taps_in(form, "corners")
    if corners and len(corners) != 2:
        raise TrialError("The crumb lies between two corners: tap two, or none.", field="corners")
    return {
        "scale": (*marks[0], *marks[1], length_mm),
        "crop": (*corners[0], *corners[1]) if corners else None,
        "share": True,
    }
