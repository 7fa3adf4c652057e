"""Paper ballots typed in on one grid."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.web.marks import Line


@dataclass(frozen=True)
class PaperRow:
    """One plate of one taster: a code and a cell a line; what is with the kitchen stands there already."""

    taster: str
    code: str
    key: str
    place: int
    cells: tuple[tuple[str, str], ...]
    kept: bool


@dataclass(frozen=True)
class PaperPage:
    """The grid."""

    headline: str
    lines: tuple[Line, ...]
    rows: tuple[PaperRow, ...]
    action: str
    tasting_href: str
