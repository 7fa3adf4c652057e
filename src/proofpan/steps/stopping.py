"""Whether another round is worth its cost: what the best next round is expected to add to what is published."""

from __future__ import annotations

from proofpan.steps.judged import Judged
from proofpan.steps.rounds import choose_trials, next_number
from proofpan.study.words import counted

WORTH_A_ROUND = 0.05     # share of `worth` that a round must be expected to add (common practice, no source)


def what_next(judged: Judged, regret: float) -> tuple[bool, float, str]:
    """(stop, gain, why): the expected gain of the round that would be proposed, in points of the overall score.

    Parameters: regret, expected points given up by publishing now.
    """
    study, tasted = judged.study, len(judged.points.ballots)
    left = study.plan.at_most - next_number(study) + 1
    choice = choose_trials(study, judged.cooked, judged.scores, study.plan.loads, study.plan.passes, 0, posterior=judged.posterior)
    gain = max(0.0, float(choice.gain)) / judged.unit
    small = gain < WORTH_A_ROUND * study.brief.worth
    per_round = f"Another round would be worth about {gain:.2f} of a point"
    if not tasted:
        return False, gain, "Nothing is tasted yet: cook the first round."
    if left <= 0:
        made = counted(study.plan.at_most, "round")
        return True, gain, f"The plan's {made} are made. {per_round}; publishing now gives up about {regret:.2f}."
    if small:
        return True, gain, f"Stop here. {per_round}, less than it costs to cook; publishing now gives up about {regret:.2f}."
    return False, gain, f"Cook one more. {per_round}; {counted(left, 'round')} of the plan {'is' if left == 1 else 'are'} left."
