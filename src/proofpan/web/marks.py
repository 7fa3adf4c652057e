"""Marks on their way into the notebook: one natural key a plate and attribute, so that sending twice is marking once.

A second, different mark for the same plate is refused by the notebook: the first one stands, on whatever device it was made.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from proofpan.notebook.entries import NewEvent
from proofpan.notebook.shelf import ANSWER, BALLOT
from proofpan.study.ballots import OVERALL
from proofpan.study.errors import BallotError
from proofpan.study.sittings import Answer, Ask
from proofpan.study.study import Study

WORDS = "words"
LONGEST_WORDS = 600


@dataclass(frozen=True)
class Line:
    """One line of a ballot: what is asked, and the words at its ends."""

    name: str
    attribute: str
    asks: str
    low: float
    high: float
    left: str
    right: str
    steps: tuple[tuple[int, str], ...] = ()  # a scale of named steps in place of a line


def lines_asked(asks: Sequence[Ask]) -> tuple[Line, ...]:
    """What another ballot asks of one plate."""
    return tuple(Line(a.name, a.says.rstrip("?"), a.says, a.low, a.high, a.left, a.right, a.values) for a in asks)


def lines_of(study: Study) -> tuple[Line, ...]:
    """What a ballot asks, the overall line first; measured attributes aren't tasted."""
    judged = [a for a in study.attributes if not a.measured]
    out = []
    if len(judged) != 1:
        out.append(Line("m0", OVERALL, "All in all, how much would you want to serve it?", 0, 10, "not at all", "at once"))
    for attribute in judged:
        ends = tuple(attribute.anchors)[:2] or ("least", "most")
        asks = "How much do you like it?" if attribute.name == "liking" else f"{attribute.name[:1].upper()}{attribute.name[1:]}?"
        if attribute.name == "liking" and not attribute.anchors:
            ends = ("not at all", "very much")
        left, right = (ends[0], ends[-1])
        out.append(Line(f"m{len(out)}", attribute.name, asks, *attribute.scale, left, right))
    return tuple(out)


def read_marks(lines: Sequence[Line], given: Mapping[str, Any]) -> dict[str, float]:
    """{attribute: score} of the lines that were marked.

    Raises: BallotError for what isn't a number on its scale, or when nothing was marked.
    """
    out: dict[str, float] = {}
    for line in lines:
        text = str(given.get(line.name, "")).strip().replace(",", ".")
        if not text:
            continue
        try:
            value = float(text)
        except ValueError:
            raise BallotError(f"“{text[:20]}” isn't a number.", field=line.name) from None
        if not line.low <= value <= line.high:
            raise BallotError(f"{text[:20]} lies off the scale of {line.low:g} to {line.high:g}.", field=line.name)
        out[line.attribute] = round(value, 2)
    if not out:
        raise BallotError("Mark one line at least.", field=lines[0].name)
    return out


def mark_events(
    round_number: int,
    taster: str,
    trial: int,
    pass_: int,
    marks: Mapping[str, float],
    *,
    position: int | None = None,
    time: str = "",
    late: bool = False,
) -> list[NewEvent]:
    """A plate's marks as events."""
    more: dict[str, Any] = {}
    if position is not None:
        more["position"] = position
    if time:
        more["time"] = time
    if late:
        more["late"] = "yes"
    return [
        NewEvent(
            kind=BALLOT,
            key=f"mark:{round_number}:{taster}:{trial}:{pass_}:{attribute}",
            payload={
                "round": round_number,
                "taster": taster,
                "trial": trial,
                "pass": pass_,
                "attribute": attribute,
                "score": score,
                **more,
            },
        )
        for attribute, score in marks.items()
    ]


def answer_event(answer: Answer) -> NewEvent:
    """An answer of another ballot as an event: one natural key a set."""
    key = f"answer:{answer.sitting}:{answer.taster}:{answer.code}"
    return NewEvent(kind=ANSWER, key=key, payload=answer.model_dump(mode="json", exclude_defaults=True))


def words_event(number: int, taster: str, trial: int, pass_: int | str, words: str) -> list[NewEvent]:
    """What a taster wrote, kept as theirs: it stays out of exports and goes when they ask.

    Parameters: number, the tasting's; trial, 0 for words about a set; pass_, which pass, or the codes of a set.
    """
    text = " ".join(words.split())[:LONGEST_WORDS]
    if not text:
        return []
    payload = {"round": number, "trial": trial, "pass": pass_, "words": text}
    return [NewEvent(kind=WORDS, payload=payload, key=f"words:{number}:{taster}:{trial}:{pass_}", person=taster)]
