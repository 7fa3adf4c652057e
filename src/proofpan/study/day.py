"""The kitchen day as a document: what is done when, by whom, where, and whether it is the best there is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from proofpan.study.fields import Doc
from proofpan.study.wording import say, spoken

if TYPE_CHECKING:
    import pandas as pd

    from proofpan.study.kitchen import Oven
    from proofpan.study.study import Study

UNDATED = 2000      # the year of a day of no date in particular
FIRST_DAY = date(UNDATED, 1, 3)
COLUMNS = ("task", "what", "who", "resource", "start", "end", "versions")


def moment_words(moment: datetime, days: int) -> str:
    """A clock time as a cook needs it: `9:05`; over several days `Fri 9:05`; over more than six, where a weekday comes twice, `Fri 5 June 9:05`."""
    return " ".join([*([_day(moment, days, short=True)] if days else []), spoken().clock(moment)])


def of_trials(numbers: Sequence[int], step: str) -> str:
    """`Trials 2, 6 and 7: Rub in the butter`, for of eight doughs the cook must know which one to roll out."""
    if not numbers:
        return step
    if len(numbers) == 1:
        return say("Trial {trial}: {step}", trial=numbers[0], step=step)
    return say("Trials {trials}: {step}", trials=spoken().joined(map(str, numbers)), step=step)


def load_words(load: str) -> str:
    """`load 1` of the load that is kept as `load 1 at 170 (bake)`, and of a batch for the camera its own name."""
    found = re.match(r"load (\d+) at", load)
    return say("load {number}", number=int(found[1])) if found else load


class DayTask(Doc):
    """One line of the run sheet."""

    task: str
    what: str
    who: str = ""
    people: tuple[str, ...] = ()
    resource: str = ""
    called: str = ""                # the resource as this kitchen says it: a hob is a stovetop; its own name where it isn't said
    start: datetime
    end: datetime
    versions: tuple[str, ...] = ()
    trials: tuple[int, ...] = ()
    hands_until: datetime | None = None
    latest_end: datetime | None = None
    load: str = ""
    started: bool = False
    kind: str = "cook"


    @property
    def where(self) -> str:
        """In which oven or on what it is done, as this kitchen says it."""
        return self.called or self.resource

    @property
    def step(self) -> str:
        """What is done, without the trials that it is done for."""
        return self.what.removeprefix(of_trials(self.trials, "")) if self.trials else self.what


def merged(tasks: Sequence[DayTask]) -> tuple[DayTask, ...]:
    """The tasks, with those that are the same step at the same minutes in the same hands and place as one for all their trials.

    Eight trays that go in together are one line to read, not eight.
    """
    groups: dict[object, list[DayTask]] = {}
    for task in tasks:
        alike = (task.step, task.start, task.end, task.people, task.resource, task.load, task.hands_until, task.latest_end, task.started)
        groups.setdefault(alike if task.trials and task.kind == "cook" else task.task, []).append(task)
    return tuple(found[0] if len(found) == 1 else _as_one(found) for found in groups.values())


def _as_one(tasks: Sequence[DayTask]) -> DayTask:
    trials = tuple(sorted({n for t in tasks for n in t.trials}))
    versions = tuple(dict.fromkeys(v for t in tasks for v in t.versions))
    return tasks[0].model_copy(update={"what": of_trials(trials, tasks[0].step), "trials": trials, "versions": versions})


class RunSheet(Doc):
    """What one person does, in order; the sheet of nobody is what goes on by itself."""

    person: str
    tasks: tuple[DayTask, ...]


class OvenTurn(Doc):
    """When an oven is turned to a temperature, and from when it holds it."""

    oven: str
    temperature_c: int
    turn: datetime
    ready: datetime
    until: datetime
    dial: str = ""      # what it is set to as this kitchen's dial reads; in °C where it isn't said

    @property
    def set_to(self) -> str:
        """`190 °C`, in a US kitchen `375 °F`."""
        return self.dial or f"{self.temperature_c} °C"


def days_of(tasks: Sequence[DayTask]) -> int:
    """Midnights between the first start and the last end, but for what is kept and tasted days later."""
    here = [t for t in tasks if t.kind != "keep"] or list(tasks)
    return (max(t.end for t in here).date() - min(t.start for t in here).date()).days


def clock(moment: datetime, days: int) -> str:
    """`09:05`; over several days `Saturday 09:05`; over more than six `Saturday 6 June 09:05`."""
    return " ".join([*([_day(moment, days)] if days else []), spoken().clock(moment, padded=True)])


def day_name(moment: datetime) -> str:
    """`Saturday 6 June`; of a plan without a date `day 1`."""
    return _day(moment, 7)


def _day(moment: datetime, days: int, *, short: bool = False) -> str:
    """`Saturday`, short `Sat`; over more than six days `Saturday 6 June`; of a plan without a date `day 1`."""
    if moment.year <= UNDATED:
        return say("day {number}", number=(moment.date() - FIRST_DAY).days + 1)
    day = spoken().weekday(moment, short=short)
    return day if days < 7 else f"{day} {spoken().day_and_month(moment)}"


def turn_words(turn: OvenTurn, days: int) -> str:
    """When an oven is turned to which heat, and from when it holds it."""
    given = {"oven": oven_words(turn.oven), "heat": turn.set_to, "turn": clock(turn.turn, 0),
             "ready": clock(turn.ready, 0 if turn.ready.date() == turn.turn.date() else days)}
    if not days:
        return say("Turn the {oven} to {heat} at {turn}; it is ready at {ready}.", **given)
    return say("Turn the {oven} to {heat} on {day} at {turn}; it is ready at {ready}.", day=_day(turn.turn, days), **given)


def oven_words(name: str) -> str:
    """An oven's name as it is said after “the”."""
    name = name[4:] if name.casefold().startswith("the ") else name
    return name if "oven" in name.casefold() else say("{name} oven", name=name)


