"""Tasting alone: mark first, then lift the plate and type its code."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.words import counted
from proofpan.web.marks import Line, lines_of
from proofpan.web.shelfcache import Standing

MARKED, LIFTED = "marked alone", "lifted alone"
PLACES = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth")


@dataclass(frozen=True)
class AlonePage:
    """What is to do now: `state` is mark, lift or done."""

    state: str
    headline: str
    under: str
    dish: str
    place: str
    lines: tuple[Line, ...]
    kept: tuple[str, ...]
    number: int
    action: str
    verdict_href: str
    codes_href: str
    before: str
    rinse: int


@dataclass(frozen=True)
class Progress:
    """How far a round alone has come."""

    round_number: int
    codes: dict[str, int]
    turns: int
    marked: tuple[dict[str, Any], ...]
    lifted: dict[int, str]

    @property
    def waiting(self) -> dict[str, Any] | None:
        """The marks whose plate hasn't been lifted."""
        return next((m for m in self.marked if m["n"] not in self.lifted), None)

    @property
    def total(self) -> int:
        """Marks in all."""
        return self.turns * len(self.codes)

    @property
    def done(self) -> bool:
        """Whether every plate of every turn was marked and lifted, read or not."""
        return bool(self.marked) and self.waiting is None and len(self.marked) >= self.total

    @property
    def says(self) -> str:
        """How many of the marks count."""
        read = sum(1 for c in self.lifted.values() if c)
        left = len(self.lifted) - read
        return f"{counted(read, 'mark')} {'is' if read == 1 else 'are'} in the notebook{f'; {left} left out, as the code could not be read' if left else ''}."

    def turn_of(self, number: int) -> int:
        """The turn that a mark belongs to, from 1."""
        return (number - 1) // max(1, len(self.codes)) + 1

    def used(self, turn: int) -> set[str]:
        """Codes lifted in a turn."""
        return {c for n, c in self.lifted.items() if c and self.turn_of(n) == turn}


def progress_of(standing: Standing) -> Progress | None:
    """The newest round, by its events; none when nothing is coded."""
    study = standing.study
    if not study.rounds or not study.tasters:
        return None
    round_ = study.rounds[-1]
    codes = first_codes(study, round_)
    turns = max((p.pass_ for p in round_.plates), default=1)
    marked = tuple(dict(e.payload) for e in standing.of_kind(MARKED) if e.payload["round"] == round_.number)
    lifted = {int(e.payload["n"]): str(e.payload["code"]) for e in standing.of_kind(LIFTED) if e.payload["round"] == round_.number}
    return Progress(round_.number, codes, turns, marked, lifted)


def first_codes(study: Study, round_: Round) -> dict[str, int]:
    """{code: trial} of the codes under the plates: alone, the same in every turn."""
    return {p.code: p.trial for p in round_.plates if p.pass_ == 1 and p.taster == study.tasters[0]}


def alone_page(standing: Standing, progress: Progress, dish: str, before: str, rinse: int) -> AlonePage:
    """The page as things stand."""
    root = f"/study/{standing.study_id}"
    number = len(progress.marked) + (0 if progress.waiting else 1)
    place = PLACES[number] if number < len(PLACES) else f"plate {number}"
    turn = progress.turn_of(number)
    lines = lines_of(standing.study)
    kept = tuple(f"{c or 'unread'}: {'kept' if c else 'left out'}" for _, c in sorted(progress.lifted.items()))
    if progress.done:
        state, headline, under = "done", "All marked. Nothing can sway them now.", progress.says
    elif progress.waiting is not None:
        state, headline = "lift", "Now lift the plate. What is written under it?"
        under = "Your marks are made and can’t be changed, so the code can’t sway you."
    else:
        state, headline = (
            "mark",
            f"Taste the {place} plate from the left." if turn == 1 else f"Turn {turn}. Shuffle again, then taste the next.",
        )
        under = "Don’t look under it. Write down words first, then mark the line."
        if turn > 1 and (number - 1) % len(progress.codes):
            headline = f"Turn {turn}. Taste the next plate."
    return AlonePage(
        state=state,
        headline=headline,
        under=under,
        dish=dish,
        place=f"{min(number, progress.total)} of {progress.total}",
        lines=lines,
        kept=kept,
        number=number,
        action=f"{root}/alone",
        verdict_href=f"{root}/verdict",
        codes_href=f"{root}/codes",
        before=before,
        rinse=rinse if number > 1 else 0,
    )
