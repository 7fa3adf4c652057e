"""Work that is going on: how far it is, and stopping it."""

from __future__ import annotations

from fastapi import APIRouter, Depends
from starlette.responses import JSONResponse, Response

from proofpan.notebook import NotFound
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.work.page import work_page
from proofpan.web.rendering import show
from proofpan.web.work import DONE, Work

router = APIRouter()


def _the_work(desk: Desk, study_id: str, name: str) -> Work:
    work = desk.kitchen.works.of(name, desk.session)
    if work is None or work.study != study_id:
        raise NotFound("That work isn’t there any more: start it again.")
    return work


@router.get("/study/{study_id}/work/{name}")
def get_work(study_id: str, name: str, desk: Desk = Depends(lead)) -> Response:
    """How far it is; where it is done, the page that shows the result."""
    work = _the_work(desk, study_id, name)
    if work.state == DONE:
        return go(work.then)
    step = "brief" if work.kind == "dry run" else "readings"
    return show("work", work_page(work), desk.frame("At work", desk.standing(study_id), step, page="work", scripts=("keep", "work")))


@router.get("/study/{study_id}/work/{name}/state")
def get_state(study_id: str, name: str, desk: Desk = Depends(lead)) -> Response:
    """The same for the page's script."""
    work = _the_work(desk, study_id, name)
    return JSONResponse(
        {"state": work.state, "ended": work.ended, "says": work.says, "done": work.done, "all": work.all, "then": work.then, "field": work.field}
    )


@router.post("/study/{study_id}/work/{name}/stop")
def stop_work(study_id: str, name: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Stop it."""
    _the_work(desk, study_id, name)
    desk.kitchen.works.stop(name, desk.session)
    return go(f"/study/{study_id}/work/{name}")
