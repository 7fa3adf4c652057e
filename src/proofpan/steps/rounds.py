"""Rounds: the trials worth cooking next, their places, codes and orders, and what can't be told apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from proofpan.steps.failed_makes import comes_out_of, made_again
from proofpan.steps.may_be_cooked import Barred, barred_of, barred_words, nothing_to_propose
from proofpan.steps.nolists import nolist_cautions, withheld_plates
from proofpan.steps.observing import Cooked, cooked_of, overall_points, scores_of, smallest_step
from proofpan.steps.serving import MOST_CODES, serve
from proofpan.steps.telling_apart import what_cant_be_told
from proofpan.study.errors import StudyError
from proofpan.study.rounds import PlannedTrial, Round, no_round
from proofpan.study.study import Study
from proofpan.study.versions import complete, current
from proofpan.study.words import joined, option_words

if TYPE_CHECKING:
    from proofpan.science.versions import Choice, Posterior, Scores

PLATES_WITHOUT_OVEN = 6


def places_of(study: Study) -> tuple[tuple[int, int], ...]:
    """(tray, place) of one load, trays counted over the ovens; fewer where the plan says so, and without an oven as many as it says."""
    places, tray = [], 0
    for oven in study.brief.kitchen.ovens:
        for _ in range(oven.trays):
            tray += 1
            places += [(tray, p) for p in range(1, oven.places + 1)]
    if places:
        return tuple(places[: study.plan.plates])
    plates = study.plan.plates or max(2, min(PLATES_WITHOUT_OVEN, len(study.versions())))
    return tuple((0, p) for p in range(1, plates + 1))


def next_number(study: Study) -> int:
    """The number of the round to come."""
    made = [r.number for r in study.rounds] + [t.round for t in study.trial_records]
    return max(made, default=0) + 1


def next_round(study: Study, seed: int = 0, loads: int | None = None, passes: int | None = None) -> Round:
    """The round that is worth most, filled to its places, until the plan's `at_most` rounds are made.

    Parameters: seed, decides between trials worth the same, and draws codes and orders; loads and passes, in place of the plan's.

    Raises: StudyError for a number of loads or passes that can't be.
    """
    number = next_number(study)
    if number > study.plan.at_most:
        made = "one round is" if study.plan.at_most == 1 else f"{study.plan.at_most} rounds are"
        return no_round(number, f"The plan's {made} made: raise at_most to cook another.")
    loads = study.plan.loads if loads is None else loads
    passes = study.plan.passes if passes is None else passes
    if not 1 <= loads <= 20 or not 1 <= passes <= 4:
        raise StudyError("A round has 1 to 20 loads, and each plate is tasted 1 to 4 times.")
    return _propose(study, number, seed, loads, passes)


def choose_trials(
    study: Study, cooked: Cooked, scores: Scores, loads: int, passes: int, seed: int, *, posterior: Posterior | None = None,
    counted_by: Posterior | None = None, barred: Barred | None = None,
) -> Choice:
    """The versions of the round that is worth most, in their places; trials that are planned or untasted count as on their way."""
    from proofpan.science.versions import LoadPlan, choose

    number = next_number(study)
    barred = barred or barred_of(study, cooked)
    may_be_cooked = barred.may_be_cooked & (np.arange(len(cooked.versions)) < cooked.candidates)
    plan = LoadPlan(
        loads=loads, places=places_of(study), tasters=len(study.tasters), passes=passes, day=number,
        load_numbers=tuple(range(1, loads + 1)), rounds_left=max(1, study.plan.at_most - number + 1),
    )
    tasted = {(b.round, b.trial) for b in study.ballot_records}
    waiting = [cooked.of_trial[t.key] for t in cooked.trials if t.key not in tasted and not t.failed]
    waiting += [
        cooked.index[complete(study.brief, t.version)] for t in study.trial_records
        if t.key not in cooked.of_trial and complete(study.brief, t.version) in cooked.index
    ]
    return choose(
        cooked.space, scores, plan, worth=model_worth(study), prices=prices_of(study, cooked), eligible=cooked.eligible & barred.may_be_published,
        seed=seed, planned=waiting, candidates=may_be_cooked, posterior=posterior, counted_by=counted_by, comes_out=comes_out_of(cooked, waiting),
    )


def _propose(study: Study, number: int, seed: int, loads: int, passes: int) -> Round:
    from proofpan.science.versions import fit

    cooked = cooked_of(study)
    barred = barred_of(study, cooked)
    nothing = nothing_to_propose(study, cooked, barred)
    if nothing:
        return no_round(number, nothing)
    points = overall_points(study)
    scores = scores_of(study, cooked, points, smallest_step(points))
    as_judged = fit(cooked.space, scores, worth=model_worth(study)) if len(scores) else None   # the gain is then what the verdict says of it
    choice = choose_trials(study, cooked, scores, loads, passes, seed, counted_by=as_judged, barred=barred)
    first = max((t.trial for t in study.trial_records), default=0) + 1
    load_numbers = list(dict.fromkeys(int(x) for x in choice.load))
    trials = tuple(
        PlannedTrial(
            trial=first + i, version=current(study.brief, cooked.versions[int(v)]), load=load_numbers.index(int(choice.load[i])) + 1,
            tray=int(choice.tray[i]) or None, place=int(choice.place[i]), why=why_words(study, cooked, choice.why[i], int(v)),
        )
        for i, v in enumerate(choice.versions)
    )
    trials, failed = made_again(study, cooked, trials)
    withheld = withheld_plates(study, trials)
    plates, orders = serve(study, trials, seed=seed * 1009 + number, passes=passes, withheld=withheld)
    cautions = tuple(dict.fromkeys([*barred_words(study, cooked, barred), *failed, *cautions_of(study, trials, number, loads, passes, withheld)]))
    return Round(number=number, trials=trials, plates=plates, serving=orders, cautions=cautions, gain=float(choice.gain) / points_per_score(study))


def model_worth(study: Study) -> float:
    """`worth` in points from 0 to 10."""
    return study.brief.worth * points_per_score(study)


def points_per_score(study: Study) -> float:
    """How many points on 0–10 one unit of the overall score is: 1, unless one attribute with another scale is used as it is."""
    only = study.attributes[0]
    return only.points_per_unit if len(study.attributes) == 1 and only.better == "more" else 1.0


def prices_of(study: Study, cooked: Cooked) -> np.ndarray:
    """The price of each version's extras in points from 0 to 10, shape (versions,)."""
    brief, unit = study.brief, points_per_score(study)
    price = {(f.name, o.name): brief.price_of(f, o) * unit for f in brief.factors for o in f.options}
    return np.array([sum(price[item] for item in v.items()) for v in cooked.versions])


