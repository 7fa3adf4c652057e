"""The day solved: fairness first, then the finish, then idle hands, each proven or reported with its gap."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import ceil
from time import perf_counter
from typing import Any

from proofpan.science.daywork.asking import UNITS_A_SECOND, asked, brought_down, moved_up, solver_for, squeezed
from proofpan.science.daywork.build import Build
from proofpan.science.daywork.errors import DayworkError, Infeasible, NotFound
from proofpan.science.daywork.explain import conflict
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.planned import DayPlan, Level, OvenSetting, PlannedTask
from proofpan.science.daywork.spread import least_spread
from proofpan.science.daywork.task import Started, Task
from proofpan.science.daywork.words import say_minutes

TIDY_SECONDS = 0.3
OFF_MINUTES = 90        # an oven that is empty for longer is turned off: common practice, no source


def plan(
    model: DayModel,
    *,
    seconds: float = 10,
    now: int | None = None,
    started: Mapping[str, Started] | None = None,
) -> DayPlan:
    """The best plan of a day: fairest first, then soonest done, then with the fewest idle minutes between hands-on work.

    Parameters: seconds, about how long to look altogether (counted in the solver's own deterministic units, so that the same
        model gives the same plan); now, the minute from which the rest is planned; started, what has begun or ended, kept as
        it is.
    Returns: a plan; `.optimal` only where every aim is proven best, else `.gap`.
    Raises: Infeasible with `.conflict`, a minimal set of clashing limits in words, when no plan keeps everything and nothing has
        begun. Once the day runs (`now` or `started`), waits, deadlines and windows bend by as few minutes as can be and the
        plan says so in `.broken`. NotFound when time ran out first.
    """
    begun = perf_counter()
    started = dict(started or {})
    refuse_unknown(model, started)
    build = Build(model, started, now)
    try:
        levels, values = solve(build, seconds)
    except Impossible:
        if now is None and not started:
            raise Infeasible(conflict(model)) from None
        build = Build(model, started, now, mode="bend")
        try:
            levels, values = solve(build, seconds)
        except Impossible:
            raise Infeasible(conflict(model, started, now)) from None
    return read(build, levels, values, perf_counter() - begun)


class Impossible(Exception):
    """The solver has proven that no plan exists."""


def refuse_unknown(model: DayModel, started: Mapping[str, Started]) -> None:
    """Raises DayworkError where a started task or its cook isn't of this day."""
    keys, people = {t.key for t in model.tasks}, {p.name for p in model.kitchen.people}
    for key, fact in started.items():
        if key not in keys:
            raise DayworkError(f"{key!r} is said to have started, but isn't a task of this day.")
        if unknown := [n for n in fact.who if n not in people]:
            raise DayworkError(f"{unknown[0]!r} is said to do {key!r}, but isn't in the kitchen.")
        if fact.end is not None and fact.end < fact.start:
            raise DayworkError(f"{key!r} is said to end before it starts.")


def aims(build: Build) -> list[tuple[str, Any]]:
    """The aims in order: overruns (only when bending), fairness, finish, idle hands; then tidy: no longer waits than need be."""
    cp, waiting = build.cp, [t for t in build.model.tasks if t.key not in build.started]
    far = 4 * build.top * (len(build.model.tasks) + 1) ** 2
    found: list[tuple[str, Any]] = []

    def aim(name: str, terms: Any, least: int = 0) -> None:
        total = cp.new_int_var(least, far, name)
        cp.add(total == terms)
        found.append((name, total))

    if build.excess:
        aim("overrun", sum(over for over, _ in build.excess))
    if build.spread:
        aim("fairness", sum(build.spread.values()))
    if today := [t for t in waiting if not t.afterwards] or waiting:
        finish = cp.new_int_var(0, 2 * build.top, "finish")
        for task in today:
            cp.add(finish >= build.end[task.key])
        found.append(("finish", finish))
    if (idle := idle_hands(build)) is not None:
        aim("idle", idle)
    if waiting:
        waits = [build.start[t.key] - build.end[a.task] for t in waiting for a in t.after if a.of == "end"]
        aim("tidy", (len(waiting) + 1) * sum(waits) + sum(build.start[t.key] for t in waiting), -far)
    return found


def idle_hands(build: Build) -> Any:
    """Minutes between each person's first and last hands-on minute of an opening, less the hands-on ones; None without hands."""
    cp, model = build.cp, build.model
    windows = model.opening or ((0, build.top),)
    spans, work = [], 0
    for person in model.kitchen.people:
        mine = [(b, b.by[person.name]) for b in build.blocks if person.name in b.by and not b.tasks[0].afterwards]
        if not mine:
            continue
        for number, (opens, closes) in enumerate(windows):
            if closes <= build.now:
                continue
            first = cp.new_int_var(opens, max(opens, closes), "")
            last = cp.new_int_var(opens, max(opens, closes), "")
            span = cp.new_int_var(0, max(0, closes - opens), f"{person.name}, opening {number + 1}")
            cp.add(span >= last - first)
            if len(windows) == 1:
                cp.add(span >= sum(does * sum(b - a for a, b in block.busy) for block, does in mine))
            for block, does in mine:
                for a, b in block.busy:
                    given = [does] if len(windows) == 1 else [does, within(build, block, number, opens - a, closes - b)]
                    cp.add(first <= block.start + a).only_enforce_if(given)
                    cp.add(last >= block.start + b).only_enforce_if(given)
            spans.append(span)
    for block in build.blocks:
        if block.by and not block.tasks[0].afterwards:
            work += sum(b - a for a, b in block.busy) * (len(block.by) if block.everyone else 1)
    return sum(spans) - work if spans else None


