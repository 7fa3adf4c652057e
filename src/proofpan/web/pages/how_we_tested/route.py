"""How we tested, the editions, and the data behind them."""

from __future__ import annotations

import csv
import io

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.web.desk import Desk, lead
from proofpan.web.drawing import verdict_charts
from proofpan.web.editions import editions_of, warning_of
from proofpan.web.pages.how_we_tested.page import EditionLine, tested_page
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()


def edition_lines(standing: Standing) -> tuple[EditionLine, ...]:
    """Every edition, the newest first."""
    held = editions_of(standing)
    return tuple(
        EditionLine(
            e.number, f"{when:%-d %B %Y}" if (when := e.modified or e.published) else "without a date", e.title,
            e.why or " ".join(e.says), "; ".join(f"{name}: {why}" for name, why in e.waived),
            e.digest[:8], f"/study/{standing.study_id}/editions/{e.number}", warning_of(standing, e),
        )
        for e in reversed(held)
    )


def _files(study_id: str) -> tuple[tuple[str, str], ...]:
    papers = f"/study/{study_id}/papers/how-we-tested"
    return (("One file for readers", f"{papers}.html"), ("PDF, A4", f"{papers}.pdf"), ("PDF, US Letter", f"{papers}.pdf?paper=us-letter"),
            ("To present it", f"/study/{study_id}/present"))


@router.get("/study/{study_id}/how-we-tested")
def get_tested(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    verdict = standing.verdict if standing.study.ballot_records else None
    charts = standing.kept("verdict charts", lambda: verdict_charts(standing.verdict, standing.study)) if verdict is not None else {}
    model = tested_page(standing.study, verdict, study_id, charts, edition_lines(standing), _files(study_id) if verdict is not None else ())
    return show("how_we_tested", model, desk.frame("How we tested", standing, "how-we-tested"))


@router.get("/study/{study_id}/ballots.csv")
def get_ballots(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """Every ballot as CSV; tasters by number, and what they wrote stays theirs."""
    study = desk.standing(study_id).study
    version = {t.key: str(t.version) for t in study.trial_records}
    number = {t: f"taster {i}" for i, t in enumerate(dict.fromkeys(b.taster for b in study.ballot_records), 1)}
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["round", "taster", "trial", "version", "attribute", "score", "pass"])
    for b in study.ballot_records:
        rows.writerow(
            [b.round, number[b.taster], b.trial, version[b.round, b.trial], b.attribute, "" if b.score is None else f"{b.score:g}", b.pass_]
        )
    return Response(
        out.getvalue(), media_type="text/csv", headers={"content-disposition": f'attachment; filename="{study_id}-ballots.csv"'}
    )
