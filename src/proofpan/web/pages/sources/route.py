"""Sources checked, added and taken away."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.shelf import change_brief
from proofpan.steps.claims import check_claim, claims_of
from proofpan.web.declining import why_not
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.brief.changing import rewritten
from proofpan.web.pages.sources.page import sources_page
from proofpan.web.rendering import show

router = APIRouter()


def sources(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    checked = standing.kept("claims", lambda: claims_of(standing.study))
    return show("sources", sources_page(checked, study_id, why_not(standing)), desk.frame("Sources", standing, "sources"))


@router.get("/study/{study_id}/sources")
def get_sources(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """What was read elsewhere, in our measures."""
    return sources(desk, study_id)


@router.post("/study/{study_id}/sources")
def post_sources(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """One source more, changed or taken away."""
    desk.typed = form.texts
    desk.again = lambda: sources(desk, study_id)
    study = desk.standing(study_id).study
    keys = ("words", "source", "country", "ours", "credit")
    claim = {k: form.get(k) for k in keys if form.get(k)}
    if form.get("as_meant"):
        claim["ours"] = form.get("as_meant")

    def change(value: dict[str, Any]) -> None:
        held = list(value.get("claims", ()))
        if form.get("what") == "add":
            value["claims"] = [*held, claim]
        elif form.get("what") == "drop":
            value["claims"] = [c for c in held if c["words"] != claim.get("words")]
        else:  # in its place, with its credit line and whatever else was said of it
            value["claims"] = [{**c, "ours": claim.get("ours")} if c["words"] == claim.get("words") else c for c in held]

    if form.get("what") != "drop":
        check_claim(claim, study=study)
    change_brief(desk.book, study_id, rewritten(study, change), note=f"{'dropped' if form.get('what') == 'drop' else 'checked'} a source")
    return go(f"/study/{study_id}/sources")
