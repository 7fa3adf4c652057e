"""The day planned to the minute, for the round that is planned."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends
from markupsafe import Markup
from starlette.responses import Response

from proofpan.study.errors import DayError, ProofpanError, StudyError
from proofpan.study.words import version_words
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.day.page import DayPage, TaskLine, hours, lanes_of
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
DAY = "day"


def asked_of(standing: Standing) -> tuple[str, str]:
    """The start and the meal that were asked for."""
    asked = standing.of_kind(DAY)
    return (str(asked[-1].payload.get("start") or ""), str(asked[-1].payload.get("eat") or "")) if asked else ("", "")


def planned(standing: Standing, start: str, eat: str) -> Any:
    """The plan, or the error that says why there is none."""
    from proofpan.steps.day import plan_day

    try:
        return plan_day(standing.study, round=standing.study.rounds[-1], start=start or None, eat=eat or None)
    except ProofpanError as error:
        return error


def day(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    root = f"/study/{study_id}"
    start, eat = asked_of(standing)
    hrefs = {"action": f"{root}/day", "rounds_href": f"{root}/rounds", "cook_href": f"{root}/cook", "start": start, "eat": eat}
    none: tuple[str, ...] = ()
    if not study.rounds or study.brief.base is None:
        head = (
            "Plan a round first; the day follows from it." if study.brief.base is not None else "Without a recipe there is no day to plan."
        )
        model = DayPage(state="none", headline=head, under="", lanes=Markup(""), tasks=(), says=none, **hrefs)
        return show("day", model, desk.frame("Day", standing, "day"))
    plan = standing.kept(("day", start, eat), lambda: planned(standing, start, eat))
    if isinstance(plan, ProofpanError):
        conflict = plan.conflict if isinstance(plan, DayError) else none
        model = DayPage(state="clash", headline=str(plan), under="", lanes=Markup(""), tasks=(), says=tuple(conflict), **hrefs)
        return show("day", model, desk.frame("Day", standing, "day"))
    rows = list(plan.tasks.itertuples())
    tasks = tuple(TaskLine(hours(r.start), hours(r.end), _text(r.who), str(r.what), _versions(r.versions), _text(r.resource)) for r in rows)
    last = max((r.end for r in rows), default=None)
    proof = "Proven: no plan ends sooner and is as fair." if plan.optimal else f"Not proven best: within {100 * plan.gap:.0f} in 100."
    head = f"From {tasks[0].start} to {hours(last)}: {len(tasks)} tasks." if last is not None else "Nothing to do."
    model = DayPage(state="planned", headline=head, under=proof, lanes=lanes_of(rows), tasks=tasks, says=tuple(plan.says), **hrefs)
    return show("day", model, desk.frame("Day", standing, "day"))


def _text(value: Any) -> str:
    return "" if value is None or value != value else str(value)


def _versions(texts: Any) -> str:
    out = []
    for text in texts or ():
        pairs = [p.split("=", 1) for p in str(text).split("; ") if "=" in p]
        out.append(version_words(dict(pairs)))
    return "; ".join(out[:4]) + (f" and {len(out) - 4} more" if len(out) > 4 else "")


@router.get("/study/{study_id}/day")
def get_day(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The day of the newest round."""
    return day(desk, study_id)


@router.post("/study/{study_id}/day")
def post_day(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Another start, or another hour to eat."""
    desk.typed = form.texts
    desk.again = lambda: day(desk, study_id)
    standing = desk.standing(study_id)
    if not standing.study.rounds:
        raise StudyError("Plan a round first.")
    start, eat = form.get("start"), form.get("eat")
    plan = planned(standing, start, eat)
    if isinstance(plan, ProofpanError):
        raise plan
    desk.book.append(study_id, DAY, {"start": start, "eat": eat, "round": standing.study.rounds[-1].number}, key=f"day:{form.get('once')}")
    return go(f"/study/{study_id}/day")
