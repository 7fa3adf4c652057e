"""What a study's own marks say in the field's other ways, beside its verdict: do tasters agree, do they put the versions in one order?"""

from __future__ import annotations

from proofpan.steps import panels
from proofpan.steps.observing import cooked_of, overall_points
from proofpan.steps.panels import PanelAnswer
from proofpan.study.readings import INSTRUMENT
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.words import version_words


def beside(study: Study) -> tuple[PanelAnswer, ...]:
    """Agreement of the tasters (intraclass correlation, Kendall's W) and the order they put the versions in (Friedman).

    Marks are the overall points; a taster's marks for one version are averaged, versions that not everybody marked are left out, and so
    are tasters who marked fewer than two. Empty where one taster or one version is all there is.
    """
    cooked, marks = cooked_of(study), overall_points(study)
    rows = [(b.taster, _said(cooked.versions[cooked.of_trial[b.round, b.trial]]), float(x))
            for b, x in zip(marks.ballots, marks.points, strict=True) if b.taster != INSTRUMENT]
    tasted: dict[str, set[str]] = {}
    for name, version, _ in rows:
        tasted.setdefault(name, set()).add(version)
    most = max((len(v) for v in tasted.values()), default=0)
    kept = {name for name, had in tasted.items() if len(had) * 2 > most and len(had) > 1}
    common = set.intersection(*(tasted[name] for name in kept)) if kept else set()
    rows = [r for r in rows if r[0] in kept and r[1] in common]
    if len(kept) < 2 or len(common) < 2:
        return ()
    who, versions, points = [r[0] for r in rows], [r[1] for r in rows], [r[2] for r in rows]
    means: dict[tuple[str, str], list[float]] = {}
    for taster, version, x in rows:
        means.setdefault((taster, version), []).append(x)
    alike = panels.agreement(who, versions, points)
    order = panels.ranking([t for t, _ in means], [v for _, v in means], [-sum(x) / len(x) for x in means.values()])
    # the ranking's second sentence is on agreement too, and has been said
    return (alike, order.model_copy(update={"says": order.says[:1]}))


def _said(version: Version) -> str:
    """A version in words that stand in a list with commas."""
    return version_words(version).replace(", ", " + ")
