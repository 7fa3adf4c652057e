"""The recipe shown, taken away, cross-tested and published."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends
from starlette.responses import PlainTextResponse, Response

from proofpan.notebook.shelf import change_brief
from proofpan.steps.audit import audit
from proofpan.steps.edition import WAIVABLE, publish, reasons_against
from proofpan.steps.making import recipe_of
from proofpan.steps.recipe import AS_WRITTEN, OWN, STYLE, WorkedRecipe, recipe
from proofpan.steps.recipe_text import cost_lines
from proofpan.steps.recipe_using import asked_for
from proofpan.study.crosstest import CrossTest
from proofpan.study.errors import NotReady, QuantityError, StudyError
from proofpan.study.house import HouseStyle, house_styles, read_style, style_file
from proofpan.study.house_words import style_name
from proofpan.study.reader_recipe import RecipeNutrition
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.words import capital, version_words
from proofpan.web.cross_tests import tests_of
from proofpan.web.declining import why_not
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.keeping_editions import keep_edition
from proofpan.web.pages.brief.changing import rewritten
from proofpan.web.pages.recipe.page import FindingLine, RecipePage, StepLine, hands_words, ingredient_line
from proofpan.web.pages.verdict.page import mark_of
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
REGIONS = (("as written", "as written"), ("metric", "metric"), ("US", "US"), ("UK", "UK"), ("AU", "AU"), ("NZ", "NZ"))


def chosen(standing: Standing, text: str) -> Version:
    """The version asked for, else the one to publish today."""
    if text:
        return standing.study.version(text)
    if standing.study.ballot_records:
        return standing.verdict.publish.version
    return standing.study.versions()[0]


def worked(standing: Standing, version: Version, choice: str, scale: str) -> WorkedRecipe:
    """The recipe with what cross-tests say of it, scaled as asked, then in a reader's measures or a house's style."""
    out = recipe(standing.study, version, cross_tests=tests_of(standing, version))
    asked = asked_for(out, scale)
    return (out.scaled(**asked) if asked else out).shown_as(choice or choice_of(standing.study))


def choice_of(study: Study) -> str:
    """How the kitchen's own screens show it: in its house style, else as written."""
    style = study.brief.kitchen.style
    return AS_WRITTEN if style is None else f"{STYLE}{OWN}" if isinstance(style, HouseStyle) else f"{STYLE}{style}"


def show_recipe(desk: Desk, study_id: str, form: Typed) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    root = f"/study/{study_id}"
    if study.brief.base is None:
        model = RecipePage(
            empty=True, title="There is no recipe yet.", action=f"{root}/recipe", tested_href=f"{root}/how-we-tested", brief_href=f"{root}/brief",
            under="Paste one into the brief: every option is then an edit of it, and the version that wins is the recipe.",
        )
        return show("recipe", model, desk.frame("Recipe", standing, "recipe"))
    version = chosen(standing, form.get("version"))
    region, scale = form.get("in") or choice_of(study), form.get("scale")
    try:
        out = worked(standing, version, region, scale)
    except QuantityError as error:
        if not scale:
            raise
        desk.again = lambda: show_recipe(desk, study_id, Typed([("version", str(version)), ("in", region)]))
        raise StudyError(error.what, field="scale") from None
    tests = tests_of(standing, version)
    reasons = reasons_against(study, version, tests, {}, None)
    model = _page(standing, version, out, region, scale, tests, reasons)
    return show("recipe", model, desk.frame("Recipe", standing, "recipe"))


