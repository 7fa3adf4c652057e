"""The kitchen day as a document: what is done when, by whom, where, and whether it is the best there is."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from proofpan.study.fields import Doc
from proofpan.study.wording import spoken

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = ("task", "what", "who", "resource", "start", "end", "versions")


def moment_words(moment: datetime, days: int) -> str:
    """A clock time as a cook needs it: `9:05`; over several days `Fri 9:05`; over more than six, where a weekday comes twice, `Fri 5 June 9:05`."""
    said = spoken()
    parts = [said.weekday(moment, short=True)] if days else []
    parts += [said.day_and_month(moment)] if days > 6 else []
    return " ".join([*parts, said.clock(moment)])


class DayTask(Doc):
    """One line of the run sheet."""

    task: str
    what: str
    who: str = ""
    people: tuple[str, ...] = ()
    resource: str = ""
    start: datetime
    end: datetime
    versions: tuple[str, ...] = ()
    trials: tuple[int, ...] = ()
    hands_until: datetime | None = None
    latest_end: datetime | None = None
    load: str = ""
    started: bool = False
    kind: str = "cook"


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


class DayPlan(Doc):
    """A day planned to the minute."""

    day_tasks: tuple[DayTask, ...]
    ovens: tuple[OvenTurn, ...] = ()
    optimal: bool = False
    gap: float = 0.0
    says: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
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
