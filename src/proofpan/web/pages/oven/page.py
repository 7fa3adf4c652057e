"""The ovens of a kitchen: which places brown more, by a tray of toasted bread."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True)
class OvenPart:
    """One oven: its name, what is known of its places, and the picture of them."""

    name: str
    kind: str
    says: tuple[str, ...]
    picture: Markup
    rows: tuple[tuple[str, str, str], ...]  # place, L* below the mean, range
    baked: str


@dataclass(frozen=True)
class OvenPage:
    """The page."""

    headline: str
    under: str
    ovens: tuple[OvenPart, ...]
    layout: str
    cautions: tuple[str, ...]
    caution: str
    action: str
    brief_href: str
    day_href: str
    heat_href: str
