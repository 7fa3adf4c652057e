"""The day as it runs: what was reported with one thumb, and the rest planned again from there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from proofpan.notebook import Event
from proofpan.study.day import DayPlan, DayTask, moment_words, oven_words
from proofpan.study.errors import DayError, ProofpanError
from proofpan.study.study import Study
from proofpan.study.words import length_words
from proofpan.web.shelfcache import Standing

MOVED = "day moved"
STARTED, DONE, LATE, AGAIN, BACK = "started", "done", "late", "again", "back"
GONE, HERE = "gone", "here"      # someone goes home, an oven doesn't work; and is there again
LATE_MINUTES = 10
LONG, IN_HAND = timedelta(minutes=15), 180      # from when a task shows how far it has come; letters of the task in hand


@dataclass(frozen=True)
class Report:
    """One report: what happened to which task, when."""

    what: str
    task: str
    at: datetime
    minutes: int = 0
    press: str = ""     # what one press says is taken back by one


def reports(events: Sequence[Event], since: int) -> tuple[Report, ...]:
    """What was reported of the day asked for last, in order; a report taken back is gone."""
    out: list[Report] = []
    for event in events:
        if event.id <= since:
            continue
        given = event.payload
        if given.get("what") == BACK:
            press = out[-1].press if out else ""
            out = out[:-1]
            while press and out and out[-1].press == press:
                out.pop()
        else:
            at = datetime.fromisoformat(str(given["at"]))
            out.append(Report(str(given["what"]), str(given.get("task") or ""), at, int(str(given.get("minutes") or 0)), str(given.get("press") or "")))
    return tuple(out)


def facts(found: Sequence[Report]) -> tuple[list[tuple[str, datetime, datetime | None]], dict[str, int]]:
    """(Task, start, end or None) of everything begun, and minutes that tasks take longer."""
    starts: dict[str, datetime] = {}
    ends: dict[str, datetime] = {}
    late: dict[str, int] = {}
    for one in found:
        if one.what == STARTED:
            starts[one.task] = one.at
        elif one.what == DONE:
            ends[one.task] = one.at
        elif one.what == LATE:
            late[one.task] = late.get(one.task, 0) + one.minutes
    return [(t, s, ends.get(t)) for t, s in starts.items()], late


def as_it_runs(standing: Standing, plan: DayPlan, found: Sequence[Report]) -> DayPlan | ProofpanError:
    """The plan from the last report on; as planned where nothing is reported."""
    from proofpan.steps.day import replan

    if not found:
        return plan
    known = {t.task for t in plan.day_tasks}
    happened, late = facts([r for r in found if r.task in known or not r.task])
    there = {p for p, _ in who_and_what(standing.study)}
    try:
        return replan(plan, standing.study, happened, max(r.at for r in found), late=late, gone=[g for g in gone_of(found) if g in there])
    except ProofpanError as error:
        return error


def gone_of(found: Sequence[Report]) -> tuple[str, ...]:
    """Who went home and which oven is out, by name."""
    gone: dict[str, None] = {}
    for one in found:
        if one.what == GONE:
            gone[one.task] = None
        elif one.what == HERE:
            gone.pop(one.task, None)
    return tuple(gone)


def who_and_what(study: Study) -> list[tuple[str, str]]:
    """(Name, what is said when it is gone) of who and what a day may have to go on without."""
    kitchen = study.brief.kitchen
    return [*((p, f"{p} goes home") for p in kitchen.people), *((o.name, f"The {oven_words(o.name)} doesn’t work") for o in kitchen.ovens)]


def with_load(plan: DayPlan, task: str) -> list[str]:
    """A task and those that go into the oven with it."""
    one = next((t for t in plan.day_tasks if t.task == task), None)
    if one is None:
        raise DayError(f"“{task[:40]}” isn't a task of this day.")
    return [t.task for t in plan.day_tasks if one.load and t.load == one.load] or [task]


def due_of(task: DayTask, before: DayPlan, late: Mapping[str, int]) -> datetime:
    """When a task in hand was to be over: the plan from its last report on can't end before that report, so its end says nothing of a task that runs over."""
    was = next((t for t in before.day_tasks if t.task == task.task), task)
    return min(task.end, task.start + (was.end - was.start) + timedelta(minutes=late.get(task.task, 0)))


def report_of(plan: DayPlan, before: DayPlan, found: Sequence[Report], what: str, task: str, at: datetime) -> list[Report]:
    """The reports that one press makes: what is done was begun, a load begins together, and more minutes are minutes from now on.

    Raises: DayError for a task that isn't of this day, or a time before it began.
    """
    happened = {t: (s, e) for t, s, e in facts(found)[0]}
    by_key = {t.task: t for t in plan.day_tasks}
    if what in (AGAIN, GONE, HERE):
        return [Report(what, "" if what == AGAIN else task, at)]
    out = []
    for key in with_load(plan, task) if what == STARTED else [task]:
        if key not in by_key:
            raise DayError(f"“{key[:40]}” isn't a task of this day.")
        begun = happened.get(key)
        if what == STARTED and begun is None:
            out.append(Report(STARTED, key, at))
        elif what == DONE:
            if begun is not None and at < begun[0]:
                raise DayError(f"It began at {begun[0]:%H:%M}, so it can't be done at {at:%H:%M}.")
            if begun is None:
                length = by_key[key].end - by_key[key].start
                out.append(Report(STARTED, key, max(at - length, min(by_key[key].start, at))))
            if begun is None or begun[1] is None:
                out.append(Report(DONE, key, at))
        elif what == LATE:
            over = at - due_of(by_key[key], before, facts(found)[1]) if begun is not None and begun[1] is None and by_key[key].end <= at else timedelta(0)
            out.append(Report(LATE, key, at, LATE_MINUTES + max(0, int(over / timedelta(minutes=1)))))
    return out


