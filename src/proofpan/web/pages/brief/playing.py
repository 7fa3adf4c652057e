"""The dry run of a brief, kept or not: played in the background, once for each plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from proofpan.study.labelled import taster_labels, text_with_labels
from proofpan.study.private import without_no_lists
from proofpan.study.study import Study
from proofpan.web.declining import why_not
from proofpan.web.desk import Desk, Typed
from proofpan.web.pages.brief.changing import judged, kitchen, limits
from proofpan.web.pages.brief.figures import outside_count
from proofpan.web.pages.brief.page import PlanPart, plan_part
from proofpan.web.pages.work.page import work_part
from proofpan.web.work import DONE, Work, name_of

if TYPE_CHECKING:
    from proofpan.steps.dry_run import DryRun

DRY_RUN = "dry run"
KITCHENS, SURER = 120, 500
SEED = 1
MOST_BY_ITSELF = 200  # versions up to which it plays without being asked
TYPED = {"kitchen": kitchen, "judged": judged, "limits": limits}


def as_typed(study: Study, form: Typed, today: date) -> Study:
    """The study with what is typed in the page's forms and not kept yet.

    Raises: StudyError naming the field.
    """
    for what in form.many("what"):
        if what in TYPED:
            study = TYPED[what](study, form, today)[0]
    return study


def asked_of(study: Study, kitchens: int) -> dict[str, Any]:
    """What a dry run needs of a study: its words, sources, hours, dates and people's names change nothing, so they aren't in it."""
    held = study.brief
    kitchen = held.kitchen.model_copy(update={"hours": (), "breaks": (), "skills": (), "people": ("cook",)})
    limits = held.limits.model_copy(update={"deadline": None, "shoot": None})
    bare = {"title": "A dry run", "question": "", "claims": (), "amendments": (), "declined": (), "kitchen": kitchen, "limits": limits}
    brief = held.model_copy(update=bare)
    nameless = without_no_lists(Study(brief=brief))
    return {"text": text_with_labels(nameless.to_yaml(), taster_labels(nameless)), "kitchens": kitchens, "seed": SEED}


def kept_or_going(desk: Desk, study_id: str, study: Study) -> Work | None:
    """The dry run of this plan, the surest first; none where none was asked for."""
    works = desk.kitchen.works
    found = [works.of(name_of(DRY_RUN, study_id, asked_of(study, n)), desk.session) for n in (SURER, KITCHENS)]
    there = [w for w in found if w is not None]
    return next((w for w in there if not w.ended), next((w for w in there if w.state == DONE), there[0] if there else None))


def play(desk: Desk, study_id: str, study: Study, kitchens: int = KITCHENS) -> Work:
    """Start the dry run, or find it."""
    return desk.kitchen.works.start(DRY_RUN, study_id, asked_of(study, kitchens), f"/study/{study_id}/brief", who=desk.session)


def plan_now(desk: Desk, study_id: str, kept: Study, study: Study) -> PlanPart:
    """The plan's figures, beside what they were; and its dry run as far as it is."""
    from proofpan.steps.dry_run import MOST_VERSIONS

    versions, today = len(study.versions()), desk.kitchen.clock().date()
    asks = outside_count(study) < versions <= MOST_BY_ITSELF and not study.trial_records
    work = kept_or_going(desk, study_id, study)
    action = f"/study/{study_id}/dry-run"
    if work is None:
        says = (f"With {versions:,} versions there are too many for a dry run: it plays up to {MOST_VERSIONS}.",) if versions > MOST_VERSIONS else ()
        return plan_part(study, kept, today, says, play_href="" if says else action, by_itself=asks)
    if not work.ended:
        return plan_part(study, kept, today, work=work_part(work))
    if work.state != DONE:
        return plan_part(study, kept, today, play_href=action, ended=work.says)
    run = _run(work)
    error = round(100 * 1.96 * 0.5 / run.kitchens**0.5)
    surer = SURER if run.kitchens < SURER else 0
    part = plan_part(
        study, kept, today, run.says, played=f"Played on {run.kitchens} invented kitchens: figures out of 100 are good to about {error}.",
        proposal=run.proposal, play_href=action if surer else "", surer=surer,
    )
    why = why_not(desk.standing(study_id)).get(part.better_words)
    return part if why is None else replace(part, better=(), declined=why)


def _run(work: Work) -> DryRun:
    from proofpan.steps.dry_run import DryRun

    return DryRun.model_validate(work.result)
