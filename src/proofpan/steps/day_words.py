"""What a day's plan says in sentences, and what clashes where there is none."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from proofpan.steps.day_keeping import keeping_of
from proofpan.steps.day_tasks import DISHED_UP
from proofpan.study.day import DayTask, OvenTurn
from proofpan.study.errors import shorten
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.wording import say, spoken
from proofpan.study.words import counted, joined, version_words

if TYPE_CHECKING:
    from proofpan.science.daywork import DayModel
    from proofpan.science.daywork import DayPlan as Planned

SHOWN = 3
UNEQUAL_MINUTES = 10


def clash_words(conflict: Sequence[str]) -> str:
    """The limits that can't all hold, and what to do."""
    more = say(", and {number} more", number=len(conflict) - 2) if len(conflict) > 2 else ""
    if len(conflict) == 1:
        return say("The day can't be cooked: {limit}.", limit=shorten(conflict[0], 220))
    return say("The day can't be cooked: {limits} clash{more}. Ease one of them.", limits=joined(shorten(c, 100) for c in conflict[:2]), more=more)


def oven_words(name: str) -> str:
    """An oven's name as it is said."""
    return name if "oven" in name.casefold() else say("{name} oven", name=name)


def _clock(moment: datetime) -> str:
    return spoken().clock(moment, padded=True)


def day_words(study: Study, round_: Round, tasks: Sequence[DayTask], turns: Sequence[OvenTurn], found: Planned, model: DayModel,
              ) -> tuple[str, ...]:
    """The sentences above a run sheet, in order."""
    if not tasks:
        return (say("There is nothing to cook in this round."),)
    out = [_span(round_, tasks), *_plates(tasks, model), *_ages(tasks, round_)]
    out += [say("Turn the {oven} to {temperature_c} °C at {turn}; it is ready at {ready}.", oven=oven_words(t.oven), temperature_c=t.temperature_c,
                turn=_clock(t.turn), ready=_clock(t.ready)) for t in turns]
    if turns and not study.brief.kitchen.ovens:
        out.append(say("The brief names no oven: one of two trays with four places each is planned with."))
    cue = next((t for t in sorted(tasks, key=lambda t: not t.resource) if t.latest_end is not None), None)
    if cue is not None and cue.latest_end is not None:
        out.append(say("Steps that end by a cue are planned on their expected minutes; ovens and hobs are kept free to the longest ones ({task}: {end}, "
                       "at the latest {latest}).", task=shorten(cue.task), end=_clock(cue.end), latest=_clock(cue.latest_end)))
    out += _shared(study, tasks) + _zone(model) + _afterwards(study, tasks)
    out.append(say("No better plan exists.") if found.optimal else say("A good plan; whether a better one exists wasn't proven."))
    return (*out, *(say("Not kept: {limit}.", limit=b) for b in _worst(found.broken)))


def _worst(broken: Sequence[str]) -> list[str]:
    """Each limit once, with the most that it is over by."""
    most: dict[str, tuple[int, str]] = {}
    for sentence in broken:
        limit, _, over = sentence.rpartition(": ")
        minutes = sum(int(n) * (60 if unit == "h" else 1) for n, unit in re.findall(r"(\d+) (h|min)", over))
        most[limit] = max(most.get(limit, (0, sentence)), (minutes, sentence))
    return [sentence for _, sentence in most.values()]


def _span(round_: Round, tasks: Sequence[DayTask]) -> str:
    here = [t for t in tasks if t.kind in ("cook", "taste")]
    first, last = min(t.start for t in here), max(t.end for t in here)
    minutes = int((last - first).total_seconds() // 60)
    length = say("{hours} h {minutes:02d}", hours=minutes // 60, minutes=minutes % 60) if minutes >= 60 else say("{minutes} min", minutes=minutes)
    several = first.date() != last.date()
    start, end = (f"{spoken().weekday(t)} {_clock(t)}" if several else _clock(t) for t in (first, last))
    return say("Hands on from {start}, the last mark made by {end}: {length} for {trials}.",
        start=start, end=end, length=length, trials=counted(len(round_.trials), "trial"))


def _plates(tasks: Sequence[DayTask], model: DayModel) -> list[str]:
    serves = {t.key for t in model.tasks if t.serve_group == DISHED_UP}
    ready = [t.end for t in tasks if t.task in serves]
    if not ready:
        return []
    spread = int((max(ready) - min(ready)).total_seconds() // 60)
    if not spread:
        return [say("All plates are ready together.")]
    return [say("All plates are ready within {minutes} of each other.", minutes=counted(spread, "minute"))]


def _ages(tasks: Sequence[DayTask], round_: Round) -> list[str]:
    """How unequally old the plates are, where the oven empties in turns: the taster would taste that too."""
    at = {t.task: t for t in tasks}
    ages = []
    for trial in round_.trials:
        out = [t.end for t in tasks if t.load and t.task.endswith(f" {trial.trial}")]
        plate = at.get(f"plate {trial.trial}")
        if out and plate is not None:
            ages.append(int((plate.end - max(out)).total_seconds() // 60))
    if len(ages) < 2 or max(ages) - min(ages) < UNEQUAL_MINUTES:
        return []
    return [say("Plates have been out of the oven for {low} to {high} minutes: serve them all at one temperature.", low=min(ages), high=max(ages))]


def _shared(study: Study, tasks: Sequence[DayTask]) -> list[str]:
    out = []
    for t in [t for t in tasks if len(t.versions) > 1 and t.task != "taste"][:SHOWN]:
        more = say(" and {number} more", number=len(t.versions) - 2) if len(t.versions) > 2 else ""
        named = [version_words(study.version(v)) for v in t.versions[:2]]
        said = "; ".join(named)
        out.append(say("{what}: once, then divided, for {versions}{more}.", what=shorten(t.what.split(". ")[0], 60), versions=said, more=more))
    return out


def _afterwards(study: Study, tasks: Sequence[DayTask]) -> list[str]:
    """When what was kept is tasted again; when the cameras are done, and that the presenter has voted before the bite."""
    out = []
    if again := [t for t in tasks if t.kind == "keep" and t.task.startswith("taste ")]:
        said = {f"taste {k.words}": k.said for k in keeping_of(study)}
        when = joined(f"{said.get(t.task, t.what)} ({spoken().weekday(t.start)} {_clock(t.start)})" for t in again)
        out.append(say("Kept and tasted again: {when}.", when=when))
    film = study.brief.filming
    if shots := [t for t in tasks if t.kind.startswith("film ") and t.kind != "film batch"]:
        done = say("The camera is done at {time}; it films its own batches, never a plate that is judged.", time=_clock(max(t.end for t in shots)))
        voted = say("{presenter}'s ballot is in before the bite.", presenter=film.presenter) if film is not None and film.presenter else ""
        out.append(f"{done} {voted}".strip())
    return out


def _zone(model: DayModel) -> list[str]:
    if not any(t.food is not None for t in model.tasks):
        return []
    zone = model.zone
    return [say("Food that spoils is at most {hours} h between {low_c:g} and {high_c:g} °C altogether, before the heat and again after it "
        "({name}). Follow your local food-safety authority.",
        hours=zone.limit_minutes // 60, low_c=zone.low_c, high_c=zone.high_c, name=zone.name)]
