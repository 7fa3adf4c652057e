"""The day's own papers: a run sheet a person, the oven chart, who gets edge or middle, what is filmed when."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial
from typing import Any

from proofpan.publish.sheets import shorter_names
from proofpan.publish.typesetting import pdf
from proofpan.study.day import Cut, DayLists, DayPlan, DayTask, OvenTurn, day_name, days_of, load_words, merged, moment_words, turn_words
from proofpan.study.house_words import our_words
from proofpan.study.study import Study
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, joined, version_words


def alone() -> str:
    """What the sheet of what needs nobody is called."""
    return say("By itself")


def line_of(task: DayTask) -> list[str]:
    """From, to (with its day where that is another one), what, where, and what to know: hands free from, at the latest until."""

    def at(moment: datetime) -> str:
        later = (moment.date() - task.start.date()).days      # within a week its weekday says which day it is
        return moment_words(moment, later)

    more = []
    if task.hands_until is not None and task.start < task.hands_until < task.end and not task.load:
        more.append(say("hands free from {time}", time=at(task.hands_until)))
    if task.latest_end is not None:
        more.append(say("until its cue, at the latest {time}", time=at(task.latest_end)))
    if task.started:
        more.append(say("begun"))
    where = ", ".join(w for w in (task.where, load_words(task.load) if task.kind == "cook" else "") if w)
    return [at(task.start), at(task.end), task.what, where, "; ".join(more)]


def by_day(plan: DayPlan, tasks: Sequence[DayTask], line: Callable[[DayTask], list[str]]) -> list[dict[str, Any]]:
    """Lines under their day: `Saturday 6 June`; a plan of one day has one group without a name."""
    groups: dict[str, list[list[str]]] = {}
    for task in tasks:
        name = capital(day_name(task.start)) if plan.days else ""
        groups.setdefault(name, []).append(line(task))
    return [{"day": name, "lines": lines} for name, lines in groups.items()]


def run_sheets(plan: DayPlan) -> list[dict[str, Any]]:
    """A sheet a person with their own lines by day, then what goes on by itself."""
    return [{"name": s.person or alone(), "days": by_day(plan, merged(s.tasks), line_of)} for s in plan.run_sheets]


def day_title(plan: DayPlan) -> str:
    """`Run sheet, round 1. Friday 5 June 2026`."""
    return ". ".join(w for w in (say("Run sheet, round {number}", number=plan.round), plan.date_words) if w)


def says_of(plan: DayPlan) -> list[str]:
    """What is worth knowing, but for the ovens, which have a table of their own beside it."""
    turned = {turn_words(t, days_of(plan.day_tasks)) for t in plan.ovens}
    return [s for s in plan.says if s not in turned and s not in plan.unsafe]


def cautions_of(plan: DayPlan) -> list[str]:
    """What to be careful of: first the food that isn't safe any more."""
    return [*plan.unsafe, *plan.cautions]


def oven_lines(plan: DayPlan) -> list[list[str]]:
    """Oven, temperature, turn at, ready at, holds until, what goes in."""
    days, out = days_of(plan.day_tasks), []
    for turn in plan.ovens:
        inside = dict.fromkeys(f"{moment_words(t.start, days)} {load_words(t.load) or t.what}" for t in plan.day_tasks
                               if t.resource == turn.oven and turn.ready <= t.start <= turn.until)
        out.append([turn.oven, turn.set_to, moment_words(turn.turn, days), moment_words(turn.ready, days), moment_words(turn.until, days),
                    "; ".join(inside)])
    return out


def run_sheet_pdf(study: Study, plan: DayPlan, *, paper: str = "a4") -> bytes:
    """The day's run sheet: what to be careful of, what to know, the ovens; then a page a person."""
    sheets = run_sheets(plan)
    nobody = [s for s, of in zip(sheets, plan.run_sheets, strict=True) if not of.person]
    return pdf("day", {"title": study.title, "under": day_title(plan), "paper": paper, "tied": list(plan.tied), "says": says_of(plan),
                       "cautions": cautions_of(plan), "ovens": oven_lines(plan), "people": [s for s in sheets if s not in nobody],
                       "alone": nobody[0] if nobody else {"name": "", "days": []},
                       "foot": say("{title}, round {round}", title=study.title, round=plan.round)})


def oven_chart_pdf(study: Study, plan: DayPlan, *, paper: str = "a4") -> bytes:
    """The oven chart to hang by the door: each oven's temperature over the day, drawn and as a list."""
    lanes = []
    days = days_of(plan.day_tasks)
    # a day has a scale of its own: an hour's bake is no hair beside three nights
    for day in sorted({t.turn.date() for t in plan.ovens}):
        here = [t for t in plan.ovens if t.turn.date() == day]
        first, last = min(t.turn for t in here), max(t.until for t in here)
        span = max(1.0, (last - first).total_seconds())
        for oven in dict.fromkeys(t.oven for t in here):
            bars = [{"from": (t.turn - first).total_seconds() / span, "ready": (t.ready - first).total_seconds() / span,
                     "loads": _loads_in(plan, t, first, span),
                     "to": (t.until - first).total_seconds() / span, "words": t.set_to, "at": moment_words(t.ready, days)}
                    for t in here if t.oven == oven]
            lanes.append({"oven": oven, "day": day_name(here[0].turn) if days else "", "bars": bars})
    return pdf("oven_chart", {"title": say("Ovens, round {round}", round=plan.round), "paper": paper, "lanes": lanes, "lines": oven_lines(plan),
                              "foot": say("{title}, round {round}", title=study.title, round=plan.round)}, said=partial(our_words, study=study))


