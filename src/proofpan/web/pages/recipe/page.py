"""The recipe of a version, in a reader's measures, with where each figure comes from; cross-tests and publishing below."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class IngredientLine:
    """One line: amount and item as text, its status, and a note."""

    text: str
    status: str
    note: str
    group: str


@dataclass(frozen=True)
class RecipePage:
    """The page."""

    empty: bool
    title: str
    under: str
    version: str
    version_words: str
    versions: tuple[tuple[str, str], ...]
    region: str
    regions: tuple[str, ...]
    scale: str
    facts: tuple[tuple[str, str], ...]
    lines: tuple[IngredientLine, ...]
    steps: tuple[tuple[str, str], ...]
    allergens: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    credits: tuple[str, ...]
    nutrition: tuple[tuple[str, str, str], ...]
    query: str
    action: str
    answers: tuple[tuple[str, str, str], ...]
    tests: tuple[str, ...]
    tests_href: str
    reasons: tuple[str, ...]
    tested_href: str
    brief_href: str
    cards: tuple[tuple[str, str], ...]
