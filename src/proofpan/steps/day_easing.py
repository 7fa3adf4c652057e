"""By how much a limit of a day that can't be cooked would have to be eased: one after the other is eased alone, and the day tried again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from proofpan.steps.day_clash import Clash, thing_words
from proofpan.study.day import clock
from proofpan.study.wording import say
from proofpan.study.words import joined, length_words

if TYPE_CHECKING:
    from proofpan.science.daywork import DayModel
    from proofpan.science.daywork import DayPlan as Planned

TRY_S, LONGER, MORE = 0.2, 240, (1, 2)      # seconds for each try; minutes of longer hours; how many more of a thing
HELPER = "one more"


def what_would_do(model: DayModel, clash: Clash) -> str:
    """The first limit found with which eased alone the day can be cooked, and by how much; empty where none is found. Safety is never tried."""
    tries = (_breaks, _clear, _count, _window, _hours, _hands, _waits)
    return next((said for kind in tries for said in kind(model, clash)), "")


def _planned(model: DayModel) -> Planned | None:
    """A day that keeps every limit; none where there is none, or none was found in time."""
    from proofpan.science.daywork import DayworkError, plan

    try:
        return plan(model, seconds=TRY_S, why=False)
    except DayworkError:
        return None


def _hours(model: DayModel, clash: Clash) -> Iterator[str]:
    """Closing later, else opening sooner: as late, and as soon, as the hands are then wanted."""
    if not clash.of("hours") or not model.opening:
        return
    busy = {t.key: t.busy for t in model.tasks}

    def at_work(found: Planned) -> list[tuple[int, int]]:
        return [(t.start_min + a, t.start_min + b) for t in found.tasks for a, b in busy[t.key] if t.who]

    closing = [*(a for a, _ in model.opening[1:]), model.horizon]
    later = tuple((a, min(b + LONGER, end)) for (a, b), end in zip(model.opening, closing, strict=True))
    if (found := _planned(replace(model, opening=later))) is not None:
        over = [end for _, end in at_work(found) for _, closes in model.opening if closes < end <= closes + LONGER]
        if over:
            yield say("Open until {time} and it can be cooked.", time=_at(model, max(over)))
    before = [0, *(b for _, b in model.opening[:-1])]
    sooner = tuple((max(a - LONGER, start), b) for (a, b), start in zip(model.opening, before, strict=True))
    if (found := _planned(replace(model, opening=sooner))) is not None:
        early = [begin for begin, _ in at_work(found) for opens, _ in model.opening if opens - LONGER <= begin < opens]
        if early:
            yield say("Open from {time} and it can be cooked.", time=_at(model, min(early)))


def _clear(model: DayModel, clash: Clash) -> Iterator[str]:
    if any(taken for _, _, taken in clash.of("count")) and _planned(replace(model, kitchen=replace(model.kitchen, blocked=()))) is not None:
        yield say("With the fridge cleared it can be cooked.")


def _count(model: DayModel, clash: Clash) -> Iterator[str]:
    for _, thing, taken in clash.of("count"):
        for more in MORE if not taken else ():
            there = dict(model.kitchen.resources)
            there[thing] = number = there.get(thing, 0) + more
            if _planned(replace(model, kitchen=replace(model.kitchen, resources=tuple(there.items())))) is not None:
                yield say("With {things} it can be cooked.", things=thing_words(number, thing))
                return


def _window(model: DayModel, clash: Clash) -> Iterator[str]:
    if not clash.of("window"):
        return
    if (found := _planned(replace(model, serve_window=None))) is not None:
        plates = {t.key for t in model.tasks if t.serve_group and t.serve_group not in model.loose}
        ends = [t.end_min for t in found.tasks if t.key in plates]
        yield say("With plates ready within {minutes} min it can be cooked.", minutes=max(ends) - min(ends))


def _breaks(model: DayModel, clash: Clash) -> Iterator[str]:
    for who, at in clash.of("break"):
        people = tuple(replace(p, breaks=()) if p.name == who else p for p in model.kitchen.people)
        if _planned(replace(model, kitchen=replace(model.kitchen, people=people))) is not None:
            yield say("Without {who}'s break ({time}) it can be cooked.", who=who, time=at)


def _hands(model: DayModel, clash: Clash) -> Iterator[str]:
    from proofpan.science.daywork import Person

    if not clash.of("hands"):
        return
    able = tuple(dict.fromkeys(s for p in model.kitchen.people for s in p.skills))
    if _planned(replace(model, kitchen=replace(model.kitchen, people=(*model.kitchen.people, Person(HELPER, skills=able))))) is not None:
        yield say("With one more pair of hands it can be cooked.")


def _waits(model: DayModel, clash: Clash) -> Iterator[str]:
    """Longer waits between two steps, as long as they then are."""
    named = {(step, before) for step, _, before in clash.of("wait")}
    if not named:
        return

    def asked(task: str, before: str) -> bool:
        return (task.rpartition(" ")[0], before.rpartition(" ")[0]) in named

    tasks = tuple(replace(t, after=tuple(replace(a, max_wait=None) if asked(t.key, a.task) else a for a in t.after)) for t in model.tasks)
    if (found := _planned(replace(model, tasks=tasks))) is None:
        return
    at = {t.key: t for t in found.tasks}
    longest: dict[tuple[str, str], int] = {}
    for task in model.tasks:
        for link in task.after:
            if link.max_wait is not None and asked(task.key, link.task) and (wait := at[task.key].start_min - at[link.task].end_min) > link.max_wait:
                named_here = (task.key.rpartition(" ")[0], link.task.rpartition(" ")[0])
                longest[named_here] = max(wait, longest.get(named_here, 0))
    waits = joined(say("{step} up to {time} after {before}", step=step, time=length_words(wait), before=before)
                   for (step, before), wait in sorted(longest.items()))
    if waits:
        yield say("With {waits} it can be cooked, where the food may wait so long.", waits=waits)


def _at(model: DayModel, minute: int) -> str:
    return clock(model.at(minute), (model.at(minute).date() - model.start.date()).days)
