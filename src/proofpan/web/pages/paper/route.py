"""Paper ballots: every plate of the newest round in one grid, filled row by row."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.entries import NewEvent
from proofpan.study.errors import BallotError
from proofpan.study.sittings import Answer, Sitting, read_answer
from proofpan.study.study import Study
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.marks import Line, answer_event, lines_asked, lines_of, mark_events, read_marks, words_event
from proofpan.web.pages.paper.page import PaperPage, PaperRow
from proofpan.web.pages.tasting.other import tasting_now
from proofpan.web.pages.tasting.route import newest
from proofpan.web.rendering import show
from proofpan.web.seats import failed_trials, plates_of

router = APIRouter()


def paper(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    round_ = newest(study)
    if round_ is None:
        return go(f"/study/{study_id}/tasting")
    now = tasting_now(study, round_, desk.book.tastings(study_id))
    if now.sitting is not None:
        return _paper_of(desk, study_id, study, now.sitting)
    lines = lines_of(study)
    scores = {(b.taster, b.trial, b.pass_, b.attribute): b.score for b in study.ballot_records if b.round == round_.number}
    retyped = dict(desk.typed)
    failed = failed_trials(study, round_.number)
    rows = []
    for taster in (t for t in round_.orders if t in study.tasters):
        for plate in plates_of(round_, taster):
            cells = []
            for line in lines:
                there = scores.get((taster, plate.trial, plate.pass_, line.attribute))
                name = f"{plate.code}-{line.name}"
                cells.append((name, f"{there:g}" if there is not None else retyped.get(name, "")))
            kept = any((taster, plate.trial, plate.pass_, line.attribute) in scores for line in lines)
            if plate.trial in failed and not kept:
                continue  # taken off the table: no ballot of it is asked for
            rows.append(PaperRow(taster, plate.code, plate.code, plate.place, tuple(cells), kept))
    model = PaperPage("Type in the paper ballots.", lines, tuple(rows), f"/study/{study_id}/paper", f"/study/{study_id}/tasting")
    return show("paper", model, desk.frame("Paper ballots", standing, "tasting"))


PICKED = Line("pick", "the one chosen", "", 0, 0, "", "")
PICKS = {"ranking": "codes, the best first", "two out of five": "the two chosen"}


def lines_on_paper(sitting: Sitting) -> tuple[Line, ...]:
    """The columns of another ballot's grid."""
    return lines_asked(sitting.asks) if sitting.by_plate else (replace(PICKED, attribute=PICKS.get(sitting.kind, PICKED.attribute)),)


def _paper_of(desk: Desk, study_id: str, study: Study, sitting: Sitting) -> Response:
    """The grid of another ballot: a row a plate, or a row a set."""
    lines = lines_on_paper(sitting)
    there = {(a.taster, a.code): a for a in study.answers if a.sitting == sitting.number}
    retyped = dict(desk.typed)
    failed = failed_trials(study, sitting.round)
    rows = []
    for taster in (t for t in sitting.tasters if t in study.tasters):
        for place, found in enumerate(sitting.of(taster), 1):
            kept = there.get((taster, found.code))
            if kept is None and any(plate.trial in failed for plate in found.plates):
                continue
            cells = tuple(
                (name, _as_typed(sitting, kept, line) if kept is not None else retyped.get(name, ""))
                for line in lines
                for name in (f"{taster}/{found.code}-{line.name}",)
            )
            rows.append(PaperRow(taster, found.code.replace("+", " "), f"{taster}/{found.code}", place, cells, kept is not None))
    model = PaperPage("Type in the paper ballots.", lines, tuple(rows), f"/study/{study_id}/paper", f"/study/{study_id}/tasting")
    return show("paper", model, desk.frame("Paper ballots", desk.standing(study_id), "tasting"))


def _as_typed(sitting: Sitting, answer: Answer, line: Line) -> str:
    if sitting.by_plate:
        return f"{dict(answer.marks)[line.name]:g}"
    return " ".join(code for code, _ in sorted(answer.marks, key=lambda m: m[1]))


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
    now = tasting_now(study, round_, desk.book.tastings(study_id))
    if now.sitting is not None:
        desk.book.append_many(study_id, _answers(study, now.sitting, form, desk.kitchen.shelf.serving(study_id)[1]))
        return go(f"/study/{study_id}/paper")
    lines = lines_of(study)
    late = desk.kitchen.shelf.serving(study_id)[1]
    there = {(b.taster, b.trial, b.pass_) for b in study.ballot_records if b.round == round_.number}
    events: list[NewEvent] = []
    for taster in (t for t in round_.orders if t in study.tasters):
        for plate in plates_of(round_, taster):
            given = form.under(f"{plate.code}-")
            if (taster, plate.trial, plate.pass_) in there or not any(given.get(line.name) for line in lines):
                continue
            try:
                marks = read_marks(lines, given)
            except BallotError as error:
                raise BallotError(f"Plate {plate.code}: {error.what}", field=f"{plate.code}-{error.field}") from None
            came_late = (now.number, taster) in late
            events += mark_events(round_.number, taster, plate.trial, plate.pass_, marks, position=plate.place, late=came_late)
            events += words_event(round_.number, taster, plate.trial, plate.pass_, given.get("words", ""))
    if not events:
        raise BallotError("No new row was typed.")
    desk.book.append_many(study_id, events)
    return go(f"/study/{study_id}/paper")


def _answers(study: Study, sitting: Sitting, form: Typed, late: frozenset[tuple[int, str]]) -> list[NewEvent]:
    """The rows of another ballot that were typed; those that stand already are left alone.

    Raises: BallotError naming the cell.
    """
    there = {(a.taster, a.code) for a in study.answers if a.sitting == sitting.number}
    events: list[NewEvent] = []
    for found in sitting.sets:
        key = f"{found.taster}/{found.code}"
        given = form.under(f"{key}-")
        words = given.pop("words", "")
        if (found.taster, found.code) in there or not any(given.values()):
            continue
        try:
            answer = read_answer(sitting, found.taster, found.code, given)
        except BallotError as error:
            raise BallotError(f"{found.taster}, {found.code.replace('+', ' ')}: {error.what}", field=f"{key}-{error.field}") from None
        events.append(answer_event(answer.model_copy(update={"late": (sitting.number, found.taster) in late})))
        events += words_event(sitting.number, found.taster, found.plates[0].trial if sitting.by_plate else 0, found.code, words)
    if not events:
        raise BallotError("No new row was typed.")
    return events
