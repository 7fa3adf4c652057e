"""What a day's order ties together: an option that always goes into the oil first can't be told from fresh oil."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np

from proofpan.steps.cautions import cooking_cautions
from proofpan.steps.observing import cooked_of
from proofpan.study.day import DayTask
from proofpan.study.recipe import Step
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.versions import complete
from proofpan.study.wording import say
from proofpan.study.words import joined, option_words

_FAT = re.compile(r"\b(fry|fries|fried|deep[- ]fr\w+)\b", re.I)


def before_cooking(study: Study, round_: Round, tasks: Sequence[DayTask], steps: Mapping[str, Step]) -> tuple[str, ...]:
    """What is said before anything is cooked: what the round can't tell apart, then what this day's order can't; safety has its own place."""
    safety = set(cooking_cautions(study, dict.fromkeys(t.version for t in round_.trials)))
    return (*(c for c in round_.cautions if not any(c in s for s in safety)), *tied_to_the_pot(study, round_, tasks, steps))


def tied_to_the_pot(study: Study, round_: Round, tasks: Sequence[DayTask], steps: Mapping[str, Step]) -> list[str]:
    """A sentence for each factor whose options go into one pot of fat in turns that a steady change of the fat would pass for.

    Parameters: tasks, the day's; steps, the recipe's step of each cooking task.
    Source: the rule for days of `science.versions.aliases`, the turn in the pot taken as the day: A, A, B, B is tied, A, B, B, A isn't.
    """
    from proofpan.science.versions import aliases

    frying = sorted((t for t in tasks if t.task in steps and steps[t.task].hob and _FAT.search(steps[t.task].do)), key=lambda t: t.start)
    turn: dict[int, int] = {}
    for number, task in enumerate(frying):
        for trial in task.trials:
            turn.setdefault(trial, number)
    trials = [t for t in round_.trials if t.trial in turn]
    cooked = cooked_of(study)
    keys = [complete(study.brief, t.version) for t in trials]
    if len(set(turn.values())) < 2 or any(k not in cooked.index for k in keys):
        return []
    found = aliases(cooked.space, np.array([cooked.index[k] for k in keys]), day=np.array([turn[t.trial] for t in trials]))
    out = []
    for alias in found:
        order = dict.fromkeys(t.version[alias.factor] for t in sorted(trials, key=lambda t: turn[t.trial]) if alias.factor in t.version)
        out.append(say("{factor}: {options} go into the fat in that order, and fat changes as it is used: a difference may be the fat, not the option. Fry "
                       "in the order A, B, B, A, half of each at a time, or begin each with fresh fat.", factor=alias.factor,
                       options=joined(option_words(alias.factor, o) for o in order)))
    return out
