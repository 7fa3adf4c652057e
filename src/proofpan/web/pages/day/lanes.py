"""The lanes of the day's picture: a lane a person, an oven, a hob, and what waits by itself, each with its bars in words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from proofpan.study.day import DayPlan, DayTask
from proofpan.study.words import capital

CHARACTER, RIMS = 8.2, 10           # how wide a letter of 15 px is at the most, and what is left free of a bar for its rims
OF_A_TRIAL = {"plate": "Plate", "keep": "Wrap"}
SHORT = {"taste": "Taste"}


@dataclass(frozen=True)
class Bar:
    """One bar: its words, its span, and how it is drawn."""

    words: str
    start: datetime
    end: datetime
    look: str
    slope: bool = False
    short: str = ""
    lines: tuple[str, ...] = ()     # the same on two lines
    step: str = ""
    trials: tuple[int, ...] = ()


def hours(moment: datetime) -> str:
    """`9:05`."""
    return f"{moment.hour}:{moment.minute:02d}"


def state_of(task: DayTask, done: frozenset[str]) -> str:
    """Done, in hand, or to come."""
    return "done" if task.task in done else "now" if task.started else ""


def bar_of(task: DayTask, start: datetime, end: datetime, look: str) -> Bar:
    """A task's bar: in its own words, and in short by its step and trials, `Roll 2, 6`."""
    name, _, number = task.task.rpartition(" ")
    if task.trials:
        step, trials = capital(name), task.trials
    elif name in OF_A_TRIAL and number.isdigit():
        step, trials = OF_A_TRIAL[name], (int(number),)
    else:
        lines = for_the_camera(task.task) if task.kind.startswith("film") else ()
        return Bar(task.what, start, end, look, short=", ".join(lines).replace(", ", " ", 1) or SHORT.get(task.task, task.what), lines=lines)
    return Bar(task.what, start, end, look, short=in_short(step, trials), lines=(step, numbers(trials)), step=step, trials=trials)


def for_the_camera(key: str) -> tuple[str, ...]:
    """`hero 2 bake` is Hero 2, bake; `swap-out 1 roll mix` is Swap-out, mix; `film hero 1 mix` is Film, hero 1 mix."""
    found = re.match(r"(hero(?: \d+)?|swap-out|film|bite|stand-in)(?: \d+)?\s*(.*)$", key)
    if found is None:
        return ()
    rest = found[2].rpartition(" ")[2] if found[1] == "swap-out" else found[2]
    return tuple(w for w in (capital(found[1]), rest) if w)


def in_short(step: str, trials: tuple[int, ...]) -> str:
    """`Roll 2, 6`."""
    return f"{step} {numbers(trials)}" if step else ""


def numbers(trials: tuple[int, ...]) -> str:
    """`2, 6`."""
    return ", ".join(map(str, trials))


def run_together(bars: list[Bar]) -> list[Bar]:
    """Bars of one lane in order, those that are the same step one right after another as one: four plates of three minutes are one bar to read."""
    out: list[Bar] = []
    for bar in sorted(bars, key=lambda b: (b.start, b.end)):
        last = out[-1] if out else None
        if last is not None and bar.step and (bar.step, bar.look) == (last.step, last.look) and bar.start <= last.end + timedelta(minutes=1):
            trials = tuple(sorted({*last.trials, *bar.trials}))
            short = in_short(bar.step, trials)
            out[-1] = Bar(short, last.start, max(last.end, bar.end), bar.look, short=short, lines=(bar.step, numbers(trials)), step=bar.step, trials=trials)
        else:
            out.append(bar)
    return out


def side_by_side(bars: list[Bar]) -> list[Bar]:
    """What waits by itself, the same step over the same minutes as one."""
    groups: dict[tuple[str, datetime, datetime, str], list[Bar]] = {}
    for bar in bars:
        groups.setdefault((bar.step or bar.words, bar.start, bar.end, bar.look), []).append(bar)
    return [run_together(found)[0] for found in groups.values()]


def bars_of(plan: DayPlan, done: frozenset[str]) -> list[tuple[str, list[Bar]]]:
    """Lanes in order: people (their busy minutes), ovens (heating, loads), other places, what waits."""
    people: dict[str, list[Bar]] = {}
    places: dict[str, list[Bar]] = {}
    alone: list[Bar] = []
    loads: dict[tuple[str, str, datetime], list[DayTask]] = {}
    ovens = list(dict.fromkeys(t.oven for t in plan.ovens))
    for task in plan.day_tasks:
        state = state_of(task, done)
        until = task.hands_until or task.end
        for name in task.people:
            people.setdefault(name, []).append(bar_of(task, task.start, until, f"bar {state}"))
        if task.resource in ovens and task.load:
            loads.setdefault((task.resource, task.load, task.start), []).append(task)
        elif task.resource:
            places.setdefault(task.where, []).append(bar_of(task, task.start, task.end, f"bar place {state}"))
        elif until < task.end or not task.people:
            alone.append(bar_of(task, until if task.people else task.start, task.end, f"bar wait {state}"))
    for turn in plan.ovens:
        places.setdefault(turn.oven, []).append(Bar(f"to {turn.set_to.split()[0]}", turn.turn, turn.ready, "bar wait", slope=True))
    for (oven, load, start), tasks in loads.items():
        state = "done" if all(t.task in done for t in tasks) else "now" if any(t.started for t in tasks) else ""
        name = load.split(" at ")[0].capitalize()
        places.setdefault(oven, []).append(Bar(f"{name}: {len(tasks)}", start, max(t.end for t in tasks), f"bar place {state}"))
    lanes = [(name, run_together(bars)) for name, bars in (*sorted(people.items()), *sorted(places.items()))]
    return [*lanes, *stacked(side_by_side(alone))]


def stacked(bars: list[Bar]) -> list[tuple[str, list[Bar]]]:
    """What waits by itself, on as many lanes as overlap."""
    lanes: list[list[Bar]] = []
    for bar in sorted(bars, key=lambda b: (b.start, b.end)):
        lane = next((x for x in lanes if x[-1].end <= bar.start), None)
        if lane is None:
            lanes.append([bar])
        else:
            lane.append(bar)
    return [("Waiting" if i == 0 else "", lane) for i, lane in enumerate(lanes[:6])]


def of_the_day(plan: DayPlan) -> DayPlan:
    """The plan without what is tasted days later."""
    tasks = tuple(t for t in plan.day_tasks if t.kind != "keep" or t.start.date() == plan.day_tasks[0].start.date())
    return plan.model_copy(update={"day_tasks": tasks})


def words_on(bar: Bar, width: float, free: float) -> tuple[tuple[str, ...], bool]:
    """A bar's words on one line or two, and whether they stand in it: else beside it, where nothing else stands, else its trials alone, else cut.

    Parameters: width, of the bar; free, up to the next bar's start; both in the picture's units.
    """
    room, beside = int((width - RIMS) / CHARACTER), int((free - RIMS) / CHARACTER)
    short = bar.short or bar.words
    choices: list[tuple[tuple[str, ...], int, bool]] = [
        ((bar.words,), room, True), ((short,), room, True), (bar.lines, room, True), ((short,), beside, False), (bar.lines, beside, False),
        ((numbers(bar.trials),), room, True), ((numbers(bar.trials),), beside, False)]
    fits = next(((lines, inside) for lines, chars, inside in choices if any(lines) and max(map(len, lines)) <= chars), None)
    return fits or ((f"{short[: room - 1]}…",) if room > 4 else (), True)
