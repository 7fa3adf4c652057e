"""Plates served together: how far apart they are ready and how warm, and when they are eaten."""

from math import exp
from typing import Any

from proofpan.science.daywork.limits import Limits
from proofpan.science.daywork.task import Task
from proofpan.science.daywork.words import say_minutes

ROOM_C = 20.0
LONGEST_COOLING = 240


def add_servings(on: Limits) -> None:
    """Spread of each serve group, its window, and when it is eaten."""
    cp, model = on.cp, on.model
    at = dict(model.serve_at)
    for name in dict.fromkeys(t.serve_group for t in model.tasks if t.serve_group is not None):
        plates = [t for t in model.tasks if t.serve_group == name]
        waiting = [t for t in plates if t.key not in on.started]
        low, high = cp.new_int_var(0, 2 * on.top, f"first of {name}"), cp.new_int_var(0, 2 * on.top, f"last of {name}")
        cp.add_min_equality(low, [on.end[t.key] for t in plates])
        cp.add_max_equality(high, [on.end[t.key] for t in plates])
        span = cp.new_int_var(0, 2 * on.top, f"spread of {name}")
        cp.add(span == high - low)
        on.spread[name], on.first_ready[name] = span, low
        # where all leave alike and cool alike, fewer minutes apart are fewer degrees apart: nothing more to count
        if all(t.out_c is not None and t.cooling_minutes is not None for t in plates) and len({(t.out_c, t.cooling_minutes) for t in plates}) > 1:
            on.spread[name] = span + _degrees_apart(on, plates, high)
        if not waiting:
            continue
        window = model.window_of(name)
        if window is not None:
            on.at_most(high - low, window, f"the plates of {name} are ready within {say_minutes(window)} of each other", bends=True)
        if name in at:
            eaten = f"{name} is eaten at {model.say_time(at[name])}"
            for task in waiting:
                on.at_most(on.end[task.key], at[name], eaten, bends=True)
                if window is not None:
                    on.at_most(
                        at[name] - window,
                        on.end[task.key],
                        eaten + f", no plate ready more than {say_minutes(window)} before",
                        bends=True,
                    )


def _degrees_apart(on: Limits, plates: list[Task], table: Any) -> Any:
    """Whole degrees between the hottest and the coolest plate at the minute when the last is ready."""
    cp = on.cp
    hot, cool = cp.new_int_var(-50, 300, ""), cp.new_int_var(-50, 300, "")
    for task in plates:
        age, degrees = cp.new_int_var(0, LONGEST_COOLING, ""), cp.new_int_var(-50, 300, "")
        cp.add_min_equality(age, [table - on.end[task.key], LONGEST_COOLING])
        cp.add_element(age, [round(cooled_c(task, m)) for m in range(LONGEST_COOLING + 1)], degrees)
        cp.add(hot >= degrees)
        cp.add(cool <= degrees)
    apart = cp.new_int_var(0, 350, "")
    cp.add(apart == hot - cool)
    return apart


def cooled_c(task: Task, minutes: float) -> float:
    """A plate's temperature so long after it is ready, by Newton's law of cooling in a room of 20 °C."""
    out_c, constant = task.out_c or ROOM_C, task.cooling_minutes or 1.0
    return ROOM_C + (out_c - ROOM_C) * exp(-minutes / constant)
