"""The kitchen day: tasks from the recipes' steps, shared ones once, each load in and out of the oven, plates together."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from proofpan.steps.day_tasks import DISHED_UP, day_tasks
from proofpan.study.day import DayPlan, DayTask, OvenTurn
from proofpan.study.errors import DayError, quoted
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.words import counted, joined, version_words

if TYPE_CHECKING:
    from proofpan.science.daywork import DayModel, Started
    from proofpan.science.daywork import DayPlan as Planned

NOMINAL = datetime(2000, 1, 3, 9, 0)
DAY = 1440
SERVE_WINDOW = 15
EFFORT_S = 3.0


def plan_day(
    study: Study, round: Round | int, start: str | datetime | None = None, eat: str | datetime | None = None,
    now: str | datetime | None = None, happened: Sequence[tuple[str, str, str | None]] = (), zone: str | None = None,
) -> DayPlan:
    """Plan the day of a round, to the minute.

    Parameters: round, a Round or its number; start, earliest hands-on, and eat, plates on the table, ISO local time (with neither,
        09:00 of no day in particular); now, nothing may be planned before it; happened, (task, start, end or None) of what was
        done already, kept as it was; zone, whose danger zone counts: “Food Code”, “Australia” or “United Kingdom”.

    Raises: DayError with `.conflict` when the day can't be cooked, or a time that can't be read.
    """
    from proofpan.science.daywork import DayworkError, Infeasible, plan

    chosen = _round(study, round)
    begin, table, clock = _time(start, "start"), _time(eat, "eat"), _time(now, "now")
    model = _model(study, chosen, begin, table, clock, zone)
    started = {t: _started(model, t, s, e) for t, s, e in happened}
    try:
        found = plan(model, seconds=EFFORT_S, now=None if clock is None else max(0, model.minute(clock)) if started else None,
                     started=started)
    except Infeasible as error:
        conflict = tuple(error.conflict) or (str(error),)
        raise DayError(_clash(conflict, table), conflict=conflict) from None
    except DayworkError as error:
        raise DayError(str(error)[:290], conflict=(str(error),)) from None
    return _document(study, chosen, model, found, table)


def _round(study: Study, given: Round | int) -> Round:
    if isinstance(given, Round):
        return given
    found = next((r for r in study.rounds if r.number == given), None)
    if found is None:
        known = ", ".join(str(r.number) for r in study.rounds) or "none"
        raise DayError(f"There is no round {given}: planned are {known}.")
    return found


def _time(given: str | datetime | None, name: str) -> datetime | None:
    if given is None or isinstance(given, datetime):
        return given
    try:
        return datetime.fromisoformat(str(given)).replace(tzinfo=None)
    except ValueError:
        raise DayError(f"{name} is {quoted(given)}: write a local time as 2026-06-05T09:00.") from None


def _model(study: Study, round_: Round, start: datetime | None, eat: datetime | None, now: datetime | None, zone: str | None) -> DayModel:
    from proofpan.science.daywork import ZONES, DayModel, Kitchen, Oven, Person

    tasks = day_tasks(study, round_)
    length = max(DAY, sum(t.minutes for t in tasks if t.oven is None and t.hands == 0) + DAY // 2)
    if start is None:
        start = NOMINAL if eat is None else eat - timedelta(minutes=length)
        if now is not None and start < now:
            start = now
    if eat is not None and eat <= start:
        raise DayError(f"Plates at {eat:%H:%M} can't be: the work starts at {start:%H:%M}.", conflict=(
            f"plates on the table at {eat:%Y-%m-%d %H:%M}", f"earliest hands-on at {start:%Y-%m-%d %H:%M}"))
    horizon = length if eat is None else int((eat - start).total_seconds() // 60) + 60
    kitchen = study.brief.kitchen
    own = tuple(Oven(o.name, trays=o.trays, places=o.places, fan=o.kind == "fan") for o in kitchen.ovens)
    ovens = own or (Oven("oven", trays=2, places=4),)
    zones = {"AU": "Australia", "NZ": "Australia", "UK": "United Kingdom"}
    wanted = zone or zones.get(kitchen.country or "", "Food Code")
    return DayModel(
        tasks=tasks, start=start, horizon=horizon, serve_window=SERVE_WINDOW,
        kitchen=Kitchen(people=tuple(Person(p) for p in kitchen.people), ovens=ovens, resources=(("hob", kitchen.hobs),)),
        serve_at=((DISHED_UP, int((eat - start).total_seconds() // 60)),) if eat is not None else (),
        zone=ZONES.get(wanted, next(iter(ZONES.values()))),
    )


def _started(model: DayModel, task: str, start: str, end: str | None) -> Started:
    from proofpan.science.daywork import Started

    begin, finish = _time(start, "start"), _time(end, "end")
    if begin is None:
        raise DayError(f"When was {quoted(task)} begun? Write a local time as 2026-06-05T09:00.")
    return Started(model.minute(begin), None if finish is None else model.minute(finish))


def _clash(conflict: Sequence[str], eat: datetime | None) -> str:
    words = joined(conflict[:2])
    more = f", and {len(conflict) - 2} more" if len(conflict) > 2 else ""
    return f"The day can't be cooked: {words} clash{more}. Ease one of them."


def _document(study: Study, round_: Round, model: DayModel, found: Planned, eat: datetime | None) -> DayPlan:
    by_key = {t.key: t for t in model.tasks}
    tasks = []
    for planned in sorted(found.tasks, key=lambda p: (p.start_min, p.end_min, p.key)):
        task = by_key[planned.key]
        start, end = model.at(planned.start_min), model.at(planned.end_min)
        who = joined(planned.who) if task.hands or task.everyone else ""
        where = planned.oven or ("hob" if any(n.name == "hob" for n in task.needs) else "")
        tasks.append(DayTask(
            task=planned.key, what=task.words, who=who, resource=where or "", start=start, end=end, versions=task.versions,
            hands_until=start + timedelta(minutes=task.hands) if task.hands else None, load=task.group or "",
        ))
    turns = tuple(OvenTurn(oven=s.oven, temperature_c=int(s.temperature_c), turn=model.at(s.turn_min), ready=model.at(s.ready_min),
                           until=model.at(s.until_min)) for s in found.settings)
    first = tasks[0].start if tasks else model.start
    return DayPlan(day_tasks=tuple(tasks), ovens=turns, optimal=found.optimal, gap=float(found.gap), start=first,
                   says=_words(study, round_, tasks, turns, found, eat), eat=eat, round=round_.number)


def oven_words(name: str) -> str:
    """An oven's name as it is said."""
    return name if "oven" in name.casefold() else f"{name} oven"


