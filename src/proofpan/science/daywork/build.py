"""The kitchen day written as a constraint model: what each limit means between whole-minute variables.

One builder serves planning, re-planning and explaining, so that all three mean the same limits. In *plan* a limit simply holds.
In *bend* (the day has moved and no plan keeps everything) a wait, a deadline or a window may be overrun by an excess that is
minimised first. In *explain* every limit hangs on a literal, so that the solver can say which of them clash; or only those
`kept` hold, so that it can be asked whether they do.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from math import exp
from typing import Any

from proofpan.science.daywork.alike import in_turn, spoken_for
from proofpan.science.daywork.model import (
    After,
    DayModel,
    Need,
    Oven,
    Started,
    Task,
    in_short,
    loads,
    places_taken,
    say_minutes,
    shared_people,
)

ROOM_C = 20.0
LONGEST_COOLING = 240


@dataclass
class Block:
    """Tasks that start together: the load's start, its end (held to the latest), and who and which oven may take it."""

    name: str
    tasks: tuple[Task, ...]
    start: Any
    end: Any
    busy: tuple[tuple[int, int], ...]
    by: dict[str, Any] = field(default_factory=dict)
    ovens: dict[str, Any] = field(default_factory=dict)

    @property
    def temperature_c(self) -> int:
        """The oven's temperature for this load."""
        return next(t.oven.temperature_c for t in self.tasks if t.oven is not None)

    @property
    def everyone(self) -> bool:
        """Whether it takes all of its people at once."""
        return any(t.everyone for t in self.tasks)

    @property
    def alone(self) -> bool:
        """Whether it has the oven to itself."""
        return any(t.group is not None for t in self.tasks)


