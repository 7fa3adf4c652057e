"""The brief: read, changed a part at a time, undone by name, taken away as a file; the plan played as one types."""

from __future__ import annotations

from datetime import datetime, timedelta

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, Response

from proofpan.notebook import Conflict, NotFound
from proofpan.notebook.shelf import change_brief, replay, search_text, with_brief
from proofpan.study.errors import ProofpanError, StudyError
from proofpan.study.labelled import taster_labels, text_with_labels
from proofpan.study.private import shareable, text_without_no_lists, without_no_lists
from proofpan.study.study import Study
from proofpan.study.words import joined
from proofpan.study.writing import as_file
from proofpan.web.declining import decline, where_from
from proofpan.web.desk import Desk, Typed, go, is_quick, lead, typed
from proofpan.web.pages.brief.changing import CHANGES, TOUCHES
from proofpan.web.pages.brief.naming import name_of
from proofpan.web.pages.brief.noted import keep_notes, notes_of
from proofpan.web.pages.brief.page import brief_page, plan_part
from proofpan.web.pages.brief.playing import KITCHENS, SURER, as_typed, plan_now, play
from proofpan.web.pages.cook.photographs import shown_photograph
from proofpan.web.rendering import show, words_of
from proofpan.web.shelfcache import Standing

router = APIRouter()
RUN = timedelta(minutes=2)  # changes of one part that follow each other sooner are one run, undone together


