"""What a kitchen has by count and by hour, each as a short line of text: bowls, fridge shelves, breaks, skills, packs."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Any, NamedTuple

from pydantic import BeforeValidator

from proofpan.study.errors import quoted
from proofpan.study.fields import Texts, as_list, as_text, wrong
from proofpan.study.wording import say

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
# pounds and ounces by definition, quarts and fluid ounces as the US sells them (NIST Handbook 44, appendix C); a pint is another in the UK: not read
PER_KG = {"kg": ("g", 1000.0), "g": ("g", 1.0), "L": ("mL", 1000.0), "l": ("mL", 1000.0), "mL": ("mL", 1.0), "ml": ("mL", 1.0),
          "lb": ("g", 453.59237), "oz": ("g", 28.349523125), "quart": ("mL", 946.352946),
          "fl oz": ("mL", 29.5735295625)}
_THING = re.compile(r"^\s*(?:(?P<count>\d{1,3})\s*(?:×|x)?\s+)?(?P<name>[^\d\s].*?)(?:\s+until\s+(?P<until>.+?))?\s*$", re.I)
_BREAK = re.compile(r"^\s*(?P<name>.+?):?\s+(?P<from>\d{1,2}[:.]\d{2})\s*(?:-|–|to)\s*(?P<to>\d{1,2}[:.]\d{2})\s*$")
_SKILL = re.compile(r"^\s*(?P<name>[^:]+?)\s*:\s*(?P<skills>.+?)\s*$")
_TAKEN = re.compile(r"^\s*(?P<day>[A-Za-z]+|\d{4}-\d{2}-\d{2}):?\s+(?P<count>\d{1,2})(?:\s+shel(?:f|ves))?\s*$")
_PACK = re.compile(r"^\s*(?P<item>.+?):?\s+(?P<size>\d+(?:[.,]\d+)?)\s*(?P<unit>kg|g|L|l|mL|ml|fl oz|oz|lb|quart|each|pieces?)?\s*$")
_KEPT = re.compile(
    r"^\s*(?:(?P<frozen>from\s+frozen|frozen),?\s*(?:(?:day\s+)?(?P<frozen_days>\d{1,3})(?:\s*days?)?)?"
    r"|(?:day\s+)?(?P<days>\d{1,3})(?:\s*days?)?)\s*$", re.I)
FROZEN_DAYS = 7


class Thing(NamedTuple):
    """So many of a thing; `until` the step with which it is free again."""

    name: str
    number: int = 1
    until: str = ""


class Break(NamedTuple):
    """Someone's break, in minutes of the day."""

    name: str
    begins: int
    ends: int


class Skill(NamedTuple):
    """What someone can do."""

    name: str
    skills: tuple[str, ...]


class Taken(NamedTuple):
    """Fridge shelves that hold something else, on a weekday (by name) or a date."""

    day: str
    shelves: int

    def on(self, when: date) -> bool:
        """Whether it is that day."""
        return self.day in (when.isoformat(), DAYS[when.weekday()])


class Pack(NamedTuple):
    """How an ingredient is sold: grams, millilitres or pieces a pack; `said` as it stands on the pack, where that is in pounds or quarts."""

    item: str
    size: float
    unit: str
    said: str = ""


class Kept(NamedTuple):
    """A keeping test: tasted again so many days after, from frozen or not."""

    days: int
    frozen: bool = False

    @property
    def words(self) -> str:
        """`day 3`, `from frozen, day 7`."""
        return f"from frozen, day {self.days}" if self.frozen else f"day {self.days}"

    @property
    def said(self) -> str:
        """The same in the language that is spoken here."""
        return say("from frozen, day {day}", day=self.days) if self.frozen else say("day {day}", day=self.days)


def singular(name: str) -> str:
    """A thing's name for one of it: bowls → bowl, benches → bench, shelves → shelf."""
    name = " ".join(name.split()).casefold()
    for ending, one in (("shelves", "shelf"), ("knives", "knife"), ("ches", "ch"), ("shes", "sh"), ("sses", "ss")):
        if name.endswith(ending):
            return name.removesuffix(ending) + one
    return name.removesuffix("s") if name.endswith("s") and not name.endswith("ss") else name


