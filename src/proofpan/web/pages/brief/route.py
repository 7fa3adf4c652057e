"""The brief: read, changed a part at a time, undone by name, taken away as a file; the plan played as one types."""

from __future__ import annotations

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, Response

from proofpan.notebook.shelf import change_brief, replay, search_text
from proofpan.study.errors import ProofpanError, StudyError
from proofpan.study.labelled import taster_labels, text_with_labels
from proofpan.study.private import shareable, text_without_no_lists, without_no_lists
from proofpan.study.study import Study
from proofpan.web.desk import Desk, Typed, go, is_quick, lead, typed
from proofpan.web.pages.brief.changing import CHANGES, kitchen
from proofpan.web.pages.brief.page import PlanPart, brief_page, plan_part
from proofpan.web.rendering import show, words_of

router = APIRouter()
KITCHENS = 120
MOST_PLAYED = 200


def brief(desk: Desk, study_id: str, play: bool = False) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    plan = standing.kept("plan", lambda: played(standing.study)) if play else plan_part(standing.study)
    model = brief_page(standing.study, study_id, is_quick(standing), plan)
    return show("brief", model, desk.frame("Brief", standing, "brief"))


def played(study: Study) -> PlanPart:
    """The plan with its dry run."""
    from proofpan.steps.dry_run import dry_run

    if len(study.versions()) > MOST_PLAYED:
        return plan_part(study, (f"With {len(study.versions()):,} versions a dry run takes minutes: play it by proofpan dry-run.",))
    run = dry_run(study, kitchens=KITCHENS, seed=1)
    return plan_part(study, run.says, f"Played on {run.kitchens} invented kitchens; with so few, figures out of 100 are good to about 9.",
                     proposal=run.proposal)


@router.get("/study/{study_id}/brief")
def get_brief(study_id: str, play: str = "", desk: Desk = Depends(lead)) -> Response:
    """The brief."""
    return brief(desk, study_id, play == "1")


@router.get("/study/{study_id}/plan")
def get_plan(study_id: str, request: Request, desk: Desk = Depends(lead)) -> Response:
    """The plan's part of the page, for what is typed in the kitchen's form but not kept yet."""
    standing = desk.standing(study_id)
    form = Typed(list(request.query_params.multi_items()))
    try:
        study = kitchen(standing.study, form, desk.kitchen.clock().date())[0] if form.get("what") == "kitchen" else standing.study
        part = played(study)
    except ProofpanError as error:
        part = plan_part(standing.study, wrong=str(error))
    return HTMLResponse(words_of("brief", part, desk.frame("Plan", standing), "plan.html"))


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
    replay(Study(brief=after.brief), standing.events)  # what was cooked and tasted must still fit
    if after.brief != standing.study.brief:
        base = form.get("base")
        change_brief(desk.book, study_id, after, note=said, base_revision=int(base) if base.isdigit() else None)
        if after.title != standing.study.title:
            desk.book.save(study_id, without_no_lists(Study(brief=after.brief)).to_yaml(), note=said, title=after.title, search_text=search_text(after))
    return go(f"/study/{study_id}/brief")


@router.post("/study/{study_id}/undo")
def undo(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Take back the latest change of the brief, by name."""
    return _turn(desk, study_id, back=True)


@router.post("/study/{study_id}/redo")
def redo(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Bring it back."""
    return _turn(desk, study_id, back=False)


def _turn(desk: Desk, study_id: str, *, back: bool) -> Response:
    desk.again = lambda: brief(desk, study_id)
    done = desk.book.undo(study_id) if back else desk.book.redo(study_id)
    try:
        desk.standing(study_id)
    except ProofpanError as error:
        (desk.book.redo if back else desk.book.undo)(study_id)
        raise StudyError(
            f"“{done.what}” can't be taken back: something was cooked or tasted since that needs it ({error})."[:280]
        ) from None
    return go(f"/study/{study_id}/brief")


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
