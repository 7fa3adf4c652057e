"""The whole notebook in one file, and back."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class KeptAside:
    """A notebook that was replaced, kept as a file beside the one in use."""

    name: str
    when: str
    size: str


@dataclass(frozen=True)
class BackupsPage:
    """The page."""

    headline: str
    holds: str
    newest: str
    open_now: str
    happened: tuple[str, ...]
    undo: str
    aside: tuple[KeptAside, ...]
    where: str
