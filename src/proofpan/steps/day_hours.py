"""When hands work and plates are eaten: the kitchen's own hours, or the usual ones where it gives none, and the nights that were asked for all the same."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from proofpan.study.errors import DayError, quoted
from proofpan.study.kitchen import Kitchen

if TYPE_CHECKING:
    from proofpan.science.daywork import Task

DAY = 1440
NOMINAL = datetime(2000, 1, 3, 9, 0)
USUAL = "08:00-22:00"       # of a kitchen that gives no hours: common practice, no source
EVENING = 240               # minutes before closing time, and of the longest dish that is begun in them and cooked to its end
LATER = 120                 # minutes that a running day may end later than its plan so far has it
_HOURS = re.compile(r"^\s*(\d{1,2})(?:[:.](\d{2}))?\s*(?:-|–|to|until)\s*(\d{1,2})(?:[:.](\d{2}))?\s*$")

Spans = tuple[tuple[int, int], ...]
Moments = Sequence[tuple[datetime, datetime]]
ROUND_THE_CLOCK: Moments = ((datetime(1900, 1, 1), datetime(3000, 1, 1)),)


def read_hours(hours: Iterable[str]) -> Spans:
    """Hours as they are written, in minutes of the day.

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


def kept_hours(kitchen: Kitchen) -> tuple[str, ...]:
    """The hours that count: the kitchen's own, else the usual ones."""
    return kitchen.hours or (USUAL,)


def open_minutes(kitchen: Kitchen) -> int:
    """Minutes a day that the kitchen is open; 0 where it gives no hours.

    Raises: DayError for hours that can't be read.
    """
    return sum(closes - opens for opens, closes in read_hours(kitchen.hours))


def daily_hours(kitchen: Kitchen) -> tuple[time, time]:
    """The first hour that counts, and the last but a minute."""
    windows = read_hours(kept_hours(kitchen))
    closes = min(windows[-1][1], DAY - 1)
    return time(windows[0][0] // 60, windows[0][0] % 60), time(closes // 60, closes % 60)


def nominal_start(kitchen: Kitchen) -> datetime:
    """When a day of no date begins: with the kitchen's own hours, else at nine."""
    windows = read_hours(kitchen.hours)
    return NOMINAL if not windows else datetime(NOMINAL.year, NOMINAL.month, NOMINAL.day) + timedelta(minutes=windows[0][0])


def opening(kitchen: Kitchen, tasks: Sequence[Task], start: datetime, horizon: int, asked: Moments = ()) -> Spans:
    """The hours of every day of the plan, in minutes from its start; empty where the kitchen never closes.

    Parameters: asked, what was asked for from when to when: where a kitchen gives no hours, it counts more than the usual ones.
    """
    windows = read_hours(kept_hours(kitchen))
    if windows == ((0, DAY),):
        return ()
    if asked is ROUND_THE_CLOCK and not kitchen.hours:
        return ()
    # what takes longer in the oven than the usual hours last goes through the night, as nobody said that it may not
    if not kitchen.hours and any(t.stays_in_opening_hours and t.hold_minutes > sum(b - a for a, b in windows) for t in tasks):
        return ()
    midnight = datetime(start.year, start.month, start.day)
    offset = int((midnight - start).total_seconds() // 60)
    days = (horizon - offset) // DAY + 1
    spans = [(max(0, offset + d * DAY + a), min(horizon, offset + d * DAY + b)) for d in range(days) for a, b in windows]
    spans = [(a, b) for a, b in spans if a < b]
    if asked and not kitchen.hours:
        minutes = [(_minute(start, a), _minute(start, b)) for a, b in asked]
        spans = joined_up([*spans, *((max(0, a), min(horizon, b)) for a, b in minutes if a < horizon and b > 0)])
    # a plan that lies wholly between two openings has none: an empty one, for without any the kitchen would never close
    return tuple(spans) or ((horizon, horizon),)


def joined_up(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Spans in order, those that touch as one."""
    out: list[tuple[int, int]] = []
    for a, b in sorted(spans):
        if out and a <= out[-1][1]:
            out[-1] = (out[-1][0], max(b, out[-1][1]))
        elif a < b:
            out.append((a, b))
    return out


def nights_asked_for(kitchen: Kitchen, start: datetime | None, eat: datetime | None, way: int, work: int,
                     tasting: int) -> Moments:
    """The whole nights in which something was asked for: the start, the meal, or a short dish begun in the evening, which is cooked to its end.

    Parameters: way, minutes from the first task to the plates, however many hands there are; work, minutes of hands
        that each cook gives at the most; tasting, minutes at the table.
    """
    if kitchen.hours:
        return ()
    (opens, closes), moments = read_hours([USUAL])[0], []
    if start is not None:
        moments.append(start)
        closing = datetime(start.year, start.month, start.day) + timedelta(minutes=closes)
        evening = eat is None and way <= EVENING and start >= closing - timedelta(minutes=EVENING)
        if evening and start + timedelta(minutes=way + work) > closing:
            moments.append(closing + timedelta(minutes=1))
    if eat is not None:
        moments += [eat, eat + timedelta(minutes=tasting)]
    out = []
    for at in moments:
        midnight = datetime(at.year, at.month, at.day)
        if at < midnight + timedelta(minutes=opens):
            out.append((midnight + timedelta(minutes=closes - DAY), midnight + timedelta(minutes=opens)))
        elif at > midnight + timedelta(minutes=closes):
            out.append((midnight + timedelta(minutes=closes), midnight + timedelta(minutes=opens + DAY)))
    return tuple(dict.fromkeys(out))


def still_at_work(planned: Moments, now: datetime, behind: timedelta) -> Moments:
    """When a running day is worked on whatever the hour: now, and where its plan so far has hands, as late as it is.

    Parameters: planned, the spans of hands that are still to come.
    """
    late = behind + timedelta(minutes=LATER)
    return ((now, now + late), *((start, end + late) for start, end in planned))


def _minute(start: datetime, at: datetime) -> int:
    return int((at - start).total_seconds() // 60)
