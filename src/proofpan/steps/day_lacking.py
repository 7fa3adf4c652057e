"""What a day's steps ask for and the kitchen doesn't have at all: nothing is searched for, it is said at once and where it is written."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import TYPE_CHECKING

from proofpan.steps.day_clash import thing_words
from proofpan.steps.day_tasks import DayWork
from proofpan.steps.day_waits import SHELF
from proofpan.study.day import load_words, oven_words
from proofpan.study.equipment import skill, thing
from proofpan.study.kitchen import Kitchen, Oven
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, counted, joined

if TYPE_CHECKING:
    from proofpan.science.daywork import Task

UNNAMED = Oven(name="oven", trays=2, places=4)      # what is planned with where the brief names no oven


def lacking(kitchen: Kitchen, work: DayWork) -> tuple[str, str]:
    """What is lacking, and where it is put right; two empty texts where nothing is."""
    can = {s for line in map(skill, kitchen.skills) if line.name in kitchen.people for s in line.skills}
    for wanted in dict.fromkeys(t.skill for t in work.tasks.values() if t.skill):
        if wanted not in can:
            steps = list(dict.fromkeys(work.steps[k].id for k, t in work.tasks.items() if t.skill == wanted and k in work.steps)) or [say("the filming")]
            alone = len(kitchen.people) == 1
            return (say_counted(len(steps), "{people} isn't said to know “{skill}”, which {steps} asks for.",
                                "{people} isn't said to know “{skill}”, which {steps} ask for.", people=kitchen.people[0], skill=wanted,
                                steps=joined(steps)) if alone else
                    say_counted(len(steps), "Nobody of {people} is said to know “{skill}”, which {steps} asks for.",
                                "Nobody of {people} is said to know “{skill}”, which {steps} ask for.", people=joined(kitchen.people), skill=wanted,
                                steps=joined(steps)),
                    say("Write who knows it under skills, as {example}.", example=f"{kitchen.people[0]}: {wanted}"))
    there = {t.name: t.number for t in map(thing, kitchen.things)} | {"hob": kitchen.hobs}
    if kitchen.fridge_shelves:
        there[SHELF] = kitchen.fridge_shelves * kitchen.places_a_shelf
    for key, task in work.tasks.items():
        for need in task.needs:
            if need.name in there and need.amount > there[need.name]:
                step = work.steps[key].id if key in work.steps else task.words
                if need.name == SHELF:
                    return (say("{step} takes {places}; the kitchen has {number}.", step=capital(step), places=thing_words(need.amount, SHELF),
                                number=there[SHELF]), say("Write how many shelves there are, and places on each."))
                return (say("{step} takes {amount} × {thing}; the kitchen has {number}.", step=capital(step), amount=need.amount, thing=need.name,
                            number=there[need.name]), say("Write how many there are under things by count."))
    return "", ""


def too_large(kitchen: Kitchen, work: DayWork) -> tuple[str, str]:
    """The first load that no oven here takes at once, and what would do; two empty texts where each fits."""
    loads: dict[str, list[Task]] = {}
    for task in work.tasks.values():
        if task.oven is not None:
            loads.setdefault(task.group or task.key, []).append(task)
    for tasks in loads.values():
        named = next((t.oven.oven for t in tasks if t.oven is not None and t.oven.oven), None)
        ovens = [o for o in kitchen.ovens if named in (None, o.name)] or [UNNAMED]
        largest = max(ovens, key=lambda o: o.trays * o.places)
        if len(tasks) > largest.trays * largest.places:
            return _too_large(tasks, largest), say("Write the trays and the places of each oven as they are, or plan the round again for those.")
    return "", ""


def _too_large(tasks: Sequence[Task], oven: Oven) -> str:
    """By its trays where there are too many of those, else by its places: as whoever fills the oven counts."""
    trays = {t.oven.tray for t in tasks if t.oven is not None and t.oven.tray}
    given = {"load": capital(load_words(tasks[0].group or "")), "oven": oven_words(oven.name),
             "loads": counted(ceil(len(tasks) / (oven.trays * oven.places)), "load")}
    if len(trays) > oven.trays:
        return say("{load} is {trays}, and the {oven} takes {most}: bake it in {loads}.", trays=counted(len(trays), "tray"), most=oven.trays, **given)
    return say("{load} is {trials}, and the {oven} has {places} on {trays}: bake it in {loads}.", trials=counted(len(tasks), "trial"),
               places=counted(oven.trays * oven.places, "place"), trays=counted(oven.trays, "tray"), **given)
