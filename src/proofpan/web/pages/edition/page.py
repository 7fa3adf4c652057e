"""One edition: its text as it was frozen, its warning, who approved it, the papers of it, and the form that corrects it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class StepFields:
    """One step as the correcting form shows it."""

    id: str
    do: str
    minutes: str
    oven: str
    until: str


@dataclass(frozen=True)
class EditionPage:
    """The page."""

    number: int
    title: str
    under: str
    state: str
    warning: str
    draft: bool
    newest: bool
    why: str
    changes: tuple[tuple[str, str, str], ...]
    facts: tuple[str, ...]
    take: tuple[tuple[str, str], ...]
    make: tuple[str, ...]
    allergens: tuple[str, ...]
    cautions: tuple[str, ...]
    credits: tuple[str, ...]
    evidence: tuple[str, ...]
    waived: tuple[tuple[str, str], ...]
    says: tuple[str, ...]
    seal: str
    house: str
    seal_broken: bool
    approved: bool
    papers: tuple[tuple[str, str], ...]
    items: tuple[tuple[str, str], ...]
    steps: tuple[StepFields, ...]
    action: str
    all_href: str
