"""Papers: run sheet, lists, tray map, test sheets, ballots, labels, the sealed reveal, the recipe card and how we tested, as files to print or keep."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.steps.sittings import HOW
from proofpan.study.countries import paper_of
from proofpan.study.crosstest import CrossTest
from proofpan.study.day import DayPlan
from proofpan.study.edition import Edition
from proofpan.study.errors import ProofpanError, StudyError
from proofpan.study.reader_recipe import ReaderRecipe
from proofpan.study.rounds import Round
from proofpan.study.sittings import Sitting
from proofpan.web.cross_tests import tests_of
from proofpan.web.desk import Desk, Typed, lead
from proofpan.web.editions import as_published
from proofpan.web.languages import in_language
from proofpan.web.pages.cook.route import as_one_trial
from proofpan.web.pages.day.route import day_now
from proofpan.web.pages.readings.sheets import labelled_sheet
from proofpan.web.pages.recipe.route import chosen, worked
from proofpan.web.pages.tasting.other import ORDINARY
from proofpan.web.pages.tasting.route import newest
from proofpan.web.seats import as_round, without_failed
from proofpan.web.servings import before_tasting, dish_of
from proofpan.web.shelfcache import Standing

router = APIRouter()
PAPERS = ("a4", "us-letter", "index")


def _round(standing: Standing) -> Round:
    round_ = newest(standing.study)
    if round_ is None:
        raise StudyError("Plan a round first; its papers follow from it.")
    return round_


def run_sheet(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """The day, a list a person."""
    from proofpan.publish.day_papers import run_sheet_pdf

    return run_sheet_pdf(standing.study, _plan(standing), paper=paper)


def _plan(standing: Standing) -> DayPlan:
    """The day as it runs."""
    plan = day_now(standing)[1] if standing.study.rounds else StudyError("Plan a round first.")
    if isinstance(plan, ProofpanError):
        raise plan
    assert isinstance(plan, DayPlan)
    return plan


def oven_chart(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """Each oven's temperature over the day."""
    from proofpan.publish.day_papers import oven_chart_pdf

    return oven_chart_pdf(standing.study, _plan(standing), paper=paper)


