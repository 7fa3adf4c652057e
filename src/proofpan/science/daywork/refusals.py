"""What no plan could mean, refused in one sentence before any search."""

from collections.abc import Sequence
from math import inf
from numbers import Integral

from proofpan.science.daywork.errors import DayworkError
from proofpan.science.daywork.kitchen import Kitchen
from proofpan.science.daywork.task import OvenNeed, Task, loads

LONGEST_MINUTES = 3 * 366 * 24 * 60


def _why_not(kitchen: Kitchen, wants: Sequence[OvenNeed]) -> str:
    """What keeps a load out of every oven, the plainest reason first, with what would be right."""
    ovens, hottest = kitchen.ovens, max(w.temperature_c for w in wants)
    if not ovens:
        return "the kitchen has none"
    if named := next((w.oven for w in wants if w.oven is not None and w.oven not in {o.name for o in ovens}), None):
        return f"there is no oven {named!r}"
    if hottest > max(o.max_c for o in ovens):
        return f"it wants {hottest} °C, and the hottest goes to {max(o.max_c for o in ovens)}"
    fan = next((w.fan for w in wants if w.fan is not None), None)
    if fan is not None and all(o.fan is not fan for o in ovens):
        return "it wants a fan, and none has one" if fan else "it wants an oven without a fan, and each has one"
    places, trays = sum(w.places for w in wants if not w.trays), sum(w.trays for w in wants)
    room = max(o.total_places for o in ovens)
    if places > room or trays > max(o.trays for o in ovens):
        most = max(o.trays for o in ovens)
        wanted = " and ".join(x for x in (_so_many(places, "place") if places else "", _so_many(trays, "whole tray") if trays else "") if x)
        return f"it wants {wanted}, and the largest has {_so_many(room, 'place')} on {_so_many(most, 'tray')}"
    return "the one that is large enough isn't hot enough, or has the wrong fan setting"


def _so_many(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def refuse_nonsense(tasks: tuple[Task, ...], kitchen: Kitchen, serve_at: tuple[tuple[str, int], ...]) -> None:
    """Raises DayworkError with one sentence for what no plan could mean."""
    keys = [t.key for t in tasks]
    if len(set(keys)) < len(keys):
        raise DayworkError(f"Two tasks have the key {next(k for k in keys if keys.count(k) > 1)!r}; each needs its own.")
    people, capacity = {p.name for p in kitchen.people}, dict(kitchen.resources)
    for task in tasks:
        if task.minutes < 0 or any(not 0 <= a < b <= task.minutes for a, b in task.busy):
            raise DayworkError(f"{task.words!r}: its hands-on minutes must lie within its {task.minutes} minutes.")
        if unknown := [n for n in task.who if n not in people]:
            raise DayworkError(f"{task.words!r} asks for {unknown[0]!r}, who isn't in the kitchen.")
        if task.busy and not kitchen.people_for(task):
            raise DayworkError(f"Nobody here can do {task.words!r}" + (f" (skill: {task.skill})." if task.skill else "."))
        for need in task.needs:
            if need.amount > capacity.get(need.name, -1):
                raise DayworkError(f"{task.words!r} wants {need.amount} × {need.name}; the kitchen has {capacity.get(need.name, 0)}.")
            if need.until is not None and need.until not in keys:
                raise DayworkError(f"{task.words!r} keeps its {need.name} until {need.until!r}, which isn't a task.")
        for link in task.after:
            if link.task not in keys:
                raise DayworkError(f"{task.words!r} comes after {link.task!r}, which isn't a task.")
            if link.min_wait > (inf if link.max_wait is None else link.max_wait):
                raise DayworkError(f"{task.words!r} waits at least {link.min_wait} and at most {link.max_wait} minutes: turn them round.")
    for name, members in loads(tasks).items():
        wants = [t.oven for t in members if t.oven is not None]
        if len({w.temperature_c for w in wants}) > 1:
            raise DayworkError(f"The load {name!r} is asked for two oven temperatures; it can have one.")
        if wants and not kitchen.ovens_for(members):
            raise DayworkError(
                f"No oven here takes {members[0].words!r}" + (f" and the rest of the load {members[0].group!r} at once" if len(members) > 1 else "")
                + f": {_why_not(kitchen, wants)}."
            )
        if any(t.busy for t in members) and not kitchen.shared_people(members):
            raise DayworkError(f"Nobody may do all of the load {name!r}.")
    for name, minute in serve_at:
        if not any(t.serve_group == name for t in tasks):
            raise DayworkError(f"{name!r} is to be eaten at minute {minute}, but no task serves it.")
    refuse_circles(tasks)


def refuse_numbers(tasks: Sequence[Task], kitchen: Kitchen, opening: Sequence[tuple[int, int]], horizon: int, window: int | None) -> None:
    """Raises DayworkError where a number can't be minutes, an amount, or a span of the day."""
    if not 0 <= horizon <= LONGEST_MINUTES:
        raise DayworkError(f"A plan of {horizon} minutes can't be made: it ends after it begins, and within three years.")
    if window is not None and window < 0:
        raise DayworkError(f"Plates can't be ready within {window} minutes of each other.")
    for task in tasks:
        minutes = (task.minutes, task.hold_minutes, task.hands, *(m for span in task.hands_spans for m in span),
                   task.fixed_start, task.not_before, task.not_after,
                   *(m for a in task.after for m in (a.min_wait, a.max_wait)))
        if part := next((m for m in minutes if m is not None and not isinstance(m, Integral)), None):
            raise DayworkError(f"{task.words!r} has {part} minutes: a day is planned in whole ones.")
        if any(n.amount < 0 for n in task.needs) or (task.oven is not None and min(task.oven.places, task.oven.trays) < 0):
            raise DayworkError(f"{task.words!r} wants less than nothing of a thing or of an oven.")
        if task.cooling_minutes is not None and task.cooling_minutes < 0:
            raise DayworkError(f"{task.words!r} can't cool in {task.cooling_minutes:g} minutes.")
    spans = [("opening hours", a, b) for a, b in opening] + [(f"{p.name}'s break", a, b) for p in kitchen.people for a, b in p.breaks]
    for what, begins, ends in [*spans, *((f"what holds the {b.name}", b.start, b.end) for b in kitchen.blocked)]:
        if begins > ends:
            raise DayworkError(f"The times of {what} end before they begin (minute {begins} to {ends}).")


def refuse_circles(tasks: tuple[Task, ...]) -> None:
    """Raises DayworkError where tasks wait for each other in a circle."""
    waits, done = {t.key: {a.task for a in t.after} for t in tasks}, set[str]()
    while ready := [k for k, w in waits.items() if w <= done]:
        done.update(ready)
        for key in ready:
            del waits[key]
    if waits:
        raise DayworkError("These wait for each other in a circle: " + ", ".join(sorted(waits)[:4]) + ".")