def union(spans: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Spans merged where they touch or overlap, in order."""
    merged: list[tuple[int, int]] = []
    for a, b in sorted(spans):
        if merged and a <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
        else:
            merged.append((a, b))
    return tuple(merged)


class Build:
    """The constraint model of a day, and the variables needed to read a plan from its solution."""

    def __init__(
        self,
        model: DayModel,
        started: Mapping[str, Started] | None = None,
        now: int | None = None,
        mode: str = "plan",
        kept: Collection[str] | None = None,
    ) -> None:
        from ortools.sat.python import cp_model

        self.cp_model, self.cp = cp_model, cp_model.CpModel()
        self.model, self.mode, self.kept = model, mode, kept
        self.started, self.now = dict(started or {}), now or 0
        self.limits: list[tuple[Any, str]] = []  # explain: (literal, sentence)
        self.excess: list[tuple[Any, str]] = []  # bend: (minutes over, sentence)
        self.top = model.horizon if mode == "plan" else 2 * model.horizon + 24 * 60 + max((t.hold_minutes for t in model.tasks), default=0)
        # explained together, what is alike keeps being alike when a limit is dropped, and the sentences are few
        self.words = spoken_for(model, self.started) if mode == "explain" else {t.key: in_short(t.words) for t in model.tasks}
        self.start: dict[str, Any] = {}
        self.end: dict[str, Any] = {}
        self.blocks: list[Block] = []
        self.lengths: set[str] = set()  # sentences that only say how long something takes
        self._literal: dict[str, Any] = {}
        self._make_blocks()
        self._orders()
        self._hands()
        self._ovens()
        self._resources()
        self._servings()
        self._danger()
        self._shortcuts()

    # ----- limits -----

    def limit(self, sentence: str) -> Any:
        """The literal on which a limit hangs when explaining; None when it simply holds."""
        if self.mode != "explain":
            return None
        if sentence not in self._literal:
            kept = self.kept is None or sentence in self.kept
            self._literal[sentence] = self.cp.new_bool_var(sentence) if self.kept is None else self.cp.new_constant(int(kept))
            self.limits.append((self._literal[sentence], sentence))
        return self._literal[sentence]

    def hold(self, constraint: Any, sentence: str, *given: Any) -> None:
        """A constraint under its limit, where the `given` literals are true."""
        literals = [x for x in (self.limit(sentence), *given) if x is not None]
        if literals:
            constraint.only_enforce_if(literals)

    def at_most(self, low: Any, high: Any, sentence: str, bends: bool = False) -> None:
        """Low ≤ high; in a re-plan that must bend, by as few minutes over as can be."""
        if self.mode == "bend" and bends:
            over = self.cp.new_int_var(0, self.top, "")
            self.excess.append((over, sentence))
            low = low - over
        bounded = low <= high
        if isinstance(bounded, bool):
            if bounded:
                return
            bounded = self.cp.new_constant(1) <= 0
        self.hold(self.cp.add(bounded), sentence)

    # ----- time -----

    def _make_blocks(self) -> None:
        model, cp = self.model, self.cp
        for task in model.tasks:
            if task.key in self.started:
                fact = self.started[task.key]
                self.start[task.key] = fact.start
                self.end[task.key] = fact.end if fact.end is not None else max(fact.start + task.minutes, self.now)
        for name, members in loads(model.tasks).items():
            waiting = tuple(t for t in members if t.key not in self.started)
            # the rest of a load that has gone in is on its own: it can no longer start with the others
            together = [waiting] if len(waiting) == len(members) else [(t,) for t in waiting]
            for tasks in together:
                start = cp.new_int_var(min(self.now, self.top), self.top, name)
                longest = max(t.hold_minutes for t in tasks)
                for task in tasks:
                    self.start[task.key] = start
                    self.end[task.key] = start + task.minutes
                end: Any = start + longest
                if self.mode == "explain":
                    end = cp.new_int_var(0, 2 * self.top, "")
                    for task in tasks:
                        self.end[task.key] = cp.new_int_var(0, 2 * self.top, "")
                        cp.add(self.end[task.key] >= start)
                        length = cp.add(self.end[task.key] - start == task.minutes)
                        if task.minutes:
                            self.lengths.add(f"{self.words[task.key]}: {say_minutes(task.minutes)}")
                            self.hold(length, f"{self.words[task.key]}: {say_minutes(task.minutes)}")
                        cp.add(end >= self.end[task.key])
                block = Block(name if len(together) == 1 else tasks[0].key, tasks, start, end, union(s for t in tasks for s in t.busy))
                self.blocks.append(block)
                for task in tasks:
                    self._bounds(task)
                self._opening(block)

    def _bounds(self, task: Task) -> None:
        start, end, say = self.start[task.key], self.end[task.key], self.model.say_time
        if task.fixed_start is not None:
            self.at_most(task.fixed_start, start, f"{self.words[task.key]} starts at {say(task.fixed_start)}")
            self.at_most(start, task.fixed_start, f"{self.words[task.key]} starts at {say(task.fixed_start)}", bends=True)
        if task.not_before is not None:
            self.at_most(task.not_before, start, f"{self.words[task.key]} starts no earlier than {say(task.not_before)}")
        if task.not_after is not None:
            self.at_most(end, task.not_after, f"{self.words[task.key]} is done by {say(task.not_after)}", bends=True)
        self.at_most(end, self.model.horizon, f"everything is done by {say(self.model.horizon)}", bends=True)

    def _opening(self, block: Block) -> None:
        """Hands work in opening hours only, and what must be attended lies within one opening."""
        windows = self.model.opening
        if not windows:
            return
        domain = self.cp_model.Domain
        for a, b in block.busy:
            fits = domain.from_intervals([[o - a, c - b] for o, c in windows if c - b >= o - a])
            self._start_in(block, fits, f"{self.words[block.tasks[0].key]}: its hands-on minutes lie within opening hours ({self._hours()})")
        for task in block.tasks:
            if task.stays_in_opening_hours:
                fits = domain.from_intervals([[o, c - task.hold_minutes] for o, c in windows if c - task.hold_minutes >= o])
                self._start_in(
                    block, fits, f"{self.words[task.key]} ({say_minutes(task.hold_minutes)}) lies within opening hours ({self._hours()})"
                )

    def _start_in(self, block: Block, fits: Any, sentence: str, *given: Any) -> None:
        if fits.is_empty():
            literals = [x for x in (self.limit(sentence), *given) if x is not None]
            self.cp.add_bool_or([x.negated() for x in literals])
        else:
            self.hold(self.cp.add_linear_expression_in_domain(block.start, fits), sentence, *given)

    def _hours(self) -> str:
        windows, say, at = self.model.opening, self.model.say_time, self.model.at
        if len(windows) > 2:
            # every day alike: the first and the last may be cut short by the plan's own ends
            daily = dict.fromkeys(f"{at(a):%H:%M}–{at(b):%H:%M}" for a, b in windows[1:-1])
            return f"{', '.join(list(daily)[:3])} each day"
        return ", ".join(f"{say(a)}–{at(b):%H:%M}" for a, b in windows)

    def _orders(self) -> None:
        words = self.words
        for task in self.model.tasks:
            if task.key in self.started:
                continue
            for link in task.after:
                since = self.start[link.task] if link.of == "start" else self.end[link.task]
                start, began = self.start[task.key], "the start of " if link.of == "start" else ""
                first = f"{self.words[task.key]} starts at least {say_minutes(link.min_wait)} after {began}{words[link.task]}"
                if link.min_wait > 0:
                    self.at_most(since + link.min_wait, start, first)
                else:
                    self.cp.add(since + link.min_wait <= start)
                if link.max_wait is not None:
                    last = f"{self.words[task.key]} starts at most {say_minutes(link.max_wait)} after {began}{words[link.task]}"
                    self.at_most(start - since, link.max_wait, last, bends=True)

    # ----- hands -----

    def _hands(self) -> None:
        cp, model = self.cp, self.model
        lines: dict[str, list[Any]] = {p.name: [] for p in model.kitchen.people}
        taken: dict[str, list[tuple[int, int]]] = {p.name: [] for p in model.kitchen.people}
        for key, fact in self.started.items():
            if fact.end is None:
                for name in fact.who:
                    taken[name] += [
                        (max(self.now, fact.start + a), fact.start + b) for a, b in model.task(key).busy if fact.start + b > self.now
                    ]
        for block in self.blocks:
            if not block.busy:
                continue
            names = shared_people(model, block.tasks)
            everyone = block.everyone
            block.by = {n: cp.new_constant(1) if everyone or len(names) == 1 else cp.new_bool_var(f"{n}: {block.name}") for n in names}
            if not everyone and len(names) > 1:
                cp.add_exactly_one(block.by.values())
            for name, does in block.by.items():
                for a, b in block.busy:
                    lines[name].append(cp.new_optional_fixed_size_interval_var(block.start + a, b - a, does, ""))
        for person in model.kitchen.people:
            breaks = [(a, b) for a, b in person.breaks if b > self.now]
            if self.mode == "explain":
                big = len(lines[person.name]) + len(breaks) + 1
                free = self.limit(f"{person.name} does one thing at a time")
                rest = [
                    cp.new_optional_fixed_size_interval_var(
                        a, b - a, self.limit(f"{person.name} has a break {model.say_time(a)}–{model.at(b):%H:%M}"), ""
                    )
                    for a, b in breaks
                ]
                busy = [cp.new_fixed_size_interval_var(a, b - a, "") for a, b in union(taken[person.name])]
                every = lines[person.name] + rest + busy
                cp.add_cumulative(every, [1] * len(every), 1 + big - big * free)
            else:
                off = union([*breaks, *taken[person.name]])
                cp.add_no_overlap(lines[person.name] + [cp.new_fixed_size_interval_var(a, b - a, "") for a, b in off])

    # ----- ovens -----

    def _ovens(self) -> None:
        cp, model = self.cp, self.model
        fillings = [b for b in self.blocks if any(t.oven is not None for t in b.tasks)]
        for block in fillings:
            names = model.ovens_for(block.tasks)
            block.ovens = {n: cp.new_constant(1) if len(names) == 1 else cp.new_bool_var(f"{n}: {block.name}") for n in names}
            if len(names) > 1:
                cp.add_exactly_one(block.ovens.values())
        before = ancestors(model.tasks)
        for oven in model.kitchen.ovens:
            here = [b for b in fillings if oven.name in b.ovens]
            one = f"the oven {oven.name} takes one load at a time ({oven.total_places} places) and needs time to heat or cool"
            for block in here:
                self._preheated(block, oven)
            used = [
                (self._span(b.start, b.end, b.ovens[oven.name]), oven.total_places if b.alone else sum(_places(b.tasks, oven))) for b in here
            ]
            running = 0
            for key, fact in self.started.items():
                task = model.task(key)
                if task.oven is None or model.oven_of(task, fact) != oven.name:
                    continue
                self._after_what_went_in(task, oven, here, one)
                out, since = self._out(task), max(self.now, fact.start)
                if out > since:
                    used.append((cp.new_fixed_size_interval_var(since, out - since, ""), places_taken(task.oven, oven)))
                    running += places_taken(task.oven, oven)
            for i, first in enumerate(here):
                for second in here[i + 1 :]:
                    if first.alone or second.alone or first.temperature_c != second.temperature_c:
                        self._one_then_other(first, second, oven, one, before)
            self._capacity(used, max(oven.total_places, running), one)

    def _out(self, task: Task) -> int:
        """When a started task has left its oven: as said, else at its latest end."""
        fact = self.started[task.key]
        return fact.end if fact.end is not None else max(fact.start + task.hold_minutes, self.now)

    def _after_what_went_in(self, past: Task, oven: Oven, here: list[Block], sentence: str) -> None:
        """Loads wait for one that has gone in, unless both may share the oven at its heat."""
        heat = past.oven.temperature_c if past.oven is not None else 0
        for block in here:
            if past.group is not None or block.alone or block.temperature_c != heat:
                ready = self._out(past) + oven.change_minutes(heat, block.temperature_c)
                self.hold(self.cp.add(block.start >= ready), sentence, block.ovens[oven.name])

    def _preheated(self, block: Block, oven: Oven) -> None:
        """Nothing goes in before the oven is hot: from the day's start, or each morning where someone must be in."""
        domain, heat = self.cp_model.Domain, oven.change_minutes(oven.start_c, block.temperature_c)
        opens = [a for a, _ in self.model.opening] if any(t.stays_in_opening_hours for t in block.tasks) else []
        cold = domain.from_intervals([[0, heat - 1], *([a, a + heat - 1] for a in opens if heat)])
        fits = domain(0, 2 * self.top).intersection_with(cold.complement())
        sentence = f"{self.words[block.tasks[0].key]} goes into an oven heated to {block.temperature_c} °C, which takes {heat} min from cold"
        self._start_in(block, fits, sentence, block.ovens[oven.name])

    def _one_then_other(self, first: Block, second: Block, oven: Oven, sentence: str, before: Mapping[str, frozenset[str]]) -> None:
        cp = self.cp
        both = [first.ovens[oven.name], second.ovens[oven.name]]
        there = second.start >= first.end + oven.change_minutes(first.temperature_c, second.temperature_c)
        back = first.start >= second.end + oven.change_minutes(second.temperature_c, first.temperature_c)
        if any(f.key in before[s.key] for f in first.tasks for s in second.tasks):
            self.hold(cp.add(there), sentence, *both)
        elif any(s.key in before[f.key] for f in first.tasks for s in second.tasks):
            self.hold(cp.add(back), sentence, *both)
        else:
            order = cp.new_bool_var(f"{first.name} before {second.name}")
            self.hold(cp.add(there), sentence, *both, order)
            self.hold(cp.add(back), sentence, *both, order.negated())

    def _span(self, start: Any, end: Any, present: Any = None) -> Any:
        """An interval from start to end; optional where a literal says so."""
        size = end - start
        if self.mode == "explain" or not isinstance(size, int):
            size = self.cp.new_int_var(0, 2 * self.top, "")
            self.cp.add(size == end - start)
        if present is None:
            return self.cp.new_interval_var(start, size, end, "")
        return self.cp.new_optional_interval_var(start, size, end, present, "")

    def _capacity(self, used: list[tuple[Any, int]], capacity: int, sentence: str) -> None:
        if not used:
            return
        free = self.limit(sentence)
        total = sum(amount for _, amount in used)
        limit = capacity if free is None else capacity + total - total * free
        self.cp.add_cumulative([i for i, _ in used], [a for _, a in used], limit)

    # ----- counted things -----

    def _resources(self) -> None:
        model, cp = self.model, self.cp
        for name, capacity in model.kitchen.resources:
            used: list[tuple[Any, int]] = []
            running = 0
            for task in model.tasks:
                for need in task.needs:
                    if need.name != name:
                        continue
                    start, end = self.start[task.key], self._released(task, need)
                    if task.key in self.started:
                        if isinstance(end, int):
                            if end <= self.now:
                                continue
                            running += need.amount
                        start = max(self.now, start) if isinstance(start, int) else start
                    used.append((self._span(start, end), need.amount))
            taken = [(b.start, b.end, b.amount) for b in model.kitchen.blocked if b.name == name and b.end > self.now]
            used += [(cp.new_fixed_size_interval_var(a, b - a, ""), amount) for a, b, amount in taken]
            # what is already standing there stands there, even if it was once too much
            self._capacity(used, max(capacity, running), f"there {'is' if capacity == 1 else 'are'} {capacity} × {name}"
                           + (", and something else holds some of it for a time" if taken else ""))

    def _released(self, task: Task, need: Need) -> Any:
        """When the thing is free again."""
        if need.until is not None:
            last = self.model.task(need.until)
            extra = last.hold_minutes - last.minutes if last.key not in self.started else 0
            return self.end[need.until] + extra
        fact = self.started.get(task.key)
        if fact is not None:
            return fact.end if fact.end is not None else max(fact.start + task.hold_minutes, self.now)
        return self.end[task.key] + (task.hold_minutes - task.minutes)

    # ----- plates -----

    def _servings(self) -> None:
        cp, model = self.cp, self.model
        self.spread: dict[str, Any] = {}
        self.first_ready: dict[str, Any] = {}
        at = dict(model.serve_at)
        for name in dict.fromkeys(t.serve_group for t in model.tasks if t.serve_group is not None):
            plates = [t for t in model.tasks if t.serve_group == name]
            waiting = [t for t in plates if t.key not in self.started]
            low, high = cp.new_int_var(0, 2 * self.top, f"first of {name}"), cp.new_int_var(0, 2 * self.top, f"last of {name}")
            cp.add_min_equality(low, [self.end[t.key] for t in plates])
            cp.add_max_equality(high, [self.end[t.key] for t in plates])
            span = cp.new_int_var(0, 2 * self.top, f"spread of {name}")
            cp.add(span == high - low)
            self.spread[name], self.first_ready[name] = span, low
            # where all leave alike and cool alike, fewer minutes apart are fewer degrees apart: nothing more to count
            if all(t.out_c is not None and t.cooling_minutes is not None for t in plates) and len({(t.out_c, t.cooling_minutes) for t in plates}) > 1:
                self.spread[name] = span + self._degrees_apart(plates, high)
            if not waiting:
                continue
            window = model.window_of(name)
            if window is not None:
                self.at_most(high - low, window, f"the plates of {name} are ready within {say_minutes(window)} of each other", bends=True)
            if name in at:
                eaten = f"{name} is eaten at {model.say_time(at[name])}"
                for task in waiting:
                    self.at_most(self.end[task.key], at[name], eaten, bends=True)
                    if window is not None:
                        self.at_most(
                            at[name] - window,
                            self.end[task.key],
                            eaten + f", no plate ready more than {say_minutes(window)} before",
                            bends=True,
                        )

    def _degrees_apart(self, plates: list[Task], table: Any) -> Any:
        """Whole degrees between the hottest and the coolest plate at the minute when the last is ready."""
        cp = self.cp
        hot, cool = cp.new_int_var(-50, 300, ""), cp.new_int_var(-50, 300, "")
        for task in plates:
            age, degrees = cp.new_int_var(0, LONGEST_COOLING, ""), cp.new_int_var(-50, 300, "")
            cp.add_min_equality(age, [table - self.end[task.key], LONGEST_COOLING])
            cp.add_element(age, [round(cooled_c(task, m)) for m in range(LONGEST_COOLING + 1)], degrees)
            cp.add(hot >= degrees)
            cp.add(cool <= degrees)
        apart = cp.new_int_var(0, 350, "")
        cp.add(apart == hot - cool)
        return apart

    def _danger(self) -> None:
        """Minutes in the danger zone, added up along each food's way."""
        model, cp, limit = self.model, self.cp, self.model.zone.limit_minutes
        marked = [t for t in model.tasks if t.food is not None or t.danger_zone or t.food_c is not None or any(model.in_zone(a) for a in t.after)]
        if not any(model.in_zone(t) or any(model.in_zone(a) for a in t.after) for t in marked):
            return
        total = {t.key: cp.new_int_var(0, 4 * self.top, "") for t in marked}
        for task in marked:
            own = self.end[task.key] - self.start[task.key] if model.in_zone(task) else 0
            cp.add(total[task.key] >= own)
            for link, wait, carried in zone_links(model, task):
                counted = self.start[task.key] - self.end[link.task] if wait else 0
                cp.add(total[task.key] >= (total[link.task] if carried else 0) + counted + own)
            if task.key not in self.started:
                zone = model.zone
                sentence = f"{self.words[task.key]}: at most {say_minutes(limit)} between {zone.low_c:g} and {zone.high_c:g} °C ({zone.name})"
                self.at_most(total[task.key], limit, sentence, bends=True)

    # ----- what follows from the rest, said so that the solver sees it sooner -----

    def _shortcuts(self) -> None:
        """Redundant constraints: no plan worth having is lost, and proofs come sooner."""
        cp, model = self.cp, self.model
        for first, second in in_turn(model, self.started):
            if first.group is None or first.group != second.group:
                cp.add(self.start[first.key] <= self.start[second.key])
        if self.mode != "explain":
            self._all_hands()

    def _all_hands(self) -> None:
        """Together the people can't do more at a time than there are of them."""
        jobs = [
            (self.cp.new_fixed_size_interval_var(block.start + a, b - a, ""), len(block.by) if block.everyone else 1)
            for block in self.blocks
            for a, b in block.busy
        ]
        people = len(self.model.kitchen.people)
        if people > 1 and jobs:
            self.cp.add_cumulative([i for i, _ in jobs], [n for _, n in jobs], people)


def _places(tasks: Iterable[Task], oven: Oven) -> list[int]:
    return [places_taken(t.oven, oven) for t in tasks if t.oven is not None]


def cooled_c(task: Task, minutes: float) -> float:
    """A plate's temperature so long after it is ready, by Newton's law of cooling in a room of 20 °C."""
    out_c, constant = task.out_c or ROOM_C, task.cooling_minutes or 1.0
    return ROOM_C + (out_c - ROOM_C) * exp(-minutes / constant)


def zone_links(model: DayModel, task: Task) -> list[tuple[After, bool, bool]]:
    """Links along which a food comes to this task, whether its wait counts as in the danger zone, and whether what was counted before comes too.

    A task without food is heat: what waits for it goes on counting, what comes out of it begins anew, and waits all the same.
    """
    foods = {t.key: t.food for t in model.tasks}
    return [(a, model.in_zone(a), foods[a.task] is not None) for a in task.after
            if model.in_zone(a) or (task.food is not None and foods[a.task] is not None)]


def ancestors(tasks: Iterable[Task]) -> dict[str, frozenset[str]]:
    """Every task's earlier tasks, however far back (links from a task's end only)."""
    links = {t.key: [a.task for a in t.after if a.of == "end" and a.min_wait >= 0] for t in tasks}
    found: dict[str, frozenset[str]] = {}

    def reach(key: str) -> frozenset[str]:
        if key not in found:
            found[key] = frozenset(links[key]).union(*(reach(k) for k in links[key]))
        return found[key]

    for key in links:
        reach(key)
    return found
