"""The day: every task with its start, drawn in lanes and as a run sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from markupsafe import Markup

WIDE, LANE, TOP, LEFT = 1300, 50, 32, 130
CHARACTER = 8.2


@dataclass(frozen=True)
class TaskLine:
    """One task of the run sheet."""

    start: str
    end: str
    who: str
    what: str
    versions: str
    where: str


@dataclass(frozen=True)
class DayPage:
    """The page; `state` is none, planned, clash or later."""

    state: str
    headline: str
    under: str
    lanes: Markup
    tasks: tuple[TaskLine, ...]
    says: tuple[str, ...]
    start: str
    eat: str
    action: str
    rounds_href: str
    cook_href: str


def hours(moment: Any) -> str:
    """`9:05`."""
    return f"{moment.hour}:{moment.minute:02d}"


def lanes_of(rows: Sequence[Any]) -> Markup:
    """Lanes for people and resources: solid edge = hands busy, hatch = waiting."""
    if not rows:
        return Markup("")
    first, last = min(r.start for r in rows), max(r.end for r in rows)
    span = max(1.0, (last - first).total_seconds() / 60)
    lanes: dict[str, list[tuple[Any, bool]]] = {}
    for r in rows:
        if _said(r.who):
            lanes.setdefault(_said(r.who), []).append((r, True))
        if _said(r.resource) and _said(r.resource) != _said(r.who):
            lanes.setdefault(_said(r.resource), []).append((r, False))

    def x(moment: datetime) -> float:
        return LEFT + (moment - first).total_seconds() / 60 / span * (WIDE - LEFT)

    tall = TOP + LANE * len(lanes)
    step = next(s for s in (15, 30, 60, 120, 240, 480, 1440, 2880, 10_080) if span / s <= 14)
    parts = [
        Markup(
            '<defs><pattern id="wait" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            '<line x1="0" y1="0" x2="0" y2="7" class="s-hatch" stroke-width="3"/></pattern></defs>'
        )
    ]
    mark = 0.0
    while mark <= span:
        at = LEFT + mark / span * (WIDE - LEFT)
        moment = datetime.fromtimestamp(first.timestamp() + mark * 60)
        parts.append(
            Markup(
                '<line x1="{0:.1f}" x2="{0:.1f}" y1="{1}" y2="{2}" class="s-hair"/>'
                '<text x="{0:.1f}" y="18" text-anchor="middle" class="t-soft">{3}</text>'
            ).format(at, TOP - 4, tall, hours(moment) if span < 2880 else f"{moment:%a} {hours(moment)}")
        )
        mark += step
    for i, (name, bars) in enumerate(lanes.items()):
        y = TOP + i * LANE
        parts.append(
            Markup('<line x1="0" x2="{}" y1="{}" y2="{}" class="{}"/><text x="0" y="{}" class="t-lane">{}</text>').format(
                WIDE, y, y, "s-hair" if i else "s-ink", y + 31, name[:14]
            )
        )
        for r, busy in bars:
            left, width = x(r.start) + 1, max(3.0, x(r.end) - x(r.start) - 2)
            room = int((width - 12) / CHARACTER)
            words = str(r.what) if len(str(r.what)) <= room else str(r.what)[: max(0, room - 1)] + "…" if room > 4 else ""
            parts.append(
                Markup(
                    '<g><title>{} to {}: {}</title><rect x="{:.1f}" y="{}" width="{:.1f}" height="{}" class="{}" stroke-width="1.5"/>'
                    '<text x="{:.1f}" y="{}">{}</text></g>'
                ).format(
                    hours(r.start),
                    hours(r.end),
                    r.what,
                    left,
                    y + 5,
                    width,
                    LANE - 10,
                    "bar" if busy else "bar place",
                    left + 7,
                    y + 30,
                    words,
                )
            )
    return (
        Markup('<svg viewBox="0 0 {} {}" role="img" aria-label="The day in lanes; the run sheet below says the same.">').format(
            WIDE, tall + 4
        )
        + Markup("").join(parts)
        + Markup("</svg>")
    )


def _said(value: Any) -> str:
    return "" if value is None or value != value else str(value)
