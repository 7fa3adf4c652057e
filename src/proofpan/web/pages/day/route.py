"""The day planned to the minute, for the round that is planned; and kept in step with what happens."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from fastapi import APIRouter, Depends
from markupsafe import Markup
from starlette.responses import Response

from proofpan.notebook.entries import NewEvent
from proofpan.notebook.shelf import change_brief, replay, with_brief
from proofpan.study.day import DayPlan, DayTask, days_of, merged, moment_words
from proofpan.study.errors import DayError, ProofpanError, StudyError
from proofpan.study.study import Study
from proofpan.study.words import version_words
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.brief.route import check_meanwhile
from proofpan.web.pages.day.lanes import hours
from proofpan.web.pages.day.live import (
    AGAIN,
    BACK,
    DONE,
    GONE,
    HERE,
    LATE,
    MOVED,
    STARTED,
    Report,
    as_it_runs,
    done_tasks,
    gone_of,
    headline,
    last_said,
    report_of,
    reports,
    short,
    turns,
    who_and_what,
)
from proofpan.web.pages.day.page import DayPage, Leaving, TaskLine
from proofpan.web.pages.day.papers import paper_part
from proofpan.web.pages.day.picture import lanes_of
from proofpan.web.pages.day.setting import setting_of, with_setting
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
DAY, CUT = "day", 34     # letters of what can be taken back
WAITED = 1440    # minutes that a press waits on its device, at most, while the kitchen's computer is away
SAID = {STARTED: "started", DONE: "done", LATE: "takes longer", AGAIN: "planned again", GONE: "gone", HERE: "here again"}


def asked_of(standing: Standing) -> tuple[str, str]:
    """The start and the meal that were asked for."""
    asked = standing.of_kind(DAY)
    return (str(asked[-1].payload.get("start") or ""), str(asked[-1].payload.get("eat") or "")) if asked else ("", "")


def planned(standing: Standing, start: str, eat: str, now: str = "") -> Any:
    """The plan, or the error that says why there is none."""
    from proofpan.steps.day import plan_day

    try:
        return plan_day(standing.study, round=standing.study.rounds[-1], start=start or None, eat=eat or None, now=now or None)
    except ProofpanError as error:
        return error


def reported(standing: Standing) -> tuple[Report, ...]:
    """What was reported of the day asked for last."""
    asked = standing.of_kind(DAY)
    number = standing.study.rounds[-1].number if standing.study.rounds else 0
    if asked and asked[-1].payload.get("round") != number:
        return ()
    since = asked[-1].id if asked else 0
    return reports([e for e in standing.of_kind(MOVED) if e.payload.get("round") == number], since)


def day_now(standing: Standing) -> Any:
    """(The day as planned, the day as it runs): the second may be an error that says why there is none."""
    start, eat = asked_of(standing)
    plan = standing.lasting(("day", start, eat), lambda: planned(standing, start, eat))
    if isinstance(plan, ProofpanError):
        return plan, plan
    return plan, standing.kept("day as it runs", lambda: as_it_runs(standing, plan, reported(standing)))


def clock_of(desk: Desk) -> datetime:
    """The kitchen's clock, to the minute, without a zone."""
    return desk.kitchen.clock().astimezone().replace(tzinfo=None, second=0, microsecond=0)


def day(desk: Desk, study_id: str, ease: tuple[str, ...] = ()) -> Response:
    """The page. Parameters: ease, where the day that was asked for and refused could be eased."""
    standing = desk.standing(study_id)
    study = standing.study
    root = f"/study/{study_id}"
    start, eat = asked_of(standing)
    none: tuple[str, ...] = ()
    empty: dict[str, Any] = {
        "action": f"{root}/day", "papers_href": f"{root}/papers", "cook_href": f"{root}/cook", "tasting_href": f"{root}/tasting", "cooked": False,
        "first_href": f"{root}/{'brief' if study.brief.base is None else 'rounds'}",
        "first_words": "Paste a recipe" if study.brief.base is None else "Plan a round",
        "start": start, "eat": eat, "under": "", "lanes": Markup(""), "tasks": (), "says": none, "ease": ease, "tied": none, "cautions": none, "turns": (),
        "running": False, "undo": "", "last": last_said(reported(standing)), "films": study.brief.filming is not None,
        "paper": paper_part(study.brief.kitchen.country, desk.request.query_params.get("paper", ""), f"{root}/day"),
        "setting": None if study.brief.base is None else setting_of(study, opened=bool(desk.error) and "places_a_shelf" in dict(desk.typed)),
    }
    if not study.rounds or study.brief.base is None:
        head = (
            "Plan a round first; the day follows from it." if study.brief.base is not None else "Without a recipe there is no day to plan."
        )
        return show("day", DayPage(**empty | {"state": "none", "headline": head}), desk.frame("Day", standing, "day", scripts=("keep", "far")))
    before, plan = day_now(standing)
    if isinstance(plan, ProofpanError):
        ease = eased(plan)
        undo = undo_words(before, reported(standing)) if isinstance(before, DayPlan) else ""
        model = DayPage(**empty | {"state": "clash", "headline": str(plan), "ease": ease, "undo": undo})
        return show("day", model, desk.frame("Day", standing, "day", scripts=("keep", "far")))
    model = DayPage(**empty | _shown(desk, standing, before, plan))
    return show("day", model, desk.frame("Day", standing, "day", scripts=("keep", "far")))