def brief(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    model = brief_page(study, study_id, is_quick(standing), plan_now(desk, study_id, study, study), notes_of(standing))
    return show("brief", model, desk.frame("Brief", standing, "brief", scripts=("keep", "autosave")))


@router.get("/study/{study_id}/brief")
def get_brief(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The brief."""
    return brief(desk, study_id)


def _plan(desk: Desk, study_id: str, form: Typed, start: int = 0) -> Response:
    """The plan's part of the page, for what is typed but not kept yet; `start`: its dry run on so many kitchens.

    Its figures stand beside those of the revision that the page was loaded with (`since`), where they changed.
    """
    standing = desk.standing(study_id)
    kept = standing.study
    try:
        if form.get("since").isdigit() and int(form.get("since")) < standing.revision:
            was = Study.from_text(desk.book.document(study_id, int(form.get("since"))).text)
        else:
            was = kept
        study = as_typed(kept, form, desk.kitchen.clock().date())
        if start:
            play(desk, study_id, study, start)
        part = plan_now(desk, study_id, was, study)
    except ProofpanError as error:
        part = plan_part(kept, kept, desk.kitchen.clock().date(), wrong=str(error))
    return HTMLResponse(words_of("brief", part, desk.frame("Plan", standing), "plan.html"))


@router.get("/study/{study_id}/plan")
def get_plan(study_id: str, request: Request, desk: Desk = Depends(lead)) -> Response:
    """The plan's part of the page."""
    return _plan(desk, study_id, Typed(list(request.query_params.multi_items())))


@router.post("/study/{study_id}/dry-run")
def post_dry_run(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Play the dry run: of what is typed, for the page's script, in place of the one that it asked for before; else of what is kept."""
    desk.again = lambda: brief(desk, study_id)
    kitchens = SURER if form.get("kitchens") == str(SURER) else KITCHENS
    if form.get("instead"):
        desk.kitchen.works.stop(form.get("instead"), desk.session)
    if form.get("part"):
        return _plan(desk, study_id, form, kitchens)
    work = play(desk, study_id, desk.standing(study_id).study, kitchens)
    return go(f"/study/{study_id}/work/{work.name}")


@router.post("/study/{study_id}/brief")
def post_brief(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """One part of the brief changed."""
    desk.typed = form.texts
    desk.again = lambda: brief(desk, study_id)
    change = CHANGES.get(form.get("what"))
    if change is None:
        raise StudyError("That part of the brief isn't known.")
    standing = desk.standing(study_id)
    after, said = change(standing.study, form, desk.kitchen.clock().date())
    replay(with_brief(desk.book, study_id, after), standing.events)  # what was cooked and tasted must still fit
    if after.brief != standing.study.brief:
        upon = int(form.get("base")) if form.get("base").isdigit() else standing.revision
        if upon < standing.revision:
            check_meanwhile(desk, standing, upon, form.get("what"))
        run, began = run_of(desk, standing, form)
        said = name_of(form.get("what"), began, after, said)
        change_brief(desk.book, study_id, after, note=said, base_revision=standing.revision, goes_on=run)
        if after.title != standing.study.title:
            document = without_no_lists(with_brief(desk.book, study_id, after))
            desk.book.save(study_id, document.to_yaml(), note=said, title=after.title, search_text=search_text(after))
    return go(f"/study/{study_id}/brief")


@router.post("/study/{study_id}/not-that")
def not_that(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A proposal declined with its reason, or considered again; back to the page that it stands on."""
    desk.again = lambda: brief(desk, study_id)
    decline(desk, study_id, form)
    return go(where_from(study_id, form))


def run_of(desk: Desk, standing: Standing, form: Typed) -> tuple[int | None, Study]:
    """The revision that a form which keeps itself carries on, and the study as it stood before that run; none, and the study, without one.

    It carries on the newest change if it made that itself, a moment ago, and that changed nothing but the same part.
    """
    last, touches = desk.book.history(standing.study_id)[-1], TOUCHES.get(form.get("what"), ())
    old = desk.kitchen.clock() - datetime.fromisoformat(last.at)
    if form.get("goes_on") != str(last.revision) or last.parent is None or last.same_as is not None or old > RUN:
        return None, standing.study
    began = Study.from_text(desk.book.document(standing.study_id, last.parent).text)
    was, now = as_file(began.brief), as_file(without_no_lists(standing.study).brief)
    others = {k for k in was.keys() | now.keys() if was.get(k) != now.get(k)} - set(touches)
    return (None, standing.study) if others else (last.revision, began)


def check_meanwhile(desk: Desk, standing: Standing, upon: int, what: str) -> None:
    """Another device may have changed the brief since this one loaded it: other parts stand beside this change, the same part doesn't.

    Raises: Conflict, naming what was changed.
    """
    before = as_file(Study.from_text(desk.book.document(standing.study_id, upon).text).brief)
    now = as_file(without_no_lists(standing.study).brief)
    if any(before.get(key) != now.get(key) for key in TOUCHES.get(what, ())):
        since = [e for e in desk.book.history(standing.study_id) if e.revision > upon]
        changes = joined(list(dict.fromkeys(f"“{e.note}” at {desk.local(e.at)}" for e in since)))
        raise Conflict(
            f"This was changed on another device meanwhile: {changes}. What you typed stands below and isn’t kept: keep it now and yours counts, "
            "or load the page again and theirs does."
        )


@router.post("/study/{study_id}/undo")
def undo(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Take back the latest change of the brief, by name."""
    return _turn(desk, study_id, form, back=True)


@router.post("/study/{study_id}/redo")
def redo(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Bring it back."""
    return _turn(desk, study_id, form, back=False)


def _turn(desk: Desk, study_id: str, form: Typed, *, back: bool) -> Response:
    desk.again = lambda: brief(desk, study_id)
    newest = desk.book.study(study_id).revision
    if form.get("base").isdigit() and int(form.get("base")) != newest:
        last = desk.book.history(study_id)[-1]
        raise Conflict(f"Nothing was taken back: another device came first, with “{last.note}”. This page now stands as it does there.")
    done = desk.book.undo(study_id, base_revision=newest) if back else desk.book.redo(study_id, base_revision=newest)
    try:
        desk.standing(study_id)
    except ProofpanError as error:
        (desk.book.redo if back else desk.book.undo)(study_id)
        raise StudyError(
            f"“{done.what}” can't be taken back: something was cooked or tasted since that needs it ({error})."[:280]
        ) from None
    return go(where_from(study_id, form))


@router.post("/study/{study_id}/notes/photograph")
def post_notes(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A photograph of a page of notes, kept as it came, to be typed in later."""
    desk.again = lambda: brief(desk, study_id)
    keep_notes(desk, study_id, form)
    return go(f"/study/{study_id}/brief#notes")


@router.get("/study/{study_id}/notes/{digest}")
def get_notes(study_id: str, digest: str, desk: Desk = Depends(lead)) -> Response:
    """A photograph of notes, to read."""
    if digest not in notes_of(desk.standing(study_id)).photographs:
        raise NotFound("That photograph isn’t in this study.")
    return Response(shown_photograph(desk.book.read_file(digest)), media_type="image/jpeg")


@router.get("/study/{study_id}/study.yaml")
def take_away(study_id: str, names: str = "", desk: Desk = Depends(lead)) -> Response:
    """The study as a file: as it was brought in while nothing was added, else with everything recorded; never with what is private to tasters.

    Their names are left out too, unless they agreed.
    """
    standing = desk.standing(study_id)
    recorded = standing.study.rounds or standing.study.trial_records
    text = shareable(standing.study).to_yaml() if recorded else text_without_no_lists(desk.book.document(study_id).text)
    if names != "agreed":
        text = text_with_labels(text, taster_labels(standing.study))
    return Response(text, media_type="application/yaml", headers={"content-disposition": f'attachment; filename="{study_id}.yaml"'})
