"""Heat: how long a piece takes in this kitchen, with sliders, and how sure that is in readers' kitchens."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True)
class HeatPage:
    """The page."""

    headline: str
    under: str
    says: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    picture: Markup
    ready: Markup
    ready_says: str
    matters: tuple[tuple[str, str, str], ...]
    sliders: tuple[tuple[str, str, str, str, str, str], ...]  # name, label, least, most, step, value
    food: str
    what: str
    shape: str
    shapes: tuple[str, ...]
    stage: str
    stages: tuple[str, ...]
    until: str
    targets: tuple[str, ...]
    log: str
    action: str
    recipe_href: str
