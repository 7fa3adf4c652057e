"""Whether another round is worth its cost: what the best next round is expected to add to what is published."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from proofpan.steps.failed_makes import odds_of_failing
from proofpan.steps.judged import Judged
from proofpan.steps.may_be_cooked import barred_of, nothing_to_propose
from proofpan.steps.rounds import choose_trials, next_number
from proofpan.steps.unblinded import unblinded_favourite
from proofpan.study.words import counted, of_a_point, points, version_words

WORTH_A_MAKE = 0.05      # share of `worth` that making a failed version again must be expected to add (common practice, no source)


@dataclass(frozen=True)
class HeldBack:
    """A version that would be the one to publish, had it not failed when last made: index, expected gain of a make, words."""

    version: int
    gain: float
    says: str


def _held_back(judged: Judged) -> HeldBack | None:
    """The likeliest version that only a failed make keeps from being published, where another make is worth its cost."""
    publish = judged.decision.publish
    inside = judged.cooked.eligible & np.array([o is None for o in judged.outside])
    held = np.flatnonzero(inside & ~judged.publishable)
    if publish is None or not len(held):
        return None
    earned = (judged.posterior.mean - judged.prices) / judged.unit
    likeliest = int(held[np.argmax(earned[held])])
    ahead = float(earned[likeliest] - earned[publish])
    gain = ahead * (1 - float(odds_of_failing(judged.cooked)[likeliest]))
    if gain < WORTH_A_MAKE * judged.study.brief.worth:
        return None
    shown = version_words(judged.study.version(judged.cooked.versions[likeliest]))
    paid = " once extras are paid for" if judged.prices.any() else ""
    return HeldBack(likeliest, gain, f"Make {shown} again: it is likely {points(ahead, None)} better{paid}, and only its failed make keeps it from "
                                     "being printed.")


def what_next(judged: Judged, regret: float) -> tuple[bool, float, str]:
    """(stop, gain, why): the expected gain of the round that would be proposed, in points of the overall score.

    Parameters: regret, expected points given up by publishing now.
    """
    from proofpan.science.versions import another_round_pays

    study, tasted = judged.study, len(judged.points.ballots)
    left = study.plan.at_most - next_number(study) + 1
    barred = barred_of(study, judged.cooked, judged.outside)
    nothing = nothing_to_propose(study, judged.cooked, barred)
    if nothing:
        return False, 0.0, nothing
    choice = choose_trials(study, judged.cooked, judged.scores, study.plan.loads, study.plan.passes, 0, posterior=judged.posterior, barred=barred)
    again = _held_back(judged)
    gain = max(0.0, float(choice.gain)) / judged.unit
    per_round = f"Another round would be worth {of_a_point(gain)}"
    given_up = "" if judged.decision.publish is None else f"; publishing now gives up {of_a_point(regret)}"
    if not tasted:
        return False, gain, _nothing_tasted(judged)
    if left <= 0:
        made = "The plan's one round is made." if study.plan.at_most == 1 else f"The plan's {study.plan.at_most} rounds are made."
        return True, gain, f"{made}{' ' + again.says if again else ''} {per_round}{given_up}."
    if again:
        return False, gain, f"{again.says} {per_round}; {counted(left, 'round')} of the plan {'is' if left == 1 else 'are'} left."
    if not another_round_pays(gain, regret, study.brief.worth):
        if unblinded_favourite(judged):
            return False, gain, f"Taste the favourite blind: cook one more round for it, as its marks lean on plates that weren't. {per_round}."
        return True, gain, f"Stop here. {per_round}, less than it costs to cook{given_up}."
    return False, gain, f"Cook one more. {per_round}; {counted(left, 'round')} of the plan {'is' if left == 1 else 'are'} left."


def _nothing_tasted(judged: Judged) -> str:
    trials = judged.cooked.trials
    if not trials:
        return "Nothing is tasted yet: cook the first round."
    failed = sum(bool(t.failed) for t in trials)
    if failed < len(trials):
        return "Nothing is tasted yet: taste what is cooked."
    made = "The one make" if failed == 1 else "Both makes" if failed == 2 else f"All {failed} makes"
    return f"{made} failed, so nothing could be tasted: find out why, put the recipe right, then make them again."
