"""The plan as plain values: lines by start, oven settings, and how good it is known to be."""

from dataclasses import dataclass, field


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
    broken: limits that a re-plan could not keep any more, a sentence each, those of `unsafe` first.
    unsafe: foods over their authority's limit in the danger zone, planned or already happened: not to be served.
    """

    tasks: tuple[PlannedTask, ...]
    settings: tuple[OvenSetting, ...]
    optimal: bool
    gap: float
    levels: tuple[Level, ...]
    broken: tuple[str, ...] = ()
    unsafe: tuple[str, ...] = ()
    seconds: float = field(default=0.0, compare=False)

    def __getitem__(self, key: str) -> PlannedTask:
        return next(t for t in self.tasks if t.key == key)

    def level(self, name: str) -> Level:
        """The aim of that name: fairness, finish or idle."""
        return next(x for x in self.levels if x.name == name)
