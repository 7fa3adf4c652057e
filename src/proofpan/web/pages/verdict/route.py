"""The verdict, and a tie-break in two taps."""

from __future__ import annotations

import secrets

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.shelf import add_round
from proofpan.steps.beside import beside
from proofpan.steps.confirming import Confirming, confirm
from proofpan.steps.tie_break import tie_break
from proofpan.steps.who_did import who_did
from proofpan.study.errors import StudyError
from proofpan.web.declining import why_not
from proofpan.web.desk import Desk, Typed, go, is_quick, lead, typed
from proofpan.web.drawing import verdict_charts
from proofpan.web.pages.alone.page import LIFTED
from proofpan.web.pages.verdict.page import verdict_page
from proofpan.web.pages.verdict.second import second_part
from proofpan.web.rendering import show

router = APIRouter()


def verdict(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    judged = standing.verdict
    charts = standing.kept("verdict charts", lambda: verdict_charts(judged, standing.study))
    quick = is_quick(standing)
    others = () if quick else standing.kept("marks beside", lambda: beside(standing.study))
    second = second_part(Confirming() if quick else standing.kept("second analysis", lambda: confirm(standing.study, judged)), others)
    alone = frozenset(int(e.payload["round"]) for e in standing.of_kind(LIFTED) if e.payload["code"])
    model = verdict_page(standing.study, judged, study_id, quick, charts, second, who_did(standing.study, alone), why_not(standing))
    return show("verdict", model, desk.frame("Verdict", standing, "verdict"))


@router.get("/study/{study_id}/verdict")
def get_verdict(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """What is settled, what isn't, what to publish today, what to cook next."""
    return verdict(desk, study_id)


@router.post("/study/{study_id}/tie-break")
def break_tie(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Two plates for one colleague: planned as a round of its own."""
    desk.again = lambda: verdict(desk, study_id)
    pair = form.many("version")
    if len(pair) != 2:
        raise StudyError("Choose two versions for the tie-break.", field="version")
    found = tie_break(desk.standing(study_id).study, pair, seed=secrets.randbelow(1_000_000))
    add_round(desk.book, study_id, found.round)
    desk.book.append(study_id, "tie-break", {"round": found.round.number, "says": list(found.says)}, key=f"tie-break:{found.round.number}")
    return go(f"/study/{study_id}/tasting")
