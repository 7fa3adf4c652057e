"""Editions and afterwards: what is out of date, what readers ask, what came back, what to test again."""

from __future__ import annotations

import secrets
from dataclasses import replace

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.shelf import add_round
from proofpan.steps.copies import KINDS as COPY_KINDS
from proofpan.steps.copies import copies_to_mend
from proofpan.steps.edition_text import edition_recipe
from proofpan.steps.proofreading import text_changes
from proofpan.steps.questions import CAUSE_SAYS, KINDS, replies
from proofpan.steps.retest import OTHER_INGREDIENT, OTHER_SEASON, retest_round, reweighed
from proofpan.study.afterwards import TextChange
from proofpan.study.edition import Edition, recipe_lines
from proofpan.study.elsewhere import Changed
from proofpan.study.errors import StudyError
from proofpan.study.versions import Version
from proofpan.study.words import capital, counted, version_words
from proofpan.web.declining import why_not
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.editions import RETEST, changes_of, complaints_of, copies_of, dates_of, editions_of, newest_of, questions_of, state_of, warning_of
from proofpan.web.keeping_editions import change_copy, keep_change, keep_complaint, keep_copy, keep_question
from proofpan.web.pages.editions.page import ComplaintRow, CopyRow, EditionRow, EditionsPage, ReplyRow
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
LONGEST = 600


def show_editions(desk: Desk, study_id: str, *, pasted: str = "", came_back: tuple[TextChange, ...] | None = None) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study, root = standing.study, f"/study/{study_id}"
    editions, today = editions_of(standing), desk.kitchen.clock().date()
    newest = editions[-1] if editions else None
    copies = copies_to_mend(editions, copies_of(standing))
    late = [c for c in copies if not c.current]
    urgent = [c for c in late if c.urgent]
    changed = changes_of(standing)
    weighed = standing.kept(("reweighed", changed[:1]), lambda: reweighed(study, changed[0])) if changed else ()
    lines = recipe_lines(newest.recipe) if newest is not None else {}
    model = EditionsPage(
        headline=_headline(newest, len(late)), under=_under(newest, today),
        urgent=f"Mend first: {', '.join(c.copy_.where for c in urgent)}. A correction about safety isn’t there yet." if urgent else "",
        editions=tuple(_row(root, e, warning_of(standing, e), today) for e in reversed(editions)), newest=newest.number if newest else 0,
        copies=tuple(CopyRow(c.copy_.id, c.copy_.where, ", ".join(s for s in (c.copy_.kind, c.copy_.house) if s), f"{c.says}", c.lacks, c.urgent, c.current)
                     for c in copies),
        copy_kinds=COPY_KINDS, replies=_replies(standing), kinds=tuple(KINDS.items()), lines=tuple(lines.items()),
        complaints=tuple(ComplaintRow(c.id, c.words, c.cause, CAUSE_SAYS[c.cause]) for c in complaints_of(standing)), causes=tuple(CAUSE_SAYS),
        pasted=pasted, came_back=tuple((c.kind, c.says) for c in came_back or ()), read_back=came_back is not None,
        changed=tuple(_change_words(c) for c in {c.what: c for c in reversed(changed)}.values()),
        reweighed=tuple(r.says for r in weighed),
        versions=tuple((str(v), capital(version_words(v))) for v in _candidates(standing, newest)),
        rounds=tuple(sorted({t.round for t in study.trial_records} | {max((t.round for t in study.trial_records), default=0) + 1})),
        change_kinds=(OTHER_INGREDIENT, OTHER_SEASON), action=f"{root}/editions", recipe_href=f"{root}/recipe", tested_href=f"{root}/how-we-tested",
    )
    return show("editions", model, desk.frame("Editions", standing, "how-we-tested"))


def _change_words(c: Changed) -> str:
    why = f": {c.why.rstrip('.')}" if c.why else ""
    return f"{capital(c.what)} since round {c.since_round}{why}. In the verdict trials before it count {100 * c.weight:.0f} in 100."


def _headline(newest: Edition | None, late: int) -> str:
    if newest is None:
        return "No edition is out yet."
    if late:
        return f"{capital(counted(late, 'copy', 'copies'))} {'is' if late == 1 else 'are'} out of date."
    return f"Edition {newest.number} stands."


def _under(newest: Edition | None, today: object) -> str:
    if newest is None:
        return "An edition is a text frozen with its evidence; a correction makes the next one."
    return state_of(newest, today)


