"""What a day's steps ask for and the kitchen doesn't have at all: nothing is searched for, it is said at once and where it is written."""

from __future__ import annotations

from proofpan.steps.day_clash import thing_words
from proofpan.steps.day_tasks import DayWork
from proofpan.steps.day_waits import SHELF
from proofpan.study.equipment import skill, thing
from proofpan.study.kitchen import Kitchen
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, joined


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
