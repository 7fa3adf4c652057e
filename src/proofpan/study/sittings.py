"""Other ballots: a sitting asks something else of a round's plates than the marks that the verdict rests on.

A sitting is laid before it is opened (which plates, whose, in which order, under which codes) and its answers are kept apart from the
ballots: what it says is said by itself, and the verdict's scores stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Literal

from proofpan.study.errors import BallotError
from proofpan.study.fields import Doc, plain_number

Kind = Literal[
    "liking", "lines", "just right", "ranking", "preference", "triangle", "duo-trio", "two out of five", "difference from control"
]
KINDS: tuple[Kind, ...] = (
    "liking", "lines", "just right", "ranking", "preference", "triangle", "duo-trio", "two out of five", "difference from control",
)
FORCED: dict[str, int] = {"preference": 2, "triangle": 3, "duo-trio": 3, "two out of five": 5}
"""Plates of one answer, for the kinds in which one is chosen."""
PICKS = {"preference": 1, "triangle": 1, "duo-trio": 1, "two out of five": 2}
LATER = 1000
"""The notebook knows a tasting by a number: a round's first by the round's own, later ones by round × 1000 + 1, 2, …"""


class Ask(Doc):
    """One thing asked of a plate: a line to mark, or a scale of named steps."""

    name: str
    says: str
    low: float
    high: float
    left: str = ""
    right: str = ""
    steps: tuple[str, ...] = ()  # from low to high by one; empty: a line

    @property
    def values(self) -> tuple[tuple[int, str], ...]:
        """(value, word) of each step."""
        return tuple((int(self.low) + i, word) for i, word in enumerate(self.steps))


class Served(Doc):
    """One plate of a set: the code under it and what lies on it."""

    code: str
    trial: int


class PlateSet(Doc):
    """What one answer is about: one plate, or several that are compared."""

    taster: str
    plates: tuple[Served, ...]
    right: tuple[str, ...] = ()  # the codes of the right answer, where there is one
    shown: str = ""  # a duo-trio's reference

    @property
    def code(self) -> str:
        """What the set is known by: its codes in the order served."""
        return "+".join(p.code for p in self.plates)

    @property
    def open_codes(self) -> tuple[str, ...]:
        """The codes that may be chosen."""
        return tuple(p.code for p in self.plates if p.code != self.shown)


class Sitting(Doc):
    """One tasting of a round's plates with another ballot."""

    number: int
    round: int
    kind: Kind
    asks: tuple[Ask, ...] = ()
    control: int | None = None
    sets: tuple[PlateSet, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def tasters(self) -> tuple[str, ...]:
        """Those who have a set, in order."""
        return tuple(dict.fromkeys(s.taster for s in self.sets))

    @property
    def trials(self) -> tuple[int, ...]:
        """The trials on its plates."""
        return tuple(sorted({p.trial for s in self.sets for p in s.plates}))

    @property
    def by_plate(self) -> bool:
        """Whether one plate is judged at a time."""
        return bool(self.asks)

    def of(self, taster: str) -> tuple[PlateSet, ...]:
        """A taster's sets in the order served."""
        return tuple(s for s in self.sets if s.taster == taster)

    def set_of(self, taster: str, code: str) -> PlateSet | None:
        """The set that bears these codes for a taster."""
        return next((s for s in self.sets if s.taster == taster and s.code == code), None)


class Answer(Doc):
    """One taster's answer about one set: marks by what was asked, or the codes chosen (1) or ranked (1 first)."""

    sitting: int
    taster: str
    code: str
    marks: tuple[tuple[str, float], ...]
    late: bool = False

    @property
    def key(self) -> tuple[int, str, str]:
        """What an answer is known by."""
        return (self.sitting, self.taster, self.code)


def sitting_numbers(round_number: int, there: int) -> int:
    """The number of a round's sitting after `there` earlier ones."""
    return round_number if there == 0 else round_number * LATER + there


def round_of_sitting(number: int) -> int:
    """The round that a tasting's number belongs to."""
    return number // LATER if number > LATER else number


def read_answer(sitting: Sitting, taster: str, code: str, given: Mapping[str, Any]) -> Answer:
    """An answer as typed or tapped.

    Parameters: given, {name of what is asked: value}, or {"pick": codes} (the one chosen; for a ranking all, the best first).

    Raises: BallotError naming the field.
    """
    found = sitting.set_of(taster, code)
    if found is None:
        raise BallotError("That plate isn't one of yours.")
    marks = _marks(sitting, given) if sitting.by_plate else _picked(sitting, found, str(given.get("pick", "")))
    return Answer(sitting=sitting.number, taster=taster, code=code, marks=marks)


def _marks(sitting: Sitting, given: Mapping[str, Any]) -> tuple[tuple[str, float], ...]:
    out = []
    for ask in sitting.asks:
        text = str(given.get(ask.name, "")).strip().replace(",", ".")
        if not text:
            raise BallotError(f"Still to answer: {ask.says}", field=ask.name)
        try:
            value = float(text)
        except ValueError:
            raise BallotError(f"“{text[:20]}” isn't a number.", field=ask.name) from None
        ends = f"{plain_number(ask.low)} to {plain_number(ask.high)}"
        if not ask.low <= value <= ask.high:
            raise BallotError(f"{text[:20]} lies off the scale of {ends}.", field=ask.name)
        if ask.steps and value != int(value):
            raise BallotError(f"{text[:20]} isn't one of the steps: a whole number from {ends}.", field=ask.name)
        out.append((ask.name, round(value, 2)))
    return tuple(out)


def _picked(sitting: Sitting, plates: PlateSet, text: str) -> tuple[tuple[str, float], ...]:
    codes = re.findall(r"\d+", text)
    unknown = next((c for c in codes if c not in plates.open_codes), None)
    if unknown is not None:
        says = f"{unknown[:12]} isn't among them: {', '.join(plates.open_codes)}."
        raise BallotError(says, field="pick")
    if sitting.kind == "ranking":
        if sorted(codes) != sorted(plates.open_codes):
            raise BallotError("Give every plate one place, the best first.", field="pick")
        return tuple((code, float(place)) for place, code in enumerate(codes, 1))
    wanted = PICKS[sitting.kind]
    if len(set(codes)) != wanted or len(codes) != wanted:
        raise BallotError("Choose two plates." if wanted == 2 else "Choose one plate.", field="pick")
    return tuple((code, 1.0) for code in sorted(codes))
