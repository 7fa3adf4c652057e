"""From a round's trials to the day's tasks: what several trials share is done once, an oven load goes in together."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from proofpan.steps.making import recipe_of
from proofpan.study.recipe import Recipe, Step
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.science.daywork import Task

DISHED_UP = "this round"
MIX_MINUTES, PLATE_MINUTES, TASTE_MINUTES = 10, 3, 5
HEATS = ("heat the oven", "preheat")


def day_tasks(study: Study, round_: Round) -> tuple[Task, ...]:
    """Every task of a round: making, resting, baking by load, plating, tasting together."""
    if study.brief.base is None:
        return _plain_tasks(round_)
    recipes = {t.trial: recipe_of(study, t.version) for t in round_.trials}
    tasks: dict[str, Task] = {}
    last: dict[int, str] = {}
    for trial in round_.trials:
        _add_trial(trial, recipes, round_, tasks, last)
    return tuple(tasks.values()) + _served(round_, last)


def _plain_tasks(round_: Round) -> tuple[Task, ...]:
    from proofpan.science.daywork import Task

    makes = tuple(Task(key=f"make {t.trial}", words=f"Make trial {t.trial}.", minutes=MIX_MINUTES, hands=MIX_MINUTES, versions=(str(t.version),))
                  for t in round_.trials)
    return makes + _served(round_, {t.trial: f"make {t.trial}" for t in round_.trials})


def _served(round_: Round, last: dict[int, str]) -> tuple[Task, ...]:
    """Plating each trial, then one tasting of all."""
    from proofpan.science.daywork import After, Task

    plates = [
        Task(key=f"plate {t.trial}", words=f"Portion trial {t.trial} under its codes.", minutes=PLATE_MINUTES, hands=PLATE_MINUTES,
             after=(After(last[t.trial]),), serve_group=DISHED_UP, versions=(str(t.version),)) for t in round_.trials
    ]
    if not plates:
        return ()
    taste = Task(key="taste", words="Taste, each in their own order, rinsing between plates.", minutes=TASTE_MINUTES * len(plates), hands=1,
                 after=tuple(After(p.key) for p in plates), versions=tuple(str(t.version) for t in round_.trials))
    return (*plates, taste)


def _add_trial(trial: PlannedTrial, recipes: dict[int, Recipe], round_: Round, tasks: dict[str, Task], last: dict[int, str]) -> None:
    from dataclasses import replace

    recipe = recipes[trial.trial]
    before: str | None = None
    shared = tuple(sorted(i.text for i in recipe.ingredients))
    trail: tuple[str, ...] = ()
    for step in recipe.method:
        if any(h in step.do.casefold() for h in HEATS):
            continue
        trail = (*trail, _what(step))
        if step.oven is not None:
            task = _oven_task(step, trial, round_, before)
        else:
            key = f"{step.id} {_first_with(shared, trail, recipes, round_, trial)}"
            task = _hand_task(key, step, trial, before)
        if task.key in tasks:
            old = tasks[task.key]
            tasks[task.key] = replace(old, versions=tuple(dict.fromkeys((*old.versions, *task.versions))))
        else:
            tasks[task.key] = task
        before = task.key
    if before is None:
        before = f"make {trial.trial}"
        tasks[before] = _hand_task(before, Step(id="make", do=f"Make trial {trial.trial}."), trial, None)
    last[trial.trial] = before


def _what(step: Step) -> str:
    return f"{step.do}|{step.minutes}|{step.oven.text if step.oven else ''}"


def _first_with(shared: tuple[str, ...], trail: tuple[str, ...], recipes: dict[int, Recipe], round_: Round, trial: PlannedTrial) -> int:
    """The first trial of the round that has the same ingredients and the same steps so far: they are one dough until here.

    Two makes of one version are two batches: a repeat is worth nothing when it shares its dough.
    """
    twins = [t.trial for t in round_.trials if t.version == trial.version]
    nth = twins.index(trial.trial)
    for other in round_.trials:
        recipe = recipes[other.trial]
        if tuple(sorted(i.text for i in recipe.ingredients)) != shared:
            continue
        steps = [s for s in recipe.method if not any(h in s.do.casefold() for h in HEATS)][: len(trail)]
        if tuple(_what(s) for s in steps) == trail and [t.trial for t in round_.trials if t.version == other.version].index(other.trial) == nth:
            return other.trial
    return trial.trial


def _title(words: str) -> str:
    """A step's words without their last stop, cut where they run long."""
    from proofpan.study.errors import shorten

    return shorten(words.rstrip(" ."), 110)


def _whole(value: float) -> int:
    return max(1, round(value))


def _hand_task(key: str, step: Step, trial: PlannedTrial, before: str | None) -> Task:
    from proofpan.science.daywork import After, Need, Task

    low, high = step.minutes or (MIX_MINUTES, MIX_MINUTES)
    minutes = _whole((low + high) / 2)
    waiting = step.rest is not None or step.id.casefold() in ("rest", "cool", "chill", "prove", "proof", "soak", "brine", "stand")
    hands = min(minutes, _whole(step.hands) if step.hands else 0 if waiting and step.hands is None or step.hands == 0 else minutes)
    return Task(
        key=key, words=_title(step.do), minutes=minutes, low_minutes=_whole(low), high_minutes=_whole(high) if step.until else None, hands=hands,
        after=(After(before),) if before else (), needs=(Need("hob"),) if step.hob else (), versions=(str(trial.version),), attended=None,
    )


def _oven_task(step: Step, trial: PlannedTrial, round_: Round, before: str | None) -> Task:
    from proofpan.science.daywork import After, OvenNeed, Task

    assert step.oven is not None
    low, high = step.minutes or (20, 20)
    minutes = _whole((low + high) / 2)
    group = f"load {trial.load or 1} at {step.oven.temperature_c:g} ({step.id})"
    return Task(
        key=f"{step.id} {trial.trial}", words=f"Trial {trial.trial}: {_title(step.do)}", minutes=minutes, low_minutes=_whole(low),
        high_minutes=_whole(high) if step.until else None, hands=min(minutes, _whole(step.hands or 1)),
        oven=OvenNeed(temperature_c=round(step.oven.temperature_c), places=1, tray=trial.tray, place=trial.place),
        after=(After(before),) if before else (), group=group, versions=(str(trial.version),),
    )


def by_load(round_: Round) -> dict[int, list[PlannedTrial]]:
    """The trials of each oven load."""
    out: dict[int, list[PlannedTrial]] = defaultdict(list)
    for t in round_.trials:
        out[t.load or 1].append(t)
    return dict(out)
