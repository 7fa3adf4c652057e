"""Readings: what was measured on a trial, with its interval; and how a measurement and the tasters agree."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from proofpan.publish.reading_tables import Table
from proofpan.study.study import Study


@dataclass(frozen=True)
class FigureLine:
    """One figure of one reading."""

    name: str
    value: str
    range: str
    how: str
    report: int
    index: int


@dataclass(frozen=True)
class ReportPart:
    """What one file or weighing gave."""

    headline: str
    kind: str
    figures: tuple[FigureLine, ...]
    common: str
    warnings: tuple[str, ...]
    number: int
    comparable: bool
    photographs: tuple[str, ...]
    again: str
    drawn_href: str
    wanting: str


@dataclass(frozen=True)
class AgreementPart:
    """A measured attribute beside the tasters' marks: a sentence, a picture, and the table behind it."""

    says: str
    picture: Markup
    table: Table


@dataclass(frozen=True)
class PicturePart:
    """A photograph on the sheet."""

    href: str
    digest: str
    trial: int
    words: str
    view: str
    marks: str
    mm: str
    plate_mm: str


@dataclass(frozen=True)
class SheetPart:
    """All versions in one picture."""

    href: str
    pdf_href: str
    says: str
    warnings: tuple[str, ...]
    pictures: tuple[PicturePart, ...]


@dataclass(frozen=True)
class ReadingsPage:
    """The page."""

    headline: str
    under: str
    reports: tuple[ReportPart, ...]
    counted: tuple[tuple[str, str, str], ...]
    agreements: tuple[AgreementPart, ...]
    trials: tuple[tuple[int, str], ...]
    measured: tuple[str, ...]
    action: str
    next_href: str
    next_words: str
    agreements_wait: str
    sound_says: tuple[str, ...]
    sheets: tuple[SheetPart, ...]


def next_step(study: Study) -> tuple[str, str]:
    """(page, what to do there): a verdict is read once something was tasted or counted, and nothing is measured before it is cooked."""
    if not study.trial_records:
        return "rounds", "Plan a round"
    if study.ballot_records or study.reading_records:
        return "verdict", "Read the verdict"
    return ("tasting", "Taste") if study.cooked else ("cook", "Cook")
