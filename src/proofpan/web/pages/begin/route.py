"""How a study begins: plates in front of you, a pasted recipe, a file, the invented crackers."""

from __future__ import annotations

import secrets

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.shelf import add_round, keep_study
from proofpan.steps.quick import compare
from proofpan.steps.rounds import next_round
from proofpan.steps.triangles import triangle_plan
from proofpan.study.errors import StudyError
from proofpan.study.study import Study
from proofpan.study.words import joined
from proofpan.web.demo import demo_text
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.begin.first_idea import first_factor
from proofpan.web.pages.begin.pasted import recipe_from
from proofpan.web.pages.begin.unsaid import ANOTHER, UNSAID, split_names
from proofpan.web.pages.brief.noted import NOTE, keep_pages, photographed_notes
from proofpan.web.pages.first.route import first

router = APIRouter()
LARGEST_STUDY = 1_000_000
MOST_BEGUN = 500


def begun(desk: Desk, form: Typed, where: str) -> Response:
    """To the new study, and there again when the same form comes twice."""
    if form.get("once"):
        if len(desk.kitchen.begun) > MOST_BEGUN:
            desk.kitchen.begun.clear()
        desk.kitchen.begun[form.get("once")] = where
    return go(where)


@router.post("/quick")
def begin_quick(form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Two to six options: a study, its codes, and how to blind oneself."""
    if where_to := desk.kitchen.begun.get(form.get("once")):
        return go(where_to)  # sent twice
    desk.typed = form.texts
    desk.again = lambda: first(desk)
    names = split_names(form.get("names"))
    who = form.get("who", "1")
    tasters: int | list[str] = 1 if who == "1" else names if names else 2 if who == "2" else 3
    mode = "triangles" if form.get("mode") == "triangles" else "marks"
    turns = form.whole("turns", 2 if mode == "marks" else 6, 1, 60)
    study = compare(form.many("option"), tasters, dont_eat=split_names(form.get("dont_eat")), turns=min(turns, 4) if mode == "marks" else 1)
    seed = secrets.randbelow(1_000_000)
    if mode == "triangles":
        triangle_plan(study, turns, seed)
        where, round_ = "triangles", None
    else:
        if turns > 4:
            raise StudyError("Plates are marked one to four times each: fix 1 to 4 turns.", field="turns")
        alone = len(study.tasters) == 1
        where, round_ = "codes", next_round(study, seed=seed, passes=turns if alone else min(turns, 4))
    once = form.get("once") or secrets.token_hex(8)
    entry = keep_study(desk.book, study, note="a quick comparison")
    desk.book.append(entry.id, "quick", {"mode": mode, "turns": turns, "seed": seed}, key=f"quick:{once}")
    if round_ is not None:
        add_round(desk.book, entry.id, round_)
    return begun(desk, form, f"/study/{entry.id}/{where}")


@router.post("/new")
def begin_study(form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A pasted recipe and one idea: a brief to go on with."""
    if where_to := desk.kitchen.begun.get(form.get("once")):
        return go(where_to)
    desk.typed = form.texts
    desk.again = lambda: first(desk)
    base = recipe_from(form.get("recipe"))
    factor, question = first_factor(form.get("idea"), form.get("instead"))
    study = Study.from_dict(
        {
            "title": base["title"],
            "question": question,
            "base": base,
            "attributes": [{"name": "liking", "scale": [0, 10], "better": "more", "worth": 0.5}],
            "factors": [factor],
            "rounds": {"loads": 1, "at_most": 3, "plates": 4},
        }
    )
    entry = keep_study(desk.book, study, note="pasted a recipe")
    return begun(desk, form, f"/study/{entry.id}/brief")


@router.post("/notes")
def begin_with_notes(form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """What is there before any plan: something cooked already, last year's notes, a photograph of a page."""
    if where_to := desk.kitchen.begun.get(form.get("once")):
        return go(where_to)
    desk.typed = form.texts
    desk.again = lambda: first(desk)
    title, words, differed = form.get("dish"), form.get("words"), split_names(form.get("differed"))
    pages = photographed_notes(form)
    if not (title or words or pages or differed):
        raise StudyError("Write a name for the dish, a note, or choose a photograph: any of them is enough.", field="dish")
    if len(differed) == 1:
        differed = ["as written", *differed]
    names = [n.replace(";", " ").replace("=", " ") for n in differed] or ["as written", ANOTHER]
    study = Study.from_dict(
        {
            "title": title or (words.splitlines()[0][:60] if words else f"Notes of {desk.kitchen.clock():%-d %B}"),
            "question": f"Which is best: {joined(names, 'or')}?" if differed else "",
            "attributes": [{"name": "liking", "scale": [0, 10], "better": "more", "worth": 0.5}],
            "factors": [{"name": "what differed" if differed else UNSAID, "options": [{"name": n} for n in names]}],
            "rounds": {"loads": 1, "at_most": 3, "plates": 4},
        }
    )
    entry = keep_study(desk.book, study, note="began with notes")
    if words:
        desk.book.append(entry.id, NOTE, {"trial": 0, "words": words[:20_000]}, key=f"note:{form.get('once') or secrets.token_hex(12)}")
    keep_pages(desk, entry.id, pages)
    return begun(desk, form, f"/study/{entry.id}/{'cook' if differed else 'brief'}")


@router.post("/demo")
def begin_demo(form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """The invented crackers, opened once."""
    text = demo_text()
    if text is None:
        raise StudyError("The invented study isn't installed here.")
    study = Study.from_text(text)
    there = next((e for e in desk.book.studies() if e.title == study.title and desk.book.document(e.id, 1).text == text), None)
    entry = there or keep_study(desk.book, study, note="opened the invented crackers", text=text)
    return go(f"/study/{entry.id}")


@router.post("/import")
def bring_in(form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A study's file, kept to the byte."""
    desk.again = lambda: first(desk)
    file = form.file("file")
    if file is None:
        raise StudyError("Choose a file: a study in YAML or TOML.", field="file")
    data = file.file.read(LARGEST_STUDY + 1)
    if len(data) > LARGEST_STUDY:
        raise StudyError("A study's file holds at most 1 MB.", field="file")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise StudyError(f"The file isn't UTF-8 text (byte {error.start}): save it as UTF-8.", field="file") from None
    study = Study.from_text(text, toml=(file.filename or "").lower().endswith(".toml"))
    kept = study.to_yaml() if (file.filename or "").lower().endswith(".toml") else text
    entry = keep_study(desk.book, study, note="brought in a file", text=kept)
    return go(f"/study/{entry.id}")