def eased(refused: ProofpanError) -> tuple[str, ...]:
    """Where a day that can't be cooked could be eased, a line a limit."""
    lines = (refused.ease or refused.conflict) if isinstance(refused, DayError) else ()
    return tuple(line for line in lines if line != str(refused))


def _shown(desk: Desk, standing: Standing, before: DayPlan, plan: DayPlan) -> dict[str, Any]:
    """A planned day's part of the page."""
    found, now = reported(standing), clock_of(desk)
    done = done_tasks(found)
    days = plan.days
    tasks = tuple(
        TaskLine(
            t.task, moment_words(t.start, days), moment_words(t.end, days), t.who, t.what, _versions(t.versions), t.where,
            state_word(t, done),
        )
        for t in _lines(plan, done)
    )
    proof = "Proven: no plan is fairer, and none as fair ends sooner." if plan.optimal else "A good plan; whether a better one exists wasn't proven."
    main = [t for t in plan.day_tasks if t.kind in ("cook", "taste")]
    if not main:
        head, under = "Nothing to do.", ""
    elif found:
        head, under = headline(plan, before, found), f"Planned again at {hours(max(r.at for r in found))}. {proof}"
    else:
        over = days_of(plan.day_tasks)      # what is kept and tasted days later doesn't make a day of several
        span = f"From {moment_words(main[0].start, over)} to {moment_words(max(t.end for t in main), over)}"
        head, under = f"{span}: {len(plan.day_tasks)} tasks.", proof
    today = {t.start.date() for t in plan.day_tasks}
    live = bool(found) or now.date() in today
    return {
        "state": "planned", "headline": head, "under": under, "lanes": lanes_of(plan, done, now if live else None), "tasks": tasks,
        "says": tuple(s for s in plan.says if s not in plan.unsafe), "tied": tuple(plan.tied), "cautions": (*plan.unsafe, *plan.cautions),
        "turns": turns(plan, before, found, now) if live else (), "running": live,
        "cooked": bool(found) and all(t.task in done for t in plan.day_tasks if t.kind == "cook"),
        "undo": undo_words(plan, found), "leaving": _leaving(standing.study, found) if live else (),
    }


def _leaving(study: Study, found: Sequence[Report]) -> tuple[Leaving, ...]:
    """Who and what the day may have to go on without, and who and what is there again; not the last pair of hands, nor the last oven."""
    gone, kitchen = gone_of(found), study.brief.kitchen
    left = [{n for n in names if n not in gone} for names in (kitchen.people, [o.name for o in kitchen.ovens])]
    return tuple(Leaving(name, f"{name} is here again" if name in gone else words, HERE if name in gone else GONE)
                 for name, words in who_and_what(study) if name in gone or all(alone != {name} for alone in left))


def undo_words(plan: DayPlan, found: Sequence[Report]) -> str:
    """The last report in words, which can be taken back."""
    if not found:
        return ""
    last = found[-1]
    return f"{_words(plan, [r for r in found if r == last or (last.press and r.press == last.press and r.what == last.what)])} at {hours(last.at)}"


def state_word(task: DayTask, done: frozenset[str]) -> str:
    """Done, begun, or nothing yet."""
    return "done" if task.task in done else "begun" if task.started else ""


def _lines(plan: DayPlan, done: frozenset[str]) -> list[DayTask]:
    """The run sheet's lines in order: what goes in or cools together is one, as long as it is in one state."""
    out = [line for state in ("done", "begun", "") for line in merged([t for t in plan.day_tasks if state_word(t, done) == state])]
    return sorted(out, key=lambda t: (t.start, t.end, t.trials))


