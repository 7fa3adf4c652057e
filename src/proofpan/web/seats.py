"""A tasting as it stands: who has which plates, in which order, and what is with the kitchen. No version is known here."""

from __future__ import annotations

import threading
from collections.abc import Iterable
from dataclasses import dataclass

from proofpan.notebook import Event, TastingEntry
from proofpan.notebook.shelf import BALLOT
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.web.desk import Kitchen

MOST_LAID = 16
_LAID: dict[int, tuple[Round, dict[str, tuple[SeatPlate, ...]]]] = {}  # by the round's identity; the round is held, so it stays its own
_LOCK = threading.Lock()


@dataclass(frozen=True)
class SeatPlate:
    """One plate of one taster, by its place in their order."""

    code: str
    trial: int
    pass_: int
    place: int


@dataclass(frozen=True)
class SeatState:
    """One taster's plates, and which are with the kitchen."""

    taster: str
    plates: tuple[SeatPlate, ...]
    kept: frozenset[str]
    late: bool

    @property
    def waiting(self) -> tuple[SeatPlate, ...]:
        """Plates not marked yet, in order."""
        return tuple(p for p in self.plates if p.code not in self.kept)


def round_of(study: Study, number: int) -> Round | None:
    """A round by its number."""
    return next((r for r in study.rounds if r.number == number), None)


def plates_of(round_: Round, taster: str) -> tuple[SeatPlate, ...]:
    """A taster's plates in the order they are served."""
    with _LOCK:
        held = _LAID.get(id(round_))
        if held is None or held[0] is not round_:
            if len(_LAID) >= MOST_LAID:
                _LAID.clear()
            held = _LAID[id(round_)] = (round_, _laid(round_))
    return held[1].get(taster, ())


def _laid(round_: Round) -> dict[str, tuple[SeatPlate, ...]]:
    """Everybody's plates, worked out once for a round: with hundreds of tasters a search for each would cost more than the answer."""
    plates = {(p.taster, p.code): p for p in round_.plates}
    out = {}
    for order in round_.serving:
        found = ((place, plates.get((order.taster, code))) for place, code in enumerate(order.codes, 1))
        out[order.taster] = tuple(SeatPlate(p.code, p.trial, p.pass_, place) for place, p in found if p is not None)
    return out


def seat_of(kitchen: Kitchen, study_id: str, number: int, taster: str, *, with_kept: bool = True) -> tuple[Study, Round, SeatState] | None:
    """A taster's seat; none when the round or their plates are gone. Reads no marks but, if asked, which plates have some."""
    study, late = kitchen.shelf.serving(study_id)
    round_ = round_of(study, number)
    if round_ is None:
        return None
    marks = kitchen.book.events(study_id, kind=BALLOT) if with_kept else ()
    return study, round_, seat_state(round_, taster, marks, (number, taster) in late)


def seat_state(round_: Round, taster: str, marks: Iterable[Event], late: bool) -> SeatState:
    """Which of a taster's plates are with the kitchen."""
    plates = plates_of(round_, taster)
    code = {(p.trial, p.pass_): p.code for p in plates}
    kept = {
        code[key]
        for e in marks
        if e.payload.get("round") == round_.number
        and e.payload.get("taster") == taster
        and (key := (e.payload.get("trial"), e.payload.get("pass", 1))) in code
    }
    return SeatState(taster, plates, frozenset(kept), late)


def tasting_of(kitchen: Kitchen, study_id: str, number: int) -> TastingEntry | None:
    """The tasting of a round, if it was opened."""
    return next((t for t in kitchen.book.tastings(study_id) if t.round == number), None)
