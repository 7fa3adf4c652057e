"""Another ballot than the ordinary one: what may be asked, what is laid now, and what it said."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.notebook import TastingEntry
from proofpan.steps.sitting_words import sitting_result
from proofpan.steps.sittings import lay_sitting
from proofpan.study.errors import BallotError
from proofpan.study.rounds import Round
from proofpan.study.sittings import LATER, Sitting, sitting_numbers
from proofpan.study.study import Study
from proofpan.study.words import capital, version_words
from proofpan.web.desk import Typed
from proofpan.web.pages.tasting.page import Choice, SittingPart
from proofpan.web.seats import sitting_of
from proofpan.web.shelfcache import Standing

ORDINARY = "marks"
OFFERED = (
    ("liking", "9-point liking", "How much each plate is liked, from dislike extremely to like extremely."),
    ("lines", "0–10 lines", "Up to four lines of your own, with the words at both ends."),
    ("just right", "Just about right", "Too little, just right or too much, with what missing it costs in liking."),
    ("ranking", "Ranking", "All plates at once, put in order."),
    ("preference", "Paired preference", "Two plates at a time: which do you prefer?"),
    ("triangle", "Triangle", "Three plates, two alike: which is the odd one? Needs two versions."),
    ("duo-trio", "Duo-trio", "A first plate, then two: which is like the first? Needs two versions."),
    ("two out of five", "Two out of five", "Five plates: which two are alike? For looks and touch rather than taste. Needs two versions."),
    ("difference from control", "Difference from control", "How far each plate is from a control that also stands hidden among them."),
)
NAMES = {ORDINARY: "The ordinary ballot"} | {kind: name for kind, name, _ in OFFERED}


@dataclass(frozen=True)
class Now:
    """The tasting that the page is about: its number, the other ballot it asks (none: the ordinary one), and whether it was opened."""

    number: int
    sitting: Sitting | None
    entry: TastingEntry | None


def tasting_now(study: Study, round_: Round, opened: tuple[TastingEntry, ...]) -> Now:
    """A ballot that is laid and not yet opened, else the newest opened one, else the ordinary ballot to come."""
    mine = [t for t in opened if t.round == round_.number or t.round // LATER == round_.number]
    number = sitting_numbers(round_.number, len(mine))
    laid = sitting_of(study, number)
    if laid is None and mine:
        newest = max(mine, key=lambda t: t.round)
        return Now(newest.round, sitting_of(study, newest.round), newest)
    return Now(number, laid, None)


def next_number(round_: Round, opened: tuple[TastingEntry, ...]) -> int:
    """The number of the round's next tasting."""
    return sitting_numbers(round_.number, sum(t.round == round_.number or t.round // LATER == round_.number for t in opened))


def laid_from(study: Study, round_: Round, form: Typed, there: int, seed: int) -> Sitting:
    """The ballot that the lead asked for.

    Raises: BallotError naming the field.
    """
    for name, says in (("turns", "How often"), ("control", "The control")):
        if form.get(name) and not form.get(name).isdigit():
            raise BallotError(f"{says} is a whole number, not “{form.get(name)[:20]}”.", field=name)
    trials = [int(t) for t in form.many("trials") if t.isdigit()]
    return lay_sitting(
        study, round_, form.get("kind"), trials=trials, asked=form.get("asked"), turns=int(form.get("turns") or 1),
        control=int(form.get("control")) if form.get("control") else None, seed=seed, there=there,
    )


def sitting_part(study: Study, round_: Round, sitting: Sitting | None, ordinary_asked: bool) -> SittingPart:
    """What is laid now, and what could be."""
    words = {t.trial: f"trial {t.trial}, {version_words(t.version)}" for t in round_.trials}
    failed = {t.trial for t in study.trial_records if t.failed}
    each = max((sum(len(s.plates) for s in sitting.of(t)) for t in sitting.tasters), default=0) if sitting is not None else 0
    return SittingPart(
        kind=sitting.kind if sitting is not None else ORDINARY,
        name=NAMES[sitting.kind if sitting is not None else ORDINARY],
        asks=tuple(a.says for a in sitting.asks) if sitting is not None else (),
        plates_each=each,
        cautions=sitting.cautions if sitting is not None else (),
        codes=tuple(
            (s.taster, p.code, words.get(p.trial, "") + (", shown first" if p.code == s.shown else "")) for s in sitting.sets for p in s.plates
        )
        if sitting is not None
        else (),
        control=words.get(sitting.control, "") if sitting is not None and sitting.control is not None else "",
        offered=tuple(Choice(kind, name, says) for kind, name, says in OFFERED),
        ordinary=not ordinary_asked,
        trials=tuple((t.trial, capital(version_words(t.version))) for t in round_.trials if t.trial not in failed),
    )


def said_by_others(standing: Standing, round_: Round, opened: tuple[TastingEntry, ...]) -> tuple[tuple[str, tuple[str, ...], tuple[tuple[str, str], ...]], ...]:
    """(what was asked, sentences, rows) of every other ballot of the round that is closed."""
    out = []
    for entry in opened:
        sitting = sitting_of(standing.study, entry.round) if entry.closed else None
        if sitting is not None and sitting.round == round_.number:
            result = standing.kept(("sitting", sitting.number), lambda s=sitting: sitting_result(standing.study, s))
            out.append((NAMES[sitting.kind], result.says, result.rows))
    return tuple(out)