@dataclass(frozen=True)
class Turn:
    """What one person, or the clock, has in hand or does next."""

    who: str
    what: str
    when: str
    then: str
    task: str
    begun: bool
    far: Far | None = None


@dataclass(frozen=True)
class Far:
    """How far a long task has come: when it began, how many minutes it takes, how many of them are gone, and that in words."""

    since: str
    minutes: int
    gone: int
    says: str


def far_of(task: DayTask, due: datetime, now: datetime) -> Far:
    """How far a task in hand has come."""
    minutes = int((due - task.start) / timedelta(minutes=1))
    gone = max(0, int((now - task.start) / timedelta(minutes=1)))
    says = f"{length_words(gone)} of {length_words(minutes)}" if gone <= minutes else f"{length_words(gone)}, {length_words(gone - minutes)} over"
    return Far(task.start.isoformat(timespec="minutes"), minutes, gone, says)


def clock(moment: datetime) -> str:
    """`9:05`."""
    return f"{moment.hour}:{moment.minute:02d}"


def as_of(moment: datetime, today: datetime) -> str:
    """`9:05`, on another day `Fri 9:05`, weeks away `Fri 26 June 9:05`."""
    days = abs((moment.date() - today.date()).days)
    return moment_words(moment, days)


def short(words: str, most: int = 64) -> str:
    """A task's first sentence, cut where it runs long: what comes next is read at arm's length, what is in hand as a whole but for a very long one."""
    first = words.split(". ")[0]
    return first if len(first) <= most else first[: most - 1].rpartition(" ")[0].rstrip(" ,;:") + "\u00a0…"


def stopped(words: str) -> str:
    """The words with a full stop, where they aren't cut short."""
    return words if words.endswith("…") else f"{words}."


def done_tasks(found: Sequence[Report]) -> frozenset[str]:
    """Tasks that are over."""
    return frozenset(t for t, _, e in facts(found)[0] if e is not None)


def in_hands(task: DayTask, now: datetime) -> bool:
    """Whether a task in hand still takes hands."""
    return task.hands_until is None or task.hands_until > now or task.hands_until >= task.end


def turns(plan: DayPlan, before: DayPlan, found: Sequence[Report], now: datetime, one: bool = False) -> tuple[Turn, ...]:
    """For each person, then for what goes on by itself, the task in hand, else the next; `one`: of all together."""
    happened, late = facts(found)
    begun = {t: e for t, _, e in happened}
    lanes: dict[str, list[DayTask]] = {}
    for task in plan.day_tasks:
        if task.task in begun and begun[task.task] is not None:
            continue
        for name in task.people or ("",):
            lanes.setdefault(name, []).append(task)
        if task.people and task.task in begun:
            lanes.setdefault("", []).append(task)
    if one:
        every = [t for t in plan.day_tasks if t.task not in begun or begun[t.task] is None]
        lanes = {every[0].who: sorted(every, key=lambda t: (t.task not in begun, t.start))} if every else {}
        lanes = {name: line[:2] for name, line in lanes.items()}
    out: list[Turn] = []
    shown = set[str]()
    for name in sorted(lanes, key=lambda n: (n == "", n)):
        waiting = [t for t in lanes[name] if t.task not in begun]
        running = [t for t in lanes[name] if t.task in begun and (one or name == "" or in_hands(t, now))]
        for task in (*running, *([] if name and running else waiting[:1])):
            if task.task in shown:
                continue
            shown.add(task.task)
            here = task.task in begun
            after = next((t for t in waiting if t.task != task.task), None)
            due = due_of(task, before, late) if here and task.end <= now else task.end
            until = f"was due at {as_of(due, now)}" if due < now else f"until {as_of(due, now)}"
            when = until if here else f"at {as_of(task.start, now)}, until {as_of(task.end, task.start if task.start > now else now)}"
            then = f"Then at {as_of(after.start, now)}: {stopped(short(after.what))}" if after is not None and name else ""
            far = far_of(task, due, now) if here and due - task.start >= LONG else None
            who = name if not here or in_hands(task, now) else ""
            out.append(Turn(who or "By itself", short(task.what, IN_HAND), when, then, task.task, here, far))
    return tuple(out)


def last_said(found: Sequence[Report]) -> str:
    """The last report as a page names it, so that a press on a page that another device has overtaken doesn't take back what it never showed."""
    return f"{len(found)} {found[-1].what} {found[-1].task}" if found else ""


def headline(plan: DayPlan, before: DayPlan, found: Sequence[Report]) -> str:
    """Whether the day is on time, and when everyone tastes."""
    now, then = (next((t for t in p.day_tasks if t.task == "taste"), None) for p in (plan, before))
    if now is None or then is None:
        return ""
    done = done_tasks(found)
    if done and all(t.task in done for t in plan.day_tasks):
        return "Every task of the day is done."
    if now.task in done:
        return "Everyone has tasted."
    behind = int((now.start - then.start) / timedelta(minutes=1))
    tastes = f"Everyone tastes at {moment_words(now.start, plan.days)}."
    if not found or behind == 0:
        return f"On time. {tastes}" if found else tastes
    return f"{length_words(abs(behind))} {'late' if behind > 0 else 'early'}. {tastes}"
