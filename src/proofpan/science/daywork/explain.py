"""Why no plan exists: a minimal set of limits that clash, in words.

The solver's sufficient assumptions (on a model without objective) name a clashing set; then parts of it are dropped in turn and stay
out if the rest still clash, so that relaxing any one of those left makes the set possible (deletion filter: Chinneck & Dravnieks
1991, ORSA Journal on Computing 3(2); in halves first, as Junker 2004, AAAI). Tasks that are alike share their limits' sentences.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from time import perf_counter
from typing import Any

from proofpan.science.daywork.build import Build
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.spread import clockless, nailed
from proofpan.science.daywork.task import Started

# deterministic units for one question; a question that isn't answered in them counts as "doesn't clash"
CORE_UNITS, PROOF_UNITS, PART_UNITS = 1.0, 6.0, 1.5


def conflict(model: DayModel, started: Mapping[str, Started] | None = None, now: int | None = None, seconds: float = 30) -> tuple[str, ...]:
    """A minimal set of limits that can't all hold, a sentence each; empty when none is proven to clash.

    Parameters: model; started and now as in `plan`; seconds, after which no more is left out.
    Returns: sentences in the order in which the day states them, mere lengths of tasks last. Minimal unless time ran out, then a
        little larger.
    Source: CP-SAT's sufficient assumptions, thinned by the deletion filter.
    """
    late = perf_counter() + seconds
    for build_of in readings(model, dict(started or {}), now):
        every = [sentence for _, sentence in build_of(None).limits]
        core = named_by_the_solver(build_of(None))
        if core is None and clash(build_of(every), PROOF_UNITS):
            core = every
        if core is not None:
            lengths = build_of(()).lengths
            return tuple(sorted(thinned(core, build_of, late), key=lambda sentence: sentence in lengths))
    return ()


BuildOf = Callable[[Collection[str] | None], Build]


def readings(model: DayModel, started: Mapping[str, Started], now: int | None) -> Iterator[BuildOf]:
    """Models that may hold the clash: each round by itself, then the whole day."""
    for group in dict.fromkeys(t.serve_group for t in model.tasks if t.serve_group is not None):
        free = clockless(model, group, started)
        if free is not None:
            yield lambda kept, free=free, group=group: nailed(free, group, "explain", kept)  # type: ignore[misc]
    yield lambda kept: Build(model, started, now, "explain", kept)


def named_by_the_solver(build: Build) -> list[str] | None:
    """The sentences that the solver needs to prove a clash; None where there is none, or no proof was found."""
    build.cp.add_assumptions([literal for literal, _ in build.limits])
    solver = asked(CORE_UNITS)
    if not impossible(solver, build):
        return None
    needed = set(solver.sufficient_assumptions_for_infeasibility())
    # presolve may prove the clash without naming anything: then all stays, to be thinned
    return [s for literal, s in build.limits if literal.index in needed] or [s for _, s in build.limits]


def thinned(core: list[str], build_of: BuildOf, late: float) -> tuple[str, ...]:
    """The set without what isn't needed for the clash, dropped in halves, quarters, … and one by one."""
    size = max(1, len(core) // 2)
    while True:
        i = 0
        while i < len(core) and perf_counter() < late:
            rest = core[:i] + core[i + size :]
            if clash(build_of(rest), PART_UNITS):
                core = rest
            else:
                i += size
        if size == 1:
            return tuple(core)
        size //= 2


def clash(build: Build, units: float) -> bool:
    """Whether the limits kept are proven to clash."""
    return impossible(asked(units), build)


def impossible(solver: Any, build: Build) -> bool:
    """Whether the solver proves that there is no plan."""
    from ortools.sat.python import cp_model

    return bool(solver.solve(build.cp) == cp_model.INFEASIBLE)


def asked(units: float) -> Any:
    """A solver with one worker, for so many deterministic units."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 7
    solver.parameters.linearization_level = 0
    solver.parameters.max_deterministic_time = units
    return solver