def _loads_in(plan: DayPlan, turn: OvenTurn, first: datetime, span: float) -> list[dict[str, Any]]:
    """Each filling of an oven at one heat: from when to when of the whole chart, and its name."""
    found: dict[tuple[str, datetime], datetime] = {}
    for t in plan.day_tasks:
        if t.resource == turn.oven and turn.ready <= t.start <= turn.until:
            key = (load_words(t.load) or t.what, t.start)
            found[key] = max(t.end, found.get(key, t.end))
    return [{"name": name, "from": (start - first).total_seconds() / span, "to": (end - first).total_seconds() / span}
            for (name, start), end in found.items()]


def cutting_plan_pdf(study: Study, lists: DayLists | Sequence[Cut], *, paper: str = "a4") -> bytes:
    """Which part of each trial goes on which plate: the same part of every trial to a taster; it names no version."""
    cuts = lists.cuts if isinstance(lists, DayLists) else lists
    trials: dict[int, list[Cut]] = {}
    for cut in cuts:
        trials.setdefault(cut.trial, []).append(cut)
    passes = len({c.pass_ for c in cuts}) > 1
    names = shorter_names(list(dict.fromkeys(c.taster for c in cuts)))
    data = [{"trial": str(n), "parts": [{"part": str(c.part), "where": say(c.where), "edge": c.where == "edge", "code": c.code,
                                          "who": [_who(name, c, passes) for name in names[c.taster]]}
                                         for c in sorted(found, key=lambda c: c.part)]} for n, found in sorted(trials.items())]
    return pdf("cutting", {"title": say("Cutting plan: {title}", title=study.title), "paper": paper, "trials": data, "foot": study.title})


def _who(name: str, cut: Cut, passes: bool) -> str:
    """The taster, and which time it is where plates are tasted twice."""
    if not passes:
        return name
    return say("{taster}, first time", taster=name) if cut.pass_ == 1 else say("{taster}, second time", taster=name)


def filming_lines(plan: DayPlan) -> list[dict[str, Any]]:
    """From, to, the shot or the batch for the camera, who, and who may be in the room; by day."""
    tasted = max((t.end for t in plan.day_tasks if t.task == "taste"), default=None)
    marking = {p for t in plan.day_tasks if t.task == "taste" for p in t.people}

    def line(task: DayTask) -> list[str]:
        open_set = task.kind == "film" or (tasted is not None and task.start >= tasted)
        start, end = line_of(task)[:2]
        return [start, end, task.what, task.who or alone().lower(), say("anyone") if open_set else _closed(task, marking)]

    return by_day(plan, [t for t in plan.day_tasks if t.kind.startswith("film")], line)


def _closed(task: DayTask, marking: set[str]) -> str:
    """Who stays out before the ballots are in; whoever makes it and marks too can't stay out of their own work."""
    return say("nobody else who has yet to mark") if set(task.people) & marking else say("nobody who has yet to mark")


def filming_sheet_pdf(study: Study, plan: DayPlan, *, paper: str = "a4") -> bytes:
    """What to shoot when, from what is made for the camera alone, without showing a version to a taster. It names versions: not for tasters."""
    tasted = next((t for t in plan.day_tasks if t.task == "taste"), None)
    film = study.brief.filming
    presenter = film.presenter if film is not None else None
    days = plan.days
    shots, marking = filming_lines(plan), {p for t in plan.day_tasks if t.task == "taste" for p in t.people}
    says = [say("Everything here is made for the camera: no plate that is judged is filmed with its version in words or in sight.")] if shots else []
    if shots and film is not None and len(film.hero) > 1:
        heroes = enumerate((version_words(study.version(text)) for text in film.hero), 1)
        says.append("; ".join(say("Hero {number}: {version}", number=n, version=words) for n, words in heroes) + ".")
    if tasted is not None and shots:
        says.append(say("Until the ballots are in ({time}) no taster sees a hero, a swap-out or its label; film hands, the stand-in and plates by "
                        "their codes.", time=moment_words(tasted.end, days)))
    makers = sorted({p for t in plan.day_tasks if t.kind == "film batch" and (tasted is None or t.start < tasted.end) for p in t.people} & marking)
    if makers:
        says.append(say_counted(len(makers), "{people} makes batches for the camera and marks too: by the codes alone, whatever they think that they know.",
                                "{people} make batches for the camera and mark too: by the codes alone, whatever they think that they know.",
                                people=joined(makers)))
    if presenter and shots:
        says.append(say("{presenter}'s ballot is in before the bite on camera.", presenter=presenter))
    return pdf("filming", {"title": say("Filming: {title}", title=study.title), "paper": paper, "says": says, "days": shots,
                           "foot": say("{title}, round {round}: not for tasters", title=study.title, round=plan.round)})
