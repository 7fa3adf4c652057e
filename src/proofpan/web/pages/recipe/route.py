"""The recipe shown, taken away, cross-tested and published."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends
from starlette.responses import PlainTextResponse, Response

from proofpan.steps.edition import WAIVABLE, publish, reasons_against
from proofpan.steps.recipe import WorkedRecipe, recipe
from proofpan.study.crosstest import CrossTest
from proofpan.study.edition import changed_lines
from proofpan.study.errors import NotReady, StudyError
from proofpan.study.versions import Version
from proofpan.study.words import capital, version_words
from proofpan.web.cross_tests import tests_of
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.editions import EDITION, newest_of
from proofpan.web.pages.recipe.page import IngredientLine, RecipePage
from proofpan.web.pages.verdict.page import mark_of
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
REGIONS = ("as written", "metric", "US", "UK", "AU")


def chosen(standing: Standing, text: str) -> Version:
    """The version asked for, else the one to publish today."""
    if text:
        return standing.study.version(text)
    if standing.study.ballot_records:
        return standing.verdict.publish.version
    return standing.study.versions()[0]


def worked(standing: Standing, version: Version, region: str, scale: str) -> WorkedRecipe:
    """The recipe scaled, then in a region's measures."""
    out = recipe(standing.study, version)
    if scale:
        bare = scale.removesuffix("x").removesuffix("×").strip().replace(",", ".")
        is_factor = scale.endswith(("x", "×")) and bare.replace(".", "", 1).isdigit()
        out = (
            out.scaled(by=float(bare))
            if is_factor
            else out.scaled(makes=scale)
            if out.makes
            else out.scaled(serves=float(bare) if bare.isdigit() else 0)
        )
    return out.to(region) if region in REGIONS[1:] else out


def show_recipe(desk: Desk, study_id: str, form: Typed) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    root = f"/study/{study_id}"
    empty: tuple[Any, ...] = ()
    if study.brief.base is None:
        model = RecipePage(
            empty=True,
            title="There is no recipe yet.",
            under="Paste one into the brief: every option is then an edit of it, and the version that wins is the recipe.",
            version="",
            version_words="",
            versions=empty,
            region="",
            regions=empty,
            scale="",
            facts=empty,
            lines=empty,
            steps=empty,
            allergens=empty,
            cautions=empty,
            notes=empty,
            credits=empty,
            nutrition=empty,
            query="",
            action=f"{root}/recipe",
            answers=empty,
            tests=empty,
            tests_href=f"{root}/cross-tests",
            reasons=empty,
            tested_href=f"{root}/how-we-tested",
            brief_href=f"{root}/brief",
            cards=empty,
        )
        return show("recipe", model, desk.frame("Recipe", standing, "recipe"))
    version = chosen(standing, form.get("version"))
    region, scale = form.get("in", "as written"), form.get("scale")
    out = worked(standing, version, region, scale)
    tests = tests_of(standing, version)
    reasons = reasons_against(study, version, tests, {}, None)
    model = _page(desk, standing, version, out, region, scale, tests, reasons)
    return show("recipe", model, desk.frame("Recipe", standing, "recipe"))


def _page(
    desk: Desk,
    standing: Standing,
    version: Version,
    out: WorkedRecipe,
    region: str,
    scale: str,
    tests: CrossTest | None,
    reasons: tuple[str, ...],
) -> RecipePage:
    study, root = standing.study, f"/study/{standing.study_id}"
    facts: list[tuple[str, str]] = []
    answers: list[tuple[str, str, str]] = []
    if study.ballot_records:
        verdict = standing.verdict
        row = next((r for r in verdict.rows if r.version == version), None)
        facts = [(str(len(verdict.rows)), "versions weighed up"), (str(verdict.trials), f"trials, {verdict.ballots} ballots")]
        if row is not None and row.odds_publish is not None:
            facts += [(f"{100 * row.odds_publish:.0f} in 100", "it’s the best to print")]
        answers = [(mark_of(a.outcome), a.headline, a.numbers) for a in verdict.answers]
    said = [
        f"Makes {out.makes}." if out.makes else "",
        f"Serves {out.serves:g}." if out.serves else "",
        f"About {out.total_minutes:.0f} minutes in all" + (f", {out.active_minutes:.0f} of them yours." if out.active_minutes else ".")
        if out.total_minutes
        else "",
    ]
    query = urlencode({"version": str(version), "in": region, "scale": scale})
    cards = tuple(
        (f"Card, {words}", f"{root}/papers/card.pdf?{query}&paper={paper}")
        for paper, words in (("a4", "A4"), ("us-letter", "US Letter"), ("index", "index card"))
    )
    return RecipePage(
        empty=False,
        title=out.title,
        under=" ".join(s for s in said if s),
        version=str(version),
        version_words=capital(version_words(version)),
        versions=tuple((str(v), version_words(v)) for v in study.versions()[:100]),
        region=region,
        regions=REGIONS,
        scale=scale,
        facts=tuple(facts),
        lines=tuple(IngredientLine(x.text, x.status, x.note, x.group or "") for x in out.lines),
        steps=tuple((s.text, s.status) for s in out.method),
        allergens=out.allergens,
        cautions=out.cautions,
        notes=tuple(n for n in (*out.notes, f"Keeps: {out.keeping}" if out.keeping else "") if n),
        credits=(*out.credits, *((out.disclosure,) if out.disclosure else ())),
        nutrition=out.nutrition.shown,
        query=query,
        action=f"{root}/recipe",
        answers=tuple(answers),
        tests=tests.says if tests is not None else (),
        tests_href=f"{root}/cross-tests?{urlencode({'version': str(version)})}",
        reasons=reasons,
        tested_href=f"{root}/how-we-tested",
        brief_href=f"{root}/brief",
        cards=cards,
    )


@router.get("/study/{study_id}/recipe")
def get_recipe(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """A version's recipe."""
    form = Typed(list(desk.request.query_params.multi_items()))
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
        raise StudyError(" ".join(error.reasons)[:280]) from None
    before = newest_of(standing)
    if before is not None:  # the first date is kept; a later edition says when it was changed
        today = edition.published
        changes = changed_lines(before.recipe, edition.recipe)
        edition = edition.model_copy(update={"number": before.number + 1, "published": before.published, "modified": today, "changes": changes})
    payload = edition.sealed().model_dump(mode="json", by_alias=True)
    desk.book.append(study_id, EDITION, payload, key=f"edition:{edition.number}")
    return go(f"/study/{study_id}/editions")
