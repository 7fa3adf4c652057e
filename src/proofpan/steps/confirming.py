"""The confirming analysis: a mixed model of what was marked, beside the posterior over versions, and where the two disagree.

None of it needs to be understood by the cook: each row is one plain sentence first, its figures behind.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from proofpan.steps.elsewhere import compared_elsewhere
from proofpan.steps.observing import cooked_of, overall_points
from proofpan.steps.rounds import points_per_score
from proofpan.study.ballots import OVERALL
from proofpan.study.elsewhere import weight_of_round
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.verdict import AVERAGED, EffectRow, Verdict
from proofpan.study.wording import say
from proofpan.study.words import capital, counted, option_words, points

LEAST_ROWS = 8
GRADES_AT_MOST = 12


class Confirmed(Doc):
    """One answer by both ways."""

    factor: str
    option: str
    against: str
    difference: float
    low: float
    high: float
    df: float
    p: float
    posterior: float
    agrees: bool
    says: str


class Confirming(Doc):
    """The rows, what the model could hold, and a sentence on the whole."""

    rows: tuple[Confirmed, ...] = ()
    left_out: tuple[str, ...] = ()
    no_spread: tuple[str, ...] = ()      # random terms whose variance came out as 0
    grades_disagree: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    method: str = ("Linear mixed model by REML: what varies as fixed main effects; taster, taster × version, load and trial at random, "
                   "each as far as the data can tell it; Satterthwaite degrees of freedom; differences of marginal means, unadjusted.")


def confirm(study: Study, verdict: Verdict) -> Confirming:
    """The mixed model's answers beside the verdict's, for every pair of options that it answers.

    Parameters: verdict, of the same study.
    """
    from proofpan.science.mixed import MixedError, Model, fit_what_can_be_told, pairwise

    rows = [r for r in verdict.effect_rows if r.attribute == OVERALL and r.at == AVERAGED and "×" not in r.factor]
    columns, varied = _columns(study)
    if len(columns["points"]) < LEAST_ROWS or not varied:
        return Confirming(says=(say("Too few marks for a second analysis: the verdict stands alone."),))
    model = Model(response="points", fixed=tuple(varied), levels=varied, coding="sum",
                  random=("taster", "taster:version", "load", "trial"))
    try:
        reduced = fit_what_can_be_told(columns, model)
        called = {f"factor {i}": f.name for i, f in enumerate(study.factors)}
        found = {(called[factor], e.name): e for factor in varied for e in pairwise(reduced.fit, factor, adjust="none")}
    except MixedError as error:
        return Confirming(says=(say("A second analysis can't be made of these marks: {error}", error=error),))
    left_out = tuple(t for t, _ in reduced.left_out)
    confirmed = [c for r in rows if (c := _compared(r, found, left_out)) is not None]
    grades = _grades_disagree(columns, varied)
    zero = tuple(z for z in reduced.fit.zero if z not in left_out)
    return Confirming(rows=tuple(confirmed), left_out=left_out, no_spread=zero, grades_disagree=grades, says=(*_words(confirmed, grades), *_left_aside(study)))


def _columns(study: Study) -> tuple[dict[str, list[Any]], dict[str, tuple[str, ...]]]:
    """One row a mark, in points of the overall score, and the factors that vary in the data with their options in order."""
    cooked, marks, unit = cooked_of(study), overall_points(study), points_per_score(study)
    trials = {t.key: t for t in cooked.trials}
    versions = [cooked.versions[cooked.of_trial[b.round, b.trial]] for b in marks.ballots]
    columns: dict[str, list[Any]] = {
        "points": [float(x) / unit for x in marks.points], "taster": [b.taster for b in marks.ballots],
        "version": [str(v) for v in versions], "trial": [f"{b.round}.{b.trial}" for b in marks.ballots],
        "load": [f"{b.round}.{trials[b.round, b.trial].load or 0}" for b in marks.ballots],
    }
    varied: dict[str, tuple[str, ...]] = {}
    for i, factor in enumerate(study.factors):
        if factor.when:
            continue
        seen = {v.get(factor.name, "") for v in versions}
        options = tuple(o.name for o in factor.options if o.name in seen)
        if len(options) > 1 and seen <= set(options):
            varied[f"factor {i}"] = options
            columns[f"factor {i}"] = [v[factor.name] for v in versions]
    return columns, varied


SURE, LEANS = 0.975, 0.9
ENOUGH_DF = 8.0       # common practice, no source: with fewer the interval's own width is hardly known
UNLIKELY_BY_LUCK = 0.2


def _compared(row: EffectRow, found: dict[tuple[str, str], Any], left_out: Sequence[str]) -> Confirmed | None:
    for (factor, name), e in found.items():
        for sign, text in ((1, f"{row.option} - {row.against}"), (-1, f"{row.against} - {row.option}")):
            if (factor, name) != (row.factor, text):  # two factors may both have a "yes" and a "no"
                continue
            low, high = sorted((sign * e.low, sign * e.high))
            difference = sign * e.estimate
            kind = _standing(row, difference, low, high, e.p)
            return Confirmed(factor=row.factor, option=row.option, against=row.against, difference=difference, low=low, high=high,
                             df=e.df, p=e.p, posterior=row.difference, agrees=not kind, says=_sentence(row, difference, kind, e.df, left_out))
    return None


def _standing(row: EffectRow, difference: float, low: float, high: float, p: float) -> str:
    """How the two stand apart: empty where they don't.

    They disagree when both are sure of opposite directions; when the marks are sure and the verdict doesn't even lean that way (or has
    settled that nothing matters, where the marks see more than `worth`); or when the verdict is sure and luck alone does as well.
    """
    marks = 1 if low > 0 else -1 if high < 0 else 0
    verdict = 1 if row.odds_better >= SURE else -1 if row.odds_better <= 1 - SURE else 0
    if marks and verdict and marks != verdict:
        return "opposite"
    if marks:
        toward = row.odds_better if marks > 0 else 1 - row.odds_better
        nothing = row.outcome == "no difference that matters" and abs(difference) > row.worth
        return "marks only" if toward < LEANS or nothing else ""
    return "verdict only" if verdict and p > UNLIKELY_BY_LUCK else ""


def _sided(difference: float) -> str:
    return say("{size} better", size=points(difference)) if difference >= 0 else say("{size} worse", size=points(difference))


def _sentence(row: EffectRow, difference: float, kind: str, df: float, left_out: Sequence[str]) -> str:
    one, other = option_words(row.factor, row.option), option_words(row.factor, row.against)
    head = say("{one} against {other}: {difference} by the marks alone", one=capital(one), other=other, difference=_sided(difference))
    if not kind:
        return say("{head}; the verdict says the same.", head=head)
    head = say("{head}, where the verdict says {difference} on average over all versions", head=head, difference=_sided(row.difference))
    if kind == "verdict only":
        return (say("{head} and is sure of it. Believe the verdict, which also learns from the other versions, but hold it loosely: cook the two again.",
            head=head))
    if kind == "opposite":
        return say("{head}. Believe the verdict: it allows for pairs that change each other, the marks alone average over them. See what goes together.",
            head=head)
    if "trial" in left_out:
        return (say("{head}. Believe the verdict: each version was made once, so the marks can't tell the option from that one make. Make the two again.",
            head=head))
    if df < ENOUGH_DF:
        return say("{head}. Believe the verdict: too little was made again to be sure of the marks. Cook the two again.", head=head)
    return say("{head}. Believe the marks: enough was made again for them to stand alone; the verdict is only slower to move. Another round settles it.",
        head=head)


AT_THE_END = 0.25     # share of the marks at one end of the scale from which the end may hide a difference; common practice, no source


def _grades_disagree(columns: dict[str, list[Any]], varied: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Sentences where marks read as grades (a cumulative-link model with taster intercepts) tell another story."""
    from proofpan.science.mixed import MixedError, Model, fit_reml
    from proofpan.science.mixed.ordinal import compare_with_gaussian, fit_ordinal, fit_ordinal_mixed

    grades = sorted(set(columns["points"]))
    if not 3 <= len(grades) <= GRADES_AT_MOST:
        return ()
    names = {g: f"{g:g}" for g in grades}
    data = {**columns, "grade": [names[p] for p in columns["points"]]}
    tasters = ("taster",) if len(set(columns["taster"])) > 2 else ()
    try:
        ordered = Model(response="grade", fixed=tuple(varied), levels=varied, random=tasters)
        by_grade = (fit_ordinal_mixed if tasters else fit_ordinal)(data, ordered, tuple(names.values()))
        by_points = fit_reml(columns, Model(response="points", fixed=tuple(varied), levels=varied, random=tasters))
        rows = compare_with_gaussian(by_grade, by_points)
    except MixedError:
        return ()
    return tuple(say("Read as grades instead of distances, {coefficient}: {tells}.",
        coefficient=_coefficient_words(r.name), tells=_tells(r.kind, columns["points"])) for r in rows if not r.agree)