def _words(plan: DayPlan, press: Sequence[Report]) -> str:
    if press[-1].what in (GONE, HERE):
        return f"{press[-1].task} is {SAID[press[-1].what]}"
    said = {r.task for r in press}
    what = merged([t for t in plan.day_tasks if t.task in said])
    return f"{short(what[0].what, CUT)} {SAID[press[-1].what]}" if what else "planned again"


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
    """Another start, or another hour to eat; or it begins now."""
    desk.typed = form.texts
    desk.again = lambda: day(desk, study_id)
    standing = desk.standing(study_id)
    if not standing.study.rounds:
        raise StudyError("Plan a round first.")
    start, eat = form.get("start"), form.get("eat")
    now = f"{clock_of(desk):%Y-%m-%dT%H:%M}"
    if form.get("begin"):
        start, eat = now, ""
    plan = planned(standing, start, eat, now if eat and not start else "")
    if isinstance(plan, ProofpanError):
        desk.again = lambda: day(desk, study_id, eased(plan))
        raise plan
    if eat and not start:
        start = f"{plan.start:%Y-%m-%dT%H:%M}"
    desk.book.append(study_id, DAY, {"start": start, "eat": eat, "round": standing.study.rounds[-1].number}, key=f"day:{form.get('once')}")
    return go(f"/study/{study_id}/day")


@router.post("/study/{study_id}/day/setting")
def post_setting(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """People, breaks, skills, things, the fridge by day, what is kept and what is filmed."""
    desk.typed = form.texts
    desk.again = lambda: day(desk, study_id)
    standing = desk.standing(study_id)
    after, said = with_setting(standing.study, form, clock_of(desk).date())
    replay(with_brief(desk.book, study_id, after), standing.events)  # what was cooked and tasted must still fit
    if after.brief != standing.study.brief:
        upon = int(form.get("base")) if form.get("base").isdigit() else standing.revision
        if upon < standing.revision:
            check_meanwhile(desk, standing, upon, "day")
        change_brief(desk.book, study_id, after, note=said, base_revision=standing.revision)
    return go(f"/study/{study_id}/day")


@router.post("/study/{study_id}/day/moved")
def post_moved(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Something was started, is done, takes longer; or the last of these is taken back."""
    desk.typed = form.texts
    desk.again = lambda: day(desk, study_id)
    standing = desk.standing(study_id)
    before, plan = day_now(standing) if standing.study.rounds else (None, StudyError("Plan a round first."))
    if isinstance(plan, ProofpanError) and form.get("what") != BACK:
        raise plan
    what, task, number = form.get("what"), form.get("task"), standing.study.rounds[-1].number
    at, found = _at(form.get("at"), clock_of(desk), form.whole("waited", 0, 0, WAITED)), reported(standing)
    made: list[dict[str, object]]
    if what == BACK:
        if found and form.get("last") and form.get("last") != last_said(found):
            raise DayError("Something else was said since, on another device: look again before you take anything back.")
        made = [{"what": BACK}] if found else []
    elif what in SAID and isinstance(plan, DayPlan) and isinstance(before, DayPlan):
        if what == GONE and task not in dict(who_and_what(standing.study)):
            raise DayError(f"“{task[:40]}” is neither a person nor an oven of this kitchen.")
        made = [{"what": r.what, "task": r.task, "at": f"{r.at:%Y-%m-%dT%H:%M}", "minutes": r.minutes} for r in report_of(plan, before, found, what, task, at)]
    else:
        raise DayError("Say what happened: started, done, or later.")
    once = form.get("once") or secrets.token_hex(12)
    desk.book.append_many(study_id, [NewEvent(kind=MOVED, payload={**m, "round": number, "press": once}, key=f"moved:{once}:{i}") for i, m in enumerate(made)])
    return go(f"/study/{study_id}/cook?trial={form.get('trial')}" if form.get("to") == "cook" else f"/study/{study_id}/day")


def _at(text: str, now: datetime, waited: int = 0) -> datetime:
    """When it happened: now, or before the minutes that the press waited on its device, or the HH:MM of today that was typed."""
    if not text:
        return now - timedelta(minutes=waited)
    try:
        return datetime.combine(date(now.year, now.month, now.day), datetime.strptime(text, "%H:%M").time())
    except ValueError:
        raise DayError(f"“{text[:20]}” isn't a time: write it as 10:42.") from None
