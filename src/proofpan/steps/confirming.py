"""The confirming analysis: a mixed model of what was marked, beside the posterior over versions, and where the two disagree.

None of it needs to be understood by the cook: each row is one plain sentence first, its figures behind.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from proofpan.steps.observing import cooked_of, overall_points
from proofpan.steps.rounds import points_per_score
from proofpan.study.ballots import OVERALL
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.verdict import AVERAGED, EffectRow, Verdict
from proofpan.study.words import capital, option_words, points

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
        return Confirming(says=("Too few marks for a second analysis: the verdict stands alone.",))
    model = Model(response="points", fixed=tuple(varied), levels=varied, coding="sum",
                  random=("taster", "taster:version", "load", "trial"))
    try:
        reduced = fit_what_can_be_told(columns, model)
        called = {f"factor {i}": f.name for i, f in enumerate(study.factors)}
        found = {(called[factor], e.name): e for factor in varied for e in pairwise(reduced.fit, factor, adjust="none")}
    except MixedError as error:
        return Confirming(says=(f"A second analysis can't be made of these marks: {error}",))
    confirmed = [c for r in rows if (c := _compared(r, found)) is not None]
    grades = _grades_disagree(columns, varied)
    return Confirming(rows=tuple(confirmed), left_out=tuple(t for t, _ in reduced.left_out), grades_disagree=grades,
                      says=tuple(_words(confirmed, grades)))


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


def _compared(row: EffectRow, found: dict[tuple[str, str], Any]) -> Confirmed | None:
    for (factor, name), e in found.items():
        for sign, text in ((1, f"{row.option} - {row.against}"), (-1, f"{row.against} - {row.option}")):
            if (factor, name) != (row.factor, text):  # two factors may both have a "yes" and a "no"
                continue
            low, high = sorted((sign * e.low, sign * e.high))
            difference = sign * e.estimate
            against = low > 0 or high < 0
            agrees = not (against and row.settled and row.outcome in ("no difference that matters",) and abs(difference) > row.worth)
            agrees = agrees and not ((low > 0 and row.odds_better < 0.2) or (high < 0 and row.odds_better > 0.8))
            agrees = agrees and not (row.outcome == "better" and low <= 0 <= high and abs(difference) < row.worth / 2)
            return Confirmed(factor=row.factor, option=row.option, against=row.against, difference=difference, low=low, high=high,
                             df=e.df, p=e.p, posterior=row.difference, agrees=agrees, says=_sentence(row, difference, low, high, agrees))
    return None


def _sentence(row: EffectRow, difference: float, low: float, high: float, agrees: bool) -> str:
    one, other = option_words(row.factor, row.option), option_words(row.factor, row.against)
    head = f"{capital(one)} against {other}: {points(difference)} {'better' if difference >= 0 else 'worse'} by the marks alone"
    if agrees:
        return f"{head}; the verdict says the same."
    return (f"{head}, where the verdict says {points(row.difference)} {'better' if row.difference >= 0 else 'worse'}. Believe the verdict "
            "where few trials were cooked: it allows for pairs and for luck; cook the two again to be sure.")


TELLS = {
    "direction": "they point in opposite directions: look at the marks themselves",
    "gaussian only": "it is clear only when marks are taken as distances: trust it a little less",
    "ordinal only": "it is clear only when marks are taken as steps in order: the scale's ends may hide it",
}


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
    return tuple(f"Read as grades instead of distances, {_coefficient_words(r.name)}: {TELLS[r.kind]}." for r in rows if not r.agree)


def _coefficient_words(name: str) -> str:
    return name.partition("[")[2].rstrip("]") or name


def _words(rows: Sequence[Confirmed], grades: tuple[str, ...]) -> list[str]:
    if not rows:
        return ["No pair of options could be held against a second analysis."]
    apart = [r for r in rows if not r.agrees]
    out = [f"A second, classical analysis of the same marks agrees on {len(rows) - len(apart)} of {len(rows)} answers."]
    out += [r.says for r in apart]
    return out + list(grades)
