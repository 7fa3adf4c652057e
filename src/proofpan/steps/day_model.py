"""A round and a kitchen as the scheduling problem that science/daywork solves: people, ovens, hours, whose danger zone."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from math import ceil
from typing import TYPE_CHECKING

from proofpan.steps.day_tasks import DISHED_UP, DayWork
from proofpan.study.brief import Kitchen as Kitchens
from proofpan.study.errors import DayError, did_you_mean, quoted

if TYPE_CHECKING:
    from proofpan.science.daywork import DayModel, Task, Zone

NOMINAL = datetime(2000, 1, 3, 9, 0)
DAY = 1440
SERVE_WINDOW = 15
ZONE_OF = {"AU": "Australia and New Zealand", "NZ": "Australia and New Zealand", "UK": "United Kingdom"}
_HOURS = re.compile(r"^\s*(\d{1,2})(?:[:.](\d{2}))?\s*(?:-|–|to|until)\s*(\d{1,2})(?:[:.](\d{2}))?\s*$")


def day_model(
    kitchen: Kitchens, work: DayWork, *, start: datetime | None, eat: datetime | None, now: datetime | None, zone: str | None = None,
    until: datetime | None = None,
) -> DayModel:
    """The day as a model.

    Parameters: start, earliest hands-on; eat, plates on the table; now, before which nothing is begun; zone, whose danger zone, by
        name (else the kitchen's country's); until, the end of the search.

    Raises: DayError for a meal before the start, hours that can't be read, an unknown authority.
    """
    from proofpan.science.daywork import DayModel, Kitchen, Oven, Person

    tasks = tuple(work.tasks.values())
    windows = _windows(kitchen.hours)
    tasting = sum(t.minutes for t in tasks if t.kind == "taste")
    length = max(DAY, _longest_way(tasks) + DAY // 2)
    if start is None:
        start = _nominal(windows) if eat is None else eat - timedelta(minutes=length)
        start = max(start, now) if now is not None else start
    if eat is not None and eat <= start:
        raise DayError(f"Plates at {eat:%H:%M} can't be: the work starts at {start:%H:%M}.", conflict=(
            f"plates on the table at {eat:%Y-%m-%d %H:%M}", f"earliest hands-on at {start:%Y-%m-%d %H:%M}"))
    end = until or (start + timedelta(minutes=length) if eat is None else eat + timedelta(minutes=tasting + 60))
    horizon = int((end - start).total_seconds() // 60)
    ovens = tuple(Oven(o.name, trays=o.trays, places=o.places, fan=o.kind == "fan") for o in kitchen.ovens)
    return DayModel(
        tasks=tasks, start=start, horizon=horizon, serve_window=_window(tasks, len(kitchen.people)), opening=_opening(windows, start, horizon),
        kitchen=Kitchen(people=tuple(Person(p) for p in kitchen.people), ovens=ovens or (Oven("oven", trays=2, places=4),),
                        resources=(("hob", kitchen.hobs),)),
        serve_at=((DISHED_UP, int((eat - start).total_seconds() // 60)),) if eat is not None else (),
        zone=_zone(zone, kitchen.country),
    )


def _longest_way(tasks: tuple[Task, ...]) -> int:
    """Minutes of the longest chain of tasks, however many hands there are."""
    from proofpan.science.daywork import backward

    return int((NOMINAL - backward(tasks, NOMINAL).start).total_seconds() // 60) if tasks else 0


def _window(tasks: tuple[Task, ...], people: int) -> int:
    """Minutes within which all plates are ready: a quarter of an hour, or what portioning them takes the hands there are."""
    plating = sum(t.minutes for t in tasks if t.serve_group == DISHED_UP)
    return max(SERVE_WINDOW, ceil(plating / max(1, people)))


def _zone(wanted: str | None, country: str | None) -> Zone:
    from proofpan.science.daywork import ZONES

    name = wanted or ZONE_OF.get(country or "", "US Food Code")
    known = {n.casefold(): z for n, z in ZONES.items()}
    if name.casefold() not in known:
        raise DayError(f"No danger zone is known for {quoted(name)}. {did_you_mean(name, list(ZONES))}")
    return known[name.casefold()]


def _windows(hours: tuple[str, ...]) -> tuple[tuple[int, int], ...]:
    """The kitchen's hours, minutes of the day; none where it gives none.

    Raises: DayError for hours that can't be read.
    """
    out = []
    for text in hours:
        match = _HOURS.match(text)
        opens, closes = (int(match[1]) * 60 + int(match[2] or 0), int(match[3]) * 60 + int(match[4] or 0)) if match else (0, 0)
        if not 0 <= opens < closes <= DAY:
            raise DayError(f"The kitchen's hours {quoted(text)} can't be read: write them as 09:00-17:00.")
        out.append((opens, closes))
    return tuple(sorted(out))


def _nominal(windows: tuple[tuple[int, int], ...]) -> datetime:
    return NOMINAL if not windows else datetime(NOMINAL.year, NOMINAL.month, NOMINAL.day) + timedelta(minutes=windows[0][0])


def _opening(windows: tuple[tuple[int, int], ...], start: datetime, horizon: int) -> tuple[tuple[int, int], ...]:
    """The hours of every day of the plan, in minutes from its start."""
    if not windows:
        return ()
    midnight = datetime(start.year, start.month, start.day)
    offset = int((midnight - start).total_seconds() // 60)
    days = (horizon - offset) // DAY + 1
    spans = [(max(0, offset + d * DAY + a), min(horizon, offset + d * DAY + b)) for d in range(days) for a, b in windows]
    return tuple((a, b) for a, b in spans if a < b)
