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
    then: str = ""              # what the outcome calls for (steps/triangles.py)
    then_says: str = ""
    then_turns: int = 2         # turns of the comparison it begins
    options: tuple[str, ...] = ()
    names: str = ""
    dont_eat: str = ""
