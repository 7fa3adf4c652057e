"""How far apart a round's plates must be ready at the least, whatever the clock says.

In the whole day the first plate may be ready at any time, and the solver learns little from "the last one 40 minutes later": most of
its reasoning is about clock times. Here the clock is taken away (breaks, opening hours, deadlines, what else is cooked) and the
first plate is nailed to one minute. What is least here is least in the day as well, and it is proven a hundred times sooner.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace

from proofpan.science.daywork.asking import FIRST_SECONDS, UNITS_A_SECOND, asked, brought_down, solver_for, squeezed
from proofpan.science.daywork.build import Build
from proofpan.science.daywork.kitchen import Kitchen
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.order import ancestors
from proofpan.science.daywork.task import Task


@dataclass(frozen=True)
class Spread:
    """A proven least spread in minutes, and the starts of a way to reach it (empty when none was found)."""

    least: int
    starts: tuple[tuple[str, int], ...]
    possible: bool = True
    seconds: float = 0.0


def least_spreads(build: Build, seconds: float) -> dict[str, Spread]:
    """What is known beforehand of each serve group."""
    return {group: least_spread(build.model, group, build.started, seconds / len(build.spread)) for group in build.spread}


def least_spread(model: DayModel, group: str, started: Collection[str], seconds: float) -> Spread:
    """A lower bound on the minutes between the first and the last plate of a serve group.

    Parameters: model; group; started, keys of what has begun (nothing is said about a round of which anything has); seconds, about
        how long to look.
    Returns: the bound, 0 when nothing is known; `possible` False when the round alone already breaks a limit; `seconds` spent.
    """
    from ortools.sat.python import cp_model

    free = clockless(model, group, started)
    if free is None:
        return Spread(0, ())
    build = nailed(free, group)
    aim, starts = build.cp.new_int_var(0, 4 * build.top + 400, ""), [b.start.index for b in build.blocks]
    build.cp.add(aim == build.spread[group])
    status, values, spent = asked(build.cp, None, None, seconds / 6, starts)
    if values:
        values, _, more = brought_down(build.cp, aim, values, 0, seconds / 6, starts)
        spent += more
        for index, value in enumerate(values):
            build.cp.add_hint(build.cp.get_int_var_from_proto_index(index), value)
    build.cp.minimize(aim)
    solver = solver_for(max(0.05, min(FIRST_SECONDS, (seconds - spent) / 2)))
    status = solver.solve(build.cp)
    spent += solver.deterministic_time / UNITS_A_SECOND
    if status == cp_model.INFEASIBLE:
        return Spread(0, (), possible=False, seconds=spent)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Spread(0, (), seconds=spent)
    values, least = list(solver.response_proto.solution), max(0, round(solver.best_objective_bound))
    if status == cp_model.FEASIBLE:
        values, least, more = squeezed(build.cp, aim, values, least, seconds - spent, build.oven_starts)
        spent += more
    return Spread(least, tuple((t.key, values[build.start[t.key].index]) for t in free.tasks), seconds=spent)


def nailed(free: DayModel, group: str, mode: str = "plan", kept: Collection[str] | None = None) -> Build:
    """The model of a clockless round, its first plate ready at one minute; hands without names unless it is to be explained."""
    build = Build(free, mode=mode, kept=kept, pooled=mode != "explain", endless=mode == "explain")
    # any plan of the day, moved later until its first plate is ready half-way, is a plan here
    build.cp.add(build.first_ready[group] == free.horizon // 2)
    return build


def clockless(model: DayModel, group: str, started: Collection[str], endless: bool = False) -> DayModel | None:
    """A serve group's plates and all that leads to them, without anything that depends on the clock; None when it has begun.

    endless: not even the day's own end, which by itself may be what can't be kept.
    """
    plates = [t.key for t in model.tasks if t.serve_group == group]
    behind = ancestors(model.tasks)
    wanted = set(plates).union(*(behind[k] for k in plates))
    if len(plates) < 2 or wanted & set(started):
        return None
    kitchen = replace(
        model.kitchen,
        people=tuple(replace(p, breaks=()) for p in model.kitchen.people),
        blocked=(),
    )
    tasks = tuple(freed(t, wanted) for t in model.tasks if t.key in wanted)
    before = max(model.horizon, one_after_another(tasks, kitchen)) if endless else model.horizon
    return replace(model, tasks=tasks, kitchen=kitchen, opening=(), serve_at=(), horizon=2 * before)


def one_after_another(tasks: Collection[Task], kitchen: Kitchen) -> int:
    """Minutes in which tasks could be done one after the other, each oven heated and cooled for each: more are never needed."""
    change = max((max(o.change_minutes(20, o.max_c), o.change_minutes(o.max_c, 20), o.change_minutes(o.start_c, o.max_c)) for o in kitchen.ovens), default=0)
    return sum(t.hold_minutes + max((a.min_wait for a in t.after), default=0) + (change if t.oven else 0) for t in tasks)


def freed(task: Task, wanted: Collection[str]) -> Task:
    """The task without its clock times and its ties to what isn't wanted."""
    return replace(
        task,
        fixed_start=None,
        not_before=None,
        not_after=None,
        after=tuple(a for a in task.after if a.task in wanted),
        needs=tuple(n for n in task.needs if n.until is None or n.until in wanted),
    )
