"""The verdict: the posterior over all versions, turned into answers, what to publish today and what to cook next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from proofpan.steps import saying
from proofpan.steps.effects import effect_rows
from proofpan.steps.failed_makes import last_failed, odds_of_failing
from proofpan.steps.judged import Judged
from proofpan.steps.limits import outside_of
from proofpan.steps.observing import (
    attribute_points,
    cooked_of,
    overall_points,
    scores_of,
    smallest_step,
)
from proofpan.steps.palates import taster_rows
from proofpan.steps.rounds import model_worth, next_round, points_per_score, prices_of
from proofpan.steps.stopping import what_next
from proofpan.study.ballots import OVERALL
from proofpan.study.errors import StudyError
from proofpan.study.study import Study
from proofpan.study.verdict import Best, PublishToday, Verdict, VersionRow, WhatNext
from proofpan.study.versions import Version, benchmark_of, current

if TYPE_CHECKING:
    from proofpan.science.versions import Posterior

SPEAKS_FOR = ("these tasters", "readers")
ASKED = "overall, asked"


def judge(study: Study, for_: str | None = None) -> Verdict:
    """What the trials and ballots say.

    Parameters: for_, "these tasters" or "readers" (then the intervals also carry how tasters differ); by default these tasters up
        to three with a ballot, else readers.

    Raises: StudyError for another `for_`.
    """
    if for_ is not None and for_ not in SPEAKS_FOR:
        raise StudyError(f"for_ is “these tasters” or “readers”, not “{for_}”.")
    judged = _judged(study, for_)
    fits = _other_fits(judged)
    effects = effect_rows(judged, fits)
    rows = _version_rows(judged)
    publish = _publish(judged, rows)
    upcoming = WhatNext.later(lambda: what_next(judged, publish.regret), lambda: next_round(study, seed=0))
    best = judged.decision.best
    bare = Verdict(
        title=study.title, said=(), best=Best(
            version=_shown(judged, best), odds=float(judged.decision.odds_best[best]),
            within_worth=float(judged.decision.odds_within_worth[best]),
            expected_loss=float(judged.decision.expected_loss[best]) / judged.unit,
        ),
        publish=publish, next=upcoming, rows=rows, effect_rows=effects, taster_rows=taster_rows(judged),
        factor_names=tuple(f.name for f in study.factors), trials=sum(not t.failed for t in judged.cooked.trials),
        ballots=len(judged.points.ballots), worth=study.brief.worth, level=study.brief.level, scale=_scale(study),
    )
    return saying.with_words(judged, bare, fits)


def _scale(study: Study) -> tuple[float, float]:
    only = study.attributes[0]
    return only.scale if len(study.attributes) == 1 and only.better == "more" else (0.0, 10.0)


def _judged(study: Study, for_: str | None) -> Judged:
    from proofpan.science.versions import decide, fit

    cooked = cooked_of(study)
    points = overall_points(study)
    scores = scores_of(study, cooked, points, smallest_step(points))
    worth = model_worth(study)
    posterior = fit(cooked.space, scores, worth=worth)
    speakers = {b.taster for b in points.ballots}
    speaks_for = for_ or ("these tasters" if len(speakers) <= 3 else "readers")
    if speaks_for == "readers":
        posterior = posterior.readers()
    prices = prices_of(study, cooked)
    outside = outside_of(study, cooked)
    publishable = cooked.eligible & ~last_failed(cooked) & np.array([o is None for o in outside])
    decision = decide(posterior, worth, prices=prices, eligible=publishable, candidates=cooked.eligible)
    return Judged(study, cooked, points, scores, posterior, decision, prices, points_per_score(study), worth, speaks_for,
                  publishable, outside)


def _other_fits(judged: Judged) -> dict[str, Posterior]:
    """A posterior for each attribute, and for overall asked as itself where it was."""
    from proofpan.science.versions import fit

    study, out = judged.study, {OVERALL: judged.posterior}
    several = len(study.attributes) > 1
    for attribute in study.attributes:
        if not several:
            out[attribute.name] = judged.posterior
            continue
        points = attribute_points(study, attribute)
        scores = scores_of(study, judged.cooked, points, smallest_step(points))
        fitted = fit(judged.cooked.space, scores, worth=attribute.worth * attribute.points_per_unit)
        out[attribute.name] = fitted.readers() if judged.speaks_for == "readers" else fitted
    asked = attribute_points(study, None)
    if asked.ballots:
        fitted = fit(judged.cooked.space, scores_of(study, judged.cooked, asked, smallest_step(asked)), worth=judged.worth)
        out[ASKED] = fitted.readers() if judged.speaks_for == "readers" else fitted
    return out


def _shown(judged: Judged, index: int) -> Version:
    return current(judged.study.brief, judged.cooked.versions[index])


def _version_rows(judged: Judged) -> tuple[VersionRow, ...]:
    cooked, decision, unit, least = judged.cooked, judged.decision, judged.unit, judged.least
    low, high = judged.posterior.interval(judged.study.brief.level)
    made = np.zeros(len(cooked.versions), dtype=int)
    failed = np.zeros(len(cooked.versions), dtype=int)
    for trial in cooked.trials:
        (failed if trial.failed else made)[cooked.of_trial[trial.key]] += 1
    odds_fail = _failure_odds(judged)
    rows = []
    for i in range(cooked.candidates):
        bought = benchmark_of(judged.study.brief, cooked.versions[i])
        rows.append(VersionRow(
            version=_shown(judged, i), score=least + float(judged.posterior.mean[i]) / unit, low=least + float(low[i]) / unit,
            high=least + float(high[i]) / unit, odds_best=None if bought else float(decision.odds_best[i]),
            odds_within_worth=None if bought else float(decision.odds_within_worth[i]),
            odds_publish=None if bought else float(decision.odds_publish[i]), cooked=int(made[i]), failed=int(failed[i]),
            outside=judged.outside[i], price=float(judged.prices[i]) / unit, benchmark=bought, odds_fail=odds_fail[i],
        ))
    return tuple(sorted(rows, key=lambda r: -r.score))


def _failure_odds(judged: Judged) -> list[float | None]:
    if not any(t.failed for t in judged.cooked.trials):
        return [None] * len(judged.cooked.versions)
    return [float(x) for x in odds_of_failing(judged.cooked)]


def _publish(judged: Judged, rows: tuple[VersionRow, ...]) -> PublishToday:
    """The version with the highest expected score less its extras' prices, and the simplest one as good as the best."""
    decision, unit = judged.decision, judged.unit
    chosen = decision.publish if decision.publish is not None else decision.best
    simplest = _simplest(judged, chosen)
    return PublishToday(
        version=_shown(judged, chosen), because="", simplest=_shown(judged, simplest), regret=float(decision.regret) / unit,
        within_worth=decision.publish_within_worth,
        speaks_for=judged.speaks_for, price=float(judged.prices[chosen]) / unit,
    )


def _simplest(judged: Judged, chosen: int) -> int:
    """Least price, then fewest edits, among those as likely as not to be within half a `worth` of the version to publish."""
    from proofpan.science.versions import contrasts

    brief = judged.study.brief
    edits = {(f.name, o.name): (o.name != f.plain.name) + len(o.edits) for f in brief.factors for o in f.options}
    others = [int(i) for i in np.flatnonzero(judged.publishable)]
    less = np.eye(len(judged.cooked.versions))[others]
    less[:, chosen] -= 1
    near = []
    for i, difference in zip(others, contrasts(judged.posterior, less), strict=True):
        if i == chosen or difference.odds_above(-judged.worth / 2) >= 0.5:
            effort = sum(edits[item] for item in judged.cooked.versions[i].items())
            near.append((float(judged.prices[i]), effort, -float(judged.posterior.mean[i]), i))
    return min(near)[3] if near else chosen