def _row(root: str, edition: Edition, warning: str, today: object) -> EditionRow:
    return EditionRow(edition.number, f"{root}/editions/{edition.number}", edition.title, state_of(edition, today), dates_of(edition), edition.why,
                      warning, edition.changes)


def _replies(standing: Standing) -> tuple[ReplyRow, ...]:
    asked = questions_of(standing)
    out = []
    for reply in replies(standing.study, asked):
        lines = sorted({q.line for q in asked if q.kind == reply.kind and q.line})
        out.append(ReplyRow(capital(KINDS.get(reply.kind, reply.kind)), reply.asked, reply.answer, reply.says, ", ".join(lines), reply.offer_test))
    no = why_not(standing)
    return tuple(replace(row, declined=no.get(row.proposal, "")) for row in out)


def _candidates(standing: Standing, newest: Edition | None) -> list[Version]:
    """The versions worth setting beside the control: likeliest first, a dozen at most."""
    study = standing.study
    versions = [v for v in study.versions() if newest is None or v != newest.version]
    if study.ballot_records:
        order = {r.version: -(r.odds_publish or 0) for r in standing.verdict.rows}
        versions.sort(key=lambda v: order.get(v, 1))
    return versions[:12]


@router.get("/study/{study_id}/editions")
def get_editions(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The page."""
    return show_editions(desk, study_id)


@router.post("/study/{study_id}/editions/copy")
def post_copy(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A copy put on the list, brought up to date, or taken off it."""
    desk.again = lambda: show_editions(desk, study_id)
    standing, what, once = desk.standing(study_id), form.get("what"), form.get("once")
    if what in ("gone", "mended") and form.get("id"):
        change_copy(desk.book, standing, form.get("id"), what, once=once)
    else:
        newest = newest_of(standing)
        shows = None if newest is None else form.whole("edition", newest.number, 1, newest.number)
        keep_copy(desk.book, standing, form.get("where"), kind=form.get("kind"), house=form.get("house"), shows=shows, once=once)
    return go(f"/study/{study_id}/editions")


@router.post("/study/{study_id}/editions/question")
def post_question(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A reader's question, kept by line."""
    desk.again = lambda: show_editions(desk, study_id)
    keep_question(desk.book, desk.standing(study_id), form.get("kind"), form.get("words"), form.get("line"), once=form.get("once"))
    return go(f"/study/{study_id}/editions")


@router.post("/study/{study_id}/editions/complaint")
def post_complaint(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A complaint, sorted; a cook may put it elsewhere."""
    desk.again = lambda: show_editions(desk, study_id)
    swapped = {"yes": True, "no": False}.get(form.get("swapped"))
    keep_complaint(desk.book, study_id, form.get("complaint"), swapped=swapped, cause=form.get("cause"), which=form.get("id"), once=form.get("once"))
    return go(f"/study/{study_id}/editions")


@router.post("/study/{study_id}/editions/read-back")
def post_read_back(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A text that came back, held against the newest edition."""
    desk.again = lambda: show_editions(desk, study_id, pasted=form.get("text"))
    newest = newest_of(desk.standing(study_id))
    if newest is None or not form.get("text"):
        raise StudyError("Paste the text that came back.", field="text")
    printed = edition_recipe(desk.standing(study_id).study, newest)
    return show_editions(desk, study_id, pasted=form.get("text"), came_back=text_changes(newest, form.get("text"), printed))


@router.post("/study/{study_id}/editions/changed")
def post_changed(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Another ingredient or season: older trials count less."""
    desk.again = lambda: show_editions(desk, study_id)
    weight = form.whole("weight", 0, 0, 100) if form.get("weight") else None
    keep_change(desk.book, desk.standing(study_id), form.get("what"), form.get("why"), form.whole("since", 1, 1, 10_000), weight, once=form.get("once"))
    return go(f"/study/{study_id}/editions#retest")


@router.post("/study/{study_id}/editions/retest")
def post_retest(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A round with the edition's version as control."""
    desk.again = lambda: show_editions(desk, study_id)
    standing = desk.standing(study_id)
    newest = newest_of(standing)
    if newest is None:
        raise StudyError("Publish an edition first; its version is the control.")
    round_ = retest_round(standing.study, newest, form.many("version"), seed=secrets.randbelow(1_000_000), repeats=form.whole("repeats", 1, 1, 3))
    add_round(desk.book, study_id, round_)
    desk.book.append(study_id, RETEST, {"edition": newest.number, "round": round_.number}, key=f"re-test:{round_.number}")
    return go(f"/study/{study_id}/cook")
