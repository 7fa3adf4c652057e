"""Other kitchens in the verdict: each is a draw from all kitchens, and only one that also made the control says anything of an option."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from proofpan.study.elsewhere import KitchenMark, weight_of_round
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital

if TYPE_CHECKING:
    from proofpan.science.versions import Scores
    from proofpan.steps.observing import Cooked


def compared_elsewhere(study: Study) -> tuple[KitchenMark, ...]:
    """Marks of kitchens that marked two versions or more: what a single version got there may be the kitchen's doing."""
    made: dict[str, set[Version]] = {}
    for m in study.kitchen_marks:
        made.setdefault(m.kitchen, set()).add(m.version)
    return tuple(m for m in study.kitchen_marks if len(made[m.kitchen]) > 1)


def with_kitchens(study: Study, cooked: Cooked, scores: Scores, marks: Sequence[KitchenMark]) -> Scores:
    """The model's rows with other kitchens' marks after them.

    Method: a kitchen is a taster of its own (how high it marks, how it differs over versions) and a load of its own (its oven, its day), both
    random; each of its marks is a trial. What a kitchen does to everything it makes so cancels between its versions.
    """
    from proofpan.science.versions import make_scores
    from proofpan.study.versions import complete

    known = [(m, cooked.index.get(complete(study.brief, m.version))) for m in marks]
    rows = sorted(((m.kitchen, v, m.score) for m, v in known if v is not None))
    if not rows:
        return scores
    first = {name: int(getattr(scores, name).max(initial=-1)) + 1 for name in ("trial", "load")}
    first["taster"] = max(int(scores.taster.max(initial=-1)), len(study.brief.tasters)) + 1
    number = {k: i for i, k in enumerate(dict.fromkeys(k for k, _, _ in rows))}
    n = len(rows)

    def after(name: str, more: Sequence[int]) -> np.ndarray:
        return np.concatenate([getattr(scores, name), np.asarray(more, dtype=np.int64)])

    kitchen = [number[k] for k, _, _ in rows]
    unknown = [-1] * n
    return make_scores(
        after("version", [v for _, v, _ in rows]), np.concatenate([scores.score, [s for _, _, s in rows]]),
        taster=after("taster", [first["taster"] + k for k in kitchen]), trial=after("trial", [first["trial"] + i for i in range(n)]),
        load=after("load", [first["load"] + k for k in kitchen]), lot=after("lot", unknown), tray=after("tray", unknown), day=after("day", unknown),
        position=after("position", unknown), repeat=after("repeat", [0] * n), step=scores.step, low=scores.low, high=scores.high,
        error_sd=None if scores.error_sd is None else np.concatenate([scores.error_sd, np.full(n, max(float(scores.error_sd.max()), 1.0))]),
        weight=None if scores.weight is None else np.concatenate([scores.weight, np.ones(n)]),
    )


def of_this_kitchen(study: Study, scores: Scores) -> Scores:
    """The rows of the study's own tasters and instruments."""
    return scores.rows(scores.taster <= len(study.brief.tasters))


def elsewhere_words(study: Study) -> list[str]:
    """What of other kitchens stands in the verdict and what can't, and which older trials count less."""
    return [*other_kitchens_words(study), *_older_words(study)]


def other_kitchens_words(study: Study) -> list[str]:
    """What of other kitchens stands in the verdict and what can't."""
    compared = {m.kitchen for m in compared_elsewhere(study)}
    alone = {m.kitchen for m in study.kitchen_marks} - compared
    out = []
    if compared and study.ballot_records:
        out.append(say_counted(
            len(compared), "{number} other kitchen that made the control too is in these figures. Its marks aren't blind: who cooks a version knows which "
            "it is, so what they hope for may be in them. What it does to everything it cooks is held apart as that kitchen's own.",
            "{number} other kitchens that made the control too are in these figures. Their marks aren't blind: who cooks a version knows which "
            "it is, so what they hope for may be in them. What each does to everything it cooks is held apart as that kitchen's own."))
    if alone:
        out.append(say_counted(
            len(alone), "{number} other kitchen marked the recipe without the control: its mark isn’t in these figures, since what differs there can't be "
            "put down to an option.", "{number} other kitchens marked the recipe without the control: their marks aren’t in these figures, since what "
            "differs there can't be put down to an option."))
    return out


def _older_words(study: Study) -> list[str]:
    rounds = sorted({t.round for t in study.cooked})
    newest = {c.what: c for c in study.changes}
    out = []
    for change in newest.values():
        if change.weight < 1 and any(r < change.since_round for r in rounds):
            why = f" ({change.why.rstrip('.')})" if change.why else ""
            how = say("count for nothing") if change.weight == 0 else say("count {share:.0f} in 100", share=100 * change.weight)
            out.append(say("{what} since round {since_round}{why}: trials before it {how} in these figures, so their ranges are wider.",
                what=capital(change.what), since_round=change.since_round, why=why, how=how))
    both = min((weight_of_round(study.changes, r) for r in rounds), default=1.0)
    if len(out) > 1 and 0 < both < min(c.weight for c in newest.values()):
        out.append(say("Where both hold, a trial counts {share:.0f} in 100.", share=100 * both))
    return out