def is_baked(study: Study) -> bool:
    """Whether anything of it goes into an oven: by its own steps, or by an option's; without a recipe nobody knows, so it may."""
    base = study.brief.base
    if base is None or any(s.oven is not None for s in base.method):
        return True
    return any("oven" in edit.model_dump_json(exclude_none=True) for f in study.factors for o in f.options for edit in o.edits)


def oven_of_tray(ovens: Sequence[Oven], tray: int | None) -> str:
    """The name of the oven that a tray goes into: trays are counted over the ovens; nothing where there is no oven or no tray."""
    if not ovens:
        return ""
    counted = 0
    for oven in ovens:
        counted += oven.trays
        if (tray or 1) <= counted:
            return oven.name
    return ovens[-1].name


class DayPlan(Doc):
    """A day planned to the minute."""

    day_tasks: tuple[DayTask, ...]
    ovens: tuple[OvenTurn, ...] = ()
    optimal: bool = False
    gap: float = 0.0
    says: tuple[str, ...] = ()
    tied: tuple[str, ...] = ()      # what can't be told apart, and what else is to be known before anything is cooked
    cautions: tuple[str, ...] = ()
    unsafe: tuple[str, ...] = ()    # food that an authority's limit is over for, once the day has slipped; among what it says, too
    start: datetime
    eat: datetime | None = None
    round: int = 0
    zone: str = ""

    @property
    def days(self) -> int:
        """Midnights that the plan goes past."""
        moments = [m for t in self.day_tasks for m in (t.start, t.end)]
        return (max(moments).date() - min(moments).date()).days if moments else 0

    @property
    def date_words(self) -> str:
        """`Friday 5 June 2026`, or the first and the last day; nothing where the day has no date."""
        here = [t for t in self.day_tasks if t.kind != "keep"] or list(self.day_tasks)
        if not here or min(t.start for t in here).year <= UNDATED:
            return ""
        first, last = min(t.start for t in here), max(t.end for t in here)
        whole = f"{spoken().weekday(last)} {spoken().date(last)}"
        return whole if first.date() == last.date() else say(
            "{first} to {last}", first=f"{spoken().weekday(first)} {spoken().day_and_month(first)}", last=whole)

    @property
    def tasks(self) -> pd.DataFrame:
        """A row a task: task, what, who, resource, start, end (timestamps), versions (tuple of texts)."""
        import pandas as pd

        frame = pd.DataFrame([[getattr(t, c) for c in COLUMNS] for t in self.day_tasks], columns=list(COLUMNS))
        for column in ("start", "end"):
            frame[column] = pd.to_datetime(frame[column])
        return frame

    @property
    def run_sheets(self) -> tuple[RunSheet, ...]:
        """A sheet for each person, then one of what goes on by itself; a task of several stands on each one's."""
        people = dict.fromkeys(p for t in self.day_tasks for p in t.people)
        sheets = [RunSheet(person=p, tasks=tuple(t for t in self.day_tasks if p in t.people)) for p in sorted(people)]
        alone = tuple(t for t in self.day_tasks if not t.people)
        return (*sheets, RunSheet(person="", tasks=alone)) if alone else tuple(sheets)


class ListLine(Doc):
    """One line of a shopping or prep list: what, how much, for which section of the shop or which task."""

    what: str
    amount: str
    section: str = ""
    note: str = ""
    task: str = ""
    cost: str = ""


class TrayPlace(Doc):
    """Where a trial stands in an oven load; its version and codes are for the kitchen's eyes."""

    load: int
    tray: int
    place: int
    trial: int
    version: str
    oven: str = ""
    codes: tuple[str, ...] = ()


class Cut(Doc):
    """Which part of a trial goes to whom: part 1 of 4, an edge."""

    trial: int
    part: int
    of: int
    where: str
    taster: str
    pass_: int = 1
    code: str = ""


class DayLists(Doc):
    """Shopping by section, prep by task, what is left over, the tray map, the cutting plan."""

    shopping: tuple[ListLine, ...] = ()
    prep: tuple[ListLine, ...] = ()
    left_over: tuple[ListLine, ...] = ()
    trays: tuple[TrayPlace, ...] = ()
    cuts: tuple[Cut, ...] = ()
    cost: str = ""