def _page(
    standing: Standing, version: Version, out: WorkedRecipe, region: str, scale: str, tests: CrossTest | None, reasons: tuple[str, ...],
) -> RecipePage:
    study, root = standing.study, f"/study/{standing.study_id}"
    query = urlencode({"version": str(version), "in": region, "scale": scale})
    cards = tuple(
        (f"Card, {words}", f"{root}/papers/card.pdf?{query}&paper={paper}")
        for paper, words in (("a4", "A4"), ("us-letter", "US Letter"), ("index", "index card"))
    )
    facts, answers = _tested(standing, version)
    findings = _findings(standing, version)
    own = study.brief.kitchen.style
    styles = tuple((f"{STYLE}{name}", f"{name} style") for name in house_styles())
    styles += ((f"{STYLE}{OWN}", f"{own.name}, ours"),) if isinstance(own, HouseStyle) else ()
    return RecipePage(
        title=out.title, under=_under(out), version=str(version), version_words=capital(version_words(version)),
        versions=tuple((str(v), version_words(v)) for v in study.versions()[:100]), region=region, regions=REGIONS, styles=styles,
        house=style_name(study) or "",
        headings=out.headings, kit=", ".join(k for k in (*out.equipment, out.tin) if k), scale=scale, facts=facts,
        lines=tuple(ingredient_line(x) for x in out.lines),
        steps=tuple(StepLine(s.text, s.status, hands_words(s.hands, s.minutes, s.hands_by)) for s in out.method),
        allergens=out.allergens, allergen_note=out.allergen_note, cautions=out.cautions,
        notes=(*out.notes, *(f"{name}: {text}" for name, text in (("Ahead", out.make_ahead), ("Keeps", out.keeping)) if text),
               *(f"Variation: {v}" for v in out.variations)),
        credits=(*out.credits, *((out.disclosure,) if out.disclosure else ())), costs=tuple(cost_lines(out.cost)),
        nutrition=out.nutrition.shown, nutrition_basis=_basis(out.nutrition), nutrition_notes=out.nutrition.notes,
        findings=findings, not_that_href=f"{root}/not-that", stands=_stands(findings),
        shown=", ".join(study.brief.base.shown) if study.brief.base is not None else "",
        query=query, action=f"{root}/recipe", answers=answers, tests=tests.says if tests is not None else (),
        tests_href=f"{root}/cross-tests?{urlencode({'version': str(version)})}", reasons=reasons, tested_href=f"{root}/how-we-tested",
        brief_href=f"{root}/brief", cards=cards,
    )


def _findings(standing: Standing, version: Version) -> tuple[FindingLine, ...]:
    """What the audit found, those that stand all the same behind the others."""
    no = why_not(standing)
    lines = [FindingLine(f"line {f.line}" if f.line else f.where, f.says, f.fix, f.stops) for f in audit(recipe_of(standing.study, version))]
    return tuple(sorted((replace(x, declined=no.get(x.proposal, "")) for x in lines), key=lambda x: bool(x.declined)))


def _stands(findings: tuple[FindingLine, ...]) -> str:
    """Why a text may be published with its findings, where each that stops it was declined with a reason."""
    stopping = [f for f in findings if f.stops]
    return "; ".join(dict.fromkeys(f.declined for f in stopping)) if stopping and all(f.declined for f in stopping) else ""


def _under(out: WorkedRecipe) -> str:
    said = [f"Makes {out.makes}." if out.makes else "", f"Serves {out.serves:g}." if out.serves else ""]
    if out.total_minutes:
        yours = f", {out.active_minutes:.0f} of them yours" if out.active_minutes else ""
        said.append(f"About {out.total_minutes:.0f} minutes in all{yours}.")
    return " ".join(s for s in said if s)


def _tested(standing: Standing, version: Version) -> tuple[tuple[tuple[str, str], ...], tuple[tuple[str, str, str], ...]]:
    """What the trials make of it, and what they say of each change."""
    if not standing.study.ballot_records:
        return (), ()
    verdict = standing.verdict
    row = next((r for r in verdict.rows if r.version == version), None)
    facts = [(str(len(verdict.rows)), "versions weighed up"), (str(verdict.trials), f"trials, {verdict.ballots} ballots")]
    if row is not None and row.odds_publish is not None:
        facts += [(f"{100 * row.odds_publish:.0f} in 100", "it’s the best to print")]
    return tuple(facts), tuple((mark_of(a.outcome), a.headline, a.numbers) for a in verdict.answers)


def _basis(nutrition: RecipeNutrition) -> str:
    serve = f" A serve weighs about {nutrition.serve_g:.0f} g." if nutrition.serve_g else ""
    missing = f" Without figures for {', '.join(nutrition.missing)}, so at least so much." if nutrition.missing else ""
    return f"{nutrition.basis}{serve} Rounded by {nutrition.rules} rules.{missing}".strip()


