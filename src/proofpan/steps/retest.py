"""A re-test: the edition's version cooked again as the control beside what is new, and old trials that count less once something changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from proofpan.steps.serving import serve
from proofpan.study.edition import Edition
from proofpan.study.elsewhere import Changed
from proofpan.study.errors import StudyError
from proofpan.study.fields import Doc
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.words import better_or_worse, capital, option_words, signed_range, version_words

if TYPE_CHECKING:
    from proofpan.steps.judged import Judged

OTHER_INGREDIENT, OTHER_SEASON = "another ingredient", "another season"
USUAL_WEIGHT = {OTHER_INGREDIENT: 0.5, OTHER_SEASON: 0.7}     # common practice, no source: how far old trials still speak
Z95 = 1.959963984540054


class Reweighed(Doc):
    """One answer, by old trials, by new ones, and by both with the old ones weighed down."""

    option: str
    against: str
    factor: str
    old: tuple[float, float, float]
    new: tuple[float, float, float] | None
    both: tuple[float, float, float]
    says: str


def retest_round(study: Study, edition: Edition, versions: Sequence[Any], *, seed: int, repeats: int = 1) -> Round:
    """A round with the edition's version as control beside the versions to test, each made `repeats` times.

    Raises: StudyError when there is nothing beside the control, or a version can't be made.
    """
    control = study.version(edition.version)
    asked = [v for v in (study.version(x) for x in versions) if v != control]
    asked = list(dict.fromkeys(asked))
    if not asked:
        raise StudyError("A re-test sets something beside the edition's version: choose what is to be tested against it.")
    first = max((t.trial for t in study.trial_records), default=0) + 1
    number = max((r.number for r in study.rounds), default=0)
    number = max([number, *(t.round for t in study.trial_records)]) + 1
    made: list[Version] = [v for _ in range(repeats) for v in (control, *asked)]
    places = _places(study, len(made))
    trials = tuple(
        PlannedTrial(trial=first + k, version=v, load=places[k][0], tray=places[k][1], place=places[k][2],
                     why=f"Control: the version of edition {edition.number}." if v == control else "To be tested against the edition.")
        for k, v in enumerate(made)
    )
    plates, serving = serve(study, trials, seed=seed, passes=1, withheld={})
    return Round(number=number, trials=trials, plates=plates, serving=serving,
                 cautions=(f"The control is {version_words(control)}, as edition {edition.number} prints it: the same day, the same lot.",))


def _places(study: Study, count: int) -> list[tuple[int, int | None, int]]:
    """(load, tray, place) in the kitchen's first oven, else one load and places in order."""
    ovens = study.brief.kitchen.ovens
    if not ovens:
        return [(1, None, k + 1) for k in range(count)]
    trays, each = ovens[0].trays, ovens[0].places
    return [(k // (trays * each) + 1, k // each % trays + 1, k % each + 1) for k in range(count)]


def reweighed(study: Study, changed: Changed) -> tuple[Reweighed, ...]:
    """Each answer with trials before the change weighed down.

    Method: `both` is the verdict's own model, in which each older mark scatters by 1/w of the usual variance (a power prior on the
    scores: Ibrahim & Chen 2000); `old` and `new` are the same model on either part alone. Parameters: changed.weight, 0 (forget them) to 1
    (nothing has changed).

    Raises: StudyError when nothing was tasted before the change.
    """
    from proofpan.steps.effects import pairs_of_versions, questions

    before, after = _split(study, changed.since_round)
    if not before.ballot_records:
        raise StudyError(f"Nothing was tasted before round {changed.since_round}.")
    bare = study.with_elsewhere((), (changed,))
    old, new, all_ = (_fitted(s) for s in (before, after, bare))
    out = []
    for factor in study.factors:
        for option, against, _ in questions(study.brief, factor):
            pairs = [(old.cooked.versions[i], old.cooked.versions[j]) for i, j in pairs_of_versions(old, factor, option, against)]
            if pairs:
                parts = [_moments(j, pairs) for j in (old, new, all_)]
                out.append(_row(study, factor.name, option, against, parts, bool(after.ballot_records)))
    return tuple(out)


def _split(study: Study, since: int) -> tuple[Study, Study]:
    def only(keep: Any) -> Study:
        return study.model_copy(update={
            "rounds": tuple(r for r in study.rounds if keep(r.number)), "trial_records": tuple(t for t in study.trial_records if keep(t.round)),
            "ballot_records": tuple(b for b in study.ballot_records if keep(b.round)),
            "reading_records": tuple(r for r in study.reading_records if keep(_round_of(study, r.trial))),
            "kitchen_marks": (), "changes": (),
        })

    return only(lambda n: n < since), only(lambda n: n >= since)


def _round_of(study: Study, trial: int) -> int:
    found = study.trial(trial)
    return found.round if found is not None else 0


def _fitted(study: Study) -> Judged:
    from proofpan.steps.verdict import _judged

    return _judged(study, None)


def _moments(judged: Judged, pairs: Sequence[tuple[Version, Version]]) -> tuple[float, float]:
    import numpy as np

    from proofpan.science.versions import contrast

    weights = np.zeros(len(judged.cooked.versions))
    index: Mapping[Version, int] = judged.cooked.index
    for one, other in pairs:
        weights[index[one]] += 1 / len(pairs)
        weights[index[other]] -= 1 / len(pairs)
    found = contrast(judged.posterior, weights)
    return found.mean / judged.unit, found.sd / judged.unit


def _ends(part: tuple[float, float]) -> tuple[float, float, float]:
    mean, sd = part
    return mean, mean - Z95 * sd, mean + Z95 * sd


def _row(
    study: Study, factor: str, option: str, against: str, parts: Sequence[tuple[float, float]], tasted: bool,
) -> Reweighed:
    old, new, all_ = (_ends(p) for p in parts)
    one, other = option_words(factor, option), option_words(factor, against)
    worth = study.brief.worth
    then = f"{better_or_worse(new[0])} since" if tasted else "not tasted since"
    says = (f"{capital(one)} against {other}: {better_or_worse(old[0])} before, {then}; together {better_or_worse(all_[0])} "
            f"({signed_range(all_[1], all_[2], worth)}).")
    return Reweighed(option=option, against=against, factor=factor, old=old, new=new if tasted else None, both=all_, says=says)
