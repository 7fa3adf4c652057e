"""A page that says one thing."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PlainPage:
    """A sentence, and what to do about it."""

    says: str
    more: str
    back: bool
