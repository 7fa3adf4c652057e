"""The kitchen day as plain values: tasks, people, ovens, things to cook in, and the limits between them.

Times are whole minutes counted from `DayModel.start`, a naive local clock time; a day on which the clocks change is therefore
counted as 24 hours (it is said in the method page).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import ceil, inf


class DayworkError(ValueError):
    """A day that can't be read as a scheduling problem: an unknown name, an amount that fits nowhere, a circle."""


class Infeasible(DayworkError):
    """No plan keeps every limit; `conflict` names a minimal set of limits that clash, one sentence each."""

    def __init__(self, conflict: tuple[str, ...]) -> None:
        self.conflict = conflict
        shown, more = "; ".join(conflict[:3]), len(conflict) - 3
        if not conflict:
            super().__init__("No plan keeps every limit of this day; which of them clash wasn't found in time.")
        elif more > 0:
            super().__init__(f"These can't all hold: {shown}; and {more} more. Relax any one of them.")
        else:
            super().__init__(f"These can't all hold: {shown}. Relax any one of them.")


class NotFound(DayworkError):
    """No plan was found in the time allowed, and none was proven impossible: allow more seconds."""


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
class Person:
    """Someone with hands: breaks as (from, to) minutes, and skills that tasks may ask for."""

    name: str
    breaks: tuple[tuple[int, int], ...] = ()
    skills: tuple[str, ...] = ()


@dataclass(frozen=True)
class Oven:
    """An oven: trays, places on a tray, and how fast it changes its temperature, which is its state.

    The rates (minutes per degree up and down) are common practice, no source: about 12 minutes from cold to 180 °C, a
    little slower down with the door ajar. Put in your own oven's.
    """

    name: str
    trays: int = 1
    places: int = 1
    fan: bool = True
    max_c: int = 300
    start_c: int = 20
    heat_minutes_per_c: float = 0.075
    cool_minutes_per_c: float = 0.1

    def change_minutes(self, from_c: float, to_c: float) -> int:
        """Whole minutes from one temperature to another, rounded up."""
        rate = self.heat_minutes_per_c if to_c > from_c else self.cool_minutes_per_c
        return ceil(abs(to_c - from_c) * rate - 1e-9)

    @property
    def total_places(self) -> int:
        """Places over all trays."""
        return self.trays * self.places


@dataclass(frozen=True)
class Blocked:
    """An amount of a counted thing that is taken from `start` to `end` by something else (a shelf on Friday)."""

    name: str
    amount: int
    start: int
    end: int


@dataclass(frozen=True)
class Kitchen:
    """People, ovens and counted things (name, how many); `blocked` takes some away for a while."""

    people: tuple[Person, ...]
    ovens: tuple[Oven, ...] = ()
    resources: tuple[tuple[str, int], ...] = ()
    blocked: tuple[Blocked, ...] = ()


@dataclass(frozen=True)
class Zone:
    """An authority's danger zone: between the two temperatures, and the minutes allowed in it altogether.

    Follow your local food-safety authority; the limit here counts whatever the tasks and waits are marked with, no more.
    """

    name: str
    low_c: float
    high_c: float
    limit_minutes: int
    source: str

    def holds(self, food_c: float) -> bool:
        """Whether food at this temperature is in the zone."""
        return self.low_c < food_c < self.high_c


FOOD_CODE = Zone("US Food Code", 5, 57, 240, "FDA Food Code 2022, 3-501.16 and 3-501.19(B); from memory")
AUSTRALIA = Zone("Australia and New Zealand", 5, 60, 240, "FSANZ Standard 3.2.2 and its 2-hour/4-hour rule; from memory")
UNITED_KINGDOM = Zone("United Kingdom", 8, 63, 120, "Food Safety and Hygiene (England) Regulations 2013, sch. 4: 2 h hot; from memory")
ZONES = {zone.name: zone for zone in (FOOD_CODE, AUSTRALIA, UNITED_KINGDOM)}


