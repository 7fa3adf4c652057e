"""The notebook's own page: knowledge over studies, two held together, briefs copied, studies put away and brought back."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import APIRouter, Depends
from markupsafe import Markup
from starlette.responses import Response

from proofpan.notebook.entries import StudyEntry
from proofpan.notebook.shelf import keep_study
from proofpan.publish.charts import NARROW
from proofpan.publish.evidence_chart import evidence_chart
from proofpan.steps.evidence import Z95, Pooled
from proofpan.steps.knowing import Known, what_we_know
from proofpan.study.errors import ProofpanError, StudyError
from proofpan.study.study import Study
from proofpan.study.words import capital, counted, joined, version_words
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.drawing import both
from proofpan.web.found import Finding
from proofpan.web.pages.notebook.page import NotebookPage, NotebookRow
from proofpan.web.pages.verdict.page import mark_of
from proofpan.web.rendering import show

router = APIRouter()
LOOKED_THROUGH = 40
LISTED = 200
WORKED_OUT_S = 1.5  # that a list may wait for what its studies found; the rest comes with the next look


def show_notebook(desk: Desk, form: Typed) -> Response:
    """The page."""
    entries = desk.book.studies(with_deleted=True)
    there = {e.id: e for e in entries if e.deleted is None}
    away = [NotebookRow(e.id, e.title, "", f"put away {desk.local(e.deleted)}") for e in entries if e.deleted is not None]
    ingredient = form.get("ingredient")[:80]
    holding = [f.study for f in desk.book.search(ingredient, limit=LOOKED_THROUGH) if f.study in there] if ingredient else list(there)
    known = _known(desk, ingredient, holding) if ingredient else None
    one, two = form.get("one"), form.get("two")
    model = NotebookPage(
        headline=capital(known.says[0]) if known else f"{capital(counted(len(there), 'study', 'studies'))} in the notebook.", ingredient=ingredient,
        known=known.says[1:] if known else (), facts=known.facts if known else (),
        uses=tuple((f"/study/{u.study_id}", u.study, u.line, f"cooked {counted(u.trials, 'time')}" if u.as_option else "in the recipe")
                   for u in known.uses) if known else (),
        evidence=tuple((e.study, e.against, f"{e.difference:+.1f} ± {1.96 * e.se:.1f}".replace("-", "−"), e.outcome) for e in known.pooled.studies)
        if known else (),
        chart=_chart(known.pooled) if known else Markup(""),
        listed=_rows(desk, [there[i] for i in holding][:LISTED]),
        counted=f"{len(holding)} of {len(there)} hold “{ingredient}”." if ingredient else "What is put away can be brought back whole.",
        studies=tuple(NotebookRow(e.id, e.title, f"/study/{e.id}", desk.local(e.changed)) for e in list(there.values())[:LISTED]),
        put_away=tuple(away), chosen=(one, two),
        compared=_compared(desk.standing(one).study, desk.standing(two).study, desk, one, two) if one and two else (),
    )
    return show("notebook", model, desk.frame("Notebook"))


def _rows(desk: Desk, entries: Sequence[StudyEntry]) -> tuple[NotebookRow, ...]:
    """The list: what each study asked and found, as far as there is time to work it out."""
    found = desk.kitchen.findings.of(entries, WORKED_OUT_S)
    out = []
    for e in entries:
        finding = found.get(e.id) or Finding("", (), "", "")
        out.append(NotebookRow(
            e.id, e.title, f"/study/{e.id}", desk.local(e.changed), finding.question,
            tuple((mark_of(outcome), headline) for outcome, headline in finding.answers), finding.publish, finding.state,
        ))
    return tuple(out)


def _chart(pooled: Pooled) -> Markup:
    lines = [(e.study, e.difference, e.difference - Z95 * e.se, e.difference + Z95 * e.se) for e in pooled.studies]
    together = None
    if len(lines) > 1 and pooled.estimate is not None and pooled.low is not None and pooled.high is not None:
        together = ("together", pooled.estimate, pooled.low, pooled.high)
    return both(evidence_chart(pooled.option, lines, together), evidence_chart(pooled.option, lines, together, width=NARROW)) if lines else Markup("")


def _known(desk: Desk, ingredient: str, holding: Sequence[str]) -> Known:
    studies = {}
    for study_id in holding:
        try:
            studies[study_id] = desk.standing(study_id).study
        except ProofpanError:
            continue  # a study whose text can't be read now keeps no other from being looked through
    return what_we_know(studies, ingredient)


def _compared(one: Study, two: Study, desk: Desk, first: str, second: str) -> tuple[tuple[str, str, str], ...]:
    sides = []
    for study, key in ((one, first), (two, second)):
        verdict = desk.standing(key).verdict if study.ballot_records else None
        sides.append([
            study.title, study.question, "; ".join(f"{f.name}: {joined([o.name for o in f.options], 'or')}" for f in study.factors),
            joined([a.name for a in study.attributes]), str(len(study.cooked)), joined(study.tasters),
            capital(version_words(verdict.publish.version)) if verdict else "nothing tasted yet",
            " ".join(a.headline.rstrip(".") + "." for a in verdict.answers) if verdict else "",
        ])
    names = ("Study", "Question", "What varies", "What is judged", "Trials cooked", "Tasters", "To publish", "What was found")
    return tuple(zip(names, *sides, strict=True))


@router.get("/notebook")
def get_notebook(desk: Desk = Depends(lead)) -> Response:
    """The page."""
    desk.again = lambda: show_notebook(desk, Typed([]))
    return show_notebook(desk, Typed(list(desk.request.query_params.multi_items())))


@router.post("/notebook/{study_id}")
def post_notebook(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A brief copied, a study put away or brought back."""
    desk.again = lambda: show_notebook(desk, Typed([]))
    what = form.get("what")
    if what == "copy":
        brief = desk.standing(study_id).study.brief
        fresh = Study(brief=brief.model_copy(update={"title": f"{brief.title}, again"[:120], "amendments": ()}))
        entry = keep_study(desk.book, fresh, note=f"Copied from {brief.title}")
        return go(f"/study/{entry.id}/brief")
    if what == "put-away":
        desk.book.delete(study_id)
    elif what == "bring-back":
        desk.book.restore(study_id)
    else:
        raise StudyError("Copy the brief, put the study away, or bring it back.")
    return go("/notebook")
