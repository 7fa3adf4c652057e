"""Chains of tasks that are alike, so that the solver needn't try every order of four equal doughs.

Two chains are alike when each task has its like in the other (same minutes, hands, needs, load, links outwards). Exchanging them
changes nothing, so they may be taken in the order in which they are given; and where every link inside goes from one task to the next,
each stage may be: if A left a stage before B but entered the next one after it, exchanging what follows keeps every wait limit,
every count of things, and makes no food's time in the danger zone longer than the longer one was.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import replace
from typing import Any

from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.task import Task
from proofpan.science.daywork.words import in_short


def chains(model: DayModel, started: Collection[str] = ()) -> list[tuple[Task, ...]]:
    """The day's tasks cut into chains where they join or part; those with anything started are left out."""
    followers: dict[str, list[Task]] = defaultdict(list)
    for task in model.tasks:
        for link in task.after:
            followers[link.task].append(task)
    tasks = {t.key: t for t in model.tasks}

    def hub(task: Task) -> bool:
        return len(task.after) > 1 or len(followers[task.key]) > 1

    def opens(task: Task) -> bool:
        return not task.after or hub(tasks[task.after[0].task])

    found = []
    for task in model.tasks:
        if hub(task) or not opens(task):
            continue
        chain = [task]
        while (after := followers[chain[-1].key]) and not hub(after[0]):
            chain.append(after[0])
        if not any(t.key in started for t in chain):
            found.append(tuple(chain))
    return found


def likeness(model: DayModel, chain: tuple[Task, ...]) -> tuple[Any, ...]:
    """What must be equal in chains that are alike: everything but names, with links inside by position."""
    place = {t.key: i for i, t in enumerate(chain)}
    alike = []
    for task in chain:
        after = tuple(replace(a, task=f"#{place[a.task]}") if a.task in place else a for a in task.after)
        needs = tuple(replace(n, until=f"#{place[n.until]}") if n.until in place else n for n in task.needs)
        oven = replace(task.oven, tray=None, place=None) if task.oven is not None else None
        food = task.food is not None
        nameless = replace(task, key="", words="", versions=(), kind="", food="food" if food else None)
        alike.append(replace(nameless, after=after, needs=needs, oven=oven))
    outwards = sorted(
        (t.key, a.min_wait, a.max_wait or -1, a.max_wait is None, a.of, place[a.task], a.food_c or 0.0)
        for t in model.tasks
        if t.key not in place
        for a in t.after
        if a.task in place
    )
    held = sorted((t.key, n.name, n.amount, place[n.until]) for t in model.tasks if t.key not in place for n in t.needs if n.until in place)
    return (*alike, tuple(outwards), tuple(held))


def families(model: DayModel, started: Collection[str] = ()) -> list[list[tuple[Task, ...]]]:
    """Chains that are alike, together."""
    groups: dict[tuple[Any, ...], list[tuple[Task, ...]]] = defaultdict(list)
    for chain in chains(model, started):
        groups[likeness(model, chain)].append(chain)
    return list(groups.values())


def spoken_for(model: DayModel, started: Collection[str] = ()) -> dict[str, str]:
    """Words for each task by its key, those that are alike under the first one's: "roll 1 (and 3 alike)"."""
    words = {t.key: in_short(t.words) for t in model.tasks}
    for alike in families(model, started):
        if len(alike) > 1:
            for stage, first in enumerate(alike[0]):
                for chain in alike:
                    words[chain[stage].key] = f"{in_short(first.words)} (and {len(alike) - 1} alike)"
    return words


def in_turn(model: DayModel, started: Collection[str] = ()) -> Iterator[tuple[Task, Task]]:
    """Pairs of tasks of which the first may be said to start no later than the second."""
    for alike in families(model, started):
        for first, second in zip(alike, alike[1:], strict=False):
            stages = len(first) if stagewise(first) else 1
            yield from zip(first[:stages], second[:stages], strict=True)


def stagewise(chain: tuple[Task, ...]) -> bool:
    """Whether every link inside goes from a task's end to the next task."""
    return all(a.of == "end" for t in chain for a in t.after)