def filming(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """What to shoot when."""
    from proofpan.publish.day_papers import filming_sheet_pdf

    return filming_sheet_pdf(standing.study, _plan(standing), paper=paper)


def cutting(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """Who gets edge or middle."""
    from proofpan.publish.day_papers import cutting_plan_pdf
    from proofpan.steps.day_lists import cutting_plan

    return cutting_plan_pdf(standing.study, cutting_plan(standing.study, _round(standing)), paper=paper)


def blank_sheets(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """Numbered test sheets with nothing filled in."""
    from proofpan.publish.sheets import blank_sheets_pdf

    first = max((t.trial for t in standing.study.trial_records), default=0) + 1
    return blank_sheets_pdf(standing.study, count=form.whole("count", 4, 1, 50), first=form.whole("first", first, 1, 100_000), paper=paper)


def shopping(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """What to buy for the round."""
    from proofpan.publish.sheets import shopping_list_pdf
    from proofpan.steps.day_lists import day_lists

    return shopping_list_pdf(standing.study, day_lists(standing.study, _round(standing)), paper=paper)


def prep(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """What to weigh and prepare for the round, and what is left over."""
    from proofpan.publish.sheets import prep_list_pdf
    from proofpan.steps.day_lists import day_lists

    return prep_list_pdf(standing.study, day_lists(standing.study, _round(standing)), paper=paper)


def tray_map(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """Where each trial stands in the oven."""
    from proofpan.publish.sheets import tray_map_pdf

    return tray_map_pdf(standing.study, _round(standing), paper=paper)


def sheets_of_trials(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """A test sheet a trial."""
    from proofpan.publish.sheets import test_sheets_pdf
    from proofpan.steps.day_lists import made_together

    round_, study = _round(standing), standing.study
    found = {t.trial: as_one_trial(study, t)[0] for t in study.trial_records if t.round == round_.number}
    return test_sheets_pdf(study, round_, worked={n: w for n, w in found.items() if w is not None}, together=made_together(study, round_),
                           paper=paper)


def _sitting(standing: Standing) -> Sitting | None:
    """The other ballot that is laid or was asked last of the round's plates."""
    round_ = _round(standing)
    mine = [s for s in standing.study.sittings if s.round == round_.number and s.sets]
    return mine[-1] if mine else None


def _served(standing: Standing, form: Typed) -> Round:
    """The round with the plates of the ballot that is asked."""
    sitting = None if form.get("ballot") == ORDINARY else _sitting(standing)
    return without_failed(standing.study, _round(standing)) if sitting is None else as_round(sitting, _round(standing))


def paper_ballots(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """A ballot a taster."""
    from proofpan.publish.sheets import paper_ballots_pdf, sitting_ballots_pdf

    round_ = _round(standing)
    sitting = None if form.get("ballot") == ORDINARY else _sitting(standing)
    if sitting is not None:
        asks, how = HOW.get(sitting.kind, ("", ""))
        told = before_tasting(standing.study, round_)
        return sitting_ballots_pdf(sitting, dish=dish_of(standing.study), asks=asks, how=how, contains=told, paper=paper)
    return paper_ballots_pdf(standing.study, without_failed(standing.study, round_), contains=before_tasting(standing.study, round_), paper=paper)


def labels(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """Labels for the plates, on the sheet whose measures are given."""
    from proofpan.publish.sheets import labels_pdf

    sizes = {name: _millimetres(form, name) for name in ("width_mm", "height_mm", "margin_x_mm", "margin_y_mm", "gap_mm", "row_gap_mm") if form.get(name)}
    counts = {name: form.whole(name, 1, 1, 40) for name in ("columns", "rows") if form.get(name)}
    return labels_pdf(_served(standing, form), paper=paper, qr=form.get("qr") != "no", **sizes, **counts)  # type: ignore[arg-type]


def _millimetres(form: Typed, name: str) -> float:
    try:
        value = float(form.get(name).replace(",", "."))
    except ValueError:
        value = -1.0
    if not 0 <= value <= 300:
        raise StudyError(f"“{form.get(name)[:20]}” isn't a measure from 0 to 300 mm.", field=name)
    return value


def reveal(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """Which code is which, folded sealed."""
    from proofpan.publish.sheets import reveal_sheet_pdf

    return reveal_sheet_pdf(standing.study, _served(standing, form), paper=paper)


def card(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """The recipe's card."""
    from proofpan.publish.card import recipe_card_pdf

    version = chosen(standing, form.get("version"))
    made = worked(standing, version, form.get("in"), form.get("scale"))
    verdict = standing.verdict if standing.study.ballot_records else None
    return recipe_card_pdf(made, paper=paper, verdict=verdict, edition=as_published(standing, version), on=on)


def tester_pack_paper(standing: Standing, form: Typed, paper: str, on: date) -> bytes:
    """What a tester is sent, on paper."""
    from proofpan.publish.tester import tester_pack_pdf
    from proofpan.steps.tester_pack import AS_WRITTEN, tester_pack

    version, control = chosen(standing, form.get("version")), form.get("control") or None
    return tester_pack_pdf(tester_pack(standing.study, version, measures=form.get("in", AS_WRITTEN), control=control), paper=paper)


def _second(standing: Standing) -> tuple[str, ...]:
    """What a plainer analysis of the same marks says."""
    from proofpan.steps.confirming import confirm

    judged = standing.verdict
    return standing.kept("second analysis", lambda: confirm(standing.study, judged)).says


def _edition(standing: Standing) -> Edition | None:
    return as_published(standing, standing.verdict.publish.version) if standing.study.brief.base is not None else None


def _recipe(standing: Standing) -> ReaderRecipe | None:
    from proofpan.steps.recipe import recipe

    if standing.study.brief.base is None:
        return None
    version = standing.verdict.publish.version
    return recipe(standing.study, version, cross_tests=tests_of(standing, version))


def _tests(standing: Standing) -> CrossTest | None:
    return tests_of(standing, standing.verdict.publish.version) if standing.study.brief.base is not None else None


MAKERS: dict[str, Callable[[Standing, Typed, str, date], bytes]] = {
    "run-sheet": run_sheet,
    "shopping": shopping,
    "prep": prep,
    "tray-map": tray_map,
    "oven-chart": oven_chart,
    "cutting-plan": cutting,
    "filming": filming,
    "blank-sheets": blank_sheets,
    "test-sheets": sheets_of_trials,
    "paper-ballots": paper_ballots,
    "labels": labels,
    "reveal": reveal,
    "card": card,
    "tester-pack": tester_pack_paper,
}


@router.get("/study/{study_id}/papers/how-we-tested.pdf")
def get_tested(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """How we tested, on paper."""
    from proofpan.publish.report import how_we_tested_pdf

    form = Typed(list(desk.request.query_params.multi_items()))
    standing, paper = desk.standing(study_id), "us-letter" if form.get("paper") == "us-letter" else "a4"
    with in_language(desk):
        data = how_we_tested_pdf(
            standing.study, standing.verdict, recipe=_recipe(standing), cross_test=_tests(standing), second=_second(standing), paper=paper,
            edition=_edition(standing), on=desk.kitchen.clock().date(), pictures=labelled_sheet(desk, standing),
        )
    return Response(data, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{study_id}-how-we-tested.pdf"'})


@router.get("/study/{study_id}/papers/{name}.pdf")
def get_paper(study_id: str, name: str, desk: Desk = Depends(lead)) -> Response:
    """One paper."""
    form = Typed(list(desk.request.query_params.multi_items()))
    standing = desk.standing(study_id)
    make, paper = MAKERS.get(name), form.get("paper") or paper_of(standing.study.brief.kitchen.country)
    if make is None or paper not in PAPERS or (paper == "index" and name != "card"):
        raise StudyError("There is no such paper: A4 or US Letter; the card also as an index card.")
    with in_language(desk):
        data = make(standing, form, paper, desk.kitchen.clock().date())
    return Response(data, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{study_id}-{name}.pdf"'})


@router.get("/study/{study_id}/papers/day.html")
def get_day_file(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The day's papers as one file to keep or send."""
    from proofpan.publish.day_html import day_html
    from proofpan.steps.day_lists import day_lists

    standing = desk.standing(study_id)
    with in_language(desk):
        text = day_html(standing.study, _plan(standing), day_lists(standing.study, _round(standing)))
    headers = {"content-disposition": f'attachment; filename="{study_id}-day.html"'}
    return Response(text, media_type="text/html", headers=headers)


@router.get("/study/{study_id}/papers/how-we-tested.html")
def get_file(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """How we tested as one file to keep or send: it carries its own styles, so it is saved, not shown here."""
    from proofpan.publish.report import how_we_tested_html

    standing = desk.standing(study_id)
    if not standing.study.ballot_records:
        raise StudyError("Nothing is tasted yet, so there is nothing to report.")
    with in_language(desk):
        text = how_we_tested_html(standing.study, standing.verdict, recipe=_recipe(standing), cross_test=_tests(standing), second=_second(standing),
                                  edition=_edition(standing), on=desk.kitchen.clock().date(), pictures=labelled_sheet(desk, standing))
    headers = {"content-disposition": f'attachment; filename="{study_id}-how-we-tested.html"'}
    return Response(text, media_type="text/html", headers=headers)
