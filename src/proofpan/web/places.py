"""What a taster's marks are read by: their plates, the lines of the ballot and the sitting, laid once for as long as the study stands as it does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from proofpan.notebook import Seat
from proofpan.study.study import Study
from proofpan.web.desk import Kitchen
from proofpan.web.marks import Line, lines_of
from proofpan.web.seats import Seated, SeatPlate, SeatState, seated

MOST_LAID = 5000


@dataclass(frozen=True)
class Place:
    """One taster's place; `gone` names the plates that were taken back."""

    seated: Seated
    late: frozenset[tuple[int, str]]
    lines: tuple[Line, ...]
    plates: Mapping[str, SeatPlate]
    gone: str

    def stands(self, study: Study, late: frozenset[tuple[int, str]]) -> bool:
        """Whether nothing has changed since it was laid; the shelf gives the same study for as long as that is so."""
        return self.seated.study is study and self.late is late


def place_of(kitchen: Kitchen, seat: Seat, at_most_old: float = 0.0) -> Place | None:
    """A taster's place; none when the round or their plates are gone.

    Parameters: at_most_old, seconds for which what was served a moment ago is taken as still so.
    """
    study, late = kitchen.shelf.serving(seat.study_id, at_most_old)
    held: Place | None = kitchen.places.get(seat)
    if held is not None and held.stands(study, late):
        return held
    found = seated(study, late, seat.round_number, seat.taster)
    if found is None:
        return None
    if len(kitchen.places) >= MOST_LAID:
        kitchen.places.clear()
    laid = kitchen.places[seat] = Place(found, late, lines_of(study), {p.code: p for p in found.state.plates}, taken_back(found.state))
    return laid


def taken_back(state: SeatState) -> str:
    """Which plates of a taster's order the kitchen has taken back since: a phone that was away still has them."""
    return " ".join(p.code for p in state.plates if p.code in state.withdrawn)
