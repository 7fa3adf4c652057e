"""The day solved: fairness first, then the finish, then idle hands, each proven or reported with its gap."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil
from time import perf_counter
from typing import Any

from proofpan.science.daywork.aims import aims
from proofpan.science.daywork.asking import FIRST_SECONDS, UNITS_A_SECOND, asked, brought_down, moved_up, shifted, solver_for, squeezed
from proofpan.science.daywork.build import Build
from proofpan.science.daywork.errors import DayworkError, Infeasible, NotFound
from proofpan.science.daywork.explain import Clash, conflict
from proofpan.science.daywork.hands import hands_for
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.planned import DayPlan, Level
from proofpan.science.daywork.reading import read
from proofpan.science.daywork.spread import Spread, least_spreads
from proofpan.science.daywork.task import Started

TIDY_SECONDS, HANDING_SECONDS, POOL_SHARE, AT_ONCE_SECONDS = 0.3, 0.5, 0.8, 0.1
LAST_SHARE = 0.9  # of what is left, for proving the last aim that is proven
IN_A_HURRY = 0.5  # seconds below which idle hands are taken as the first search leaves them: someone stands and waits for the rest of the day


def plan(
    model: DayModel,
    *,
    seconds: float = 10,
    now: int | None = None,
    started: Mapping[str, Started] | None = None,
    stood: Mapping[str, int] | None = None,
    why: bool = True,
) -> DayPlan:
    """The best plan of a day: fairest first, then soonest done, then with the fewest idle minutes between hands-on work.

    Parameters: seconds, about how long to look altogether (counted in the solver's own deterministic units, so that the same
        model gives the same plan); now, the minute from which the rest is planned; started, what has begun or ended, kept as
        it is; stood, the minute at which each task stood in the plan so far: what is found is no worse than that plan moved as a whole, where
        it can be; why, whether to look for what clashes where there is no plan.
    Returns: a plan; `.optimal` only where every aim is proven best, else `.gap`.
    Raises: Infeasible with `.conflict`, a minimal set of clashing limits in words, when no plan keeps everything and nothing has
        begun. Once the day runs (`now` or `started`), waits, deadlines and windows bend by as few minutes as can be and the
        plan says so in `.broken`; an authority's limit gives last, and what is over it is in `.unsafe` as well. NotFound when time ran out first.
    """
    begun = perf_counter()
    started = dict(started or {})
    refuse_unknown(model, started)
    build = Build(model, started, now)
    try:
        levels, values = solve(build, seconds, stood)
    except (Impossible, NotFound) as missed:
        if now is None and not started:
            if isinstance(missed, NotFound):
                raise
            raise Infeasible(*(conflict(model) if why else Clash())) from None
        build = Build(model, started, now, mode="bend")
        try:
            levels, values = solve(build, seconds)
        except Impossible:
            raise Infeasible(*(conflict(model, started, now) if why else Clash())) from None
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


@dataclass
class Search:
    """A search under way: seconds left, the values so far (empty: none) the levels reached, and aims not to be searched again."""

    build: Build
    left: float
    values: list[int] = field(default_factory=list)
    levels: list[Level] = field(default_factory=list)
    settled: tuple[str, ...] = ()

    @property
    def starts(self) -> list[int]:
        """Numbers of the variables of the blocks' starts."""
        return [block.start.index for block in self.build.blocks]

    def spend(self, seconds: float) -> None:
        """Takes what was spent from what is left."""
        self.left = max(0.1, self.left - seconds)


def solve(build: Build, seconds: float, stood: Mapping[str, int] | None = None) -> tuple[tuple[Level, ...], list[int]]:
    """Each aim in turn, the earlier ones held at what they reached, from the last solution as a hint.

    Where several may do the same work, the day is solved first without saying who does what; most often that plan can be given hands
    as it stands, and then fairness and finish are proven.
    """
    search = Search(build, seconds)
    search.spend(refused_at_once(build, seconds))
    spreads = least_spreads(build, seconds / 4)
    search.spend(sum(known.seconds for known in spreads.values()))
    put_spreads(build, spreads)
    pool = without_names(search, spreads, seconds)
    todo = aims(build, {level.name: level.bound for level in pool.levels} if pool else {})
    if pool:
        search.values = handed_out(search, pool, dict(todo))
        search.settled = tuple(level.name for level in pool.levels) if search.values else ()
    keep_what_stood(search, stood or {}, [aim for _, aim in todo])
    if not search.values:
        look_for_any(search, seconds)
    in_order(search, todo, seconds)
    return tuple(search.levels), search.values


def refused_at_once(build: Build, seconds: float) -> float:
    """Whether the whole day is seen to be impossible before its rounds are looked at one by one; hands back the seconds spent.

    Raises: Impossible.
    """
    from ortools.sat.python import cp_model

    status, _, spent = asked(build.cp, None, None, min(AT_ONCE_SECONDS, seconds / 20), None)
    if status == cp_model.INFEASIBLE:
        raise Impossible
    return spent


def without_names(search: Search, spreads: Mapping[str, Spread], seconds: float) -> Search | None:
    """The day solved for fairness and finish without saying who does what; None where that is as good as said."""
    build = search.build
    if not any(block.busy and not block.everyone and len(hands_for(build, block)) > 1 for block in build.blocks):
        return None
    pool = Search(Build(build.model, build.started, build.now, build.mode, pooled=True), search.left * POOL_SHARE)
    put_spreads(pool.build, spreads)
    todo = [(name, aim) for name, aim in aims(pool.build, {}) if name not in ("idle", "tidy")]
    before = pool.left
    try:
        pool.values, spent = shifted(pool.build.cp, rounds_placed(pool.build, spreads), HANDING_SECONDS)
        pool.spend(spent)
        if not pool.values:
            look_for_any(pool, seconds)
        in_order(pool, todo, seconds)
    except NotFound:
        pool.levels = []
    search.spend(before - pool.left)
    return pool


