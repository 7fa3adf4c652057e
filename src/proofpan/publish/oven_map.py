"""A map of an oven's places as a picture and as rows. Decides nothing."""

from __future__ import annotations

from proofpan.publish.charts import INK, PAPER, SOFT, _svg, _text
from proofpan.study.bread_map import BreadMap, map_words

WIDE, TOP, CELL, GAP = 640.0, 64.0, 96.0, 6.0
PALE, DARK = (246, 226, 184), (120, 74, 34)   # toast, from pale to dark


def bread_map(bread: BreadMap) -> str:
    """The tray seen from the door: each place as dark as its bread, with its figure and range."""
    least, most = min(bread.darker), max(bread.darker)
    across = (WIDE - 2 * GAP) / bread.columns
    parts = [_text(WIDE / 2, TOP - 12, "back of the oven", size=13, fill=SOFT)]
    for p, darker in enumerate(bread.darker):
        row, column = divmod(p, bread.columns)
        share = (darker - least) / (most - least) if most > least else 0.5
        fill = "#" + "".join(f"{round(a + share * (b - a)):02x}" for a, b in zip(PALE, DARK, strict=True))
        x, y = GAP + column * across, TOP + row * CELL
        ink = PAPER if share > 0.55 else INK
        parts.append(f'<rect x="{x + 2:.1f}" y="{y + 2:.1f}" width="{across - 4:.1f}" height="{CELL - 4:.1f}" fill="{fill}"/>')
        parts.append(_text(x + across / 2, y + CELL / 2, _signed(darker), size=24, fill=ink))
        parts.append(_text(x + across / 2, y + CELL / 2 + 24, _range(bread, p), size=13, fill=ink))
    bottom = TOP + bread.rows * CELL
    parts.append(_text(WIDE / 2, bottom + 20, "door. Figures: L* below the tray's mean; the higher, the browner", size=13, fill=SOFT))
    words = map_words(bread)
    return _svg(WIDE, bottom + 36, words[0], " ".join(words), "".join(parts))


def map_rows(bread: BreadMap) -> list[list[str]]:
    """The same as rows of text, back of the oven first."""
    cells = [f"{_signed(d)} ({_range(bread, p)})" for p, d in enumerate(bread.darker)]
    wide = max(map(len, cells))
    return [[c.rjust(wide) for c in cells[i : i + bread.columns]] for i in range(0, len(cells), bread.columns)]


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")


def _range(bread: BreadMap, place: int) -> str:
    low, high = (ends[place] if place < len(ends) else None for ends in (bread.low, bread.high))
    return "range unknown" if low is None or high is None else f"{_signed(low)} to {_signed(high)}"
