"""A round and a kitchen as the scheduling problem that science/daywork solves: people, ovens, hours, whose danger zone."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import ceil
from typing import TYPE_CHECKING

from proofpan.steps.day_hours import DAY, NOMINAL, Moments, nominal_start, opening
from proofpan.steps.day_tasks import DayWork
from proofpan.steps.day_waits import DISHED_UP, OUT, SHELF
from proofpan.study.equipment import a_break, skill, taken, thing
from proofpan.study.errors import DayError, did_you_mean, quoted
from proofpan.study.kitchen import Kitchen as Kitchens

if TYPE_CHECKING:
    from proofpan.science.daywork import Blocked, DayModel, Task, Zone

SERVE_WINDOW, WORKDAY = 15, 480
ZONE_OF = {"AU": "Australia and New Zealand", "NZ": "Australia and New Zealand", "UK": "United Kingdom"}


def day_model(
    kitchen: Kitchens, work: DayWork, *, start: datetime | None, eat: datetime | None, now: datetime | None, zone: str | None = None,
    until: datetime | None = None, serve_within: float | None = None, asked: Moments = (),
) -> DayModel:
    """The day as a model.

    Parameters: start, earliest hands-on; eat, plates on the table; now, before which nothing is begun; zone, whose danger zone, by
        name (else the kitchen's, else its country's); until, the end of the search; serve_within, minutes within which all plates are
        ready; asked, spans that a kitchen which gives no hours works in whatever the hour.

    Raises: DayError for a meal before the start, hours that can't be read, an unknown authority.
    """
    from proofpan.science.daywork import DayModel, DayworkError, Kitchen, Oven, Person

    tasks = tuple(work.tasks.values())
    before = to_the_table(tasks)
    way = longest_way(before)
    # what comes after the plates are on the table: the tasting, the bite on camera, what is kept for another day
    later = max(0, longest_way(tasks) - way) + sum(t.minutes for t in tasks if t not in before)
    # a dish of several days whose hands are wanted in the kitchen's hours waits over its nights: there must be room for one more of them
    length = max(DAY, way + DAY // 2) + (DAY if way > DAY // 2 or (not kitchen.hours and hands_each(kitchen, before) > WORKDAY) else 0)
    dated = start is not None or eat is not None
    if start is None:
        start = nominal_start(kitchen) if eat is None else eat - timedelta(minutes=length)
        start = max(start, now) if now is not None else start
    if eat is not None and eat <= start:
        raise DayError(f"Plates at {eat:%H:%M} can't be: the work starts at {start:%H:%M}.", conflict=(
            f"plates on the table at {eat:%Y-%m-%d %H:%M}", f"earliest hands-on at {start:%Y-%m-%d %H:%M}"))
    end = until or (start + timedelta(minutes=length + (later if later > DAY // 2 else 0)) if eat is None else eat + timedelta(minutes=later + 60))
    horizon = int((end - start).total_seconds() // 60)
    ovens = tuple(Oven(o.name, trays=o.trays, places=o.places, fan=o.kind == "fan") for o in kitchen.ovens)
    try:
        return DayModel(
            tasks=tasks, start=start, horizon=horizon, opening=opening(kitchen, tasks, start, horizon, asked),
            serve_window=_window(tasks, len(kitchen.people), serve_within),
            kitchen=Kitchen(
                people=tuple(Person(p, breaks=_breaks(kitchen, p, start, horizon), skills=_skills(kitchen, p)) for p in kitchen.people),
                ovens=ovens or (Oven("oven", trays=2, places=4),), resources=_things(kitchen),
                blocked=_shelves_taken(kitchen, start, horizon) if dated else (),
            ),
            serve_at=((DISHED_UP, int((eat - start).total_seconds() // 60)),) if eat is not None else (),
            zone=zone_of(zone or kitchen.danger_zone, kitchen.country), loose=(OUT,),
        )
    except DayworkError as error:
        raise DayError(str(error), conflict=(str(error),)) from None


def to_the_table(tasks: tuple[Task, ...]) -> tuple[Task, ...]:
    """Everything that leads to the plates on the table."""
    by_key = {t.key: t for t in tasks}
    wanted, look = set[str](), [t.key for t in tasks if t.serve_group == DISHED_UP]
    while look:
        key = look.pop()
        if key not in wanted:
            wanted.add(key)
            look += [a.task for a in by_key[key].after]
    return tuple(t for t in tasks if t.key in wanted)


def hands_each(kitchen: Kitchens, tasks: tuple[Task, ...]) -> int:
    """Minutes of hands that each cook has to give."""
    return ceil(sum(b - a for t in tasks for a, b in t.busy) / max(1, len(kitchen.people)))


def _things(kitchen: Kitchens) -> tuple[tuple[str, int], ...]:
    """Counted things: hobs, what the kitchen lists, places on the shelves of the fridge."""
    counts = {"hob": kitchen.hobs}
    for one in (thing(t) for t in kitchen.things):
        counts[one.name] = counts.get(one.name, 0) * (one.name != "hob") + one.number
    if kitchen.fridge_shelves:
        counts[SHELF] = kitchen.fridge_shelves * kitchen.places_a_shelf
    return tuple(counts.items())


def _days(start: datetime, horizon: int) -> list[tuple[datetime, int]]:
    """Midnight of every day that the plan touches, and its minute."""
    midnight = datetime(start.year, start.month, start.day)
    count = (start + timedelta(minutes=horizon) - midnight).days + 1
    return [(midnight + timedelta(days=d), int((midnight + timedelta(days=d) - start).total_seconds() // 60)) for d in range(count)]


def _breaks(kitchen: Kitchens, person: str, start: datetime, horizon: int) -> tuple[tuple[int, int], ...]:
    """A person's breaks on every day of the plan, in minutes from its start."""
    mine = [b for b in map(a_break, kitchen.breaks) if b.name == person]
    spans = [(max(0, at + b.begins), min(horizon, at + b.ends)) for _, at in _days(start, horizon) for b in mine]
    return tuple((a, b) for a, b in spans if a < b)


