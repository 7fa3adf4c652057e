"""The kitchen day as plain values: its tasks, its kitchen, and the limits on the whole.

Times are whole minutes counted from `DayModel.start`, a naive local clock time; a day on which the clocks change is therefore
counted as 24 hours (it is said in the method page).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from proofpan.science.daywork.kitchen import Kitchen
from proofpan.science.daywork.refusals import refuse_nonsense, refuse_numbers
from proofpan.science.daywork.task import After, Started, Task
from proofpan.science.daywork.zone import FOOD_CODE, Zone


@dataclass(frozen=True)
class DayModel:
    """A day, or days: the tasks, the kitchen, and the limits on the whole.

    start: minute 0, local clock time without zone. horizon: minutes by which everything has ended.
    opening: (from, to) minutes in which hands work and ovens run; empty: always.
    serve_window: the plates of a serve group are ready within so many minutes of each other (None: no limit).
    loose: serve groups without that limit, whose spread still counts (what has come out of the oven, so that ages are alike).
    serve_at: (serve group, minute): eaten then, so all its plates are ready by then and none earlier than the window before.
    """

    tasks: tuple[Task, ...]
    kitchen: Kitchen
    start: datetime
    horizon: int = 24 * 60
    opening: tuple[tuple[int, int], ...] = ()
    serve_window: int | None = 15
    serve_at: tuple[tuple[str, int], ...] = ()
    zone: Zone = FOOD_CODE
    loose: tuple[str, ...] = ()

    def window_of(self, group: str) -> int | None:
        """Minutes within which the plates of a serve group are ready; None without limit."""
        return None if group in self.loose else self.serve_window

    def __post_init__(self) -> None:
        refuse_numbers(self.tasks, self.kitchen, self.opening, self.horizon, self.serve_window)
        refuse_nonsense(self.tasks, self.kitchen, self.serve_at)

    def task(self, key: str) -> Task:
        """The task of that key."""
        return next(t for t in self.tasks if t.key == key)

    def at(self, minute: int) -> datetime:
        """Clock time of a minute."""
        return self.start + timedelta(minutes=minute)

    def minute(self, when: datetime) -> int:
        """The whole minute of a clock time, rounded up."""
        return ceil((when - self.start).total_seconds() / 60)

    def in_zone(self, of: Task | After) -> bool:
        """Whether a task's or wait's minutes count as in the danger zone."""
        return bool(getattr(of, "danger_zone", False)) or (of.food_c is not None and self.zone.holds(of.food_c))

    def people_for(self, task: Task) -> tuple[str, ...]:
        """Names of those who may do it, in the kitchen's order."""
        return self.kitchen.people_for(task)

    def ovens_for(self, tasks: Iterable[Task]) -> tuple[str, ...]:
        """Names of the ovens that can take these tasks together in one filling."""
        return self.kitchen.ovens_for(tasks)

    def oven_of(self, task: Task, fact: Started) -> str | None:
        """The oven that a started task went into: as said, else as asked for, else the first that fits."""
        if task.oven is None:
            return None
        return fact.oven or task.oven.oven or next(iter(self.ovens_for([task])), None)

    def say_time(self, minute: int) -> str:
        """A clock time in words; the weekday where the plan spans days, the date where a weekday comes twice."""
        when = self.at(minute)
        if self.horizon > 6 * 24 * 60:
            return f"{when:%A} {when.day} {when:%B} {when:%H:%M}"
        return f"{when:%A} {when:%H:%M}" if self.horizon > 24 * 60 or when.date() != self.start.date() else f"{when:%H:%M}"
