"""Textbook scheduling problems, to hold the solver against published optima."""

from collections.abc import Sequence
from typing import Any

from proofpan.science.daywork.errors import DayworkError, NotFound


def critical_path_length(durations: Sequence[int], successors: Sequence[Sequence[int]]) -> int:
    """Longest chain of durations through the precedences, without resources.

    Parameters: durations, one a task; successors, for each task the numbers (from 0) of those that wait for it.
    Raises: DayworkError for a circle.
    Source: Kelley & Walker 1959 (critical path); the forward pass.
    """
    waiting = [0] * len(durations)
    for follow in successors:
        for task in follow:
            waiting[task] += 1
    start, done = [0] * len(durations), 0
    ready = [i for i, n in enumerate(waiting) if n == 0]
    while ready:
        task = ready.pop()
        done += 1
        for follower in successors[task]:
            start[follower] = max(start[follower], start[task] + durations[task])
            waiting[follower] -= 1
            if waiting[follower] == 0:
                ready.append(follower)
    if done < len(durations):
        raise DayworkError("The tasks wait for each other in a circle.")
    return max((s + d for s, d in zip(start, durations, strict=True)), default=0)


def job_shop(jobs: Sequence[Sequence[Sequence[int]]], seconds: float = 600) -> tuple[int, int]:
    """(Makespan found, proven lower bound) of a job shop: each job's [machine, duration] in order, one at a time a machine."""
    from ortools.sat.python import cp_model

    cp = cp_model.CpModel()
    top = sum(duration for job in jobs for _, duration in job)
    end = cp.new_int_var(0, top, "makespan")
    machines: dict[int, list[Any]] = {}
    for job in jobs:
        free: Any = 0
        for machine, duration in job:
            start = cp.new_int_var(0, top, "")
            cp.add(start >= free)
            free = start + duration
            machines.setdefault(machine, []).append(cp.new_fixed_size_interval_var(start, duration, ""))
        cp.add(end >= free)
    for intervals in machines.values():
        cp.add_no_overlap(intervals)
    return least(cp, end, seconds)


def project(
    durations: Sequence[int],
    successors: Sequence[Sequence[int]],
    demands: Sequence[Sequence[int]],
    capacities: Sequence[int],
    seconds: float = 600,
) -> tuple[int, int]:
    """(Makespan found, proven lower bound) of a project whose tasks share renewable resources."""
    from ortools.sat.python import cp_model

    cp = cp_model.CpModel()
    top = sum(durations)
    starts = [cp.new_int_var(0, top, "") for _ in durations]
    end = cp.new_int_var(0, top, "makespan")
    for task, follow in enumerate(successors):
        cp.add(end >= starts[task] + durations[task])
        for follower in follow:
            cp.add(starts[follower] >= starts[task] + durations[task])
    intervals = [cp.new_fixed_size_interval_var(s, d, "") for s, d in zip(starts, durations, strict=True)]
    for resource, capacity in enumerate(capacities):
        used = [(i, row[resource]) for i, row in zip(intervals, demands, strict=True) if row[resource]]
        if any(amount > capacity for _, amount in used):
            raise DayworkError(f"A task wants more of resource {resource} than the {capacity} there are.")
        cp.add_cumulative([i for i, _ in used], [a for _, a in used], capacity)
    return least(cp, end, seconds)


def least(cp: Any, end: Any, seconds: float) -> tuple[int, int]:
    """Value and proven bound of the least makespan."""
    from math import ceil

    from ortools.sat.python import cp_model

    cp.minimize(end)
    solver = cp_model.CpSolver()
    # eight strategies racing, not taking turns: interleaved search corrupts memory in OR-Tools 9.13 to 9.15 (google/or-tools #5048),
    # and a proven optimum is the same whichever strategy proves it
    solver.parameters.num_workers = 8
    solver.parameters.max_time_in_seconds = seconds
    if solver.solve(cp) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise NotFound(f"No schedule found in {seconds:g} s.")
    return round(solver.objective_value), ceil(solver.best_objective_bound - 1e-6)


def job_shop_makespan(jobs: Sequence[Sequence[Sequence[int]]], seconds: float = 600) -> int:
    """The proven least makespan of a job shop.

    Parameters: jobs, each a list of [machine, duration] in order; machines from 0.
    Raises: NotFound when it isn't proven within `seconds`.
    """
    return proven(job_shop(jobs, seconds), seconds)


def resource_constrained_makespan(
    durations: Sequence[int],
    successors: Sequence[Sequence[int]],
    demands: Sequence[Sequence[int]],
    capacities: Sequence[int],
    seconds: float = 600,
) -> int:
    """The proven least makespan of a resource-constrained project (single mode).

    Parameters: durations; successors by number from 0; demands[task][resource]; capacities[resource].
    Raises: NotFound when it isn't proven within `seconds`; DayworkError for a demand over capacity.
    """
    return proven(project(durations, successors, demands, capacities, seconds), seconds)


def proven(found: tuple[int, int], seconds: float) -> int:
    """The value where it meets its bound."""
    value, bound = found
    if value > bound:
        raise NotFound(f"{value} found, at least {bound} proven within {seconds:g} s; allow more time.")
    return value
