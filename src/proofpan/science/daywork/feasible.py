"""Is a plan feasible? Asked minute by minute from the plan, with nothing shared with the solver's model but the day itself."""

from collections import defaultdict

from proofpan.science.daywork.kitchen import places_taken
from proofpan.science.daywork.model import DayModel
from proofpan.science.daywork.planned import DayPlan, PlannedTask
from proofpan.science.daywork.task import Task
from proofpan.science.daywork.words import say_minutes


def check(model: DayModel, plan: DayPlan) -> tuple[str, ...]:
    """Everything in a plan that can't or mustn't be, a sentence each; empty when the plan is sound.

    Counted minute by minute: people, breaks, opening hours, things, places in ovens; checked pair by pair: waits, heat of the
    ovens, plates served together; added up along each food's way: minutes in the danger zone. What happened before a re-plan
    (lines marked started) is not judged against itself, only what follows from it.
    """
    lines = {x.key: x for x in plan.tasks}
    faults = missing(model, plan)
    if faults:
        return faults
    found: list[str] = []
    for look in (lengths, waits, people, things, ovens, plates, danger):
        found += look(model, lines)
    return tuple(dict.fromkeys(found))


def missing(model: DayModel, plan: DayPlan) -> tuple[str, ...]:
    """Tasks without a line, lines without a task, and lines twice."""
    keys, planned = [t.key for t in model.tasks], [x.key for x in plan.tasks]
    return tuple(
        [f"{k} isn't planned" for k in keys if k not in planned]
        + [f"{k} is planned but isn't a task" for k in planned if k not in keys]
        + [f"{k} is planned twice" for k in sorted(set(planned)) if planned.count(k) > 1]
    )


def lengths(model: DayModel, lines: dict[str, PlannedTask]) -> list[str]:
    """Lengths, fixed times, deadlines, attendance, loads starting together."""
    found = []
    starts: dict[str, set[int]] = defaultdict(set)
    for task in model.tasks:
        line = lines[task.key]
        if line.started:
            continue
        if line.end_min - line.start_min != task.minutes:
            found.append(f"{task.words}: planned for {line.end_min - line.start_min} min instead of {task.minutes}")
        if line.start_min < 0 or line.end_min > model.horizon:
            found.append(f"{task.words}: outside the day")
        if task.fixed_start is not None and line.start_min != task.fixed_start:
            found.append(f"{task.words}: doesn't start at {model.say_time(task.fixed_start)}")
        if task.not_before is not None and line.start_min < task.not_before:
            found.append(f"{task.words}: starts before {model.say_time(task.not_before)}")
        if task.not_after is not None and line.end_min > task.not_after:
            found.append(f"{task.words}: done after {model.say_time(task.not_after)}")
        if model.opening:
            held = line.start_min + task.hold_minutes
            if task.stays_in_opening_hours and not any(a <= line.start_min and held <= b for a, b in model.opening):
                found.append(f"{task.words}: runs while nobody is in")
            for a, b in task.busy:
                if not any(o <= line.start_min + a and line.start_min + b <= c for o, c in model.opening):
                    found.append(f"{task.words}: hands outside opening hours")
        if task.group is not None:
            starts[task.group].add(line.start_min)
    for name, times in starts.items():
        whole = all(not lines[t.key].started for t in model.tasks if t.group == name)
        if whole and len(times) > 1:
            found.append(f"load {name}: its tasks don't start together")
    return found


def waits(model: DayModel, lines: dict[str, PlannedTask]) -> list[str]:
    """Least and greatest waits between tasks."""
    found = []
    for task in model.tasks:
        line = lines[task.key]
        if line.started:
            continue
        for link in task.after:
            before = lines[link.task]
            wait = line.start_min - (before.start_min if link.of == "start" else before.end_min)
            if wait < link.min_wait:
                found.append(f"{task.words}: starts {wait} min after {link.task}, at least {link.min_wait} wanted")
            if link.max_wait is not None and wait > link.max_wait:
                found.append(f"{task.words}: starts {wait} min after {link.task}, at most {link.max_wait} allowed")
    return found


def people(model: DayModel, lines: dict[str, PlannedTask]) -> list[str]:
    """One pair of hands a person, none in a break, and only people who may."""
    found = []
    hands: dict[tuple[str, int], set[str]] = defaultdict(set)
    fresh: set[tuple[str, int]] = set()
    for task in model.tasks:
        line = lines[task.key]
        if not line.started and task.busy:
            allowed = model.people_for(task)
            if not line.who or any(n not in allowed for n in line.who):
                found.append(f"{task.words}: nobody who may do it")
            if task.everyone and set(line.who) != set(allowed):
                found.append(f"{task.words}: not everyone is there")
            if not task.everyone and len(line.who) > 1:
                found.append(f"{task.words}: more people than it takes")
        for name in line.who:
            for a, b in task.busy:
                for minute in range(line.start_min + a, line.start_min + b):
                    # one person puts a whole load in and takes it out: that is one job
                    hands[name, minute].add(task.key if task.group is None or line.started else f"load {task.group}")
                    if not line.started:
                        fresh.add((name, minute))
    for (name, minute), jobs in sorted(hands.items()):
        if (name, minute) not in fresh:
            continue
        if len(jobs) > 1:
            found.append(f"{name}: two things at once ({', '.join(sorted(jobs))})")
        if any(a <= minute < b for p in model.kitchen.people if p.name == name for a, b in p.breaks):
            found.append(f"{name}: works in a break ({', '.join(sorted(jobs))})")
    return found


