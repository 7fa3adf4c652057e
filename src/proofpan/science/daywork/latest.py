"""Counting back from the meal: when a chain of proofs, brines and soaks must begin at the latest, and what to do if that has passed."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from proofpan.science.daywork.errors import DayworkError
from proofpan.science.daywork.refusals import refuse_circles
from proofpan.science.daywork.task import Task
from proofpan.science.daywork.words import say_minutes

LOOK_AHEAD_DAYS = 366


@dataclass(frozen=True)
class Backward:
    """Latest starts of each task, by time; when the first is, whether that has passed, and the next meal that can still be made."""

    eat: datetime
    latest: tuple[tuple[str, datetime], ...]
    start: datetime
    past: bool
    next_eat: datetime | None
    next_start: datetime | None
    says: tuple[str, ...]


def backward(
    tasks: Sequence[Task],
    eat: datetime,
    *,
    now: datetime | None = None,
    hours: tuple[time, time] | None = None,
) -> Backward:
    """The latest times at which each task may start for everything to be ready by `eat`.

    Parameters: tasks with their links; eat, local clock time; now, to say whether the first start has passed; hours, the daily
        time in which hands work: what takes hands is moved back into it (without regard to greatest waits: `plan` decides those).
    Returns: latest starts; when the first has passed, the next meal at the same clock time, on the first day that still can be.
    Raises: DayworkError for an empty list, a link to a task that isn't there, a circle, or hands-on work longer than the hours.
    Source: the backward pass of the critical path method (Kelley & Walker 1959).
    """
    known = {t.key for t in tasks}
    for task in tasks:
        for link in task.after:
            if link.task not in known:
                raise DayworkError(f"{task.words!r} comes after {link.task!r}, which isn't a task.")
    if not tasks:
        raise DayworkError("There is nothing to count back from: no tasks.")
    refuse_circles(tuple(tasks))
    latest = latest_starts(tasks, eat, hours)
    start = min(latest.values())
    past = now is not None and start < now
    next_eat = next_start = None
    if past and now is not None:
        for days in range(1, LOOK_AHEAD_DAYS):
            later = eat + timedelta(days=days)
            begins = min(latest_starts(tasks, later, hours).values())
            if begins >= now:
                next_eat, next_start = later, begins
                break
    ordered = tuple(sorted(latest.items(), key=lambda pair: (pair[1], pair[0])))
    return Backward(eat, ordered, start, past, next_eat, next_start, (sentence(eat, start, past, next_eat, next_start),))


def latest_starts(tasks: Sequence[Task], eat: datetime, hours: tuple[time, time] | None) -> dict[str, datetime]:
    """Latest start of each task, by its key."""
    followers: dict[str, list[tuple[Task, int, str]]] = {t.key: [] for t in tasks}
    for task in tasks:
        for link in task.after:
            followers[link.task].append((task, link.min_wait, link.of))
    by_key, found = {t.key: t for t in tasks}, dict[str, datetime]()

    def start_of(key: str) -> datetime:
        if key not in found:
            task = by_key[key]
            long = timedelta(minutes=task.minutes)
            last = eat - long
            for follower, wait, of in followers[key]:
                begun = start_of(follower.key) - timedelta(minutes=wait)
                last = min(last, begun if of == "start" else begun - long)
            found[key] = within_hours(task, last, hours)
        return found[key]

    for key in by_key:
        start_of(key)
    return found


def within_hours(task: Task, start: datetime, hours: tuple[time, time] | None) -> datetime:
    """The latest time no later than `start` at which all the task's hands-on minutes lie within the daily hours."""
    if hours is None or not task.busy:
        return start
    opens, closes = hours
    for _ in range(8 * len(task.busy)):
        moved = start
        for a, b in task.busy:
            first, last = moved + timedelta(minutes=a), moved + timedelta(minutes=b)
            if last > datetime.combine(first.date(), closes):
                moved -= last - datetime.combine(first.date(), closes)
            elif first.time() < opens:
                moved -= last - datetime.combine(first.date() - timedelta(days=1), closes)
        if moved == start:
            return start
        start = moved
    raise DayworkError(f"{task.words!r}: its hands-on minutes fit no day from {opens:%H:%M} to {closes:%H:%M}.")


def sentence(eat: datetime, start: datetime, past: bool, next_eat: datetime | None, next_start: datetime | None) -> str:
    """The answer in words: a 48 h start for Saturday is Thursday, past; the next is Friday for Sunday."""
    length = say_minutes(round((eat - start).total_seconds() / 60))
    article = "An" if re.match(r"(?:8|1[18]\b)", length) else "A"       # an 8 h, an 18 h, an 80 min start
    says = f"{article} {length} start for {clock(eat)} is {clock(start)}"
    if not past:
        return says + "."
    if next_eat is None or next_start is None:
        return says + ": past."
    return f"{says}: past; the next is {clock(next_start)} for {clock(next_eat)}."


def clock(when: datetime) -> str:
    """Weekday, date and time: Saturday 2 May, 12:00."""
    return f"{when:%A} {when.day} {when:%B}, {when:%H:%M}"
