"""To present it: the sheet to speak from and the charts for a screen; sealed until every ballot is in."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ChartLine:
    """One chart: its conclusion, and where its pictures are."""

    headline: str
    wide: str
    tall: str


@dataclass(frozen=True)
class PresentPage:
    """The page."""

    headline: str
    under: str
    sealed: bool
    draft: str
    may_say: tuple[str, ...]
    dont_say: tuple[str, ...]
    charts: tuple[ChartLine, ...]
    sheets: tuple[tuple[str, str], ...]
    tested_href: str
