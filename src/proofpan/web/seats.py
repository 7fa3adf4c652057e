"""A tasting as it stands: who has which plates, in which order, and what is with the kitchen. No version is known here."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from proofpan.notebook import TastingEntry
from proofpan.notebook.shelf import ANSWER, BALLOT
from proofpan.study.rounds import Order, PlateCode, Round
from proofpan.study.sittings import Sitting, round_of_sitting
from proofpan.study.study import Study
from proofpan.web.desk import Kitchen
from proofpan.web.kept import KeptMarks

MOST_LAID = 16
NOTHING = KeptMarks()
_LAID: dict[int, tuple[Round, dict[str, tuple[SeatPlate, ...]]]] = {}  # by the round's identity; the round is held, so it stays its own
_LOCK = threading.Lock()


@dataclass(frozen=True)
class SeatPlate:
    """One plate of one taster, by its place in their order; of a set that is compared, all its codes with + between."""

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
    withdrawn: frozenset[str] = frozenset()

    @property
    def served(self) -> tuple[SeatPlate, ...]:
        """Plates that are given or were: a make that failed, or isn't safe to taste, is taken from whoever hasn't had it."""
        return tuple(p for p in self.plates if p.code in self.kept or p.code not in self.withdrawn)

    @property
    def waiting(self) -> tuple[SeatPlate, ...]:
        """Plates to come, in order."""
        return tuple(p for p in self.served if p.code not in self.kept)


def failed_trials(study: Study, number: int) -> frozenset[int]:
    """Trials of a round that failed, or were marked not safe to taste: no plate of them is served."""
    return frozenset(t.trial for t in study.trial_records if t.round == number and t.failed)


def without_failed(study: Study, round_: Round) -> Round:
    """The round as it is served, its trials kept but no plate or code of one that failed, or of a taster who was dropped."""
    failed, asked = failed_trials(study, round_.number), set(study.tasters)
    plates = tuple(p for p in round_.plates if p.trial not in failed and p.taster in asked)
    if len(plates) == len(round_.plates):
        return round_
    left = {(p.taster, p.code) for p in plates}
    serving = tuple(Order(taster=o.taster, codes=tuple(c for c in o.codes if (o.taster, c) in left)) for o in round_.serving if o.taster in asked)
    return round_.model_copy(update={"plates": plates, "serving": serving})


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


@dataclass(frozen=True)
class Seated:
    """A taster at the table: the study, the round whose plates are served, the sitting if it isn't the ordinary ballot, and their plates."""

    study: Study
    round: Round
    sitting: Sitting | None
    state: SeatState


def sitting_of(study: Study, number: int) -> Sitting | None:
    """The other ballot that a tasting's number stands for, if it was laid."""
    return next((s for s in study.sittings if s.number == number and s.sets), None)


def seat_of(kitchen: Kitchen, study_id: str, number: int, taster: str, *, with_kept: bool = True) -> Seated | None:
    """A taster's seat; none when the round or their plates are gone. Reads no marks but, if asked, which plates have some.

    Parameters: number, of the tasting.
    """
    study, late = kitchen.shelf.serving(study_id)
    return seated(study, late, number, taster, kitchen.kept.of(study_id) if with_kept else NOTHING)


def seated(study: Study, late: frozenset[tuple[int, str]], number: int, taster: str, marks: KeptMarks = NOTHING) -> Seated | None:
    """A taster's seat in a study as it is served; none when the round or their plates are gone.

    Parameters: late, tasters as (tasting, name); number, of the tasting.
    """
    round_ = round_of(study, round_of_sitting(number))
    if round_ is None:
        return None
    sitting = sitting_of(study, number)
    return Seated(study, round_, sitting, seat_state(round_, sitting, taster, marks, (number, taster) in late, failed_trials(study, round_.number)))


def seat_state(round_: Round, sitting: Sitting | None, taster: str, marks: KeptMarks, late: bool, failed: frozenset[int] = frozenset()) -> SeatState:
    """Which of a taster's plates are with the kitchen."""
    here = marks.plates.get(who_of(round_, sitting, taster), set())
    if sitting is not None:
        sets = tuple(SeatPlate(s.code, s.plates[0].trial, 1, place) for place, s in enumerate(sitting.of(taster), 1))
        away = frozenset(s.code for s in sitting.of(taster) if any(p.trial in failed for p in s.plates))
        return SeatState(taster, sets, frozenset(p.code for p in sets if p.code in here), late, away)
    plates = plates_of(round_, taster)
    kept = frozenset(p.code for p in plates if (p.trial, p.pass_) in here)
    return SeatState(taster, plates, kept, late, frozenset(p.code for p in plates if p.trial in failed))


def who_of(round_: Round, sitting: Sitting | None, taster: str) -> tuple[str, int, str]:
    """By what a taster's marks of a tasting are known."""
    return (BALLOT, round_.number, taster) if sitting is None else (ANSWER, sitting.number, taster)


def as_round(sitting: Sitting, round_: Round) -> Round:
    """A sitting's plates in the shape of a round's, for its labels and its reveal: a trial served twice to one taster is its second pass."""
    plates: list[PlateCode] = []
    turns: dict[tuple[str, int], int] = {}
    for found in sitting.sets:
        for plate in found.plates:
            turn = turns[found.taster, plate.trial] = turns.get((found.taster, plate.trial), 0) + 1
            plates.append(PlateCode(taster=found.taster, trial=plate.trial, pass_=turn, code=plate.code))
    serving = tuple(Order(taster=t, codes=tuple(p.code for p in plates if p.taster == t)) for t in sitting.tasters)
    trials = tuple(t for t in round_.trials if t.trial in sitting.trials)
    return round_.model_copy(update={"trials": trials, "plates": tuple(plates), "serving": serving})


def tasting_of(kitchen: Kitchen, study_id: str, number: int) -> TastingEntry | None:
    """The tasting of a round, if it was opened."""
    return next((t for t in kitchen.book.tastings(study_id) if t.round == number), None)