def things(model: DayModel, lines: dict[str, PlannedTask]) -> list[str]:
    """No more bowls, hobs, litres than there are, at any minute."""
    found = []
    for name, capacity in model.kitchen.resources:
        changes: list[tuple[int, int, bool]] = []
        for task in model.tasks:
            for need in task.needs:
                if need.name != name:
                    continue
                line, last = lines[task.key], task if need.until is None else model.task(need.until)
                until = held_until(last, lines[last.key])
                changes += [(line.start_min, need.amount, line.started), (until, -need.amount, line.started)] if until > line.start_min else []
        for gone in model.kitchen.blocked:
            if gone.name == name:
                changes += [(gone.start, gone.amount, False), (gone.end, -gone.amount, False)]
        used = 0
        # what ends at a minute is free before what starts at it
        for minute, amount, past in sorted(changes, key=lambda c: (c[0], c[1])):
            used += amount
            if amount > 0 and used > capacity and not past:
                found.append(f"{name}: {used} wanted at {model.say_time(minute)}, there are {capacity}")
    return found


def held_until(task: Task, line: PlannedTask) -> int:
    """The minute to which a task holds its things: its latest end, or the real one where it has begun."""
    return line.end_min if line.started else line.start_min + task.hold_minutes


def ovens(model: DayModel, lines: dict[str, PlannedTask]) -> list[str]:
    """Ovens that exist, have the room, are hot when a load goes in, and hold one temperature at a time."""
    found = []
    for task in model.tasks:
        line = lines[task.key]
        if task.oven is not None and not line.started and line.oven not in model.ovens_for([task]):
            found.append(f"{task.words}: not in an oven that can take it")
    for oven in model.kitchen.ovens:
        here = [(t, lines[t.key]) for t in model.tasks if t.oven is not None and lines[t.key].oven == oven.name]
        for task, line in here:
            if line.started or task.oven is None:
                continue
            heat = task.oven.temperature_c
            opens = next((a for a, b in model.opening if a <= line.start_min < b and task.stays_in_opening_hours), 0)
            if line.start_min < opens + oven.change_minutes(oven.start_c, heat):
                found.append(f"{task.words}: goes into a cold oven")
            inside = 0
            for other, beside in here:
                if beside.start_min <= line.start_min < held_until(other, beside):
                    inside += places_taken(other.oven, oven) if other.oven else 0
                if other is task or other.oven is None or (task.group is not None and task.group == other.group and not beside.started):
                    continue
                together = task.group is None and other.group is None and other.oven.temperature_c == heat
                if together or not (beside.started or (beside.start_min, other.key) < (line.start_min, task.key)):
                    continue
                ready = held_until(other, beside) + oven.change_minutes(other.oven.temperature_c, heat)
                if line.start_min < ready:
                    heat_now = other.oven.temperature_c
                    found.append(f"{task.words}: the oven {oven.name} is still at {heat_now} °C, or full, with {other.words}")
            if inside > oven.total_places:
                found.append(f"{oven.name}: {inside} places wanted at {model.say_time(line.start_min)}, it has {oven.total_places}")
    return found


def plates(model: DayModel, lines: dict[str, PlannedTask]) -> list[str]:
    """Plates of a serve group ready within the window, and by the time they are eaten."""
    found, at = [], dict(model.serve_at)
    for name in sorted({t.serve_group for t in model.tasks if t.serve_group is not None}):
        ready = [(lines[t.key].end_min, lines[t.key].started) for t in model.tasks if t.serve_group == name]
        if all(past for _, past in ready):
            continue
        spread = max(r for r, _ in ready) - min(r for r, _ in ready)
        window = model.window_of(name)
        if window is not None and spread > window:
            found.append(f"{name}: plates ready {spread} min apart, at most {window} allowed")
        for minute, past in ready:
            if name in at and not past and minute > at[name]:
                found.append(f"{name}: a plate is ready after {model.say_time(at[name])}")
            if name in at and not past and window is not None and minute < at[name] - window:
                found.append(f"{name}: a plate is ready too long before {model.say_time(at[name])}")
    return found


def danger(model: DayModel, lines: dict[str, PlannedTask]) -> list[str]:
    """Minutes in the danger zone along each food's way, against the authority's limit."""
    found = []
    tasks = {t.key: t for t in model.tasks}
    for key, minutes in counted(model, lines).items():
        if minutes > model.zone.limit_minutes and not lines[key].started:
            limit = say_minutes(model.zone.limit_minutes)
            found.append(f"{tasks[key].words}: {say_minutes(minutes)} in the danger zone, at most {limit} ({model.zone.name})")
    return found


def zone_minutes(model: DayModel, plan: DayPlan) -> dict[str, int]:
    """Minutes that the food of each task has been in the danger zone by its end, by the authority's temperatures."""
    return counted(model, {line.key: line for line in plan.tasks})


def counted(model: DayModel, lines: dict[str, PlannedTask]) -> dict[str, int]:
    """The same of lines by their keys."""
    tasks = {t.key: t for t in model.tasks}
    total: dict[str, int] = {}

    def minutes(key: str) -> int:
        if key not in total:
            task, line = tasks[key], lines[key]
            own = line.end_min - line.start_min if model.in_zone(task) else 0
            came = [0]
            for link in task.after:
                wait = line.start_min - lines[link.task].end_min if model.in_zone(link) else 0
                if tasks[link.task].food is None:       # out of the heat: a new count, and the wait before this task is in it
                    came.append(wait)
                elif task.food is not None or wait:     # into the heat: the wait for it is the last that counts
                    came.append(minutes(link.task) + wait)
            total[key] = own + max(came)
        return total[key]

    return {key: minutes(key) for key in tasks}
