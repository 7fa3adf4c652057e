"""One edition: shown, approved, taken away, corrected into the next."""

from __future__ import annotations

import json
import re
from typing import Any

from fastapi import APIRouter, Depends
from starlette.responses import PlainTextResponse, Response

from proofpan.steps.edition_text import edition_jsonld, edition_recipe
from proofpan.steps.recipe import WorkedRecipe
from proofpan.study.edition import Edition
from proofpan.study.errors import StudyError
from proofpan.study.recipe import Step
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.editions import broken_seals, dates_of, edition_of, editions_of, newest_of, state_of, warning_of
from proofpan.web.keeping_editions import approve, keep_correction
from proofpan.web.languages import in_language
from proofpan.web.pages.edition.page import EditionPage, StepFields
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
PAPERS = (("Card, A4", "card.pdf"), ("Card, US Letter", "card.pdf?paper=us-letter"), ("Index card", "card.pdf?paper=index"), ("Recipe page", "card.html"),
          ("Plain text", "recipe.txt"), ("Structured data", "recipe.json"))


def show_edition(desk: Desk, study_id: str, number: int) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    edition, held, today = edition_of(standing, number), editions_of(standing), desk.kitchen.clock().date()
    out, root = edition_recipe(standing.study, edition), f"/study/{study_id}/editions"
    model = EditionPage(
        number=edition.number, title=edition.title, under=dates_of(edition), state=state_of(edition, today), warning=warning_of(standing, edition),
        draft=not edition.is_final(today), newest=edition.number == held[-1].number, why=edition.why, changes=edition.changes,
        facts=tuple(s for s in (f"Makes {out.makes}" if out.makes else "", f"Serves {out.serves:g}" if out.serves else "") if s),
        take=tuple((x.group or "", x.text) for x in out.lines), make=tuple(s.text for s in out.method), allergens=out.allergens,
        cautions=out.cautions, credits=(*edition.credits, *((edition.disclosure,) if edition.disclosure else ())), evidence=edition.evidence,
        waived=edition.waived, says=edition.says, seal=edition.digest[:8], house=edition.house or "",
        seal_broken=number in broken_seals(standing), approved=bool(edition.approved_by),
        papers=tuple((name, f"{root}/{number}/{file}") for name, file in PAPERS),
        items=tuple((i.named, i.text) for i in edition.recipe.ingredients), steps=tuple(_fields(s) for s in edition.recipe.method),
        action=f"{root}/{number}", all_href=root,
    )
    return show("edition", model, desk.frame(f"Edition {number}", standing, "how-we-tested"))


def _fields(step: Step) -> StepFields:
    minutes = "" if step.minutes is None else f"{step.minutes[0]:g}" if step.minutes[0] == step.minutes[1] else f"{step.minutes[0]:g} to {step.minutes[1]:g}"
    return StepFields(step.id, step.do, minutes, step.oven.text if step.oven else "", step.until or "")


@router.get("/study/{study_id}/editions/{number}")
def get_edition(study_id: str, number: int, desk: Desk = Depends(lead)) -> Response:
    """The page."""
    return show_edition(desk, study_id, number)


