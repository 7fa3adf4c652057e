"""Whether the favourite is one because people knew what they ate: marks of plates that weren't blind beside the blind ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from proofpan.study.wording import say
from proofpan.study.words import capital, counted, joined, odds, points, signed_range, version_words

if TYPE_CHECKING:
    from proofpan.science.versions import Posterior
    from proofpan.steps.judged import Judged

LEAST_MARKS = 4    # of either kind, below which nothing can be said


def unblinded_favourite(judged: Judged) -> list[str]:
    """What the blind plates alone say of the version to publish, where some plates weren't blind."""
    from proofpan.science.versions import decide, fit

    known = _known(judged)
    if min(known.sum(), (~known).sum()) < LEAST_MARKS:
        return []
    favourite = judged.decision.best if judged.decision.publish is None else judged.decision.publish
    blind = fit(judged.cooked.space, judged.scores.rows(~known), worth=judged.worth)
    decision = decide(blind, judged.worth, prices=judged.prices, eligible=judged.publishable, candidates=judged.cooked.eligible)
    out = _lifted(judged, known, blind, favourite)
    leader = decision.best if decision.publish is None else decision.publish
    if leader != favourite:
        ours, theirs = (_shown(judged, v) for v in (favourite, leader))
        held = float(decision.odds_within_worth[favourite])
        out.append(say("{ours} comes out first only with the plates that weren't blind; by the blind ones alone it is {theirs}, and the odds that {ours_2} is "
            "as good are {odds}. Taste both blind before printing.",
            ours=capital(ours), theirs=theirs, ours_2=ours, odds=odds(held)))
    return out


def _known(judged: Judged) -> NDArray[np.bool_]:
    """Which marks are of plates that weren't blind, in the order of the scores."""
    seen = {t.key for t in judged.cooked.trials if t.blind is False}
    known = np.zeros(len(judged.scores), dtype=bool)   # marks of other kitchens stand after those of the study's own plates
    known[: len(judged.points.ballots)] = [(b.round, b.trial) in seen for b in judged.points.ballots]
    return known


def _lifted(judged: Judged, known: NDArray[np.bool_], blind: Posterior, favourite: int) -> list[str]:
    """A sentence where the favourite is marked higher known than blind, against the other versions that were known too."""
    from proofpan.science.versions import contrast

    s = judged.scores
    of_it, of_others = known & (s.version == favourite), known & (s.version != favourite)
    if not of_it.any() or not of_others.any():
        return []
    excess = s.score - blind.mean[s.version]
    for taster in np.unique(s.taster):
        own = s.taster == taster
        if (own & ~known).any():  # how high this taster scores is no favour to a version
            excess = np.where(own, excess - excess[own & ~known].mean(), excess)
    lift = float(excess[of_it].mean() - excess[of_others].mean())
    weights = np.zeros(judged.cooked.space.size)
    weights[favourite] = 1.0
    np.subtract.at(weights, s.version[of_others], 1.0 / of_others.sum())
    spread = {name: blind.spreads[name][0] for name in ("noise", "trial")}
    scatter = sum(spread["noise"] ** 2 / marks.sum() + spread["trial"] ** 2 / len(np.unique(s.trial[marks])) for marks in (of_it, of_others))
    sd = float(np.sqrt(contrast(blind, weights).sd ** 2 + scatter))
    low, high = lift - 1.96 * sd, lift + 1.96 * sd
    if low <= 0:
        return []
    who = joined(sorted({judged.points.ballots[i].taster for i in np.flatnonzero(of_it)}))
    unit = judged.unit
    return [say("{shown} is marked {lift} higher when known than blind, against the others ({range}; {who}, {marks}): most likely an expectation. Taste it "
        "blind before printing.",
        shown=capital(_shown(judged, favourite)), lift=points(lift / unit), range=signed_range(low / unit, high / unit, judged.worth / unit), who=who,
        marks=counted(int(of_it.sum()), "mark"))]


def _shown(judged: Judged, version: int) -> str:
    return version_words(judged.study.version(judged.cooked.versions[version]))