def _words(study: Study, round_: Round, tasks: list[DayTask], turns: tuple[OvenTurn, ...], found: Any, eat: datetime | None) -> tuple[str, ...]:
    if not tasks:
        return ("There is nothing to cook in this round.",)
    plated = [t.end for t in tasks if t.task.startswith("plate")]
    first, last = min(t.start for t in tasks), max(t.end for t in tasks)
    minutes = int((last - first).total_seconds() // 60)
    span = f"{minutes // 60} h {minutes % 60:02d}" if minutes >= 60 else f"{minutes} min"
    out = [f"Hands on from {first:%H:%M}, the last mark made by {last:%H:%M}: {span} for {counted(len(round_.trials), 'trial')}."]
    if plated:
        spread = int((max(plated) - min(plated)).total_seconds() // 60)
        out.append(f"All plates are ready within {counted(spread, 'minute')} of each other." if spread else "All plates are ready together.")
    out += [f"Turn the {oven_words(t.oven)} to {t.temperature_c} °C at {t.turn:%H:%M}; it is ready at {t.ready:%H:%M}." for t in turns]
    out.append("No better plan exists." if found.optimal else "A good plan; whether a better one exists wasn't proven.")
    out += [f"Careful: {b}" for b in found.broken]
    shared = [t for t in tasks if len(t.versions) > 1 and not t.task.startswith(("taste", "plate"))]
    out += [f"{t.what.rstrip('.')}: once for {joined(version_words(study.version(v)) for v in t.versions[:2])}"
            + (f" and {len(t.versions) - 2} more." if len(t.versions) > 2 else ".") for t in shared[:3]]
    return tuple(out)
