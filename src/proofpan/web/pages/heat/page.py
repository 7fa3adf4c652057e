"""Heat: how long a piece takes in this kitchen, with sliders, and how sure that is in readers' kitchens."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True)
class OvenPart:
    """What the log says of the oven, the ovens that it may be kept with, and the address that it was read at."""

    says: tuple[str, ...]
    rows: tuple[tuple[str, str, str, str], ...]  # what, value, from, to; "–" where the log can't say
    ovens: tuple[str, ...]
    asked: tuple[tuple[str, str], ...]
    action: str


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
    came_out: bool
    matters: tuple[tuple[str, str, str], ...]
    sliders: tuple[tuple[str, str, str, str, str, str], ...]  # name, label, least, most, step, value
    texts: dict[str, str]
    shapes: tuple[str, ...]
    stages: tuple[str, ...]
    targets: tuple[str, ...]
    ovens: tuple[tuple[str, str], ...]  # name, what is known of it
    measures: str
    degree: str
    length: str
    core: str
    free: tuple[tuple[str, bool], ...]
    oven: OvenPart | None
    kept: str
    action: str
    recipe_href: str
