"""Plates that were served and have no mark: how many, whose, and whether the verdict feels it."""

from __future__ import annotations

from collections import Counter

from proofpan.steps.observing import active_ballots
from proofpan.study.study import Study
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, joined

SCARCE = 0.5        # of a trial's plates; below it the trial is named
FEW = 0.1           # of all plates (common practice, no source)
MOST_NAMED = 4

Plate = tuple[int, int, str, int]   # round, trial, taster, pass


def untasted_plates(study: Study) -> list[str]:
    """How many plates have no mark, whose, and whether it matters; none where no plate has one yet.

    A round's own plates are counted; of a round without any (trials from a file) nobody knows who was served what.
    """
    marked = {(b.round, b.trial, b.taster, b.pass_) for b in active_ballots(study)}
    served = _served(study, marked)
    missing = served - marked
    if not missing:
        return []
    whose = _whose(study, served, missing)
    if {p[2] for p in missing} - set(study.tasters):        # marks of one who left are kept and not used
        how_many = say_counted(len(missing), "{number} of {served} plates has no mark that counts ({whose}).",
                               "{number} of {served} plates have no mark that counts ({whose}).", served=len(served), whose=whose)
    else:
        how_many = say_counted(len(missing), "{number} of {served} plates has no mark ({whose}).", "{number} of {served} plates have no mark ({whose}).",
                               served=len(served), whose=whose)
    return [f"{how_many} {_matters(served, missing)}"]


def _served(study: Study, marked: set[Plate]) -> set[Plate]:
    cooked = {t.key for t in study.cooked if not t.failed}
    tasted = {r for r, _, _, _ in marked}
    planned = {(r.number, p.trial, p.taster, p.pass_) for r in study.rounds for p in r.plates}
    return {p for p in planned if p[0] in tasted and p[:2] in cooked}


def _whose(study: Study, served: set[Plate], missing: set[Plate]) -> str:
    """`Bo 4 of 6, Cy, who left, 2 of 6`, most first; of many only the first few by name."""
    had, lacks = Counter(p[2] for p in served), Counter(p[2] for p in sorted(missing))
    here = set(study.tasters)
    said = [say("{taster}, who left, {missing} of {had}", taster=name, missing=count, had=had[name]) if name not in here
            else say("{taster} {missing} of {had}", taster=name, missing=count, had=had[name]) for name, count in lacks.most_common()]
    return joined(said) if len(said) <= MOST_NAMED else joined([*said[:MOST_NAMED - 1], say("{number} others", number=len(said) - MOST_NAMED + 1)])


def _matters(served: set[Plate], missing: set[Plate]) -> str:
    """Whether it matters: trials without a mark, trials that stand on few, else how wide the ranges get."""
    of, gone = Counter(p[:2] for p in served), Counter(p[:2] for p in missing)
    bare = sorted(trial for (round_, trial), n in gone.items() if n == of[round_, trial])
    scarce = sorted(trial for (round_, trial), n in gone.items() if of[round_, trial] - n < SCARCE * of[round_, trial])
    if bare:
        return say_counted(len(bare), "{trials} has none at all and says nothing yet.", "{trials} have none at all and say nothing yet.",
                           trials=capital(_trials(bare)))
    if scarce:
        return say_counted(len(scarce), "{trials} stands on fewer than half its marks: read it with that in mind.",
                           "{trials} stand on fewer than half their marks: read them with that in mind.", trials=capital(_trials(scarce)))
    if len(missing) <= FEW * len(served):
        return say("Every trial has at least half its marks: it matters little.")
    return say("Every trial has at least half its marks; nothing is put in their place, so the ranges are wider.")


def _trials(numbers: list[int]) -> str:
    if len(numbers) > MOST_NAMED:
        return say("{number} trials", number=len(numbers))
    return say_counted(len(numbers), "trial {trials}", "trials {trials}", trials=joined(map(str, numbers)))
