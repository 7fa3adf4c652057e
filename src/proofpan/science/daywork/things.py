"""Counted things: hobs, bowls, benches, litres of fridge, never more in use than there are."""

from typing import Any

from proofpan.science.daywork.limits import Limits
from proofpan.science.daywork.task import Need, Task


def add_things(on: Limits) -> None:
    """No more of a counted thing in use than there are, less what is blocked."""
    model, cp = on.model, on.cp
    for name, capacity in model.kitchen.resources:
        used: list[tuple[Any, int]] = []
        running = 0
        for task in model.tasks:
            for need in task.needs:
                if need.name != name:
                    continue
                start, end = on.start[task.key], _released(on, task, need)
                if task.key in on.started:
                    if isinstance(end, int):
                        if end <= on.now:
                            continue
                        running += need.amount
                    start = max(on.now, start) if isinstance(start, int) else start
                used.append((on.span(start, end), need.amount))
        taken = [(b.start, b.end, b.amount) for b in model.kitchen.blocked if b.name == name and b.end > on.now]
        used += [(cp.new_fixed_size_interval_var(a, b - a, ""), amount) for a, b, amount in taken]
        # what is already standing there stands there, even if it was once too much
        on.within_capacity(used, max(capacity, running), f"there {'is' if capacity == 1 else 'are'} {capacity} × {name}"
                       + (", and something else holds some of it for a time" if taken else ""), name)


def _released(on: Limits, task: Task, need: Need) -> Any:
    """When the thing is free again."""
    if need.until is not None:
        last = on.model.task(need.until)
        extra = last.hold_minutes - last.minutes if last.key not in on.started else 0
        return on.end[need.until] + extra
    fact = on.started.get(task.key)
    if fact is not None:
        return fact.end if fact.end is not None else max(fact.start + task.hold_minutes, on.now)
    return on.end[task.key] + (task.hold_minutes - task.minutes)
