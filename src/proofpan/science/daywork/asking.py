"""How the solver is asked: one worker a question, counted in its own units; and what search leaves open, asked again as yes or no."""

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

# the solver's deterministic units in a second of one ordinary core: the same day gives the same plan on a slow machine and a fast one
UNITS_A_SECOND = 0.6
ASK_SECONDS, QUICK_SECONDS, MISSES = 0.4, 0.15, 3
LEAST_SECONDS = 0.03
FIRST_SECONDS = 1.0  # for the first search of an aim as a whole, before it is asked piece by piece
# a machine this much slower is cut short by the clock, and only then may two runs of an unproven plan differ
SLOWEST, SOONEST_CUT_SECONDS = 8, 2.0


def solver_for(seconds: float) -> Any:
    """A solver that gives the same answer to the same question: one worker, a fixed seed, deterministic time."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 7
    solver.parameters.new_linear_propagation = False  # measured: the newer one now and then takes seconds over a question of hundredths
    solver.parameters.linearization_level = 0  # measured: the linear relaxation costs more than it proves on kitchen days
    solver.parameters.max_deterministic_time = max(0.02, seconds * UNITS_A_SECOND)
    solver.parameters.max_time_in_seconds = max(SOONEST_CUT_SECONDS, SLOWEST * seconds)
    return solver


def late_first(cp: Any, starts: Iterable[int]) -> None:
    """Search as a cook counts back: whatever may start last is put as late as it can be, then what comes before it.

    What waits for something is then done just in time, so that greatest waits and plates ready together come out right at once.
    """
    from ortools.sat.python import cp_model

    variables = [cp.get_int_var_from_proto_index(i) for i in starts]
    cp.add_decision_strategy(variables, cp_model.CHOOSE_HIGHEST_MAX, cp_model.SELECT_MAX_VALUE)


def asked(
    cp: Any, aim: Any, most: int | None, seconds: float, starts: Iterable[int] | None, loads: Iterable[int] = ()
) -> tuple[Any, list[int], float]:
    """Can the aim be at most so much? Status, values and seconds spent.

    With `starts`, searched from the end of the day backward; with `loads`, the oven's loads before anything else.
    """
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
    else:
        loads_first(question, loads, solver)
    status = solver.solve(question)
    found = list(solver.response_proto.solution) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else []
    return status, found, solver.deterministic_time / UNITS_A_SECOND


def shifted(cp: Any, placed: Iterable[tuple[Mapping[int, int], int]], seconds: float) -> tuple[list[int], float]:
    """A plan in which parts, each known by its starts, are moved along the clock as they stand: (values or none, seconds spent).

    Parameters: placed, for each part its starts by the number of the variable, and the most minutes by which it may move.
    """
    from ortools.sat.python import cp_model

    question = cp.clone()
    question.clear_objective()
    question.clear_hints()
    count = len(question.proto.variables)
    for starts, most in placed:
        along = question.new_int_var(0, most, "along")
        for index, start in starts.items():
            question.add(question.get_int_var_from_proto_index(index) == start + along)
    solver = solver_for(seconds)
    status = solver.solve(question)
    found = list(solver.response_proto.solution)[:count] if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else []
    return found, solver.deterministic_time / UNITS_A_SECOND


def brought_down(cp: Any, aim: Any, values: list[int], bound: int, seconds: float, starts: Sequence[int]) -> tuple[list[int], int, float]:
    """A lower aim looked for backward, by halves, as long as it comes easily: (values, proven bound, seconds spent)."""
    from ortools.sat.python import cp_model

    spent, low, high = 0.0, bound, values[aim.index]
    easy = low  # below this no plan came at once
    misses = 0
    while easy < high and spent < seconds and misses < MISSES:
        middle = (easy + high - 1) // 2
        status, found, took = asked(cp, aim, middle, min(QUICK_SECONDS, seconds - spent), starts)
        spent += took
        if found:
            values, high = found, found[aim.index]
        else:
            easy = middle + 1
            misses += status == cp_model.UNKNOWN
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


def loads_first(cp: Any, loads: Iterable[int], solver: Any) -> None:
    """Search that settles when the oven's loads go in before anything else, the latest first; most of a day's proof hangs on these."""
    from ortools.sat.python import cp_model

    if variables := [cp.get_int_var_from_proto_index(i) for i in loads]:
        cp.add_decision_strategy(variables, cp_model.CHOOSE_HIGHEST_MAX, cp_model.SELECT_MAX_VALUE)
        solver.parameters.search_branching = cp_model.PARTIAL_FIXED_SEARCH


def squeezed(cp: Any, aim: Any, values: list[int], bound: int, seconds: float, loads: Sequence[int]) -> tuple[list[int], int, float]:
    """What search left open asked "can it be at most so much?", two questions at a time: (values, proven bound, seconds spent).

    With the aim held down from the start every clock time is held down too, and a "no" comes far sooner than a bound creeps up. The two
    cut what is open in three; the last minute is asked in two ways of searching. Both are waited for, so the answer is one each time.
    """
    from ortools.sat.python import cp_model

    spent, low, high, ask = 0.0, bound, values[aim.index], ASK_SECONDS
    with ThreadPoolExecutor(2) as pair:
        while low < high and seconds - spent > LEAST_SECONDS:
            third = (high - low) // 3
            lower, upper = low + third, high - 1 - third
            ways = ((lower, loads), (upper, () if lower == upper else loads))
            some = min(ask, seconds - spent)
            jobs = [pair.submit(asked, cp.clone(), aim, most, some, None, way) for most, way in ways]
            answers = [job.result() for job in jobs]
            spent += max(took for _, _, took in answers)
            settled = False
            for (most, _), (status, found, _) in zip(ways, answers, strict=True):
                if status == cp_model.INFEASIBLE:
                    low, settled = max(low, most + 1), True
                elif found and found[aim.index] < high:
                    values, high, settled = found, found[aim.index], True
            ask = ask if settled else 2 * ask
    return values, low, spent
