"""One reading, drawn, with the table behind the picture."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.web.pages.readings.drawn import Drawn
from proofpan.web.pages.readings.page import FigureLine


@dataclass(frozen=True)
class Original:
    """A file that was brought in."""

    name: str
    href: str
    size: str


@dataclass(frozen=True)
class ReadingPage:
    """The page."""

    headline: str
    under: str
    drawn: Drawn
    figures: tuple[FigureLine, ...]
    common: str
    warnings: tuple[str, ...]
    outlined: tuple[str, ...]
    originals: tuple[Original, ...]
    back_href: str
