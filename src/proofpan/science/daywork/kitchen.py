"""The kitchen: people, ovens, counted things, and who and which oven may take a task."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from proofpan.science.daywork.task import OvenNeed, Task


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


def places_taken(want: OvenNeed, oven: Oven) -> int:
    """Places that a task takes in an oven: whole trays take all of theirs."""
    return want.trays * oven.places if want.trays else want.places


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

    def people_for(self, task: Task) -> tuple[str, ...]:
        """Names of those who may do it, in the kitchen's order."""
        allowed = task.who or tuple(p.name for p in self.people)
        return tuple(p.name for p in self.people if p.name in allowed and (task.skill is None or task.skill in p.skills))

    def ovens_for(self, tasks: Iterable[Task]) -> tuple[str, ...]:
        """Names of the ovens that can take these tasks together in one filling."""
        wants = [t.oven for t in tasks if t.oven is not None]
        return tuple(
            o.name
            for o in self.ovens
            if all(w.oven in (None, o.name) and w.temperature_c <= o.max_c and w.fan in (None, o.fan) for w in wants)
            and sum(w.trays for w in wants) <= o.trays
            and sum(places_taken(w, o) for w in wants) <= o.total_places
        )

    def shared_people(self, members: Iterable[Task]) -> tuple[str, ...]:
        """Who may do the hands-on part of every member."""
        sets = [set(self.people_for(t)) for t in members if t.busy]
        return tuple(p.name for p in self.people if sets and all(p.name in s for s in sets))