def _tells(kind: str, marks: Sequence[float]) -> str:
    """What the disagreement says and which to believe; with many marks at an end of the scale, the grades."""
    if kind == "direction":
        return say("they point in opposite directions: believe neither, look at the marks themselves")
    if kind == "gaussian only":
        return say("it is clear only when marks are taken as distances: a few far marks may make it, so trust it a little less")
    share = max(marks.count(end) for end in (min(marks), max(marks))) / len(marks)
    if share >= AT_THE_END:
        return say("it is clear only when marks are taken as steps in order: {count} in 100 marks stand at one end of the scale, which hides it, so "
                   "believe the grades", count=round(100 * share))
    return say("it is clear only when marks are taken as steps in order: hold it loosely")


def _coefficient_words(name: str) -> str:
    return name.partition("[")[2].rstrip("]") or name


def _left_aside(study: Study) -> list[str]:
    """What of the verdict's data this analysis doesn't take in, as sentences."""
    out = []
    kitchens = len({m.kitchen for m in compared_elsewhere(study)})
    if kitchens:
        out.append(say("The marks of {kitchens} aren't in this second analysis, though they are in the verdict: it takes our own tasters' marks alone.",
                       kitchens=counted(kitchens, "other kitchen")))
    if any(weight_of_round(study.changes, t.round) < 1 for t in study.cooked):
        out.append(say("It counts every trial in full, also those that the verdict lets count less: where the two disagree, that may be why."))
    return out


def _words(rows: Sequence[Confirmed], grades: tuple[str, ...]) -> list[str]:
    if not rows:
        return [say("No pair of options could be held against a second analysis.")]
    apart = [r for r in rows if not r.agrees]
    out = [say("A second, classical analysis of the same marks agrees on {agreed} of {all} answers.", agreed=len(rows) - len(apart), all=len(rows))]
    out += [r.says for r in apart]
    return out + list(grades)
