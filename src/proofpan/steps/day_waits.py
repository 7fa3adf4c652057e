"""How long things may wait between two steps: what a recipe means where it doesn't say."""

from __future__ import annotations

import re
from collections.abc import Container, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from proofpan.study.recipe import Step

if TYPE_CHECKING:
    from proofpan.science.daywork import Task

DISHED_UP, OUT, SHELF = "this round", "off the heat", "shelf place"
HOT, SOON, ENDED, FRESH, STANDS = 15, 60, 240, 240, 1440     # minutes: common practice, no source
_COOLS = re.compile(r"\b(cool\w*|cold|chill\w*|fridge|refrigerat\w*)\b", re.I)


def in_good_time(tasks: Mapping[str, Task], task: Task, hot: Container[str] = ()) -> Task:
    """The task held to what a recipe means by waiting: it begins when the step before ends, and isn't half as long again.

    What goes on by itself begins within the hour, and what comes hot off the heat cools, drains or rests within a quarter; before the oven it is
    ended within four hours or half its length, whichever is longer, and never half a day late; nothing else stands about for longer than a
    day between two steps. What doesn't keep for days or in the fridge is portioned within four hours: nobody tastes last night's crust for
    this morning's. Common practice, no source.
    A step's own `within` is kept as it is.

    Parameters: hot, the tasks that end hot: in the oven, or on a hob without a word of cooling.
    """
    if task.kind not in ("cook", "film batch"):
        return task
    links = []
    for link in task.after:
        before = tasks[link.task]
        most = STANDS if link.max_wait is None else link.max_wait
        if before.oven is None and before.hands < before.minutes and (task.serve_group != DISHED_UP or before.minutes >= STANDS):
            most = min(most, max(ENDED, min(before.minutes // 2, STANDS // 2)))
        if task.oven is None and task.hands == 0 and task.minutes > 0:
            most = min(most, SOON)
        if task.oven is None and task.hands < task.minutes and link.task in hot:
            most = min(most, HOT)
        if task.serve_group == DISHED_UP and before.minutes < STANDS and all(n.name != SHELF for n in before.needs):
            most = min(most, FRESH)
        links.append(replace(link, max_wait=most))
    return replace(task, after=tuple(links))


def ends_hot(step: Step) -> bool:
    """Whether what it makes is hot as it ends: out of the oven, or off a hob without a word of cooling."""
    return step.oven is not None or (bool(step.hob) and _COOLS.search(step.do) is None)
