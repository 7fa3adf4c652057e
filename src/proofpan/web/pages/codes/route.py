"""The codes of a quick comparison's newest round, and another round of it."""

from __future__ import annotations

import secrets
from typing import Any

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.shelf import add_round
from proofpan.steps.rounds import next_round
from proofpan.steps.tying_days import with_control
from proofpan.study.errors import StudyError
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.alone.page import progress_of
from proofpan.web.pages.codes.page import codes_page
from proofpan.web.rendering import show
from proofpan.web.seats import without_failed
from proofpan.web.shelfcache import Standing

router = APIRouter()


def quick_of(standing: Standing) -> dict[str, Any]:
    """How a quick comparison was asked for."""
    begun = standing.of_kind("quick")
    return dict(begun[-1].payload) if begun else {"mode": "marks", "turns": 1, "seed": 0}


def is_finished(desk: Desk, standing: Standing) -> bool:
    """Whether the newest round is over: every plate has its mark, or was lifted and couldn't be read, or the tasting was closed."""
    study = standing.study
    if not study.rounds:
        return False
    alone = progress_of(standing) if len(study.tasters) == 1 else None
    closed = any(t.closed is not None and t.round == study.rounds[-1].number for t in desk.book.tastings(standing.study_id))
    if closed or (alone is not None and alone.done):
        return True
    round_ = without_failed(study, study.rounds[-1])
    marked = {(b.taster, b.trial, b.pass_) for b in study.ballot_records if b.round == round_.number}
    return bool(marked) and all((p.taster, p.trial, p.pass_) in marked for p in round_.plates)


def codes(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    if not study.rounds:
        return go(f"/study/{study_id}")
    turns = int(quick_of(standing)["turns"])
    finished = is_finished(desk, standing)
    model = codes_page(study, without_failed(study, study.rounds[-1]), turns, study_id, finished, finished and len(study.rounds) < study.plan.at_most)
    return show("codes", model, desk.frame("Codes", standing, "codes"))


@router.get("/study/{study_id}/codes")
def get_codes(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The codes under the plates."""
    return codes(desk, study_id)


@router.post("/study/{study_id}/codes")
def another_round(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Make them again: fresh plates, fresh codes."""
    desk.again = lambda: codes(desk, study_id)
    standing = desk.standing(study_id)
    if standing.study.rounds and not is_finished(desk, standing):
        raise StudyError("Mark the plates that are coded first.")
    seed, passes = secrets.randbelow(1_000_000), int(quick_of(standing)["turns"])
    round_ = next_round(standing.study, seed=seed, passes=passes)
    if not round_:
        raise StudyError(" ".join(round_.cautions))
    if form.get("control"):
        round_ = with_control(standing.study, round_, seed=seed, passes=passes)
    add_round(desk.book, study_id, round_)
    return go(f"/study/{study_id}/codes")
