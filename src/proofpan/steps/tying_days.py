"""What ties one day's plates to another's for one who tastes alone: a control made again, or a frozen slice where freezing changes nothing.

What freezing does to a food is common practice, no source. What isn't named here counts as changed: nobody is told to trust a thawed piece
unless it is known to be like a fresh one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from proofpan.steps.nolists import withheld_plates
from proofpan.steps.serving import serve
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.study import Study
from proofpan.study.versions import Version, benchmark_of
from proofpan.study.words import version_words

_KEEPS = re.compile(
    r"\b(?:bread|loaf|loaves|rolls?|buns?|focaccia|flatbreads?|sponge|cakes?|muffins?|brownies?|pound cake|fruit ?cake|gingerbread|stock|broth|bolognese"
    r"|ragu|rag[uù]|stew|braise|dal|dhal|tomato sauce|cooked beans|chilli|scones?)\b", re.I)
_CHANGES = re.compile(
    r"\b(?:crackers?|crisps?|crispbreads?|biscuits?|cookies|wafers?|popcorn|fried|fries|chips|tempura|crackling|salads?|slaw|cucumbers?|tomato(?:es)?(?! sauce)"
    r"|lettuce|herbs|custards?|mousse|mayonnaise|aioli|hollandaise|vinaigrette|dressing|jell(?:y|ies)|panna cotta|meringues?|pavlova|souffl[eé]s?|cream|icing"
    r"|frosting|ganache|yogh?urt|sour cream|dips?|ricotta|eggs?|omelettes?|potato(?:es)?|mash|gnocchi|pasta|noodles|rice|fish|oysters?|prawns?"
    r"|ice cream|sorbet|steaks?|roast)\b", re.I)
_TEXTURE = re.compile(r"\b(?:snap\w*|crisp\w*|crunch\w*|crust\w*|shatter\w*|flak\w*|chew\w*|spring\w*|juic\w*|gloss\w*|shine|set|wobble)\b", re.I)


@dataclass(frozen=True)
class Freezing:
    """Whether a frozen slice can stand for a fresh one, and why (not)."""

    offered: bool
    says: str


def control_of(study: Study) -> Version | None:
    """What is made again: the version as written, else the first that can be made; nothing that is bought in."""
    return next((v for v in study.versions() if not benchmark_of(study.brief, v)), None)


def freezing(study: Study) -> Freezing:
    """Whether freezing changes nothing of what is tasted here: by the dish's name, and by what is judged."""
    named = " ".join([study.title, study.brief.base.title if study.brief.base is not None else ""])
    options = " ".join(o.name for f in study.factors for o in f.options)
    lost = _CHANGES.search(named) or (None if study.brief.base is not None else _CHANGES.search(options))
    if lost is not None:
        return Freezing(False, f"A frozen slice won’t do: freezing changes {lost.group().casefold()}.")
    judged = next((a.name for a in study.attributes if _TEXTURE.search(a.name)), None)
    if judged is not None:
        return Freezing(False, f"A frozen slice won’t do: freezing changes {judged}, which is judged here.")
    kept = _KEEPS.search(named) or _KEEPS.search(options)
    if kept is None:
        return Freezing(False, "A frozen slice does only where freezing changes nothing, and that isn’t known of this dish.")
    return Freezing(True, f"Keep a slice: {kept.group().casefold()} wrapped tight and frozen today is much as it was when thawed. Taste it first next "
                          "time, unmarked, to set your palate back to today.")


def with_control(study: Study, round_: Round, *, seed: int, passes: int) -> Round:
    """A round with the control made again beside its trials; as it is where the control is among them."""
    control = control_of(study)
    if control is None or not round_ or any(t.version == control for t in round_.trials):
        return round_
    last = round_.trials[-1]
    again = PlannedTrial(
        trial=max(t.trial for t in round_.trials) + 1, version=control, load=last.load, place=len(round_.trials) + 1,
        why=f"The control, {version_words(control)}, made again: it ties this day to the others.",
    )
    trials = (*round_.trials, again)
    plates, orders = serve(study, trials, seed=seed, passes=passes, withheld=withheld_plates(study, trials))
    return round_.model_copy(update={"trials": trials, "plates": plates, "serving": orders})