@dataclass(frozen=True)
class Started:
    """What happened: when a task began, when it ended (None: still going), who did it, and in which oven if it could be several."""

    start: int
    end: int | None = None
    who: tuple[str, ...] = ()
    oven: str | None = None


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
        refuse_nonsense(self)

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
        allowed = task.who or tuple(p.name for p in self.kitchen.people)
        return tuple(p.name for p in self.kitchen.people if p.name in allowed and (task.skill is None or task.skill in p.skills))

    def ovens_for(self, tasks: Iterable[Task]) -> tuple[str, ...]:
        """Names of the ovens that can take these tasks together in one filling."""
        wants = [t.oven for t in tasks if t.oven is not None]
        return tuple(
            o.name
            for o in self.kitchen.ovens
            if all(w.oven in (None, o.name) and w.temperature_c <= o.max_c and w.fan in (None, o.fan) for w in wants)
            and sum(w.trays for w in wants) <= o.trays
            and sum(places_taken(w, o) for w in wants) <= o.total_places
        )

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


def places_taken(want: OvenNeed, oven: Oven) -> int:
    """Places that a task takes in an oven: whole trays take all of theirs."""
    return want.trays * oven.places if want.trays else want.places


def in_short(words: str, longest: int = 70) -> str:
    """A task's first sentence, cut at a word where it runs long: enough to know it by, in a sentence of limits."""
    first = words.split(". ")[0].rstrip(" .")
    return first if len(first) <= longest else first[: longest - 1].rpartition(" ")[0].rstrip(" ,;:") + " …"


def say_minutes(minutes: int) -> str:
    """A length in words: 48 h, 1 h 30 min, 20 min; from three days on, 21 days, 3 days 5 h."""
    if minutes >= 3 * 24 * 60:
        days, rest = divmod(minutes, 24 * 60)
        return f"{days} days" + (f" {say_minutes(rest)}" if rest else "")
    hours, rest = divmod(minutes, 60)
    return " ".join(x for x in (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "") if x)


@dataclass(frozen=True)
class PlannedTask:
    """A line of the plan; minutes from the day's start."""

    key: str
    start_min: int
    end_min: int
    who: tuple[str, ...] = ()
    oven: str | None = None
    tray: int | None = None
    place: int | None = None
    resources: tuple[str, ...] = ()
    started: bool = False


@dataclass(frozen=True)
class OvenSetting:
    """Turn this oven to this temperature at `turn_min`; it is there by `ready_min`, when the load goes in."""

    oven: str
    temperature_c: int
    turn_min: int
    ready_min: int
    until_min: int


@dataclass(frozen=True)
class Level:
    """One aim of the plan, in order: its value, the proven bound, and whether it is proven best."""

    name: str
    value: int
    bound: int
    optimal: bool


@dataclass(frozen=True)
class DayPlan:
    """The plan: lines by start, oven settings, and how good it is known to be.

    gap: the worst level's (value − bound) / max(1, value); 0 when proven best.
    broken: limits that a re-plan could not keep any more, a sentence each.
    """

    tasks: tuple[PlannedTask, ...]
    settings: tuple[OvenSetting, ...]
    optimal: bool
    gap: float
    levels: tuple[Level, ...]
    broken: tuple[str, ...] = ()
    seconds: float = field(default=0.0, compare=False)

    def __getitem__(self, key: str) -> PlannedTask:
        return next(t for t in self.tasks if t.key == key)

    def level(self, name: str) -> Level:
        """The aim of that name: fairness, finish or idle."""
        return next(x for x in self.levels if x.name == name)


def _why_not(model: DayModel, wants: Sequence[OvenNeed]) -> str:
    """What keeps a load out of every oven, the plainest reason first, with what would be right."""
    ovens, hottest = model.kitchen.ovens, max(w.temperature_c for w in wants)
    if not ovens:
        return "the kitchen has none"
    if named := next((w.oven for w in wants if w.oven is not None and w.oven not in {o.name for o in ovens}), None):
        return f"there is no oven {named!r}"
    if hottest > max(o.max_c for o in ovens):
        return f"it wants {hottest} °C, and the hottest goes to {max(o.max_c for o in ovens)}"
    fan = next((w.fan for w in wants if w.fan is not None), None)
    if fan is not None and all(o.fan is not fan for o in ovens):
        return "it wants a fan, and none has one" if fan else "it wants an oven without a fan, and each has one"
    places, trays = sum(w.places for w in wants if not w.trays), sum(w.trays for w in wants)
    room = max(o.total_places for o in ovens)
    if places > room or trays > max(o.trays for o in ovens):
        return f"it wants {places} places and {trays} whole trays, and the largest has {room} places on {max(o.trays for o in ovens)} trays"
    return "the one that is large enough isn't hot enough, or has the wrong fan setting"


