"""How warm the plates are when they are tasted: from what each step says, the mass of a piece, and how long it has been out."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import pi
from typing import TYPE_CHECKING

from proofpan.study.day import DayTask
from proofpan.study.recipe import Recipe, Step
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.study import Study
from proofpan.study.wording import say

if TYPE_CHECKING:
    from proofpan.science.daywork import Task
    from proofpan.steps.day_tasks import DayWork

# What leaves the oven moist is near boiling at its middle where no step says otherwise; common practice, no source.
BAKED_C, ROOM_C = 95.0, 20.0
# Still air and radiation over a warm piece, W/(m² K); heat held by moist food, J/(kg K): common practice, no source.
AIR_W, HELD_J, DENSE = 12.0, 3300.0, 1000.0
UNEQUAL_MINUTES, UNEQUAL_C = 10, 5.0
_CORE = re.compile(r"(\d{2,3})\s*(?:°\s*)?([CF])\b")
_PIECES = re.compile(r"^\s*(\d+)")
_COLD = re.compile(r"\b(fridge|refrigerat\w*|chill\w*|freez\w*|cool|cooled|cold)\b", re.I)


def out_c(step: Step) -> float:
    """Degrees Celsius of the food as a step ends: the core temperature of its cue, else what baked things have."""
    found = _CORE.search(step.until or "")
    if found is None:
        return BAKED_C
    degrees = float(found[1])
    return round((degrees - 32) / 1.8, 1) if found[2] == "F" else degrees


def cooling_minutes(piece_g: float) -> float:
    """The time constant of a piece's cooling in still air.

    Parameters: piece_g, its mass.
    Source: Newton's law of cooling, a lumped body τ = m c / (h A), here a ball of the piece's mass (Incropera et al., Fundamentals of Heat and
        Mass Transfer, ch. 5; from memory). A flat piece cools sooner, one under foil later.
    """
    radius_m = (3 * max(piece_g, 1.0) / 1000 / (4 * pi * DENSE)) ** (1 / 3)
    return HELD_J * DENSE * radius_m / (3 * AIR_W) / 60


def piece_g(study: Study, recipe: Recipe, trial: PlannedTrial) -> float:
    """Grams of one piece of a trial: its test batch over the number that it makes."""
    from proofpan.steps.day_sums import Sum, batch_of

    total = Sum()
    for line in recipe.ingredients:
        total.add(line, 1.0, study.brief.kitchen.country)
    made = recipe.makes if trial.size == "full" or recipe.trial_makes is None else recipe.trial_makes
    pieces = _PIECES.match(made or "")
    share = batch_of(study, trial)
    return (total.grams + total.millilitres) * share / max(1, int(pieces[1]) if pieces else 1)


def with_temperatures(study: Study, work: DayWork) -> dict[str, Task]:
    """The tasks, those of each trial's last oven with the food's temperature as they end and how fast it cools.

    A piece weighs what the base recipe's does: versions are made in one size, and a brine's water is no part of what is served.
    """
    tasks, base = dict(work.tasks), study.brief.base
    for key, trials in work.trials.items():
        task, step = tasks[key], work.steps[key]
        recipe = work.recipes.get(trials[0].trial)
        if task.oven is not None and recipe is not None and warm_when_served(recipe, step):
            tasks[key] = replace(task, out_c=out_c(step), cooling_minutes=round(cooling_minutes(piece_g(study, base or recipe, trials[0])), 1))
    return tasks


def warm_when_served(recipe: Recipe, step: Step) -> bool:
    """Whether a step is the last in an oven, and nothing after it goes on the hob, cools or goes into the cold."""
    at = next((i for i, s in enumerate(recipe.method) if s.id == step.id), len(recipe.method))
    return all(s.oven is None and not s.hob and not _COLD.search(f"{s.rest or ''} {s.do}") for s in recipe.method[at + 1 :])


def served_words(tasks: Sequence[DayTask], round_: Round, model: Mapping[str, Task]) -> list[str]:
    """How unequally old and warm the plates are when the last is ready, where the oven empties in turns: the taster would taste that too."""
    from proofpan.science.daywork import cooled_c

    at = {t.task: t for t in tasks}
    out = {t.trial: max((x.end for x in tasks if x.load and x.task.endswith(f" {t.trial}")), default=None) for t in round_.trials}
    plates = {t.trial: at.get(f"plate {t.trial}") for t in round_.trials}
    table = max((p.end for p in plates.values() if p is not None), default=None)
    if table is None or len([1 for x in out.values() if x]) < 2:
        return []
    ages = [int((table - x).total_seconds() // 60) for x in out.values() if x is not None]
    lasts = [max((t for t in tasks if t.load and t.task.endswith(f" {n}")), key=lambda t: t.end) for n, x in out.items() if x is not None]
    warm = [cooled_c(model[t.task], (table - t.end).total_seconds() / 60) for t in lasts
            if model[t.task].out_c is not None and model[t.task].cooling_minutes is not None]
    said = {"low": min(ages), "high": max(ages)}
    if len(warm) == len(lasts):
        said |= {"cool": round(min(warm)), "hot": round(max(warm))}
        if said["hot"] - said["cool"] >= UNEQUAL_C:
            return [say("When the last plate is ready they have been out of the oven for {low} to {high} minutes and are at about {cool} to {hot} °C "
                        "(worked out for still air of 20 °C): bring them to one temperature before they are tasted.", **said)]
        if max(ages) - min(ages) >= UNEQUAL_MINUTES:
            return [say("When the last plate is ready they have been out of the oven for {low} to {high} minutes, all at about {hot} °C (worked out for "
                        "still air of 20 °C).", **said)]
        return []
    if max(ages) - min(ages) < UNEQUAL_MINUTES:
        return []
    return [say("Plates have been out of the oven for {low} to {high} minutes: serve them all at one temperature.", **said)]