def _skills(kitchen: Kitchens, person: str) -> tuple[str, ...]:
    return tuple(s for line in map(skill, kitchen.skills) if line.name == person for s in line.skills)


def _shelves_taken(kitchen: Kitchens, start: datetime, horizon: int) -> tuple[Blocked, ...]:
    """Shelves of the fridge that hold something else, by day; never more than there are."""
    from proofpan.science.daywork import Blocked

    if not kitchen.fridge_shelves:
        return ()
    out = []
    for day, at in _days(start, horizon):
        shelves = min(kitchen.fridge_shelves, sum(t.shelves for t in map(taken, kitchen.fridge_taken) if t.on(day.date())))
        begins, ends = max(0, at), min(horizon, at + DAY)
        if shelves and begins < ends:
            out.append(Blocked(SHELF, shelves * kitchen.places_a_shelf, begins, ends))
    return tuple(out)


def longest_way(tasks: tuple[Task, ...]) -> int:
    """Minutes of the longest chain of tasks, however many hands there are."""
    from proofpan.science.daywork import backward

    return int((NOMINAL - backward(tasks, NOMINAL).start).total_seconds() // 60) if tasks else 0


def _window(tasks: tuple[Task, ...], people: int, wanted: float | None) -> int:
    """Minutes within which all plates are ready: as asked, else a quarter of an hour, or what portioning them takes the hands there are."""
    if wanted is not None:
        return max(1, round(wanted))
    plating = sum(t.minutes for t in tasks if t.serve_group == DISHED_UP)
    return max(SERVE_WINDOW, ceil(plating / max(1, people)))


def zone_of(wanted: str | None, country: str | None) -> Zone:
    """Whose danger zone counts: by name, else the country's, else the Food Code's.

    Raises: DayError for an authority that isn't known.
    """
    from proofpan.science.daywork import ZONES

    name = wanted or ZONE_OF.get(country or "", "US Food Code")
    known = {n.casefold(): z for n, z in ZONES.items()}
    if name.casefold() not in known:
        raise DayError(f"No danger zone is known for {quoted(name)}. {did_you_mean(name, list(ZONES))}")
    return known[name.casefold()]
