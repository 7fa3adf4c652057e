"""The constraint model while it is written: when each task starts and ends, and what it means that a limit holds.

In *plan* a limit simply holds. In *bend* (the day has moved and no plan keeps everything) a wait, a deadline or a window may be
overrun by an excess that is minimised first. In *explain* every limit hangs on a literal, so that the solver can say which of them
clash; or only those `kept` hold, so that it can be asked whether they do.

*Pooled*, people are counted and nobody is named: easier, and what is proven of it holds of the day. *Endless*, the day's end is no limit.
"""

from collections.abc import Collection, Mapping
from typing import Any

from proofpan.science.daywork.alike import spoken_for
from proofpan.science.daywork.block import Block
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.task import Started
from proofpan.science.daywork.words import in_short


class Limits:
    """The variables of a day, and the ways in which a limit is put on them."""

    def __init__(
        self,
        model: DayModel,
        started: Mapping[str, Started] | None = None,
        now: int | None = None,
        mode: str = "plan",
        kept: Collection[str] | None = None,
        pooled: bool = False,
        endless: bool = False,
    ) -> None:
        from ortools.sat.python import cp_model

        self.cp_model, self.cp = cp_model, cp_model.CpModel()
        self.model, self.mode, self.kept, self.pooled, self.endless = model, mode, kept, pooled, endless
        self.started, self.now = dict(started or {}), now or 0
        self.limits: list[tuple[Any, str]] = []  # explain: (literal, sentence)
        self.excess: list[tuple[Any, str]] = []  # bend: (minutes over, sentence)
        self.unsafe: list[tuple[Any, str]] = []  # bend: the same of an authority's limits, which give last
        self.top = model.horizon if mode == "plan" else 2 * model.horizon + 24 * 60 + max((t.hold_minutes for t in model.tasks), default=0)
        # explained together, what is alike keeps being alike when a limit is dropped, and the sentences are few
        self.words = spoken_for(model, self.started) if mode == "explain" else {t.key: in_short(t.words) for t in model.tasks}
        self.start: dict[str, Any] = {}
        self.end: dict[str, Any] = {}
        self.blocks: list[Block] = []
        self.spread: dict[str, Any] = {}  # by serve group: minutes (and degrees) apart, and when its first plate is ready
        self.first_ready: dict[str, Any] = {}
        self.shared: dict[str, str] = {}  # sentences about what is shared, and what that is: hands, an oven, a counted thing
        self.lengths: set[str] = set()  # sentences that only say how long something takes
        self._literal: dict[str, Any] = {}

    @property
    def oven_starts(self) -> list[int]:
        """Numbers of the variables of the starts of what goes into an oven."""
        return [block.start.index for block in self.blocks if block.ovens]

    def limit(self, sentence: str) -> Any:
        """The literal on which a limit hangs when explaining; None when it simply holds."""
        if self.mode != "explain":
            return None
        if sentence not in self._literal:
            if self.kept is None:
                self._literal[sentence] = self.cp.new_bool_var(sentence)
            else:  # a limit that is kept simply holds, as in a plan: the solver proves a clash far sooner without literals
                self._literal[sentence] = None if sentence in self.kept else self.cp.new_constant(0)
            self.limits.append((self._literal[sentence], sentence))
        return self._literal[sentence]

    @property
    def doubted(self) -> bool:
        """Whether each limit hangs on a literal of its own."""
        return self.mode == "explain" and self.kept is None

    def dropped(self, sentence: str) -> bool:
        """Whether a limit is left out for good, among those kept."""
        return self.limit(sentence) is not None and not self.doubted

    def hold(self, constraint: Any, sentence: str, *given: Any) -> None:
        """A constraint under its limit, where the `given` literals are true."""
        literals = [x for x in (self.limit(sentence), *given) if x is not None]
        if literals:
            constraint.only_enforce_if(literals)

    def at_most(self, low: Any, high: Any, sentence: str, bends: bool = False, safety: bool = False) -> None:
        """Low ≤ high; in a re-plan that must bend, by as few minutes over as can be, an authority's limit (`safety`) last of all."""
        if self.mode == "bend" and bends:
            over = self.cp.new_int_var(0, self.top, "")
            (self.unsafe if safety else self.excess).append((over, sentence))
            low = low - over
        bounded = low <= high
        if isinstance(bounded, bool):
            if bounded:
                return
            bounded = self.cp.new_constant(1) <= 0
        self.hold(self.cp.add(bounded), sentence)

    def start_in(self, block: Block, fits: Any, sentence: str, *given: Any) -> None:
        """The block starts at one of these minutes, where the `given` literals are true."""
        if fits.is_empty():
            literals = [x for x in (self.limit(sentence), *given) if x is not None]
            self.cp.add_bool_or([x.negated() for x in literals])
        else:
            self.hold(self.cp.add_linear_expression_in_domain(block.start, fits), sentence, *given)

    def span(self, start: Any, end: Any, present: Any = None) -> Any:
        """An interval from start to end; optional where a literal says so."""
        size = end - start
        if not isinstance(size, int):
            size = self.cp.new_int_var(0, 2 * self.top, "")
            self.cp.add(size == end - start)
        if present is None:
            return self.cp.new_interval_var(start, size, end, "")
        return self.cp.new_optional_interval_var(start, size, end, present, "")

    def within_capacity(self, used: list[tuple[Any, int]], capacity: int, sentence: str, of: str) -> None:
        """Intervals with amounts that together never exceed a capacity of something shared."""
        if not used:
            return
        self.shared[sentence] = of
        free = self.limit(sentence)
        if self.dropped(sentence):
            return
        total = sum(amount for _, amount in used)
        limit = capacity if free is None else capacity + total - total * free
        self.cp.add_cumulative([i for i, _ in used], [a for _, a in used], limit)
