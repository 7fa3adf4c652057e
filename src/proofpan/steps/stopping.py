"""Whether another round is worth its cost."""

from __future__ import annotations

from collections.abc import Callable

from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.verdict import WhatNext
from proofpan.study.words import counted

WORTH_A_ROUND = 0.1     # share of `worth` that a round must be expected to gain


def what_next(study: Study, odds_publish: float, regret: float, tasted: int, make: Callable[[], Round]) -> WhatNext:
    """Stop when what is expected to be given up by publishing now is small against `worth`.

    Parameters: odds_publish, that the version to publish is the best after prices; regret, expected points given up by publishing
        now; tasted, ballots so far; make, gives the next round when it is read.
    """
    made = len({t.round for t in study.trial_records})
    left = study.plan.at_most - made
    gain = min(regret, regret * 0.5) if tasted else regret
    small = regret < WORTH_A_ROUND * study.brief.worth
    stop = tasted > 0 and (small or left <= 0)
    per_round = f"Another round would be worth about {gain:.2f} of a point"
    if not tasted:
        why = "Nothing is tasted yet: cook the first round."
    elif left <= 0:
        why = f"The plan's {counted(study.plan.at_most, 'round')} are made. {per_round}; publishing now gives up about {regret:.2f}."
    elif small:
        why = f"Stop here. {per_round}: less than it costs to cook."
    else:
        why = f"Cook one more. {per_round}; {counted(left, 'round')} of the plan {'is' if left == 1 else 'are'} left."
    return WhatNext(stop=stop, gain=gain, why=why).with_maker(make)