@router.get("/study/{study_id}/recipe")
def get_recipe(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """A version's recipe."""
    form = Typed(list(desk.request.query_params.multi_items()))
    desk.typed = form.texts
    desk.again = lambda: show_recipe(desk, study_id, Typed([]))
    return show_recipe(desk, study_id, form)


@router.get("/study/{study_id}/recipe.txt")
def get_text(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The recipe as plain text."""
    form, standing = Typed(list(desk.request.query_params.multi_items())), desk.standing(study_id)
    return PlainTextResponse(worked(standing, chosen(standing, form.get("version")), form.get("in"), form.get("scale")).text())


@router.get("/study/{study_id}/recipe.json")
def get_structured(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The recipe as structured data."""
    form, standing = Typed(list(desk.request.query_params.multi_items())), desk.standing(study_id)
    out = worked(standing, chosen(standing, form.get("version")), form.get("in"), form.get("scale"))
    return Response(json.dumps(out.jsonld(), ensure_ascii=False, indent=1), media_type="application/ld+json")


@router.get("/study/{study_id}/recipe/style.json")
def get_style(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """A house style as a file, to begin one's own from: the kitchen's, else the country's."""
    kitchen = desk.standing(study_id).study.brief.kitchen
    if isinstance(kitchen.style, HouseStyle):
        text = json.dumps(kitchen.style.model_dump(mode="json"), ensure_ascii=False, indent=1)
    else:
        text = style_file(kitchen.style or (kitchen.country if kitchen.country in house_styles() else "AU"))
    return Response(text, media_type="application/json", headers={"content-disposition": 'attachment; filename="house-style.json"'})


@router.post("/study/{study_id}/recipe/style")
async def post_style(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """The kitchen's style: one that comes with it, a file of its own, or none."""
    desk.again = lambda: show_recipe(desk, study_id, Typed([]))
    given, study = form.file("file"), desk.standing(study_id).study
    style = read_style(await given.read(), given.filename or "file") if given is not None else form.get("style")

    def change(value: dict[str, Any]) -> None:
        kitchen = {k: v for k, v in (value.get("kitchen") or {}).items() if k != "style"}
        kept = style.model_dump(mode="json") if isinstance(style, HouseStyle) else style
        value["kitchen"] = {**kitchen, **({"style": kept} if kept else {})}

    change_brief(desk.book, study_id, rewritten(study, change), note="changed the house style")
    return go(f"/study/{study_id}/recipe")


@router.post("/study/{study_id}/recipe/shown")
def post_shown(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """What the photographs show, so that the audit can hold it against the list."""
    desk.again = lambda: show_recipe(desk, study_id, Typed([]))
    things = [w.strip() for w in re.split(r"[,;\n]", form.get("shown")) if w.strip()]

    def change(value: dict[str, Any]) -> None:
        if value.get("base"):
            value["base"] = {**{k: v for k, v in value["base"].items() if k != "shown"}, **({"shown": things} if things else {})}

    change_brief(desk.book, study_id, rewritten(desk.standing(study_id).study, change), note="said what the photographs show")
    return go(f"/study/{study_id}/recipe?{urlencode({'version': form.get('version')})}")


@router.post("/study/{study_id}/publish")
def post_publish(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Freeze an edition, or hear what stops it."""
    desk.typed = form.texts
    desk.again = lambda: show_recipe(desk, study_id, Typed([("version", form.get("version"))]))
    standing = desk.standing(study_id)
    version = standing.study.version(form.get("version"))
    waive = {name: form.get(f"waive-{name}") for name in WAIVABLE if form.get(f"waive-{name}")}
    try:
        edition = publish(standing.study, version, tests_of(standing, version), waive, on=desk.kitchen.clock().date(),
                          approved_by=form.get("approved_by") or None, house=form.get("house") or None)
    except NotReady as error:
        more = len(error.reasons) - 1
        raise StudyError(f"Not yet. {error.reasons[0]}{f' {more} more stand under Publish.' if more else ''}") from None
    keep_edition(desk.book, standing, edition)
    return go(f"/study/{study_id}/editions")
