"""All versions, whole and cut, at one scale and one white balance, in one picture."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .balance import Balance
from .errors import ColourError
from .photograph import Photograph
from .spaces import LINEAR_OF_8BIT, srgb_from_linear

GAP = 12
LABEL_HEIGHT = 28


@dataclass(frozen=True, eq=False)
class Shot:
    """One picture of the sheet.

    Attributes:
        photograph: as decoded.
        balance: its own correction; None leaves it as it is.
        px_per_mm: its scale; None where no ruler lay in it.
        crop: (left, top, right, bottom) in the photograph's pixels, or None for all of it.
    """

    photograph: Photograph
    balance: Balance | None = None
    px_per_mm: float | None = None
    crop: tuple[int, int, int, int] | None = None


@dataclass(frozen=True, eq=False)
class ContactSheet:
    """The composed picture.

    Attributes:
        srgb: shape (rows, columns, 3), uint8.
        px_per_mm: of the sheet; not a number where the shots had no scale.
        same_scale, same_balance: whether every shot could be brought to one.
        warnings: sentences.
    """

    srgb: NDArray[np.uint8]
    px_per_mm: float
    same_scale: bool
    same_balance: bool
    warnings: tuple[str, ...]


_SRGB_OF_LINEAR = np.rint(np.clip(srgb_from_linear(np.arange(4096) / 4095), 0, 1) * 255).astype(np.uint8)


def _cropped(shot: Shot, name: str) -> NDArray[np.uint8]:
    srgb = shot.photograph.srgb
    if shot.crop is None:
        return srgb
    left, top, right, bottom = shot.crop
    if not (0 <= left < right <= srgb.shape[1] and 0 <= top < bottom <= srgb.shape[0]):
        raise ColourError(f"The crop of {name} doesn't lie within its {srgb.shape[1]} by {srgb.shape[0]} pixels.")
    return srgb[top:bottom, left:right]


def _scaled(srgb: NDArray[np.uint8], balance: Balance | None, height: int, width: int) -> NDArray[np.uint8]:
    """Resized by area in linear light, then balanced."""
    from PIL import Image

    light = LINEAR_OF_8BIT[srgb]
    channels = [
        np.asarray(Image.fromarray(np.ascontiguousarray(light[..., k])).resize((width, height), Image.Resampling.BOX)) for k in range(3)
    ]
    linear = np.stack(channels, axis=2)
    if balance is not None:
        linear = balance.apply(linear)
    return _SRGB_OF_LINEAR[np.rint(np.clip(linear, 0, 1) * 4095).astype(int)]


def contact_sheet(
    rows: Sequence[Sequence[Shot]], *, labels: Sequence[str] | None = None, width_px: int = 2000, columns: int = 2
) -> ContactSheet:
    """Compose the sheet.

    Parameters:
        rows: one entry a version, each with its shots (whole, cut …) side by side; shown in the order given, so shuffle them
            while the tasting is blind.
        labels: one a version, None while blind: no name, number or file detail is then drawn.
        width_px: of the sheet.
        columns: versions side by side.
    Returns: the sheet; where a scale or a reference is missing the sheet is made all the same, and says so.
    Raises: ColourError, for no shot, labels that don't match, or a crop outside its photograph.
    """
    if not rows or not all(len(row) for row in rows):
        raise ColourError("A contact sheet needs at least one photograph of each version.")
    if labels is not None and len(labels) != len(rows):
        raise ColourError(f"{len(rows)} versions need as many labels, not {len(labels)}.")
    columns = max(min(columns, len(rows)), 1)
    across = max(len(row) for row in rows)
    cell = (width_px - GAP) // (columns * across) - GAP
    if cell < 16:
        raise ColourError(f"{columns * across} pictures don't fit side by side in {width_px} pixels; use fewer columns.")
    pieces = [[_cropped(s, f"picture {j + 1} of version {i + 1}") for j, s in enumerate(r)] for i, r in enumerate(rows)]
    shots = [shot for row in rows for shot in row]
    scales = [s.px_per_mm for s in shots]
    same_scale = all(x is not None and math.isfinite(x) and x > 0 for x in scales)
    flat = [p for row in pieces for p in row]
    if same_scale:
        # the largest piece in millimetres fills its cell; all others keep its scale
        most_mm = max(max(p.shape[:2]) / float(x or 1) for p, x in zip(flat, scales, strict=True))
        px_per_mm = cell / most_mm
        factors = [px_per_mm / float(x or 1) for x in scales]
    else:
        px_per_mm = math.nan
        factors = [cell / max(p.shape[:2]) for p in flat]
    label_height = LABEL_HEIGHT if labels is not None else 0
    block = cell + GAP + label_height
    deep = math.ceil(len(rows) / columns)
    sheet = np.full((deep * block + GAP, width_px, 3), 255, dtype=np.uint8)
    k = 0
    for i, row in enumerate(pieces):
        top = GAP + (i // columns) * block
        left = GAP + (i % columns) * across * (cell + GAP)
        for j, piece in enumerate(row):
            height = max(min(int(round(piece.shape[0] * factors[k])), cell), 1)
            width = max(min(int(round(piece.shape[1] * factors[k])), cell), 1)
            made = _scaled(piece, rows[i][j].balance, height, width)
            y, x = top + (cell - height) // 2, left + j * (cell + GAP) + (cell - width) // 2
            sheet[y : y + height, x : x + width] = made
            k += 1
        if labels is not None:
            _write(sheet, labels[i], left, top + cell + 2, across * (cell + GAP) - GAP)
    kinds = [s.balance.kind if s.balance else "none" for s in shots]
    same_balance = all(kind != "none" for kind in kinds)
    warnings = []
    if not same_scale:
        warnings.append("Not at one scale: a ruler or marker is missing in some photographs.")
    if not same_balance:
        warnings.append("Not at one white balance: a grey card, white plate or chart is missing in some photographs.")
    sheet.setflags(write=False)
    return ContactSheet(sheet, px_per_mm, same_scale, same_balance, tuple(warnings))


def _write(sheet: NDArray[np.uint8], text: str, left: int, top: int, width: int) -> None:
    from PIL import Image, ImageDraw, ImageFont

    strip = Image.new("L", (width, LABEL_HEIGHT - 4), 255)
    draw = ImageDraw.Draw(strip)
    font = ImageFont.load_default(18)
    while text and draw.textlength(text, font=font) > width:
        text = text[:-2].rstrip() + "…" if len(text) > 2 else ""
    draw.text((0, 0), text, fill=0, font=font)
    sheet[top : top + LABEL_HEIGHT - 4, left : left + width] = np.asarray(strip)[..., None]
