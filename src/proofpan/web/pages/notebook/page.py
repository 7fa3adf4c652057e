"""The notebook: an ingredient over all studies, two studies side by side, a brief copied, a study put away and brought back."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True)
class NotebookRow:
    """A study in the list."""

    id: str
    title: str
    href: str
    when: str
    question: str = ""
    answers: tuple[tuple[str, str], ...] = ()  # (mark, headline)
    publish: str = ""
    state: str = ""


@dataclass(frozen=True)
class NotebookPage:
    """The page."""

    headline: str
    ingredient: str
    known: tuple[str, ...]
    facts: tuple[str, ...]
    uses: tuple[tuple[str, str, str, str], ...]
    evidence: tuple[tuple[str, str, str, str], ...]
    chart: Markup
    listed: tuple[NotebookRow, ...]
    counted: str
    studies: tuple[NotebookRow, ...]
    put_away: tuple[NotebookRow, ...]
    chosen: tuple[str, str]
    compared: tuple[tuple[str, str, str], ...]