def refuse_nonsense(model: DayModel) -> None:
    """Raises DayworkError with one sentence for what no plan could mean."""
    keys = [t.key for t in model.tasks]
    if len(set(keys)) < len(keys):
        raise DayworkError(f"Two tasks have the key {next(k for k in keys if keys.count(k) > 1)!r}; each needs its own.")
    people, capacity = {p.name for p in model.kitchen.people}, dict(model.kitchen.resources)
    for task in model.tasks:
        if task.minutes < 0 or any(not 0 <= a < b <= task.minutes for a, b in task.busy):
            raise DayworkError(f"{task.words!r}: its hands-on minutes must lie within its {task.minutes} minutes.")
        if unknown := [n for n in task.who if n not in people]:
            raise DayworkError(f"{task.words!r} asks for {unknown[0]!r}, who isn't in the kitchen.")
        if task.busy and not model.people_for(task):
            raise DayworkError(f"Nobody here can do {task.words!r}" + (f" (skill: {task.skill})." if task.skill else "."))
        for need in task.needs:
            if need.amount > capacity.get(need.name, -1):
                raise DayworkError(f"{task.words!r} wants {need.amount} × {need.name}; the kitchen has {capacity.get(need.name, 0)}.")
            if need.until is not None and need.until not in keys:
                raise DayworkError(f"{task.words!r} keeps its {need.name} until {need.until!r}, which isn't a task.")
        for link in task.after:
            if link.task not in keys:
                raise DayworkError(f"{task.words!r} comes after {link.task!r}, which isn't a task.")
            if link.min_wait > (inf if link.max_wait is None else link.max_wait):
                raise DayworkError(f"{task.words!r} waits at least {link.min_wait} and at most {link.max_wait} minutes: turn them round.")
    for name, members in loads(model.tasks).items():
        wants = [t.oven for t in members if t.oven is not None]
        if len({w.temperature_c for w in wants}) > 1:
            raise DayworkError(f"The load {name!r} is asked for two oven temperatures; it can have one.")
        if wants and not model.ovens_for(members):
            raise DayworkError(
                f"No oven here takes {members[0].words!r}" + (f" and the rest of the load {name!r} at once" if len(members) > 1 else "")
                + f": {_why_not(model, wants)}."
            )
        if any(t.busy for t in members) and not shared_people(model, members):
            raise DayworkError(f"Nobody may do all of the load {name!r}.")
    for name, minute in model.serve_at:
        if not any(t.serve_group == name for t in model.tasks):
            raise DayworkError(f"{name!r} is to be eaten at minute {minute}, but no task serves it.")
    refuse_circles(model.tasks)


def loads(tasks: Iterable[Task]) -> dict[str, tuple[Task, ...]]:
    """Tasks by load; a task without one is a load of its own, under its key."""
    found: dict[str, list[Task]] = {}
    for task in tasks:
        found.setdefault(task.key if task.group is None else f"load {task.group}", []).append(task)
    return {name: tuple(members) for name, members in found.items()}


def shared_people(model: DayModel, members: Iterable[Task]) -> tuple[str, ...]:
    """Who may do the hands-on part of every member."""
    sets = [set(model.people_for(t)) for t in members if t.busy]
    return tuple(p.name for p in model.kitchen.people if sets and all(p.name in s for s in sets))


def refuse_circles(tasks: tuple[Task, ...]) -> None:
    """Raises DayworkError where tasks wait for each other in a circle."""
    waits, done = {t.key: {a.task for a in t.after} for t in tasks}, set[str]()
    while ready := [k for k, w in waits.items() if w <= done]:
        done.update(ready)
        for key in ready:
            del waits[key]
    if waits:
        raise DayworkError("These wait for each other in a circle: " + ", ".join(sorted(waits)[:4]) + ".")
