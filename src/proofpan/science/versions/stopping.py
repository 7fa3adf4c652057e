"""Whether another round is worth cooking."""

GIVEN_UP = 0.5    # share of `worth` that publishing now may give up on average
BARELY = 0.1       # share of `worth` that a round adds, below which it is stopped once so little is given up
NOTHING = 0.005   # share of `worth` below which no round helps any more


def another_round_pays(gain: float, regret: float, worth: float) -> bool:
    """Whether to cook on.

    Parameters: gain, points that the best next round is expected to add; regret, expected points given up by publishing now; worth, the
    difference that matters, points.

    Rule: stop once publishing now gives up less than half of `worth` on average and the next round adds less than a tenth of it, or as soon
    as the next round adds next to nothing. A round's gain alone misleads where rounds are small: two plates at a time add little each,
    and much together. Simulated: docs/method/versions.md.
    """
    if gain < NOTHING * worth:
        return False
    return regret >= GIVEN_UP * worth or gain >= BARELY * worth
