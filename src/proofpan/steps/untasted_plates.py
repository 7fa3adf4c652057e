"""Plates that were laid and never tasted: how many, whose, and whether the verdict feels it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from proofpan.study.study import Study
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, joined

if TYPE_CHECKING:
    from proofpan.steps.judged import Judged
    from proofpan.study.rounds import PlateCode

SCARCE = 0.5        # of a trial's plates; below it the trial is named
MOST_NAMED = 4
FEW = 0.1           # of all plates (common practice, no source)


def untasted_plates(judged: Judged) -> list[str]:
    """A sentence where a round that was tasted has plates without a mark."""
    study = judged.study
    if not any(not a.measured for a in study.attributes):
        return []
    laid = laid_plates(study)
    tasted = {(b.round, b.trial, b.taster, b.pass_) for b in study.ballot_records}
    missing = [(round_, p) for round_, p in laid if (round_, p.trial, p.taster, p.pass_) not in tasted]
    if not missing:
        return []
    by_trial = Counter((round_, p.trial) for round_, p in laid)
    gone = Counter((round_, p.trial) for round_, p in missing)
    left = {key: (by_trial[key] - gone[key], by_trial[key]) for key in gone}
    how_many = say_counted(len(missing), "{number} of {laid} plates has no mark ({who}).", "{number} of {laid} plates have no mark ({who}).",
                           laid=len(laid), who=_who(study, laid, missing))
    return [f"{how_many} {_matters(left, len(missing) / len(laid))}"]


def laid_plates(study: Study) -> list[tuple[int, PlateCode]]:
    """(round, plate) of every plate that could be tasted: its round has marks, its trial was made and didn't fail."""
    begun = {b.round for b in study.ballot_records}
    made = {t.key for t in study.cooked if not t.failed}
    return [(r.number, p) for r in study.rounds if r.number in begun for p in r.plates if (r.number, p.trial) in made]


def _who(study: Study, laid: list[tuple[int, PlateCode]], missing: list[tuple[int, PlateCode]]) -> str:
    """`Nela 4 of 6`, `Odo, who left, 2 of 6`, most first; of many only the first few by name."""
    had, lacks = Counter(p.taster for _, p in laid), Counter(p.taster for _, p in missing)
    gone = {t.name for t in study.brief.tasters if t.left is not None}
    said = [say("{taster}, who left, {missing} of {had}", taster=name, missing=count, had=had[name]) if name in gone
            else say("{taster} {missing} of {had}", taster=name, missing=count, had=had[name]) for name, count in lacks.most_common()]
    return joined(said) if len(said) <= MOST_NAMED else joined([*said[:MOST_NAMED - 1], say("{number} others", number=len(said) - MOST_NAMED + 1)])


def _matters(left: dict[tuple[int, int], tuple[int, int]], share: float) -> str:
    """Whether it matters: trials without a mark, trials that stand on few, else how wide the ranges get."""
    bare = sorted(trial for (_, trial), (there, _) in left.items() if there == 0)
    if bare:
        trials = _trials(bare)
        return say_counted(len(bare), "{trials} has no mark at all and says nothing yet.", "{trials} have no mark at all and say nothing yet.",
                           trials=capital(trials))
    scarce = sorted(trial for (_, trial), (there, of) in left.items() if there < SCARCE * of)
    if scarce:
        return say_counted(len(scarce), "{trials} stands on fewer than half its plates: read it with that in mind.",
                           "{trials} stand on fewer than half their plates: read them with that in mind.", trials=capital(_trials(scarce)))
    if share <= FEW:
        return say("Every trial kept at least half its marks: it matters little.")
    return say("Every trial kept at least half its marks; the ranges are wider for what is missing.")


def _trials(numbers: list[int]) -> str:
    if len(numbers) > MOST_NAMED:
        return say("{number} trials", number=len(numbers))
    return say_counted(len(numbers), "trial {trials}", "trials {trials}", trials=joined(map(str, numbers)))