@router.post("/study/{study_id}/editions/{number}/approve")
def post_approve(study_id: str, number: int, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Somebody approves this edition, by name; once."""
    desk.again = lambda: show_edition(desk, study_id, number)
    standing, today = desk.standing(study_id), desk.kitchen.clock().date()
    approve(desk.book, standing, edition_of(standing, number), form.get("by"), today)
    return go(f"/study/{study_id}/editions/{number}")


@router.post("/study/{study_id}/editions/{number}/correct")
def post_correct(study_id: str, number: int, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """The next edition, with the lines that changed and why."""
    desk.again = lambda: show_edition(desk, study_id, number)
    standing = desk.standing(study_id)
    edition, newest = edition_of(standing, number), newest_of(standing)
    if newest is None or newest.number != number:
        raise StudyError(f"Edition {newest.number if newest else 1} is out already: correct that one.")
    if not form.get("why"):
        raise StudyError("Say what was wrong, in plain words.", field="why")
    keep_correction(desk.book, standing, edits_of(edition, form), why=form.get("why"), safety=form.get("safety") == "yes", on=desk.kitchen.clock().date())
    return go(f"/study/{study_id}/editions")


def edits_of(edition: Edition, form: Typed) -> list[dict[str, Any]]:
    """What was changed in the form as edits of the edition's text.

    Raises: StudyError for minutes that can't be read.
    """
    names = {n for n, _ in form.texts}
    out: list[dict[str, Any]] = []
    for item in edition.recipe.ingredients:
        key = f"item-{item.named}"
        if key in names and (line := form.get(key)) != item.text:
            out.append({"swap": item.named, "for": line} if line else {"drop": item.named})
    if form.get("new-item"):
        out.append({"add": form.get("new-item")})
    for step in edition.recipe.method:
        shown = _fields(step)
        for setting, was in (("do", shown.do), ("minutes", shown.minutes), ("oven", shown.oven), ("until", shown.until)):
            key = f"{setting}-{step.id}"
            if key in names and (now := form.get(key)) != " ".join(was.split()) and now != was:
                out.append({"set": f"{step.id}.{setting}", "to": _minutes(now, key) if setting == "minutes" else now or None})
    return [e for e in out if e.get("to", "") is not None or "set" not in e]


def _minutes(text: str, field: str) -> Any:
    if not text:
        return None
    found = re.fullmatch(r"(\d+(?:[.,]\d+)?)(?:\s*(?:to|-|–)\s*(\d+(?:[.,]\d+)?))?", text)
    if found is None:
        raise StudyError(f"“{text[:20]}” isn't minutes: write 18, or 15 to 20.", field=field)
    numbers = [float(n.replace(",", ".")) for n in found.groups() if n]
    return numbers[0] if len(numbers) == 1 else numbers


def _worked(standing: Standing, number: int) -> tuple[Edition, WorkedRecipe]:
    edition = edition_of(standing, number)
    warned = edition.model_copy(update={"warning": warning_of(standing, edition) or None})
    return warned, edition_recipe(standing.study, edition)


@router.get("/study/{study_id}/editions/{number}/card.{kind}")
def get_card(study_id: str, number: int, kind: str, paper: str = "a4", desk: Desk = Depends(lead)) -> Response:
    """The card of an edition, with its warning and whether it is final."""
    from proofpan.publish.card import PAPERS as SIZES
    from proofpan.publish.card import recipe_card_html, recipe_card_pdf

    if kind not in ("html", "pdf") or paper not in SIZES:
        raise StudyError("A card is on A4, US Letter or an index card, or one HTML page.")
    with in_language(desk):
        standing, today = desk.standing(study_id), desk.kitchen.clock().date()
        edition, out = _worked(standing, number)
        verdict = standing.verdict if standing.study.ballot_records else None
        name = f"{study_id}-edition-{number}"
        if kind == "html":
            return Response(recipe_card_html(out, verdict, edition=edition, on=today), media_type="text/html",
                            headers={"content-disposition": f'attachment; filename="{name}.html"'})
        return Response(recipe_card_pdf(out, paper=paper, verdict=verdict, edition=edition, on=today), media_type="application/pdf",
                        headers={"content-disposition": f'inline; filename="{name}.pdf"'})


@router.get("/study/{study_id}/editions/{number}/recipe.txt")
def get_text(study_id: str, number: int, desk: Desk = Depends(lead)) -> Response:
    """The edition as plain text, what must be known first."""
    edition, out = _worked(desk.standing(study_id), number)
    today = desk.kitchen.clock().date()
    first = [s for s in (edition.warning or "", "" if edition.is_final(today) else f"DRAFT. {state_of(edition, today)}") if s]
    return PlainTextResponse("\n".join([*first, *([""] if first else []), out.text()]))


@router.get("/study/{study_id}/editions/{number}/recipe.json")
def get_structured(study_id: str, number: int, desk: Desk = Depends(lead)) -> Response:
    """The edition as structured data."""
    edition, out = _worked(desk.standing(study_id), number)
    data = edition_jsonld(out, edition, desk.kitchen.clock().date())
    return Response(json.dumps(data, ensure_ascii=False, indent=1), media_type="application/ld+json")
