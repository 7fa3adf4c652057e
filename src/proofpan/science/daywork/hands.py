"""People: who does what, one thing at a time, none in a break."""

from typing import Any

from proofpan.science.daywork.block import union
from proofpan.science.daywork.limits import Limits


def add_hands(on: Limits) -> None:
    """Who does each block, and one thing at a time for each person."""
    cp, model = on.cp, on.model
    lines: dict[str, list[Any]] = {p.name: [] for p in model.kitchen.people}
    taken: dict[str, list[tuple[int, int]]] = {p.name: [] for p in model.kitchen.people}
    for key, fact in on.started.items():
        if fact.end is None:
            for name in fact.who:
                taken[name] += [
                    (max(on.now, fact.start + a), fact.start + b) for a, b in model.task(key).busy if fact.start + b > on.now
                ]
    for block in on.blocks:
        if not block.busy:
            continue
        names = model.kitchen.shared_people(block.tasks)
        everyone = block.everyone
        block.by = {n: cp.new_constant(1) if everyone or len(names) == 1 else cp.new_bool_var(f"{n}: {block.name}") for n in names}
        if not everyone and len(names) > 1:
            cp.add_exactly_one(block.by.values())
        for name, does in block.by.items():
            for a, b in block.busy:
                lines[name].append(cp.new_optional_fixed_size_interval_var(block.start + a, b - a, does, ""))
    for person in model.kitchen.people:
        breaks = [(a, b) for a, b in person.breaks if b > on.now]
        if on.mode == "explain":
            big = len(lines[person.name]) + len(breaks) + 1
            free = on.limit(f"{person.name} does one thing at a time")
            rest = [
                cp.new_optional_fixed_size_interval_var(
                    a, b - a, on.limit(f"{person.name} has a break {model.say_time(a)}–{model.at(b):%H:%M}"), ""
                )
                for a, b in breaks
            ]
            busy = [cp.new_fixed_size_interval_var(a, b - a, "") for a, b in union(taken[person.name])]
            every = lines[person.name] + rest + busy
            cp.add_cumulative(every, [1] * len(every), 1 + big - big * free)
        else:
            off = union([*breaks, *taken[person.name]])
            cp.add_no_overlap(lines[person.name] + [cp.new_fixed_size_interval_var(a, b - a, "") for a, b in off])


def add_all_hands(on: Limits) -> None:
    """Together the people can't do more at a time than there are of them."""
    jobs = [
        (on.cp.new_fixed_size_interval_var(block.start + a, b - a, ""), len(block.by) if block.everyone else 1)
        for block in on.blocks
        for a, b in block.busy
    ]
    people = len(on.model.kitchen.people)
    if people > 1 and jobs:
        on.cp.add_cumulative([i for i, _ in jobs], [n for _, n in jobs], people)
