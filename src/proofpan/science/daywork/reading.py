"""The plan that the solver's values mean: lines, oven settings, what could not be kept."""

from collections.abc import Iterable
from dataclasses import replace

from proofpan.science.daywork.build import Build
from proofpan.science.daywork.danger import zone_sentence
from proofpan.science.daywork.feasible import counted
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.planned import DayPlan, Level, OvenSetting, PlannedTask
from proofpan.science.daywork.task import Task
from proofpan.science.daywork.words import in_short, say_minutes

OFF_MINUTES = 90  # an oven that is empty for longer is turned off: common practice, no source


def read(build: Build, levels: tuple[Level, ...], values: list[int], seconds: float) -> DayPlan:
    """The plan that the variables' values mean."""
    model, lines = build.model, []
    for block in build.blocks:
        start = values[block.start.index]
        who = tuple(n for n, does in block.by.items() if values[does.index])
        oven = next((n for n, there in block.ovens.items() if values[there.index]), None)
        for task in block.tasks:
            lines.append(line(task, start, start + task.minutes, who if task.busy else (), oven if task.oven else None, False))
    for key, fact in build.started.items():
        task = model.task(key)
        lines.append(line(task, fact.start, build.end[key], fact.who, model.oven_of(task, fact), True))
    lines.sort(key=lambda x: (x.start_min, x.end_min, x.key))
    shown = tuple(x for x in levels if x.name != "tidy")
    gap = max((max(0, x.value - x.bound) / max(1, abs(x.value)) for x in shown if not x.optimal), default=0.0)
    broken = [f"{sentence}: {say_minutes(values[over.index])} over" for over, sentence in build.excess if values[over.index] > 0]
    unsafe = over_the_limit(model, lines)
    return DayPlan(tuple(lines), settings(model, lines), all(x.optimal for x in shown), gap, shown, tuple(dict.fromkeys([*unsafe, *broken])), unsafe, seconds)


def over_the_limit(model: DayModel, lines: Iterable[PlannedTask]) -> tuple[str, ...]:
    """Every food over its authority's limit, by the plan's own times, whether it is still to come or has happened: nothing is passed over."""
    over: dict[str, tuple[int, str]] = {}
    for key, minutes in counted(model, {x.key: x for x in lines}).items():
        task = model.task(key)
        if (more := minutes - model.zone.limit_minutes) > 0:
            food = task.food or key
            over[food] = max(over.get(food, (0, "")), (more, f"{zone_sentence(model, in_short(task.words))}: {say_minutes(more)} over"))
    return tuple(sentence for _, sentence in over.values())


def line(task: Task, start: int, end: int, who: tuple[str, ...], oven: str | None, started: bool) -> PlannedTask:
    """A task's line of the plan."""
    tray, place = (task.oven.tray, task.oven.place) if task.oven else (None, None)
    return PlannedTask(task.key, start, end, who, oven, tray, place, tuple(n.name for n in task.needs), started)


def settings(model: DayModel, lines: Iterable[PlannedTask]) -> tuple[OvenSetting, ...]:
    """When each oven is set to which temperature: just in time from cold, at once after another load; off where it would be empty for long."""
    found: list[OvenSetting] = []
    for oven in model.kitchen.ovens:
        uses = [(x.start_min, x.end_min, model.task(x.key)) for x in lines if x.oven == oven.name]
        last: OvenSetting | None = None
        for start, end, task in sorted(uses, key=lambda u: u[:2]):
            heat = task.oven.temperature_c if task.oven else 0
            cold = last is None or opening_of(model, last.ready_min) != opening_of(model, start)
            off = last is not None and start - last.until_min > OFF_MINUTES + oven.change_minutes(oven.start_c, heat)
            cold = cold or off
            if last is not None and not cold and last.temperature_c == heat:
                last = replace(last, until_min=max(last.until_min, end))
                found[-1] = last
                continue
            takes = oven.change_minutes(oven.start_c if last is None or cold else last.temperature_c, heat)
            last = OvenSetting(oven.name, heat, start - takes, start, end)
            found.append(last)
    return tuple(sorted(found, key=lambda s: (s.turn_min, s.oven)))


def opening_of(model: DayModel, minute: int) -> int:
    """The number of the opening hours a minute lies in; 0 where there are none."""
    return next((i for i, (a, b) in enumerate(model.opening) if a <= minute < b), 0)
