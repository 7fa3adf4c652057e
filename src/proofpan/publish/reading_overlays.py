"""A photograph with what was measured outlined on it: the pieces with their numbers, the card or plate, the cells of a crumb."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray

WIDEST = 1400
LIGHT, DARK, BLUE = (255, 255, 255), (16, 16, 16), (23, 70, 162)


def _at(mask: NDArray[np.generic], size: tuple[int, int]) -> NDArray[np.generic]:
    """A map of the measured squares at the picture's size, without mixing labels."""
    rows = np.minimum((np.arange(size[1]) + 0.5) * mask.shape[0] / size[1], mask.shape[0] - 1).astype(int)
    columns = np.minimum((np.arange(size[0]) + 0.5) * mask.shape[1] / size[0], mask.shape[1] - 1).astype(int)
    return mask[rows[:, None], columns]


def _edges(labels: NDArray[np.generic]) -> NDArray[np.bool_]:
    out = np.zeros(labels.shape, dtype=bool)
    down, across = labels[1:] != labels[:-1], labels[:, 1:] != labels[:, :-1]
    out[1:] |= down
    out[:-1] |= down
    out[:, 1:] |= across
    out[:, :-1] |= across
    return out


def outlined(
    srgb: NDArray[np.uint8], labels: NDArray[np.int32] | None, reference: NDArray[np.bool_] | None = None, *, numbers: bool = True
) -> bytes:
    """A JPEG of at most 1,400 points a side.

    Parameters: srgb, shape (rows, columns, 3); labels, of any smaller shape, 0 = nothing, outlined in blue and numbered; reference, true
        where the card or plate lies, outlined in black and white dashes.
    """
    from PIL import Image, ImageDraw, ImageFont

    picture = Image.fromarray(np.ascontiguousarray(srgb))
    picture.thumbnail((WIDEST, WIDEST))
    pixels = np.array(picture)
    if labels is not None:
        shown = _at(labels, picture.size)
        edge = _edges(shown)
        if numbers:
            pixels[_edges(_edges(_edges(edge)))] = LIGHT
            pixels[_edges(edge)] = BLUE
        else:
            pixels[edge] = BLUE
    if reference is not None and reference.any():
        edge = _edges(_edges(_at(reference, picture.size)))
        dash = (np.add.outer(np.arange(edge.shape[0]), np.arange(edge.shape[1])) // 8) % 2 == 0
        pixels[edge & dash], pixels[edge & ~dash] = DARK, LIGHT
    made = Image.fromarray(pixels)
    if labels is not None and numbers:
        draw, font = ImageDraw.Draw(made), ImageFont.load_default(max(14, made.width // 36))
        for k in range(1, int(labels.max()) + 1):
            rows, columns = np.nonzero(shown == k)
            if rows.size:
                where = (float(np.median(columns)), float(np.median(rows)))
                draw.text(where, str(k), fill=LIGHT, font=font, anchor="mm", stroke_width=3, stroke_fill=DARK)
    out = io.BytesIO()
    made.save(out, "JPEG", quality=85)
    return out.getvalue()


def overlay_of_colour(srgb: NDArray[np.uint8], reading: object) -> bytes:
    """What was taken for food and for the reference, of one photograph's `ColourReading`."""
    return outlined(srgb, reading.labels, reading.balances[0].region)  # type: ignore[attr-defined]


def overlay_of_crumb(srgb: NDArray[np.uint8], face: object) -> bytes:
    """The cells of a `CutFace`, on the part that was measured."""
    left, top, right, bottom = face.crop  # type: ignore[attr-defined]
    return outlined(srgb[top:bottom, left:right], face.labels, numbers=False)  # type: ignore[attr-defined]
