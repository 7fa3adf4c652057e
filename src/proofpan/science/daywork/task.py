"""One line of the day: its minutes and hands, what it holds, what it waits for, and what became of it."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Need:
    """An amount of a counted thing (hob, bowl, bench, litres of fridge) held while the task lasts.

    With `until`, the amount is held from this task's start to the end of that later task (a bowl, from mixing to the oven).
    """

    name: str
    amount: int = 1
    until: str | None = None


@dataclass(frozen=True)
class OvenNeed:
    """What a task wants of an oven: temperature, and trays or places of it; `oven` None means any that fits.

    `trays` whole trays or `places` on trays; `tray` and `place` only travel through to the plan, for the tray map.
    """

    temperature_c: int
    oven: str | None = None
    trays: int = 0
    places: int = 1
    fan: bool | None = None
    tray: int | None = None
    place: int | None = None


@dataclass(frozen=True)
class After:
    """The task starts `min_wait` to `max_wait` minutes after the end of `task` (`of="start"`: after its start).

    `food_c` is the temperature at which the food waits, where known: a wait inside the danger zone counts against the limit.
    """

    task: str
    min_wait: int = 0
    max_wait: int | None = None
    of: str = "end"
    food_c: float | None = None


@dataclass(frozen=True)
class Task:
    """One line of the day: a key, the words on the run sheet, its minutes, and what it holds while it lasts.

    minutes: expected length; `low_minutes` and `high_minutes` where it ends by a cue (things and oven are held to the high one).
    hands: busy minutes at the start, the rest is waiting; `hands_spans` gives (from, to) offsets instead, `to` at most `minutes`.
    who: allowed people (empty: anyone with `skill`); `everyone`: all of them at once, as at a tasting.
    attended: someone must be in, so it lies within opening hours; None: true for what uses an oven.
    group: tasks of one load: same start, one filling of the oven, put in and taken out by one person.
    afterwards: not part of the day that is to end soon (what is kept and tasted days later): it counts for neither finish nor idle hands.
    serve_group: this task's end is when the plate is ready; plates of one serve group are eaten together.
    out_c, cooling_minutes: temperature when ready and time constant of cooling, if spread of temperature counts.
    food, food_c, danger_zone: whose minutes in the danger zone are added up, at which temperature (or simply: in the zone).
    """

    key: str
    words: str
    minutes: int
    low_minutes: int | None = None
    high_minutes: int | None = None
    hands: int = 0
    hands_spans: tuple[tuple[int, int], ...] = ()
    who: tuple[str, ...] = ()
    everyone: bool = False
    skill: str | None = None
    needs: tuple[Need, ...] = ()
    oven: OvenNeed | None = None
    after: tuple[After, ...] = ()
    group: str | None = None
    serve_group: str | None = None
    fixed_start: int | None = None
    not_before: int | None = None
    not_after: int | None = None
    attended: bool | None = None
    kind: str = "cook"
    food: str | None = None
    food_c: float | None = None
    danger_zone: bool = False
    out_c: float | None = None
    cooling_minutes: float | None = None
    versions: tuple[str, ...] = ()
    afterwards: bool = False

    @property
    def hold_minutes(self) -> int:
        """Minutes for which things and oven are kept: to the latest end where a cue decides."""
        return max(self.minutes, self.high_minutes or 0)

    @property
    def busy(self) -> tuple[tuple[int, int], ...]:
        """Offsets (from, to) at which a person's hands are on it."""
        if self.hands_spans:
            return self.hands_spans
        return ((0, min(self.hands, self.minutes)),) if self.hands > 0 and self.minutes > 0 else ()

    @property
    def stays_in_opening_hours(self) -> bool:
        """Whether someone must be in the kitchen for all of it."""
        return self.oven is not None if self.attended is None else self.attended


@dataclass(frozen=True)
class Started:
    """What happened: when a task began, when it ended (None: still going), who did it, and in which oven if it could be several."""

    start: int
    end: int | None = None
    who: tuple[str, ...] = ()
    oven: str | None = None


def loads(tasks: Iterable[Task]) -> dict[str, tuple[Task, ...]]:
    """Tasks by load; a task without one is a load of its own, under its key."""
    found: dict[str, list[Task]] = {}
    for task in tasks:
        found.setdefault(task.key if task.group is None else f"load {task.group}", []).append(task)
    return {name: tuple(members) for name, members in found.items()}
