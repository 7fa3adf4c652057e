"""Ovens: hot before anything goes in, one temperature at a time, no more in them than they have places."""

from collections.abc import Iterable, Mapping

from proofpan.science.daywork.block import Block
from proofpan.science.daywork.kitchen import Oven, places_taken
from proofpan.science.daywork.limits import Limits
from proofpan.science.daywork.order import ancestors
from proofpan.science.daywork.task import Task


def add_ovens(on: Limits) -> None:
    """Which oven takes each load, when it is hot, and one load after the other."""
    cp, model = on.cp, on.model
    fillings = [b for b in on.blocks if any(t.oven is not None for t in b.tasks)]
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
            _preheated(on, block, oven)
        used = [
            (on.span(b.start, b.end, b.ovens[oven.name]), oven.total_places if b.alone else sum(_places(b.tasks, oven))) for b in here
        ]
        running = 0
        for key, fact in on.started.items():
            task = model.task(key)
            if task.oven is None or model.oven_of(task, fact) != oven.name:
                continue
            _after_what_went_in(on, task, oven, here, one)
            out, since = _out(on, task), max(on.now, fact.start)
            if out > since:
                used.append((cp.new_fixed_size_interval_var(since, out - since, ""), places_taken(task.oven, oven)))
                running += places_taken(task.oven, oven)
        for i, first in enumerate(here):
            for second in here[i + 1 :]:
                if first.alone or second.alone or first.temperature_c != second.temperature_c:
                    _one_then_other(on, first, second, oven, one, before)
        on.within_capacity(used, max(oven.total_places, running), one, oven.name)


def _out(on: Limits, task: Task) -> int:
    """When a started task has left its oven: as said, else at its latest end."""
    fact = on.started[task.key]
    return fact.end if fact.end is not None else max(fact.start + task.hold_minutes, on.now)


def _after_what_went_in(on: Limits, past: Task, oven: Oven, here: list[Block], sentence: str) -> None:
    """Loads wait for one that has gone in, unless both may share the oven at its heat."""
    heat = past.oven.temperature_c if past.oven is not None else 0
    for block in here:
        if past.group is not None or block.alone or block.temperature_c != heat:
            ready = _out(on, past) + oven.change_minutes(heat, block.temperature_c)
            on.hold(on.cp.add(block.start >= ready), sentence, block.ovens[oven.name])


def _preheated(on: Limits, block: Block, oven: Oven) -> None:
    """Nothing goes in before the oven is hot: from the day's start, or each morning where someone must be in."""
    domain, heat = on.cp_model.Domain, oven.change_minutes(oven.start_c, block.temperature_c)
    opens = [a for a, _ in on.model.opening] if any(t.stays_in_opening_hours for t in block.tasks) else []
    cold = domain.from_intervals([[0, heat - 1], *([a, a + heat - 1] for a in opens if heat)])
    fits = domain(0, 2 * on.top).intersection_with(cold.complement())
    sentence = f"{on.words[block.tasks[0].key]} goes into an oven heated to {block.temperature_c} °C, which takes {heat} min from cold"
    on.start_in(block, fits, sentence, block.ovens[oven.name])


def _one_then_other(on: Limits, first: Block, second: Block, oven: Oven, sentence: str, before: Mapping[str, frozenset[str]]) -> None:
    cp = on.cp
    both = [first.ovens[oven.name], second.ovens[oven.name]]
    there = second.start >= first.end + oven.change_minutes(first.temperature_c, second.temperature_c)
    back = first.start >= second.end + oven.change_minutes(second.temperature_c, first.temperature_c)
    if any(f.key in before[s.key] for f in first.tasks for s in second.tasks):
        on.hold(cp.add(there), sentence, *both)
    elif any(s.key in before[f.key] for f in first.tasks for s in second.tasks):
        on.hold(cp.add(back), sentence, *both)
    else:
        order = cp.new_bool_var(f"{first.name} before {second.name}")
        on.hold(cp.add(there), sentence, *both, order)
        on.hold(cp.add(back), sentence, *both, order.negated())


def _places(tasks: Iterable[Task], oven: Oven) -> list[int]:
    return [places_taken(t.oven, oven) for t in tasks if t.oven is not None]
