"""Each task on the clock: its length, fixed times and deadlines, opening hours, and what it waits for."""

from typing import Any

from proofpan.science.daywork.block import Block, union
from proofpan.science.daywork.limits import Limits
from proofpan.science.daywork.task import Task, loads
from proofpan.science.daywork.words import say_minutes


def add_tasks(on: Limits) -> None:
    """Starts and ends of every task: loads together, what has begun as it was."""
    model, cp = on.model, on.cp
    for task in model.tasks:
        if task.key in on.started:
            fact = on.started[task.key]
            on.start[task.key] = fact.start
            on.end[task.key] = fact.end if fact.end is not None else max(fact.start + task.minutes, on.now)
    for name, members in loads(model.tasks).items():
        waiting = tuple(t for t in members if t.key not in on.started)
        # the rest of a load that has gone in is on its own: it can no longer start with the others
        together = [waiting] if len(waiting) == len(members) else [(t,) for t in waiting]
        for tasks in together:
            start = cp.new_int_var(min(on.now, on.top), on.top, name)
            for task in tasks:
                on.start[task.key] = start
                on.end[task.key] = start + task.minutes
            end: Any = start + max(t.hold_minutes for t in tasks) if on.mode != "explain" else _lengths_in_doubt(on, tasks, start)
            block = Block(name if len(together) == 1 else tasks[0].key, tasks, start, end, union(s for t in tasks for s in t.busy))
            on.blocks.append(block)
            for task in tasks:
                _bounds(on, task)
            _opening(on, block)


def _lengths_in_doubt(on: Limits, tasks: tuple[Task, ...], start: Any) -> Any:
    """The end of a block whose tasks' lengths are limits like others: each task ends when it will where its own is left out."""
    cp, end = on.cp, on.cp.new_int_var(0, 2 * on.top, "")
    for task in tasks:
        says = length_of(task, on.words[task.key])
        held = cp.add(end >= start + task.hold_minutes)
        if task.hold_minutes:
            on.lengths.add(says)
            on.hold(held, says)
        if task.minutes and (on.doubted or on.dropped(says)):
            on.end[task.key] = cp.new_int_var(0, 2 * on.top, "")
            cp.add(on.end[task.key] >= start)
            on.hold(cp.add(on.end[task.key] == start + task.minutes), says)
        cp.add(end >= on.end[task.key])
    return end


def length_of(task: Task, words: str) -> str:
    """How long a task takes, as a limit in words: to its latest end where a cue decides."""
    longest = f" to {say_minutes(task.hold_minutes)}" if task.hold_minutes > task.minutes else ""
    return f"{words}: {say_minutes(task.minutes)}{longest}"


def _bounds(on: Limits, task: Task) -> None:
    start, end, say = on.start[task.key], on.end[task.key], on.model.say_time
    if task.fixed_start is not None:
        on.at_most(task.fixed_start, start, f"{on.words[task.key]} starts at {say(task.fixed_start)}")
        on.at_most(start, task.fixed_start, f"{on.words[task.key]} starts at {say(task.fixed_start)}", bends=True)
    if task.not_before is not None:
        on.at_most(task.not_before, start, f"{on.words[task.key]} starts no earlier than {say(task.not_before)}")
    if task.not_after is not None:
        on.at_most(end, task.not_after, f"{on.words[task.key]} is done by {say(task.not_after)}", bends=True)
    if not on.endless:
        on.at_most(end, on.model.horizon, f"everything is done by {say(on.model.horizon)}", bends=True)


def _opening(on: Limits, block: Block) -> None:
    """Hands work in opening hours only, and what must be attended lies within one opening."""
    windows = on.model.opening
    if not windows:
        return
    domain = on.cp_model.Domain
    for a, b in block.busy:
        fits = domain.from_intervals([[o - a, c - b] for o, c in windows if c - b >= o - a])
        on.start_in(block, fits, f"{on.words[block.tasks[0].key]}: its hands-on minutes lie within opening hours ({_hours(on)})")
    for task in block.tasks:
        if task.stays_in_opening_hours:
            fits = domain.from_intervals([[o, c - task.hold_minutes] for o, c in windows if c - task.hold_minutes >= o])
            on.start_in(
                block, fits, f"{on.words[task.key]} ({say_minutes(task.hold_minutes)}) lies within opening hours ({_hours(on)})"
            )


def _hours(on: Limits) -> str:
    windows, say, at = on.model.opening, on.model.say_time, on.model.at
    if len(windows) > 2:
        # every day alike: the first and the last may be cut short by the plan's own ends
        clock = [(f"{at(a):%H:%M}", f"{at(b):%H:%M}") for a, b in windows]
        cut = {0} if any(closes == clock[0][1] for _, closes in clock[1:]) else set()
        cut |= {len(clock) - 1} if any(opens == clock[-1][0] for opens, _ in clock[:-1]) else set()
        daily = sorted({hours for i, hours in enumerate(clock) if i not in cut})
        return f"{', '.join(f'{opens}–{closes}' for opens, closes in daily[:3])} each day"
    return ", ".join(f"{say(a)}–{at(b):%H:%M}" for a, b in windows)


def add_orders(on: Limits) -> None:
    """Least and greatest waits between tasks."""
    words = on.words
    for task in on.model.tasks:
        if task.key in on.started:
            continue
        for link in task.after:
            since = on.start[link.task] if link.of == "start" else on.end[link.task]
            start, began = on.start[task.key], "the start of " if link.of == "start" else ""
            first = f"{on.words[task.key]} starts at least {say_minutes(link.min_wait)} after {began}{words[link.task]}"
            if link.min_wait > 0:
                on.at_most(since + link.min_wait, start, first)
            else:
                on.cp.add(since + link.min_wait <= start)
            if link.max_wait is not None:
                last = f"{on.words[task.key]} starts at most {say_minutes(link.max_wait)} after {began}{words[link.task]}"
                on.at_most(start - since, link.max_wait, last, bends=True)
