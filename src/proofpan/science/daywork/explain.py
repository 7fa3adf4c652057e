"""Why no plan exists: a minimal set of limits that clash, in words.

The solver's sufficient assumptions (on a model without objective) name a clashing set; then each member is dropped in turn and
stays out if the rest still clash, so that relaxing any one of those left makes the set possible (deletion filter: Chinneck &
Dravnieks 1991, ORSA Journal on Computing 3(2)).
"""

from collections.abc import Iterable, Mapping
from typing import Any

from proofpan.science.daywork.build import Build
from proofpan.science.daywork.model import DayModel, Started

TRIAL_UNITS = 2.0


def conflict(model: DayModel, started: Mapping[str, Started] | None = None, now: int | None = None) -> tuple[str, ...]:
    """A minimal set of limits that can't all hold, a sentence each; empty when none is proven to clash.

    Parameters: model; started and now as in `plan`.
    Returns: sentences in the order in which the day states them. Minimal unless a trial ran out of time, then a little larger.
    Source: CP-SAT's sufficient assumptions, thinned by the deletion filter.
    """
    build = Build(model, started, now, mode="explain")
    core = clashes(build, (literal for literal, _ in build.limits))
    if core is None:
        return ()
    i = len(core) - 1
    while i >= 0:
        fewer = clashes(build, core[:i] + core[i + 1 :])
        if fewer is not None:
            kept = {x.index for x in fewer}
            core = [x for x in core if x.index in kept]
            i = min(i, len(core))
        i -= 1
    indices = {x.index for x in core}
    return tuple(sentence for literal, sentence in build.limits if literal.index in indices)


def clashes(build: Build, literals: Iterable[Any]) -> list[Any] | None:
    """Those of the literals that the solver needs to prove that they clash; None where they don't, or no proof was found."""
    from ortools.sat.python import cp_model

    asked = list(literals)
    build.cp.clear_assumptions()
    build.cp.add_assumptions(asked)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 7
    solver.parameters.max_deterministic_time = TRIAL_UNITS
    if solver.solve(build.cp) != cp_model.INFEASIBLE:
        return None
    needed = set(solver.sufficient_assumptions_for_infeasibility())
    # presolve may prove the clash without naming anything: then all that was asked stays, for the filter to thin
    return [x for x in asked if x.index in needed] or asked
