"""Readings: what was measured on a trial, with its interval; and how a measurement and the tasters agree."""

from __future__ import annotations

from dataclasses import dataclass


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
    warnings: tuple[str, ...]
    number: int
    comparable: bool
    photograph: str
    again: str


@dataclass(frozen=True)
class ReadingsPage:
    """The page."""

    headline: str
    under: str
    reports: tuple[ReportPart, ...]
    counted: tuple[tuple[str, str, str], ...]
    agreements: tuple[str, ...]
    trials: tuple[tuple[int, str], ...]
    measured: tuple[str, ...]
    action: str
    verdict_href: str
    agreements_wait: str
    sound_says: tuple[str, ...]
    sheet_href: str
    sheet_says: str