def thing(text: str) -> Thing:
    """`4 bowls`, `bowl until bake`. Raises: a sentence."""
    match = _THING.match(text)
    if match is None or match["count"] == "0":
        raise wrong(f"{quoted(text)} isn't a count of things: write 4 bowls, or bowl until bake.")
    return Thing(singular(match["name"]), int(match["count"] or 1), (match["until"] or "").strip().casefold())


def minutes_of(clock: str) -> int:
    """Minutes of the day of 12:30; −1 when that is no time."""
    hours, minutes = (int(x) for x in re.split("[:.]", clock))
    return hours * 60 + minutes if hours <= 24 and minutes < 60 and hours * 60 + minutes <= 1440 else -1


def a_break(text: str) -> Break:
    """`Ada 12:30-13:00`. Raises: a sentence."""
    match = _BREAK.match(text)
    begins, ends = (minutes_of(match["from"]), minutes_of(match["to"])) if match else (-1, -1)
    if match is None or not 0 <= begins < ends:
        raise wrong(f"{quoted(text)} isn't a break: write who and from when to when, as Ada 12:30-13:00.")
    return Break(match["name"].strip(), begins, ends)


def skill(text: str) -> Skill:
    """`Bo: hot fat, knife`. Raises: a sentence."""
    match = _SKILL.match(text)
    if match is None:
        raise wrong(f"{quoted(text)} isn't a skill: write who and what they can do, as Bo: hot fat.")
    return Skill(match["name"], tuple(s.strip().casefold() for s in match["skills"].split(",") if s.strip()))


def taken(text: str) -> Taken:
    """`Friday 2`, `2026-06-05 1`. Raises: a sentence."""
    match = _TAKEN.match(text)
    day = match["day"].casefold() if match else ""
    if match is not None and day not in DAYS:
        try:
            date.fromisoformat(day)
        except ValueError:
            match = None
    if match is None:
        raise wrong(f"{quoted(text)} isn't a day and how many fridge shelves are taken: write Friday 2 or 2026-06-05 1.")
    return Taken(day, int(match["count"]))


def pack(text: str) -> Pack:
    """`plain flour 1 kg`, `eggs 6`. Raises: a sentence."""
    match = _PACK.match(text)
    size = float(match["size"].replace(",", ".")) if match else 0.0
    if match is None or size <= 0:
        raise wrong(f"{quoted(text)} isn't a pack: write what and how much is in one, as plain flour 1 kg or eggs 6.")
    unit, by = PER_KG.get(match["unit"] or "", ("each", 1.0))
    said = f"{match['size']} {match['unit']}" if by not in (1.0, 1000.0) else ""
    return Pack(match["item"].strip().casefold(), size * by, unit, said)


def kept(text: str) -> Kept:
    """`day 3`, `from frozen`, `from frozen, day 14`. Raises: a sentence."""
    match = _KEPT.match(text)
    if match is None or "0" in (match["days"], match["frozen_days"]):
        raise wrong(f"{quoted(text)} isn't a keeping test: write day 1, day 3, or from frozen, day 7.")
    return Kept(int(match["frozen_days"] or FROZEN_DAYS), True) if match["frozen"] else Kept(int(match["days"]))


def lines_read_by(read: Any) -> Any:
    """Lines of text, each of which must be readable so."""

    def check(value: Any) -> Any:
        lines = as_list(value)
        for line in lines if isinstance(lines, (list, tuple)) else ():
            read(as_text(line))
        return lines

    return Annotated[Texts, BeforeValidator(check)]


Things = lines_read_by(thing)
Breaks = lines_read_by(a_break)
Skills = lines_read_by(skill)
ShelvesTaken = lines_read_by(taken)
Packs = lines_read_by(pack)
KeepingTests = lines_read_by(kept)


