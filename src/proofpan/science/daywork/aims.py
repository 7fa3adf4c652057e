"""What makes one plan better than another: the aims in order, as variables of the model."""

from collections.abc import Mapping
from typing import Any

from proofpan.science.daywork.build import Build


def aims(build: Build, known: Mapping[str, int]) -> list[tuple[str, Any]]:
    """The aims in order, none below what is known to be the least.

    Minutes over an authority's limit, then other overruns (both only when bending), fairness, finish, idle hands; then tidy: no longer waits than need be.
    """
    cp, waiting = build.cp, [t for t in build.model.tasks if t.key not in build.started]
    far = 4 * build.top * (len(build.model.tasks) + 1) ** 2
    found: list[tuple[str, Any]] = []

    def aim(name: str, terms: Any, least: int = 0) -> None:
        total = cp.new_int_var(max(least, known.get(name, least)), far, name)
        cp.add(total == terms)
        found.append((name, total))

    if build.unsafe:
        aim("safety", sum(over for over, _ in build.unsafe))
    if build.excess:
        aim("overrun", sum(over for over, _ in build.excess))
    if build.spread:
        aim("fairness", sum(build.spread.values()))
    if today := [t for t in waiting if not t.afterwards] or waiting:
        finish = cp.new_int_var(known.get("finish", 0), 2 * build.top, "finish")
        cp.add_max_equality(finish, [build.end[task.key] for task in today])
        found.append(("finish", finish))
    if (idle := idle_hands(build)) is not None:
        aim("idle", idle)
    if waiting:
        waits = [build.start[t.key] - build.end[a.task] for t in waiting for a in t.after if a.of == "end"]
        aim("tidy", (len(waiting) + 1) * sum(waits) + sum(build.start[t.key] for t in waiting), -far)
    return found


def idle_hands(build: Build) -> Any:
    """Minutes between each person's first and last hands-on minute of an opening, less the hands-on ones; None without hands."""
    cp, model = build.cp, build.model
    windows = model.opening or ((0, build.top),)
    spans, work = [], 0
    for person in model.kitchen.people:
        mine = [(b, b.by[person.name]) for b in build.blocks if person.name in b.by and not b.tasks[0].afterwards]
        if not mine:
            continue
        for number, (opens, closes) in enumerate(windows):
            if closes <= build.now:
                continue
            first = cp.new_int_var(opens, max(opens, closes), "")
            last = cp.new_int_var(opens, max(opens, closes), "")
            span = cp.new_int_var(0, max(0, closes - opens), f"{person.name}, opening {number + 1}")
            cp.add(span >= last - first)
            if len(windows) == 1:
                cp.add(span >= sum(does * sum(b - a for a, b in block.busy) for block, does in mine))
            for block, does in mine:
                for a, b in block.busy:
                    given = [does] if len(windows) == 1 else [does, within(build, block, number, opens - a, closes - b)]
                    cp.add(first <= block.start + a).only_enforce_if(given)
                    cp.add(last >= block.start + b).only_enforce_if(given)
            spans.append(span)
    for block in build.blocks:
        if block.by and not block.tasks[0].afterwards:
            work += sum(b - a for a, b in block.busy) * (len(block.by) if block.everyone else 1)
    return sum(spans) - work if spans else None


def within(build: Build, block: Any, number: int, low: int, high: int) -> Any:
    """A literal that is true where the block starts within an opening (it may be true elsewhere only at a cost)."""
    cp = build.cp
    inside, below, above = (cp.new_bool_var(f"{block.name} {w} opening {number + 1}") for w in ("in", "before", "after"))
    cp.add(block.start < low).only_enforce_if(below)
    cp.add(block.start > high).only_enforce_if(above)
    cp.add_bool_or([inside, below, above])
    return inside
