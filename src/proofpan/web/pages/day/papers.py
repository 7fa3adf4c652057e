"""What the day's papers are printed on: the country's sheet or the other one, and labels by their measures."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.publish.sheets import LABEL_SHEETS
from proofpan.study.countries import paper_of

NAMES = {"a4": "A4", "us-letter": "US Letter"}
MEASURES = (
    ("columns", "Columns", "columns"), ("rows", "Rows", "rows"), ("width_mm", "A label wide, mm", "width"), ("height_mm", "A label high, mm", "height"),
    ("margin_x_mm", "Free at the left, mm", "margin_x"), ("margin_y_mm", "Free at the top, mm", "margin_y"), ("gap_mm", "Between columns, mm", "gap"),
    ("row_gap_mm", "Between rows, mm", "row_gap"),
)


@dataclass(frozen=True)
class PaperPart:
    """The sheet that the links of the page print on, the way to the other, and the usual sheet of labels to change."""

    paper: str
    words: str
    query: str
    other_words: str
    other_href: str
    labels: tuple[tuple[str, str, str], ...]


def paper_part(country: str | None, wanted: str, action: str) -> PaperPart:
    """The country's sheet, or the one that was asked for."""
    paper = wanted if wanted in NAMES else paper_of(country)
    other = next(name for name in NAMES if name != paper)
    usual = LABEL_SHEETS[paper]
    return PaperPart(paper, NAMES[paper], f"?paper={paper}", NAMES[other], f"{action}?paper={other}",
                     tuple((name, words, f"{usual[key]:g}") for name, words, key in MEASURES))
