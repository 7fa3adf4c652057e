"""A taster's ballot: one plate (or one set of plates) at a time, in their own order, and nothing that tells a version."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.steps.sittings import HOW
from proofpan.study.sittings import Sitting
from proofpan.web.marks import Line
from proofpan.web.seats import SeatState

MOST_PLATES = 60
CHOOSING = {"ranking": "order", "two out of five": "two", "duo-trio": "like the first"}


@dataclass(frozen=True)
class BallotPage:
    """One taster's page; `state` is taste, choose, thanks, closed or door. `pick` says how plates are chosen from a set, else it is empty."""

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
    pick: str
    slots: tuple[str, ...]
    asks: str
    how: str


def door_page(wrong: str = "") -> BallotPage:
    """Where a taster types the words from the door card."""
    return BallotPage("door", "", "", "", "", (), "", "", "", "/t", 0, wrong, (), "", (), "", "")


def ballot_page(
    seat: SeatState, sitting: Sitting | None, lines: tuple[Line, ...], dish: str, before: str, token: str, rinse: int, state: str,
    wrong: str = "",
) -> BallotPage:
    """The page for the next plate."""
    waiting = seat.waiting
    # a fixed width, so that a shorter order tells nothing by its bytes
    codes = " ".join(p.code for p in seat.served).ljust(4 * MOST_PLATES)
    kept = " ".join(p.code for p in seat.served if p.code in seat.kept).ljust(4 * MOST_PLATES)
    here = waiting[0] if waiting else None
    asks, how = HOW.get(sitting.kind, ("", "")) if sitting is not None else ("", "")
    together = sitting is not None and not sitting.by_plate
    slots = tuple((here or seat.plates[0]).code.split("+")) if together and seat.plates else ()
    return BallotPage(
        state=state,
        dish=dish,
        taster=seat.taster,
        code=here.code if here else "",
        place=f"{'set' if together else 'plate'} {here.place}" if here else "all marked",
        lines=lines,
        before=before,
        codes=codes,
        kept=kept,
        action=f"/t/{token}",
        rinse=rinse,
        wrong=wrong,
        choices=tuple(p.code for p in seat.served if p.pass_ == 1 and p.code not in seat.withdrawn) if sitting is None else (),
        pick=CHOOSING.get(sitting.kind, "one") if sitting is not None and together else "",
        slots=slots,
        asks=asks,
        how=how,
    )
