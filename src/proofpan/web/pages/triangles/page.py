"""Triangles alone: three plates, two alike, as many turns as were fixed beforehand."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TrianglesPage:
    """The turn in hand, or what the turns said."""

    done: bool
    headline: str
    under: str
    turn: int
    turns: int
    plates: tuple[tuple[str, str], ...]
    says: tuple[str, ...]
    result: str
    action: str
