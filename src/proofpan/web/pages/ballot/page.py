"""A taster's ballot: one plate at a time, in their own order, and nothing that tells a version."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.web.marks import Line
from proofpan.web.seats import SeatState

MOST_PLATES = 60


@dataclass(frozen=True)
class BallotPage:
    """One taster's page; `state` is taste, choose, thanks, closed or door."""

    state: str
    dish: str
    taster: str
    code: str
    place: str
    lines: tuple[Line, ...]
    before: str
    codes: str
    kept: str
    action: str
    rinse: int
    wrong: str
    choices: tuple[str, ...]


def door_page(wrong: str = "") -> BallotPage:
    """Where a taster types the words from the door card."""
    return BallotPage("door", "", "", "", "", (), "", "", "", "/t", 0, wrong, ())


def ballot_page(
    seat: SeatState, lines: tuple[Line, ...], dish: str, before: str, token: str, rinse: int, state: str, wrong: str = ""
) -> BallotPage:
    """The page for the next plate."""
    waiting = seat.waiting
    # a fixed width, so that a shorter order tells nothing by its bytes
    codes = " ".join(p.code for p in seat.plates).ljust(4 * MOST_PLATES)
    kept = " ".join(p.code for p in seat.plates if p.code in seat.kept).ljust(4 * MOST_PLATES)
    here = waiting[0] if waiting else None
    return BallotPage(
        state=state,
        dish=dish,
        taster=seat.taster,
        code=here.code if here else "",
        place=f"plate {here.place}" if here else "all marked",
        lines=lines,
        before=before,
        codes=codes,
        kept=kept,
        action=f"/t/{token}",
        rinse=rinse,
        wrong=wrong,
        choices=tuple(p.code for p in seat.plates if p.pass_ == 1),
    )
