"""People: who does what, one thing at a time, none in a break; or only how many hands there are, without saying whose."""

from typing import Any

from proofpan.science.daywork.block import Block, union
from proofpan.science.daywork.limits import Limits

HANDS = "hands"


def add_hands(on: Limits) -> None:
    """Who does each block, and one thing at a time for each person."""
    cp, model = on.cp, on.model
    lines: dict[str, list[Any]] = {p.name: [] for p in model.kitchen.people}
    for block in on.blocks:
        if not block.busy:
            continue
        names = hands_for(on, block)
        block.by = {n: cp.new_constant(1) if block.everyone or len(names) == 1 else cp.new_bool_var(f"{n}: {block.name}") for n in names}
        if not block.everyone and len(names) > 1:
            cp.add_exactly_one(block.by.values())
        for name, does in block.by.items():
            for a, b in block.busy:
                lines[name].append(cp.new_optional_fixed_size_interval_var(block.start + a, b - a, does, ""))
    for name, mine in lines.items():
        on.shared |= dict.fromkeys([one_thing(name), *(break_of(on, name, a, b) for a, b in _breaks(on, name))], HANDS)
        if on.doubted:
            _free_at_will(on, name, mine)
        elif not on.dropped(one_thing(name)):
            cp.add_no_overlap(mine + [cp.new_fixed_size_interval_var(a, b - a, "") for a, b in away(on, name)])


def _free_at_will(on: Limits, name: str, mine: list[Any]) -> None:
    """One thing at a time and each break under limits of their own."""
    cp, breaks, busy = on.cp, _breaks(on, name), union(_begun(on, name))
    big = len(mine) + len(breaks) + 1
    free = on.limit(one_thing(name))
    rest = [cp.new_optional_fixed_size_interval_var(a, b - a, on.limit(break_of(on, name, a, b)), "") for a, b in breaks]
    every = mine + rest + [cp.new_fixed_size_interval_var(a, b - a, "") for a, b in busy]
    cp.add_cumulative(every, [1] * len(every), 1 + big - big * free)


def one_thing(name: str) -> str:
    """That a person has two hands, as a limit in words."""
    return f"{name} does one thing at a time"


def break_of(on: Limits, name: str, begins: int, ends: int) -> str:
    """A person's break, as a limit in words."""
    return f"{name} has a break {on.model.say_time(begins)}–{on.model.at(ends):%H:%M}"


def add_pools(on: Limits) -> None:
    """No more hands at work at a time than there are, counted for each set of people that some work is left to.

    Less than saying who does what, and so no plan is lost by it; all that is proven of it holds of the day.
    """
    cp, jobs = on.cp, [(block, hands_for(on, block)) for block in on.blocks if block.busy]
    everybody = tuple(p.name for p in on.model.kitchen.people)
    for pool in dict.fromkeys([everybody, *(names for _, names in jobs)]):
        if any(on.dropped(one_thing(name)) for name in pool):
            continue
        used = [
            (cp.new_fixed_size_interval_var(block.start + a, b - a, ""), n)
            for block, names in jobs
            if (n := _from_pool(block, names, pool))
            for a, b in block.busy
        ]
        off = [(cp.new_fixed_size_interval_var(a, b - a, ""), 1) for name in pool for a, b in away(on, name)]
        if len(pool) > 1:
            cp.add_cumulative([i for i, _ in used + off], [n for _, n in used + off], len(pool))
        elif on.pooled:
            cp.add_no_overlap([i for i, _ in used + off])


def _from_pool(block: Block, names: tuple[str, ...], pool: tuple[str, ...]) -> int:
    """How many of a pool's people a block takes at the least."""
    if block.everyone:
        return len(set(names) & set(pool))
    return int(set(names) <= set(pool))


def hands_for(on: Limits, block: Block) -> tuple[str, ...]:
    """Who may do a block's hands-on part, or all who do."""
    return on.model.kitchen.shared_people(block.tasks)


def away(on: Limits, name: str) -> tuple[tuple[int, int], ...]:
    """Minutes in which someone has a break or is at what they have begun."""
    kept = [(a, b) for a, b in _breaks(on, name) if on.mode != "explain" or not on.dropped(break_of(on, name, a, b))]
    return union([*kept, *_begun(on, name)])


def _breaks(on: Limits, name: str) -> list[tuple[int, int]]:
    # breaks that overlap are one: they don't clash with each other
    return [(a, b) for a, b in union(s for p in on.model.kitchen.people if p.name == name for s in p.breaks) if b > on.now]


def _begun(on: Limits, name: str) -> list[tuple[int, int]]:
    """Hands-on minutes still to come of what someone has begun."""
    return [
        (max(on.now, fact.start + a), fact.start + b)
        for key, fact in on.started.items()
        if fact.end is None and name in fact.who
        for a, b in on.model.task(key).busy
        if fact.start + b > on.now
    ]