def rounds_placed(build: Build, spreads: Mapping[str, Spread]) -> list[tuple[dict[int, int], int]]:
    """The fairest way found for each round without the clock, to be moved along it as it stands."""
    found = []
    for known in spreads.values():
        earliest = min((start for _, start in known.starts), default=0)
        found.append(({build.start[k].index: s - earliest for k, s in known.starts}, build.top))
    return found


def handed_out(search: Search, pool: Search, todo: Mapping[str, Any]) -> list[int]:
    """Who does what of a plan without names: as it stands, else as good a plan; empty where neither was found."""
    from ortools.sat.python import cp_model

    if not pool.values:
        return []
    given = dict(zip(search.starts, (pool.values[i] for i in pool.starts), strict=True))
    for fixed in (True, False):
        question = search.build.cp.clone()
        question.clear_hints()
        for index, start in given.items():
            variable = question.get_int_var_from_proto_index(index)
            if fixed:
                question.add(variable == start)
            else:
                question.add_hint(variable, start)
        for level in pool.levels:
            question.add(question.get_int_var_from_proto_index(todo[level.name].index) <= level.value)
        solver = solver_for(min(HANDING_SECONDS, search.left / 6) if fixed else search.left / 4)
        status = solver.solve(question)
        search.spend(solver.deterministic_time / UNITS_A_SECOND)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return list(solver.response_proto.solution)
    return []


def keep_what_stood(search: Search, stood: Mapping[str, int], todo: Sequence[Any]) -> None:
    """Goes on from the plan so far, moved along the clock as a whole, where that is better than what was found: a step done on time changes nothing."""
    build = search.build
    starts = {build.start[k].index: s for k, s in stood.items() if k in build.start and k not in build.started}
    if not starts:
        return
    moved, spent = shifted(build.cp, [(starts, build.top)], HANDING_SECONDS)
    search.spend(spent)
    worth = lambda values: [values[aim.index] for aim in todo]  # noqa: E731
    if moved and (not search.values or worth(moved) < worth(search.values)):
        search.values = moved


def look_for_any(search: Search, seconds: float) -> None:
    """Any plan at all: an aim's own search may find none of a large day in its time."""
    search.values, spent = any_plan(search.build.cp, search.starts, search.left)
    search.left = max(seconds / 8, search.left - spent)


def in_order(search: Search, todo: Sequence[tuple[str, Any]], seconds: float) -> None:
    """One aim after the other, each held at what it reached."""
    cp = search.build.cp
    for name, aim in todo:
        if name in search.settled:
            bound = lowest(aim)
        else:
            bound = lowered(search, name, aim)
            if not search.values or search.values[aim.index] > bound:
                bound = searched(search, name, aim, bound, seconds, LAST_SHARE if name in ("idle", todo[-1][0]) else 0.5)
        value = search.values[aim.index]
        search.levels.append(Level(name, value, bound, value == bound))
        cp.add(aim <= value)
        hint(cp, search.values)


def lowered(search: Search, name: str, aim: Any) -> int:
    """A lower aim as far as it comes easily; returns what is proven of it."""
    if not search.values or name == "tidy":
        return lowest(aim)
    cp, starts = search.build.cp, search.starts
    if name == "finish" and search.values[aim.index] > lowest(aim):
        search.values, spent = moved_up(cp, search.values, starts)
        search.spend(spent)
    search.values, bound, spent = brought_down(cp, aim, search.values, lowest(aim), search.left / 6, starts)
    search.spend(spent)
    hint(cp, search.values)
    return bound


def searched(search: Search, name: str, aim: Any, bound: int, seconds: float, share: float) -> int:
    """The aim searched as a whole, then asked piece by piece for a share of what is left; returns what is proven of it.

    Raises: Impossible; NotFound where there still is no plan; DayworkError for a day too large to count.
    """
    from ortools.sat.python import cp_model

    cp = search.build.cp
    cp.minimize(aim)
    first = TIDY_SECONDS if name == "tidy" else FIRST_SECONDS if search.values else search.left / 2
    solver = solver_for(min(first, search.left / 2))
    status = solver.solve(cp)
    search.spend(solver.deterministic_time / UNITS_A_SECOND)
    if status == cp_model.INFEASIBLE:
        raise Impossible
    if status == cp_model.MODEL_INVALID:
        raise DayworkError("This day is too long or too large to count in whole minutes.")
    if status != cp_model.UNKNOWN:
        search.values = list(solver.response_proto.solution)
    elif not search.values:
        raise NotFound(f"No plan found in {seconds:g} s, and none proven impossible; allow more time.")
    if status == cp_model.OPTIMAL:
        return search.values[aim.index]
    bound = max(ceil(solver.best_objective_bound - 1e-6), bound)
    if name != "tidy" and not (name == "idle" and seconds < IN_A_HURRY):
        search.values, bound, spent = squeezed(cp, aim, search.values, bound, search.left * share, search.build.oven_starts)
        search.spend(spent)
    return bound


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


def put_spreads(build: Build, spreads: Mapping[str, Spread]) -> None:
    """Tells the model how far apart each round's plates must be at least, and hints at a way.

    Raises: Impossible where a round alone breaks a limit.
    """
    for group, known in spreads.items():
        if not known.possible and build.mode == "plan":
            raise Impossible
        build.cp.add(build.spread[group] >= known.least)
        if len(spreads) == 1 and known.starts:
            earliest = min(start for _, start in known.starts)
            for index, start in {build.start[k].index: s - earliest for k, s in known.starts}.items():
                build.cp.add_hint(build.cp.get_int_var_from_proto_index(index), start)
