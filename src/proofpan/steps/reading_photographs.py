"""Photographs of one trial: the colour of its pieces, or the pores of a cut face; taps put right what was taken for food or reference."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from proofpan.steps.reading_reports import ReadingReport, figure_of
from proofpan.study.errors import TrialError

if TYPE_CHECKING:
    from proofpan.science.colour import Balance, ColourReading, CutFace, Photograph

Point = tuple[float, float]


def read_colour(photographs: Sequence[bytes], **taps: Any) -> ReadingReport:
    """Photographs of one trial: lightness, colour, browning, evenness, share over-browned.

    Parameters: taps, as for `colour_reading`.
    Raises: TrialError when a photograph can't be read or shows no food.
    """
    return colour_reading(photographs, **taps)[0]


def colour_reading(
    photographs: Sequence[bytes], *, reference: str | None = None, card: Sequence[Point] = (), include: Sequence[Point] = (),
    exclude: Sequence[Point] = (), share: bool = False, split: bool = False, each: Sequence[Mapping[str, Any]] = (),
    tell: Callable[[int, int], None] | None = None,
) -> tuple[ReadingReport, ColourReading]:
    """As `read_colour`, with what it rests on, to be drawn.

    Parameters: reference, "grey card", "white plate", "24-patch chart", "none", or None to look for one; card, taps on it; include,
        exclude, taps on what is food and what isn't; split, part pieces that touch; share, taps are shares (0 to 1) of the width and
        height, not pixels; each, these for every photograph by itself, in their order; tell, called with how many were measured, of how many.
    Raises: TrialError when a photograph can't be read or shows no food, and for taps that don't say which photograph they belong to.
    """
    from proofpan.science import colour

    if len(photographs) > 1 and (card or include or exclude):
        raise TrialError("Taps belong to one photograph: give one at a time.")
    alike: dict[str, Any] = {"reference": reference, "card": card, "include": include, "exclude": exclude, "share": share, "split": split}
    own = [{**alike, **dict(each[i])} if i < len(each) else alike for i in range(len(photographs))]
    try:
        measured = []
        for i, (data, taps) in enumerate(zip(photographs, own, strict=True)):
            if tell is not None:
                tell(i, len(photographs))
            measured.append(measured_photograph(data, **taps)[1])
        found = measured[0] if len(measured) == 1 else colour.join(measured)
    except colour.ColourError as error:
        raise TrialError(str(error)) from None
    return ReadingReport(kind="colour", figures=tuple(figure_of(r) for r in found.readings.values()), warnings=tuple(found.warnings),
                         cautions=(found.caution,) if found.caution else ()), found


def measured_photograph(
    data: bytes, *, reference: str | None = None, card: Sequence[Point] = (), include: Sequence[Point] = (), exclude: Sequence[Point] = (),
    share: bool = False, split: bool = False,
) -> tuple[Photograph, ColourReading]:
    """One photograph and what was found on it.

    Raises: TrialError for taps outside it; ColourError when it can't be read or shows no food.
    """
    from proofpan.science import colour
    from proofpan.science.colour.decode import decode

    picture = decode(data)
    deep, wide = picture.srgb.shape[:2]
    on_card, food, other = (in_pixels(points, wide, deep, share) for points in (card, include, exclude))
    return picture, colour.measure(picture, reference=reference, reference_points=on_card or None, include=food, exclude=other,
                                   split_touching=split)


def in_pixels(points: Sequence[Point], wide: int, deep: int, share: bool) -> list[Point]:
    """Taps in the photograph's own points.

    Raises: TrialError for one outside it.
    """
    out = [(x * (wide - 1), y * (deep - 1)) if share else (x, y) for x, y in points]
    if any(not (0 <= x < wide and 0 <= y < deep) for x, y in out):
        raise TrialError(f"A tap lies outside the photograph, which is {wide} by {deep} points.")
    return out


def read_cut_face(photograph: bytes, scale: tuple[float, float, float, float, float], **how: Any) -> ReadingReport:
    """A cut or broken face lit from the side: porosity, size and number of cells.

    Parameters: as for `cut_face_reading`.
    Raises: TrialError when the photograph can't be read or no pore is seen.
    """
    return cut_face_reading(photograph, scale, **how)[0]


def cut_face_reading(
    photograph: bytes, scale: tuple[float, float, float, float, float], *, crop: tuple[float, float, float, float] | None = None,
    share: bool = False,
) -> tuple[ReadingReport, CutFace]:
    """As `read_cut_face`, with the cells, to be drawn.

    Parameters: scale, x and y of two marks a known length apart, in pixels, and that length in mm; crop, (left, top, right, bottom) of
        nothing but crumb; share, marks and crop are shares (0 to 1) of the width and height, not pixels.
    Raises: TrialError when the photograph can't be read or no pore is seen.
    """
    from proofpan.science import colour
    from proofpan.science.colour.decode import decode

    x1, y1, x2, y2, length_mm = scale
    if not (math.isfinite(length_mm) and length_mm > 0):
        raise TrialError(f"Two marks {length_mm:g} mm apart can't be: give the millimetres between them.", field="mm")
    try:
        picture = decode(photograph)
        deep, wide = picture.srgb.shape[:2]
        one, two = in_pixels([(x1, y1), (x2, y2)], wide, deep, share)
        part = None
        if crop is not None:
            corners = [(crop[0], crop[1]), (crop[2], crop[3])]
            (left, top), (right, bottom) = in_pixels(corners, wide, deep, share) if share else corners
            part = (int(min(left, right)), int(min(top, bottom)), int(max(left, right)), int(max(top, bottom)))
        found = colour.cut_face(picture, colour.scale_from_marker(one, two, length_mm), crop=part)
    except colour.ColourError as error:
        raise TrialError(str(error)) from None
    report = ReadingReport(kind="cut-face", figures=tuple(figure_of(r) for r in found.readings.values()), warnings=tuple(found.warnings))
    return report, found


def px_per_mm(
    picture: Photograph, balance: Balance, marks: Sequence[Point], mm: float | None, plate_mm: float | None
) -> float | None:
    """Scale of a photograph: from two marks (shares of width and height) a known length apart, else from a plate of known diameter."""
    from proofpan.science import colour

    deep, wide = picture.srgb.shape[:2]
    if len(marks) == 2 and mm:
        one, two = in_pixels(marks, wide, deep, True)
        try:
            return colour.scale_from_marker(one, two, mm).px_per_mm
        except colour.ColourError:
            return None
    if plate_mm:
        found = colour.scale_from_plate(balance, wide, plate_mm)
        return found.px_per_mm if found else None
    return None
