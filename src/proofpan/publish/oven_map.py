"""A map of an oven's places as a picture and as rows. Decides nothing."""

from __future__ import annotations

from proofpan.publish.charts import SOFT, svg_picture, words_at
from proofpan.study.bread_map import BreadMap, map_words
from proofpan.study.wording import figure, say

WIDE, TOP, CELL, GAP = 640.0, 32.0, 96.0, 6.0
PALE, DARK = (246, 226, 184), (190, 134, 78)   # toast, from pale to as dark as black figures can be read on
ON_BREAD = "#16171a"


def bread_map(bread: BreadMap) -> str:
    """The tray seen from the door: each place as dark as its bread, with its figure and range."""
    least, most = min(bread.darker), max(bread.darker)
    across = (WIDE - 2 * GAP) / bread.columns
    parts = [words_at(WIDE / 2, TOP - 12, say("back of the oven"), size=18, fill=SOFT)]
    for p, darker in enumerate(bread.darker):
        row, column = divmod(p, bread.columns)
        share = (darker - least) / (most - least) if most > least else 0.5
        fill = "#" + "".join(f"{round(a + share * (b - a)):02x}" for a, b in zip(PALE, DARK, strict=True))
        x, y = GAP + column * across, TOP + row * CELL
        parts.append(f'<rect x="{x + 2:.1f}" y="{y + 2:.1f}" width="{across - 4:.1f}" height="{CELL - 4:.1f}" fill="{fill}"/>')
        parts.append(_figure(x + across / 2, y + CELL / 2, signed(darker), 28))
        parts.append(_figure(x + across / 2, y + CELL / 2 + 28, place_range(bread, p), 18))
    bottom = TOP + bread.rows * CELL
    parts.append(words_at(WIDE / 2, bottom + 20, say("door of the oven"), size=18, fill=SOFT))
    words = map_words(bread)
    return svg_picture(WIDE, bottom + 36, words[0], " ".join(words), "".join(parts))


def _figure(x: float, y: float, text: str, size: int) -> str:
    """Black on bread in a light page and a dark one, so the page's own ink is not for it."""
    return f'<text class="on-bread-{size}" x="{x:.1f}" y="{y:.1f}" text-anchor="middle" font-size="{size}" fill="{ON_BREAD}">{text}</text>'


def map_rows(bread: BreadMap) -> list[list[str]]:
    """The same as rows of text, back of the oven first."""
    cells = [f"{signed(d)} ({place_range(bread, p)})" for p, d in enumerate(bread.darker)]
    wide = max(map(len, cells))
    return [[c.rjust(wide) for c in cells[i : i + bread.columns]] for i in range(0, len(cells), bread.columns)]


def signed(value: float) -> str:
    """`+1.2` or `−0.3`."""
    return figure(value, "+.1f").replace("-", "−")


def place_range(bread: BreadMap, place: int) -> str:
    """The 95 % interval of a place in words."""
    low, high = (ends[place] if place < len(ends) else None for ends in (bread.low, bread.high))
    return say("range unknown") if low is None or high is None else say("{low} to {high}", low=signed(low), high=signed(high))