def within(build: Build, block: Any, number: int, low: int, high: int) -> Any:
    """A literal that is true where the block starts within an opening (it may be true elsewhere only at a cost)."""
    cp = build.cp
    inside, below, above = (cp.new_bool_var(f"{block.name} {w} opening {number + 1}") for w in ("in", "before", "after"))
    cp.add(block.start < low).only_enforce_if(below)
    cp.add(block.start > high).only_enforce_if(above)
    cp.add_bool_or([inside, below, above])
    return inside


def solve(build: Build, seconds: float) -> tuple[tuple[Level, ...], list[int]]:
    """Each aim in turn, the earlier ones held at what they reached, from the last solution as a hint."""
    from ortools.sat.python import cp_model

    cp, levels = build.cp, list[Level]()
    left, todo = seconds - spread_first(build, seconds / 4), aims(build)
    starts = [block.start.index for block in build.blocks]
    values, spent = any_plan(cp, starts, left)
    left = max(seconds / 4, left - spent)
    for name, aim in todo:
        bound: int | None = None
        if values and name == "finish":
            values, spent = moved_up(cp, values, starts)
            left = max(0.1, left - spent)
        if values and name != "tidy":
            values, bound, spent = brought_down(cp, aim, values, lowest(aim), left / 6, starts)
            left = max(0.1, left - spent)
            hint(cp, values)
        if bound is not None and values[aim.index] == bound:
            levels.append(Level(name, bound, bound, True))
            cp.add(aim <= bound)
            continue
        cp.minimize(aim)
        solver = solver_for(min(left, TIDY_SECONDS) if name == "tidy" else left / 2)
        status = solver.solve(cp)
        left = max(0.1, left - solver.deterministic_time / UNITS_A_SECOND)
        if status == cp_model.INFEASIBLE:
            raise Impossible
        if status == cp_model.MODEL_INVALID:
            raise DayworkError("This day is too long or too large to count in whole minutes.")
        if status != cp_model.UNKNOWN:
            values = list(solver.response_proto.solution)
        elif not values:
            raise NotFound(f"No plan found in {seconds:g} s, and none proven impossible; allow more time.")
        bound = max(ceil(solver.best_objective_bound - 1e-6), lowest(aim) if bound is None else bound)
        if status != cp_model.OPTIMAL and name != "tidy":
            values, bound, spent = squeezed(cp, aim, values, bound, left / 2)
            left = max(0.1, left - spent)
        bound = values[aim.index] if status == cp_model.OPTIMAL else bound
        levels.append(Level(name, values[aim.index], bound, values[aim.index] == bound))
        cp.add(aim <= values[aim.index])
        hint(cp, values)
    return tuple(levels), values


def any_plan(cp: Any, starts: Sequence[int], seconds: float) -> tuple[list[int], float]:
    """Any plan at all, and the seconds it took: an aim's own search may find none of a large day in its time. Empty when none was found.

    Raises: Impossible when there is none.
    """
    from ortools.sat.python import cp_model

    status, values, spent = asked(cp, None, None, seconds / 6, starts)
    if status == cp_model.UNKNOWN:
        status, values, more = asked(cp, None, None, seconds / 2, None)
        spent += more
    if status == cp_model.INFEASIBLE:
        raise Impossible
    return values, spent


def lowest(aim: Any) -> int:
    """The least that an aim's own domain allows."""
    return int(min(aim.proto.domain))


def hint(cp: Any, values: list[int]) -> None:
    """Starts the next search from these values."""
    cp.clear_hints()
    for index, value in enumerate(values):
        cp.add_hint(cp.get_int_var_from_proto_index(index), value)


def spread_first(build: Build, seconds: float) -> float:
    """Tells the model how far apart each round's plates must be at least, and hints at a way; returns the seconds it took."""
    spent, groups = 0.0, list(build.spread)
    for group in groups:
        known = least_spread(build.model, group, build.started, seconds / len(groups))
        spent += known.seconds
        if not known.possible and build.mode == "plan":
            raise Impossible
        build.cp.add(build.spread[group] >= known.least)
        if len(groups) == 1 and known.starts:
            earliest = min(start for _, start in known.starts)
            for index, start in {build.start[k].index: s - earliest for k, s in known.starts}.items():
                build.cp.add_hint(build.cp.get_int_var_from_proto_index(index), start)
    return spent


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
    broken = tuple(f"{sentence}: {say_minutes(values[over.index])} over" for over, sentence in build.excess if values[over.index] > 0)
    return DayPlan(tuple(lines), settings(model, lines), all(x.optimal for x in shown), gap, shown, tuple(dict.fromkeys(broken)), seconds)


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
