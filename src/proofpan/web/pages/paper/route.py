"""Paper ballots: every plate of the newest round in one grid, filled row by row."""

from __future__ import annotations

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.entries import NewEvent
from proofpan.study.errors import BallotError
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.marks import lines_of, mark_events, read_marks, words_event
from proofpan.web.pages.paper.page import PaperPage, PaperRow
from proofpan.web.pages.tasting.route import newest
from proofpan.web.rendering import show
from proofpan.web.seats import plates_of

router = APIRouter()


def paper(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    round_ = newest(study)
    if round_ is None:
        return go(f"/study/{study_id}/tasting")
    lines = lines_of(study)
    scores = {(b.taster, b.trial, b.pass_, b.attribute): b.score for b in study.ballot_records if b.round == round_.number}
    retyped = dict(desk.typed)
    rows = []
    for taster in round_.orders:
        for plate in plates_of(round_, taster):
            cells = []
            for line in lines:
                there = scores.get((taster, plate.trial, plate.pass_, line.attribute))
                name = f"{plate.code}-{line.name}"
                cells.append((name, f"{there:g}" if there is not None else retyped.get(name, "")))
            kept = any((taster, plate.trial, plate.pass_, line.attribute) in scores for line in lines)
            rows.append(PaperRow(taster, plate.code, plate.place, tuple(cells), kept))
    model = PaperPage("Type in the paper ballots.", lines, tuple(rows), f"/study/{study_id}/paper", f"/study/{study_id}/tasting")
    return show("paper", model, desk.frame("Paper ballots", standing, "tasting"))


@router.get("/study/{study_id}/paper")
def get_paper(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The grid."""
    return paper(desk, study_id)


@router.post("/study/{study_id}/paper")
def post_paper(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Rows that were typed; rows that stand already are left alone."""
    desk.typed = form.texts
    desk.again = lambda: paper(desk, study_id)
    study = desk.standing(study_id).study
    round_ = newest(study)
    if round_ is None:
        raise BallotError("Plan a round first.")
    lines = lines_of(study)
    there = {(b.taster, b.trial, b.pass_) for b in study.ballot_records if b.round == round_.number}
    events: list[NewEvent] = []
    for taster in round_.orders:
        for plate in plates_of(round_, taster):
            given = form.under(f"{plate.code}-")
            if (taster, plate.trial, plate.pass_) in there or not any(given.get(line.name) for line in lines):
                continue
            try:
                marks = read_marks(lines, given)
            except BallotError as error:
                raise BallotError(f"Plate {plate.code}: {error.what}", field=f"{plate.code}-{error.field}") from None
            events += mark_events(round_.number, taster, plate.trial, plate.pass_, marks, position=plate.place)
            events += words_event(round_.number, taster, plate.trial, plate.pass_, given.get("words", ""))
    if not events:
        raise BallotError("No new row was typed.")
    desk.book.append_many(study_id, events)
    return go(f"/study/{study_id}/paper")
