"""Why no plan exists: a minimal set of limits that clash, in words.

The solver's sufficient assumptions (on a model without objective) name a clashing set; then parts of it are dropped in turn and stay
out if the rest still clash, so that relaxing any one of those left makes the set possible (deletion filter: Chinneck & Dravnieks
1991, ORSA Journal on Computing 3(2); in halves first, as Junker 2004, AAAI). Tasks that are alike share their limits' sentences.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from itertools import groupby
from typing import NamedTuple

from proofpan.science.daywork.asking import UNITS_A_SECOND, solver_for
from proofpan.science.daywork.build import Build
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.spread import clockless, nailed
from proofpan.science.daywork.task import Started

# seconds of the solver's own count; a question that isn't answered in them counts as "doesn't clash"
PART_SECONDS, CORE_SECONDS, PROOF_SECONDS, ALL_SECONDS = 0.2, 0.5, 4.0, 3.0
# a proof with fewer limits takes about what the last one took; what takes far longer is most often a day that can be
LEAST_SECONDS, TIMES_THE_LAST, MOST_SECONDS = 0.1, 4.0, 1.5
# reading a long question takes its time, which the solver doesn't count
FEW_LINES, A_LINE_SECONDS = 500, 1e-4
# what is dropped first, by a word of its sentence: what says how long a task takes is most often needed, and comes last
KINDS = (" starts at most ", " starts at least ", " has a break ", " °C (", "there is ", "there are ", "opening hours", "the oven ")


class Clash(NamedTuple):
    """Limits that can't all hold, and whether none of them can be left out."""

    limits: tuple[str, ...] = ()
    minimal: bool = False


def conflict(model: DayModel, started: Mapping[str, Started] | None = None, now: int | None = None) -> Clash:
    """A minimal set of limits that can't all hold, a sentence each; empty when none is proven to clash.

    Parameters: model; started and now as in `plan`.
    Returns: sentences in the order in which the day states them, mere lengths of tasks last. Minimal unless its allowance (in the solver's own
        units) ran out, then a little larger.
    Source: CP-SAT's sufficient assumptions, thinned by the deletion filter.
    """
    for build_of in readings(model, dict(started or {}), now):
        doubted = build_of(None)
        every, lengths = [sentence for _, sentence in doubted.limits], doubted.lengths
        core, spent = clashing(build_of, every, doubted.shared)
        if core:
            kept, minimal = thinned(Thinning(core, build_of, spent), lengths)
            return Clash(tuple(sorted((s for s in every if s in kept), key=lambda sentence: sentence in lengths)), minimal)
    return Clash()


BuildOf = Callable[[Collection[str] | None], Build]


def readings(model: DayModel, started: Mapping[str, Started], now: int | None) -> Iterator[BuildOf]:
    """Models that may hold the clash: each round by itself, then the whole day."""
    for group in dict.fromkeys(t.serve_group for t in model.tasks if t.serve_group is not None):
        free = clockless(model, group, started, endless=True)
        if free is not None:
            yield lambda kept, free=free, group=group: nailed(free, group, "explain", kept)  # type: ignore[misc]
    yield lambda kept: Build(model, started, now, "explain", kept)


def clashing(build_of: BuildOf, every: list[str], shared: Mapping[str, str]) -> tuple[list[str], float]:
    """Limits that clash, none where no clash was proven, and the seconds that the proof took.

    First the clock alone, then with one shared thing at a time: what is simple is proven at once, and said simply.
    """
    for one in ("", *dict.fromkeys(shared.values())):
        some = [sentence for sentence in every if shared.get(sentence, one) == one]
        answer, spent = clashes(build_of(some), PART_SECONDS)
        if answer:
            return some, spent
    core, spent = named_by_the_solver(build_of(None))
    if core:
        return core, spent
    answer, spent = clashes(build_of(every), PROOF_SECONDS)
    return (every if answer else []), spent


def named_by_the_solver(build: Build) -> tuple[list[str], float]:
    """The sentences that the solver needs to prove a clash, none where there is none or no proof was found, and the seconds it took."""
    from ortools.sat.python import cp_model

    build.cp.add_assumptions([literal for literal, _ in build.limits])
    solver = solver_for(CORE_SECONDS)
    clash, spent = solver.solve(build.cp) == cp_model.INFEASIBLE, solver.deterministic_time / UNITS_A_SECOND
    if not clash:
        return [], spent
    needed = set(solver.sufficient_assumptions_for_infeasibility())
    # presolve may prove the clash without naming anything: then all stays, to be thinned
    return [s for literal, s in build.limits if literal.index in needed] or [s for _, s in build.limits], spent


class Thinning:
    """A clashing set being made smaller: what is left of it and of the allowance, what the last proof took, and what is known to be needed."""

    def __init__(self, core: list[str], build_of: BuildOf, last: float) -> None:
        self.core, self.build_of, self.last = core, build_of, last
        self.left, self.needed = ALL_SECONDS, set[str]()

    def without(self, part: Collection[str], most: float = MOST_SECONDS) -> bool:
        """Drops a part where the rest still clash."""
        rest = [s for s in self.core if s not in part]
        allowed = min(most, max(LEAST_SECONDS, TIMES_THE_LAST * self.last), self.left)
        build = self.build_of(rest)
        answer, spent = clashes(build, allowed)
        self.left -= spent + A_LINE_SECONDS * max(0, len(build.cp.proto.constraints) - FEW_LINES)
        if answer:
            self.core, self.last = rest, spent
        elif answer is False and len(part) == 1:
            self.needed.update(part)
        return bool(answer)


def thinned(work: Thinning, lengths: Collection[str]) -> tuple[list[str], bool]:
    """The set without what isn't needed for the clash, dropped by kinds, then in halves, quarters, … and one by one; and whether it is minimal."""

    def kind(sentence: str) -> int:
        return len(KINDS) + 1 if sentence in lengths else next((i for i, words in enumerate(KINDS) if words in sentence), len(KINDS))

    for _, part in groupby(sorted(work.core, key=kind), key=kind):
        drop(work, list(part))
    for sentence in tuple(work.core):
        if sentence not in work.needed and work.left > 0:
            work.without([sentence])
    return work.core, work.needed >= set(work.core)


def drop(work: Thinning, part: list[str]) -> None:
    """Drops as much of a part as can be: as a whole, else by halves."""
    if work.left <= 0 or work.without(part) or len(part) == 1:
        return
    half = len(part) // 2
    drop(work, part[:half])
    drop(work, part[half:])


def clashes(build: Build, seconds: float) -> tuple[bool | None, float]:
    """Whether the limits kept are proven to clash, or proven not to (None: neither in time), and the seconds it took."""
    from ortools.sat.python import cp_model

    solver = solver_for(seconds)
    status = solver.solve(build.cp)
    return None if status == cp_model.UNKNOWN else bool(status == cp_model.INFEASIBLE), solver.deterministic_time / UNITS_A_SECOND
