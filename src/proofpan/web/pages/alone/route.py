"""Tasting alone, in two forms: the marks, then the code under the plate."""

from __future__ import annotations

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.entries import NewEvent
from proofpan.study.errors import BallotError, did_you_mean
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.marks import LONGEST_WORDS, lines_of, mark_events, read_marks, words_event
from proofpan.web.pages.alone.page import LIFTED, MARKED, Progress, alone_page, progress_of
from proofpan.web.rendering import show
from proofpan.web.servings import before_tasting, dish_of

router = APIRouter()


def alone(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    progress = progress_of(standing)
    if progress is None or not progress.codes:
        return go(f"/study/{study_id}")
    study = standing.study
    before = standing.kept("before", lambda: before_tasting(study, study.rounds[-1]))
    model = alone_page(standing, progress, dish_of(study), before, desk.kitchen.rinse_seconds)
    return show("alone", model, desk.frame("Taste", standing, "alone", scripts=("line", "keep")))


def _progress(desk: Desk, study_id: str) -> Progress:
    progress = progress_of(desk.standing(study_id))
    if progress is None:
        raise BallotError("No plates are coded yet.")
    return progress


@router.get("/study/{study_id}/alone")
def get_alone(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """What is to do now."""
    return alone(desk, study_id)


@router.post("/study/{study_id}/alone")
def post_alone(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Marks, or the code of the plate that was marked."""
    desk.typed = form.texts
    desk.again = lambda: alone(desk, study_id)
    if form.get("what") == "marks":
        _keep_marks(desk, study_id, form)
    else:
        _keep_code(desk, study_id, form)
    return go(f"/study/{study_id}/alone")


def _keep_marks(desk: Desk, study_id: str, form: Typed) -> None:
    progress, standing = _progress(desk, study_id), desk.standing(study_id)
    number = form.whole("number", 0, 1, 10_000)
    if number <= len(progress.marked):
        return  # the same form sent twice: the marks that were made stand
    if progress.waiting is not None or number != len(progress.marked) + 1:
        raise BallotError("Lift the plate you marked first, and type its code.")
    marks = read_marks(lines_of(standing.study), form.under(""))
    words = form.get("words")[:LONGEST_WORDS]
    payload = {"round": progress.round_number, "n": number, "marks": marks, "at": desk.kitchen.clock().isoformat(timespec="seconds")}
    new = [NewEvent(kind=MARKED, payload=payload, key=f"marked:{progress.round_number}:{number}")]
    if words:
        said = {"round": progress.round_number, "n": number, "words": words}
        new.append(
            NewEvent(kind="words held", payload=said, key=f"said:{progress.round_number}:{number}", person=standing.study.tasters[0])
        )
    desk.book.append_many(study_id, new)


def _keep_code(desk: Desk, study_id: str, form: Typed) -> None:
    progress, standing = _progress(desk, study_id), desk.standing(study_id)
    held = progress.waiting
    if held is None:
        return  # sent twice
    number, taster = int(held["n"]), standing.study.tasters[0]
    turn = progress.turn_of(number)
    code = "" if form.get("what") == "unreadable" else form.get("code").replace(" ", "")
    new: list[NewEvent] = []
    if code or form.get("what") != "unreadable":
        if code not in progress.codes:
            raise BallotError(f"No plate bears the code “{code[:12]}”. {did_you_mean(code, list(progress.codes))}", field="code")
        if code in progress.used(turn):
            raise BallotError(f"The plate {code} is marked already in this turn: look again, or say that you can’t read it.", field="code")
        trial = progress.codes[code]
        position = (number - 1) % len(progress.codes) + 1
        new += mark_events(progress.round_number, taster, trial, turn, held["marks"], position=position, time=str(held["at"])[:16])
        said = next(
            (
                e.payload["words"]
                for e in standing.of_kind("words held")
                if e.payload["n"] == number and e.payload["round"] == progress.round_number
            ),
            "",
        )
        new += words_event(progress.round_number, taster, trial, turn, said)
    lifted = {"round": progress.round_number, "n": number, "code": code}
    new.append(NewEvent(kind=LIFTED, payload=lifted, key=f"lifted:{progress.round_number}:{number}"))
    desk.book.append_many(study_id, new)
