"""Classical designs, for those who know them: everything stands in the address, so that a design can be kept as a link."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from proofpan.steps import classical
from proofpan.steps.classical import ClassicalDesign
from proofpan.study.errors import StudyError
from proofpan.web.desk import Desk, Typed, lead
from proofpan.web.pages.designs.page import DesignsPage
from proofpan.web.rendering import show

router = APIRouter()
EXAMPLE = "salt: little, much\nfat: oil, butter\noven: 170, 190\nrest: none, 30 min"
FIELDS = ("kind", "factors", "generators", "runs", "model", "per_load", "loads", "plates", "in_each", "tasters", "seed")


def _split(text: str) -> list[str]:
    return [x.strip() for x in text.replace(";", ",").replace("\n", ",").split(",") if x.strip()]


def design_of(asked: Typed) -> ClassicalDesign:
    """The design that a filled form asks for.

    Raises: StudyError by the field that can't be used.
    """
    kind, seed = asked.get("kind", "fraction"), asked.whole("seed", 0, 0, 10**6)
    if kind == "blocks":
        return classical.blocks(asked.whole("plates", 7, 2, 50), asked.whole("in_each", 3, 1, 50), asked.whole("tasters", 7, 1, 200))
    try:
        factors = [classical.read_factor(line) for line in asked.get("factors").splitlines() if line.strip()]
        runs = asked.whole("runs", 0, 2, 256)
        if kind == "full":
            return classical.full(factors, seed)
        if kind == "screen":
            return classical.screen(factors, runs, seed)
        if kind == "optimal":
            per_load, loads = _split(asked.get("per_load")), asked.whole("loads", 0, 1, 32)
            return classical.optimal(factors, runs, asked.get("model", "main"), per_load, loads, seed)
        if kind == "fraction":
            generators = _split(asked.get("generators"))
            return classical.fraction(factors, generators, 0 if generators else runs, seed)
    except StudyError as error:
        raise StudyError(error.what, field="factors" if error.field == "factor" else error.field) from None
    raise StudyError("Choose one of the five kinds of design.", field="kind")


def designs(desk: Desk, asked: Typed) -> Response:
    """The page."""
    found = None
    if asked.get("kind") and not desk.error:
        try:
            found = design_of(asked)
        except StudyError as error:
            desk.error, desk.error_field = error.what, error.field
    model = DesignsPage(
        kind=asked.get("kind", "fraction"), factors=asked.get("factors", EXAMPLE), generators=asked.get("generators", "" if asked.get("kind") else "D=ABC"),
        runs=asked.get("runs"), model=asked.get("model", "main"), per_load=asked.get("per_load"), loads=asked.get("loads"),
        plates=asked.get("plates", "7"), in_each=asked.get("in_each", "3"), tasters=asked.get("tasters", "7"), seed=asked.get("seed", "0"), found=found,
        csv_href="/designs.csv?" + urlencode([(f, asked.get(f)) for f in FIELDS if asked.get(f)]),
    )
    answer = show("designs", model, desk.frame("Classical designs"))
    if desk.error:
        answer.status_code = 422
    return answer


@router.get("/designs")
def get_designs(request: Request, desk: Desk = Depends(lead)) -> Response:
    """The form, and the design that its address asks for."""
    return designs(desk, Typed(list(request.query_params.multi_items())))


@router.get("/designs.csv")
def get_csv(request: Request, desk: Desk = Depends(lead)) -> Response:
    """The trials as a file."""
    asked = Typed(list(request.query_params.multi_items()))
    desk.again = lambda: designs(desk, asked)
    found = design_of(asked)
    return Response(found.csv(), media_type="text/csv; charset=utf-8", headers={"content-disposition": f'attachment; filename="{found.kind}-design.csv"'})
