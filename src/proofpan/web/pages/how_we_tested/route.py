"""How we tested, the editions, and the data behind them."""

from __future__ import annotations

import csv
import io

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.web.desk import Desk, lead
from proofpan.web.drawing import verdict_charts
from proofpan.web.pages.how_we_tested.page import EditionLine, tested_page
from proofpan.web.pages.recipe.route import EDITION
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()


def editions_of(standing: Standing) -> tuple[EditionLine, ...]:
    """Every edition, the newest first."""
    out = []
    for event in reversed(standing.of_kind(EDITION)):
        p = event.payload
        waived = "; ".join(f"{name}: {why}" for name, why in p.get("waived") or ())
        out.append(
            EditionLine(
                int(p["number"]),
                str(p.get("published") or ""),
                str(p["title"]),
                " ".join(p.get("says") or ()),
                waived,
                str(p.get("digest") or "")[:8],
            )
        )
    return tuple(out)


def _files(study_id: str) -> tuple[tuple[str, str], ...]:
    papers = f"/study/{study_id}/papers/how-we-tested"
    return (("One file for readers", f"{papers}.html"), ("PDF, A4", f"{papers}.pdf"), ("PDF, US Letter", f"{papers}.pdf?paper=us-letter"))


@router.get("/study/{study_id}/how-we-tested")
def get_tested(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    verdict = standing.verdict if standing.study.ballot_records else None
    charts = standing.kept("verdict charts", lambda: verdict_charts(standing.verdict)) if verdict is not None else {}
    model = tested_page(standing.study, verdict, study_id, charts, editions_of(standing), _files(study_id) if verdict is not None else ())
    return show("how_we_tested", model, desk.frame("How we tested", standing, "how-we-tested"))


@router.get("/study/{study_id}/ballots.csv")
def get_ballots(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """Every ballot as CSV; what tasters wrote stays theirs."""
    study = desk.standing(study_id).study
    version = {t.key: str(t.version) for t in study.trial_records}
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["round", "taster", "trial", "version", "attribute", "score", "pass"])
    for b in study.ballot_records:
        rows.writerow(
            [b.round, b.taster, b.trial, version[b.round, b.trial], b.attribute, "" if b.score is None else f"{b.score:g}", b.pass_]
        )
    return Response(
        out.getvalue(), media_type="text/csv", headers={"content-disposition": f'attachment; filename="{study_id}-ballots.csv"'}
    )
