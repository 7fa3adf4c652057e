"""How the solver is asked: one worker, counted in its own units; and what search leaves open, asked again as yes or no."""

from collections.abc import Iterable, Sequence
from typing import Any

# the solver's deterministic units in a second of one ordinary core: the same day gives the same plan on a slow machine and a fast one
UNITS_A_SECOND = 0.6
ASK_SECONDS, QUICK_SECONDS = 0.3, 0.15
# a machine this much slower is cut short by the clock, and only then may two runs of an unproven plan differ
SLOWEST = 4


def solver_for(seconds: float) -> Any:
    """A solver that gives the same answer to the same question: one worker, a fixed seed, deterministic time."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 7
    solver.parameters.linearization_level = 0  # measured: the linear relaxation costs more than it proves on kitchen days
    solver.parameters.max_deterministic_time = max(0.02, seconds * UNITS_A_SECOND)
    solver.parameters.max_time_in_seconds = max(1.0, SLOWEST * seconds)
    return solver


def late_first(cp: Any, starts: Iterable[int]) -> None:
    """Search as a cook counts back: whatever may start last is put as late as it can be, then what comes before it.

    What waits for something is then done just in time, so that greatest waits and plates ready together come out right at once.
    """
    from ortools.sat.python import cp_model

    variables = [cp.get_int_var_from_proto_index(i) for i in starts]
    cp.add_decision_strategy(variables, cp_model.CHOOSE_HIGHEST_MAX, cp_model.SELECT_MAX_VALUE)


def asked(cp: Any, aim: Any, most: int | None, seconds: float, starts: Iterable[int] | None) -> tuple[Any, list[int], float]:
    """Can the aim be at most so much? (Status, values, seconds spent); with `starts`, searched from the end of the day backward."""
    from ortools.sat.python import cp_model

    question = cp.clone()
    question.clear_objective()
    question.clear_hints()
    if most is not None:
        question.add(question.get_int_var_from_proto_index(aim.index) <= most)
    solver = solver_for(seconds)
    if starts is not None:
        late_first(question, starts)
        solver.parameters.search_branching = cp_model.FIXED_SEARCH
    status = solver.solve(question)
    found = list(solver.response_proto.solution) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else []
    return status, found, solver.deterministic_time / UNITS_A_SECOND


def brought_down(cp: Any, aim: Any, values: list[int], bound: int, seconds: float, starts: Sequence[int]) -> tuple[list[int], int, float]:
    """A lower aim looked for backward, by halves, as long as it comes easily: (values, proven bound, seconds spent)."""
    from ortools.sat.python import cp_model

    spent, low, high = 0.0, bound, values[aim.index]
    easy = low  # below this no plan came at once
    while easy < high and spent < seconds:
        middle = (easy + high - 1) // 2
        status, found, took = asked(cp, aim, middle, min(QUICK_SECONDS, seconds - spent), starts)
        spent += took
        if found:
            values, high = found, found[aim.index]
        else:
            easy = middle + 1
            low = easy if status == cp_model.INFEASIBLE else low
    return values, low, spent


def moved_up(cp: Any, values: list[int], starts: Sequence[int]) -> tuple[list[int], float]:
    """The same plan begun as early as it can be, every task moved by the same minutes: (values, seconds spent)."""
    from ortools.sat.python import cp_model

    sooner = min((values[i] for i in starts), default=0)
    if sooner <= 0:
        return values, 0.0
    question = cp.clone()
    question.clear_objective()
    question.clear_hints()
    earlier = question.new_int_var(0, sooner, "earlier")
    for index in starts:
        question.add(question.get_int_var_from_proto_index(index) + earlier == values[index])
    question.maximize(earlier)
    solver = solver_for(QUICK_SECONDS)
    status = solver.solve(question)
    found = list(solver.response_proto.solution)[: len(values)] if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else values
    return found, solver.deterministic_time / UNITS_A_SECOND


def squeezed(cp: Any, aim: Any, values: list[int], bound: int, seconds: float) -> tuple[list[int], int, float]:
    """What search left open asked "can it be at most so much?", by halves: (values, proven bound, seconds spent).

    With the aim held down from the start every clock time is held down too, and a "no" comes far sooner than a bound creeps up.
    """
    from ortools.sat.python import cp_model

    spent, low, high, ask = 0.0, bound, values[aim.index], ASK_SECONDS
    unanswered = high  # nothing from here up is worth asking again as briefly
    while low < high and spent < seconds:
        middle = low + (unanswered - low) // 2 if unanswered > low else high - 1
        status, found, took = asked(cp, aim, middle, max(0.03, min(ask, seconds - spent)), None)
        spent += took
        if status == cp_model.INFEASIBLE:
            low = middle + 1
        elif found:
            values = found
            high = unanswered = found[aim.index]
        elif middle == low:
            unanswered, ask = high, 2 * ask
        else:
            unanswered = middle
    return values, low, spent
