"""A day that goes on without someone or without an oven: who is left does what is left, and what no oven takes at once goes in one after the other."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from proofpan.study.day import DayTask, oven_words
from proofpan.study.errors import DayError, did_you_mean, quoted
from proofpan.study.kitchen import Kitchen
from proofpan.study.study import Study
from proofpan.study.wording import say, say_counted
from proofpan.study.words import joined

if TYPE_CHECKING:
    from proofpan.science.daywork import Task


def without_people(study: Study, gone: Collection[str]) -> Study:
    """The study with the people who are still there; the ovens stay, for something may be in one.

    Raises: DayError for a name that is neither a person nor an oven here, or when nobody is left.
    """
    kitchen = study.brief.kitchen
    known = [*kitchen.people, *(o.name for o in kitchen.ovens)]
    for name in gone:
        if name not in known:
            raise DayError(f"{quoted(name)} is neither a person nor an oven of this kitchen. {did_you_mean(name, known)}")
    left = tuple(p for p in kitchen.people if p not in gone)
    if not left:
        raise DayError("Nobody is left in the kitchen: the day waits until somebody is back.")
    return study.model_copy(update={"brief": study.brief.model_copy(update={"kitchen": kitchen.model_copy(update={"people": left})})})


def elsewhere(kitchen: Kitchen, tasks: Mapping[str, Task], gone: Collection[str], begun: Collection[str]) -> tuple[dict[str, Task], list[str]]:
    """The tasks with what waits for an oven that is gone put into the largest that is left, in as many fillings as it takes; and that in words.

    Raises: DayError when no oven is left for what is still to be baked.
    """
    out = [o.name for o in kitchen.ovens if o.name in gone]
    left = sorted((o for o in kitchen.ovens if o.name not in gone), key=lambda o: -o.trays * o.places)
    # without an oven of its own a task goes into any, so also into one that is gone
    waiting = {k: t for k, t in tasks.items() if out and k not in begun and t.oven is not None and (t.oven.oven in gone or t.oven.oven is None)}
    if not waiting:
        return dict(tasks), []
    if not left:
        raise DayError(say("No oven is left for {steps}: the day waits until one works.", steps=joined(dict.fromkeys(k.rpartition(" ")[0] for k in waiting))))
    oven, room = left[0], left[0].trays * left[0].places
    loads: dict[str, list[str]] = {}
    for key, task in waiting.items():
        assert task.oven is not None
        loads.setdefault((task.group or key).removesuffix(f" in {task.oven.oven}"), []).append(key)
    moved, fillings = dict(tasks), 0
    for load, keys in loads.items():
        for n, key in enumerate(keys):
            need = waiting[key].oven
            assert need is not None
            moved[key] = replace(waiting[key], oven=replace(need, oven=oven.name), group=f"{load} in {oven.name}, filling {n // room + 1} of what is left")
        fillings += -(-len(keys) // room)
    said = say_counted(fillings, "Without the {gone} what waits for it goes into the {oven}, in {number} filling.",
                       "Without the {gone} what waits for it goes into the {oven}, in {number} fillings one after the other.",
                       gone=joined(oven_words(o) for o in out), oven=oven_words(oven.name))
    return moved, [said]


def handed_on(planned: Mapping[str, DayTask], over: Collection[str], gone: Collection[str]) -> dict[str, DayTask]:
    """The tasks as they were planned, without who is gone, but for what was over before. Parameters: over, the tasks that are done."""
    return {k: t if k in over else t.model_copy(update={"people": tuple(p for p in t.people if p not in gone)}) for k, t in planned.items()}
