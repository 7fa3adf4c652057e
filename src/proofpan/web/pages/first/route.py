"""The first page, its search, and a study opened at its next unfinished step."""

from __future__ import annotations

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.web.demo import demo_text
from proofpan.web.desk import Desk, go, is_quick, lead
from proofpan.web.pages.first.page import first_page
from proofpan.web.rendering import show
from proofpan.web.ruler import opens_at

router = APIRouter()


def first(desk: Desk, words: str = "") -> Response:
    """The first page."""
    when = {e.id: desk.local(e.changed) for e in desk.book.studies()}
    options = tuple(v for n, v in desk.typed if n == "option") or ("", "")
    model = first_page(desk.book, words, when, options, demo_text() is not None)
    kept = f"{len(when)} in the notebook. " if when else "Nothing in the notebook yet. "
    return show("first", model, desk.frame("Notebook", kept=kept + "It is kept on this machine and sends nothing anywhere."))


@router.get("/")
def get_first(q: str = "", desk: Desk = Depends(lead)) -> Response:
    """The first page."""
    return first(desk, q.strip()[:200])


@router.get("/study/{study_id}")
def open_study(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """A study at its next unfinished step."""
    standing = desk.standing(study_id)
    if is_quick(standing):
        payload = standing.of_kind("quick")[-1].payload
        if payload.get("mode") == "triangles":
            return go(f"/study/{study_id}/triangles")
        return go(f"/study/{study_id}/{'verdict' if standing.study.ballot_records else 'codes'}")
    return go(f"/study/{study_id}/{opens_at(standing)}")
