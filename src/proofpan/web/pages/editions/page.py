"""Editions and what comes after: copies elsewhere, readers' questions, complaints, texts that came back, re-tests."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class EditionRow:
    """One edition in the list."""

    number: int
    href: str
    title: str
    state: str
    dates: str
    why: str
    warning: str
    changes: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class CopyRow:
    """One copy elsewhere."""

    id: str
    where: str
    kind: str
    says: str
    lacks: tuple[str, ...]
    urgent: bool
    current: bool


@dataclass(frozen=True)
class ReplyRow:
    """What readers ask, by kind: how it is answered, and whether a small test is offered."""

    kind: str
    asked: int
    answer: str
    says: str
    lines: str
    offer: bool
    declined: str = ""

    @property
    def proposal(self) -> str:
        """The test that is offered."""
        return f"A small test, since readers ask: {self.kind}"


@dataclass(frozen=True)
class ComplaintRow:
    """A complaint and what it is put down to."""

    id: str
    words: str
    cause: str
    says: str


@dataclass(frozen=True)
class EditionsPage:
    """The page."""

    headline: str
    under: str
    urgent: str
    editions: tuple[EditionRow, ...]
    newest: int
    copies: tuple[CopyRow, ...]
    copy_kinds: tuple[str, ...]
    replies: tuple[ReplyRow, ...]
    kinds: tuple[tuple[str, str], ...]
    lines: tuple[tuple[str, str], ...]
    complaints: tuple[ComplaintRow, ...]
    causes: tuple[str, ...]
    pasted: str
    came_back: tuple[tuple[str, str], ...]
    read_back: bool
    changed: tuple[str, ...]
    reweighed: tuple[str, ...]
    versions: tuple[tuple[str, str], ...]
    rounds: tuple[int, ...]
    change_kinds: tuple[str, ...]
    action: str
    recipe_href: str
    tested_href: str
