"""What a day's plan says in sentences, and what clashes where there is none."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from proofpan.steps.day_hours import daily_hours
from proofpan.steps.day_keeping import keeping_of, kept_names
from proofpan.steps.day_serving import served_words
from proofpan.steps.day_slipped import slipped_words, unsafe_words
from proofpan.steps.day_waits import DISHED_UP
from proofpan.study.day import DayTask, OvenTurn, clock, days_of, turn_words
from proofpan.study.errors import shorten
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.wording import say, spoken
from proofpan.study.words import counted, joined, length_words

if TYPE_CHECKING:
    from proofpan.science.daywork import DayModel
    from proofpan.science.daywork import DayPlan as Planned
    from proofpan.study.kitchen import Kitchen


def day_words(study: Study, round_: Round, tasks: Sequence[DayTask], turns: Sequence[OvenTurn], found: Planned, model: DayModel,
              *, hours_given_up: bool = False) -> tuple[str, ...]:
    """The sentences above a run sheet, in order.

    Parameters: hours_given_up, whether the usual hours were, as nothing can be cooked within them.
    """
    if not tasks:
        return (say("There is nothing to cook in this round."),)
    days = days_of(tasks)
    out = [_span(round_, tasks), *_plates(tasks, model), *served_words(tasks, round_, {t.key: t for t in model.tasks}), *(turn_words(t, days) for t in turns)]
    if turns and not study.brief.kitchen.ovens:
        out.append(say("The brief names no oven: one of two trays with four places each is planned with."))
    cue = next((t for t in sorted(tasks, key=lambda t: not t.resource) if t.latest_end is not None), None)
    if cue is not None and cue.latest_end is not None:
        out.append(say("Steps that end by a cue are planned on their expected minutes; ovens and hobs are kept free to the longest ones ({task}: {end}, "
                       "at the latest {latest}).", task=shorten(cue.task), end=clock(cue.end, days), latest=clock(cue.latest_end, days)))
    out += _shared(tasks) + _zone(study.brief.kitchen, model, found) + _afterwards(study, tasks)
    out += _hours(study.brief.kitchen, model, tasks, hours_given_up)
    out.append(say("No better plan exists.") if found.optimal else say("A good plan; whether a better one exists wasn't proven."))
    steps = {t.task: t.task.rpartition(" ")[0] for t in tasks if t.trials} | kept_names(study)
    slipped = slipped_words([b for b in found.broken if b not in found.unsafe], model.tasks, steps)
    return (*out, *unsafe_words(found.unsafe), *slipped)


def _span(round_: Round, tasks: Sequence[DayTask]) -> str:
    here = [t for t in tasks if t.kind in ("cook", "taste")]
    # what is made for the camera may be begun before anything that is judged
    first, last = min(t.start for t in tasks if t.kind in ("cook", "taste") or t.kind.startswith("film")), max(t.end for t in here)
    minutes = int((last - first).total_seconds() // 60)
    days = (last.date() - first.date()).days
    return say("Hands on from {start}, the last mark made by {end}: {length} for {trials}.", start=clock(first, days), end=clock(last, days),
               length=length_words(minutes), trials=counted(len(round_.trials), "trial"))


def _plates(tasks: Sequence[DayTask], model: DayModel) -> list[str]:
    serves = {t.key for t in model.tasks if t.serve_group == DISHED_UP}
    ready = [t.end for t in tasks if t.task in serves]
    if not ready:
        return []
    spread = int((max(ready) - min(ready)).total_seconds() // 60)
    if not spread:
        return [say("All plates are ready together.")]
    minutes = counted(spread, "minute") if spread <= 90 else length_words(spread)
    return [say("All plates are ready within {minutes} of each other.", minutes=minutes)]


def _shared(tasks: Sequence[DayTask]) -> list[str]:
    """What is made once for several trials, in one sentence: each step once, with the batches that it is made in."""
    groups: dict[tuple[int, ...], list[str]] = {}
    for t in tasks:
        if len(t.trials) > 1 and t.kind == "cook":
            groups.setdefault(t.trials, []).append(t.task.rpartition(" ")[0])
    alike: dict[tuple[str, ...], list[tuple[int, ...]]] = {}
    for trials, steps in groups.items():
        alike.setdefault(tuple(dict.fromkeys(steps)), []).append(trials)
    if not alike:
        return []
    made = [say("{steps} for trials {trials}", steps=spoken().joined(steps), trials=" / ".join(spoken().joined(map(str, x)) for x in batches))
            for steps, batches in alike.items()]
    return [say("Made once, then divided: {made}.", made="; ".join(made))]


def _afterwards(study: Study, tasks: Sequence[DayTask]) -> list[str]:
    """When what was kept is tasted again; when the cameras are done, and that the presenter has voted before the bite."""
    out = []
    if again := [t for t in tasks if t.kind == "keep" and t.task.startswith("taste ")]:
        said = {f"taste {k.words}": k.said for k in keeping_of(study)}
        when = joined(f"{said.get(t.task, t.what)} ({clock(t.start, 7)})" for t in again)
        out.append(say("Kept and tasted again: {when}.", when=when))
    film = study.brief.filming
    if shots := [t for t in tasks if t.kind.startswith("film ") and t.kind != "film batch"]:
        last = clock(max(t.end for t in shots), days_of(tasks))
        done = say("The camera is done at {time}; it films its own batches, never a plate that is judged.", time=last)
        voted = say("{presenter}'s ballot is in before the bite.", presenter=film.presenter) if film is not None and film.presenter else ""
        out.append(f"{done} {voted}".strip())
    return out


def _hours(kitchen: Kitchen, model: DayModel, tasks: Sequence[DayTask], given_up: bool) -> list[str]:
    """That the usual hours are kept, as the kitchen gives none; nothing where the plan is free to go through the night, unless they were given up for that."""
    if kitchen.hours or not (model.opening or given_up):
        return []
    opens, closes = daily_hours(kitchen)
    at_work = [(t.start, t.hands_until or t.end) for t in tasks if t.people]
    late = any(a.time() < opens or b > datetime.combine(a.date(), closes) for a, b in at_work)
    given = {"opens": f"{opens:%H:%M}", "closes": f"{closes:%H:%M}"}
    if given_up:
        return [say("The kitchen gives no hours, and from {opens} to {closes} alone this can't be cooked: hands are there outside them too. Its own "
                    "hours can be written in.", **given)]
    return [say("The kitchen gives no hours: cooks and tasters are there from {opens} to {closes}, later or sooner only where that was asked for. Its own "
                "hours can be written in.", **given) if late else
            say("The kitchen gives no hours: cooks and tasters are there from {opens} to {closes}; what stands by itself may go through the night. Its own "
                "hours can be written in.", **given)]


def _zone(kitchen: Kitchen, model: DayModel, found: Planned) -> list[str]:
    """The most that any food of the day is in the danger zone, of what the authority allows; and whose limit it is where nobody chose it."""
    from proofpan.science.daywork import zone_minutes

    if not any(t.food is not None for t in model.tasks):
        return []
    zone, counted_min = model.zone, max(zone_minutes(model, found).values(), default=0)
    borrowed = zone.name == "US Food Code" and not kitchen.danger_zone and kitchen.country not in (None, "US")
    out = [say("Food that spoils is between {low_c:g} and {high_c:g} °C for {counted} at the most, of the {limit} allowed ({name}): waits at room "
               "temperature are counted, before the heat and again after it. Follow your local food-safety authority.",
               counted=length_words(counted_min), limit=length_words(zone.limit_minutes), low_c=zone.low_c, high_c=zone.high_c, name=zone.name)]
    if borrowed:
        out.append(say("No limit of this country is kept here, so the US Food Code's counts; another can be chosen, and your local authority's holds."))
    return out