def why_words(study: Study, cooked: Cooked, reason: str, version: int) -> str:
    """Why a trial was chosen, in a sentence."""
    kind, _, rest = reason.partition(":")
    made = sum(cooked.of_trial[t.key] == version for t in cooked.trials if not t.failed)
    known = {
        "spread": "Spreads the round over what varies, so that every option is seen.",
        "likely best": "Among the likeliest to be best: worth another look.",
        "control": "Made again to tie this load to the others.",
        "repeat": "Made again, so that luck in the making counts for less." if made > 1 else "Made again: one make may have been luck.",
        "first make": "The recipe as written, made once before anything is judged against it.",
    }
    if kind.strip() in known:
        return known[kind.strip()]
    return _tells_apart(study, reason.strip()) if reason.strip() else known["spread"]


def _tells_apart(study: Study, reason: str) -> str:
    """`tells 190 from 170 of oven` in the words that versions are said in: `It tells oven 190 from oven 170.`."""
    for factor in study.factors:
        for one in factor.options:
            for other in factor.options:
                if reason == f"tells {one.name} from {other.name} of {factor.name}":
                    return f"It tells {option_words(factor.name, one.name)} from {option_words(factor.name, other.name)}."
    return "It tells most about what is still open."     # an option that was dropped since


def cautions_of(
    study: Study, trials: Sequence[PlannedTrial], number: int, loads: int, passes: int, withheld: dict[tuple[str, int], str]
) -> tuple[str, ...]:
    """What is said before cooking: what can't be told apart, no-lists, blindness, lots, safety."""
    from proofpan.steps.cautions import cooking_cautions
    from proofpan.steps.oven_places import uneven_ovens

    out: list[str] = []
    per_load = [f.name for f in study.factors if f.changed == "load"]
    if per_load and loads == 1:
        out.append(f"With one load, {' and '.join(per_load)} can't be told apart from the load itself: cook two loads in a round.")
    can_be_made = {item for v in study.versions() for item in v.items()}
    out += [f"{f.name}: {o.name} is ruled out in every version, so it is never cooked." for f in study.factors for o in f.kept
            if (f.name, o.name) not in can_be_made]
    out += what_cant_be_told(study, trials, number)
    out += uneven_ovens(study)
    seen = [f"{f.name} ({o.name})" for f in study.factors for o in f.options if f.is_visible(o.name)]
    if seen:
        out.append(f"Codes don't blind what shows: {', '.join(seen[:4])}. Dice it, serve it by the spoon, or taste with eyes shut.")
    by_taster: dict[str, list[int]] = {}
    for (taster, trial), _ in sorted(withheld.items()):
        by_taster.setdefault(taster, []).append(trial)
    for taster, kept in by_taster.items():
        plates = joined(map(str, kept))
        out.append(f"{taster} gets no plate of trial{'s' if len(kept) > 1 else ''} {plates}: {'they hold' if len(kept) > 1 else 'it holds'} what they "
                   "don't eat.")
    out += nolist_cautions(study, [t.version for t in trials])
    if len(study.tasters) * len(trials) * passes > MOST_CODES:
        out.append(f"There are more plates than the {MOST_CODES} codes: taste the round in two tastings.")
    out += cooking_cautions(study, [t.version for t in trials])
    return tuple(dict.fromkeys(out))
