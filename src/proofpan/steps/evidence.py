"""What the notebook knows of an option or an ingredient: every study's answer, pooled with how much they differ."""

from __future__ import annotations

import re
from collections.abc import Sequence

from proofpan.steps.verdict import judge
from proofpan.study.ballots import OVERALL
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.verdict import AVERAGED, EffectRow
from proofpan.study.words import better_or_worse, counted, option_words, points

Z95 = 1.959963984540054


class StudyEvidence(Doc):
    """One study's answer on an option."""

    study: str
    option: str
    against: str
    difference: float
    se: float
    outcome: str


class Pooled(Doc):
    """All studies' answers together."""

    option: str
    studies: tuple[StudyEvidence, ...]
    estimate: float | None = None
    low: float | None = None
    high: float | None = None
    prediction: tuple[float, float] | None = None
    i2: float | None = None
    says: tuple[str, ...] = ()


def pooled_evidence(studies: Sequence[Study], option: str) -> Pooled:
    """An option over studies, by random effects (REML, Hartung–Knapp intervals).

    Parameters: studies, of the notebook; option, its name (case is forgiven); each study's row is the option against its plain one. Where no
        option has that name, the one that is said with it (malt: `10 g malt syrup`).
    """
    found = [e for s in studies for e in _of(s, option)]
    if not found:
        return Pooled(option=option, studies=(), says=(f"No study of the notebook has tasted “{option}” against another option yet.",))
    if len(found) == 1:
        one = found[0]
        says = (f"One study knows {one.option} against {one.against}: {better_or_worse(one.difference)} ({one.study}); {one.outcome} there.",)
        return Pooled(option=option, studies=tuple(found), estimate=one.difference, low=one.difference - Z95 * one.se,
                      high=one.difference + Z95 * one.se, says=says)
    from proofpan.science.pooling import random_effects

    pooled = random_effects([e.difference for e in found], [e.se**2 for e in found], method="reml", interval="hartung_knapp", level=0.95)
    wide = "; kitchens and dishes differ more than chance, so expect another dish to differ too" if pooled.I2 > 50 else ""
    says = (
        f"{counted(len(found), 'study', 'studies')} know {option}: {better_or_worse(pooled.estimate)} on average "
        f"({points(pooled.low)} {'worse' if pooled.low < 0 else 'better'} to {points(pooled.high)} "
        f"{'worse' if pooled.high < 0 else 'better'}){wide}.",
    )
    return Pooled(option=option, studies=tuple(found), estimate=pooled.estimate, low=pooled.low, high=pooled.high,
                  prediction=(pooled.prediction_low, pooled.prediction_high), i2=pooled.I2, says=says)


def _of(study: Study, option: str) -> list[StudyEvidence]:
    if not study.ballot_records and not study.reading_records:
        return []
    meant = _meant(study, option.casefold())
    if not meant:
        return []
    out = []
    for row in judge(study).effect_rows:
        if row.attribute != OVERALL or row.at != AVERAGED:
            continue
        factor = study.brief.factor(row.factor)
        if factor is None or factor.plain.name not in (row.option, row.against):
            continue
        sign = 1 if (row.factor, row.option) in meant else -1 if (row.factor, row.against) in meant else 0
        if sign:
            out.append(_entry(study, row, sign))
    return out


def _meant(study: Study, wanted: str) -> set[tuple[str, str]]:
    """The options of that name; else the one option that is said with those words, as malt is of `10 g malt syrup`."""
    named = {(f.name, o.name) for f in study.factors for o in f.options if o.name.casefold() == wanted}
    if named:
        return named
    whole = re.compile(rf"(?<!\w){re.escape(wanted)}(?!\w)")
    said = {(f.name, o.name) for f in study.factors for o in f.options
            if o.name != f.plain.name and whole.search(option_words(f.name, o.name).casefold())}
    return said if len(said) == 1 else set()  # of several nobody knows which is meant


def _entry(study: Study, row: EffectRow, sign: int) -> StudyEvidence:
    width = row.high - row.low
    z = Z95 if row.asks == "best" else 1.6448536269514722
    one, other = (row.option, row.against) if sign > 0 else (row.against, row.option)
    return StudyEvidence(study=study.title, option=one, against=other, difference=sign * row.difference, se=max(width / (2 * z), 1e-6),
                         outcome=row.outcome)
