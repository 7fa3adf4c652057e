"""The presenter's sheet and charts; nothing of a result goes out while a tasting is open."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.study.edition import Edition
from proofpan.study.errors import StudyError
from proofpan.web.desk import Desk, lead
from proofpan.web.editions import newest_of, state_of
from proofpan.web.pages.present.page import ChartLine, PresentPage
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
SHAPES = {"wide": (1920, 1080), "tall": (1080, 1920)}


def is_closed(desk: Desk, standing: Standing) -> bool:
    """Whether every ballot is in: something is tasted and no tasting is open."""
    return bool(standing.study.ballot_records) and all(t.closed is not None for t in desk.book.tastings(standing.study_id))


def _edition(standing: Standing) -> Edition | None:
    return newest_of(standing, standing.verdict.publish.version) if standing.study.ballot_records else None


def _draft(edition: Edition | None, today: date) -> str:
    if edition is None:
        return "The version to publish has no edition yet."
    return "" if edition.is_final(today) else state_of(edition, today)


@router.get("/study/{study_id}/present")
def get_present(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    closed, root = is_closed(desk, standing), f"/study/{study_id}/present"
    charts = []
    if closed:
        verdict = standing.verdict
        charts = [ChartLine(p.headline, f"{root}/pair-{i}-wide.png", f"{root}/pair-{i}-tall.png") for i, p in enumerate(verdict.interactions) if p.points]
        charts += [ChartLine(a.headline, f"{root}/answer-{i}-wide.png", f"{root}/answer-{i}-tall.png") for i, a in enumerate(verdict.answers)]
    model = PresentPage(
        headline="Say it as the verdict allows." if closed else "Sealed until every ballot is in.",
        under="A sheet to speak from and charts for a screen; numbers are rounded for speech." if closed
        else "The sheet can be printed already: it holds the question, and no result.",
        sealed=not closed, draft=_draft(_edition(standing), desk.kitchen.clock().date()) if closed else "",
        may_say=standing.verdict.publish.says if closed else (), dont_say=standing.verdict.publish.dont_say if closed else (), charts=tuple(charts),
        sheets=(("The sheet, A4", f"{root}/sheet.pdf"), ("US Letter", f"{root}/sheet.pdf?paper=us-letter")),
        tested_href=f"/study/{study_id}/how-we-tested",
    )
    return show("present", model, desk.frame("Present", standing, "how-we-tested"))


@router.get("/study/{study_id}/present/sheet.pdf")
def get_sheet(study_id: str, paper: str = "a4", desk: Desk = Depends(lead)) -> Response:
    """The sheet to speak from."""
    from proofpan.publish.presenter import presenter_sheet_pdf

    standing = desk.standing(study_id)
    size = paper if paper in ("a4", "us-letter") else "a4"
    data = presenter_sheet_pdf(standing.study, standing.verdict, is_closed(desk, standing), paper=size, edition=_edition(standing),
                               on=desk.kitchen.clock().date())
    return Response(data, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{study_id}-presenter.pdf"'})


@router.get("/study/{study_id}/present/{kind}-{number}-{shape}.png")
def get_chart(study_id: str, kind: str, number: int, shape: str, desk: Desk = Depends(lead)) -> Response:
    """One chart as a picture; the kitchen's invented numbers say so on it."""
    from proofpan.publish.presenter import chart_image_png

    standing = desk.standing(study_id)
    if not is_closed(desk, standing):
        raise StudyError("Sealed until every ballot is in: no chart goes out before.")
    verdict = standing.verdict
    shown = verdict.answers if kind == "answer" else verdict.interactions if kind == "pair" else ()
    if shape not in SHAPES or not 0 <= number < len(shown):
        raise StudyError("There is no such chart: wide or tall, of one of the verdict's answers.")
    edition, today = _edition(standing), desk.kitchen.clock().date()
    note = " ".join(s for s in ("Kitchen and numbers are invented." if standing.study.brief.invented else "", standing.study.brief.disclosure or "",
                                f"Draft. {_draft(edition, today)}" if _draft(edition, today) else "") if s)
    data = chart_image_png(verdict, SHAPES[shape], answer=number if kind == "answer" else None, pair=number if kind == "pair" else None, note=note)
    return Response(data, media_type="image/png", headers={"content-disposition": f'inline; filename="{study_id}-{kind}-{number}-{shape}.png"'})
