"""Whether another round pays."""

import pytest

from proofpan.science.versions import another_round_pays


@pytest.mark.parametrize(("gain", "regret", "pays"), [
    (0.2, 0.6, True),      # much to win, much given up
    (0.03, 0.4, True),     # a small round adds little, but publishing now gives up much
    (0.03, 0.2, False),    # little given up and little to win
    (0.2, 0.2, True),      # little given up, but this round wins it back
    (0.001, 0.4, False),   # no round helps any more
    (0.0, 0.0, False),
])
def test_rounds_are_cooked_while_they_win_back_what_publishing_now_gives_up(gain, regret, pays):
    assert another_round_pays(gain, regret, worth=0.5) is pays


def test_it_asks_in_shares_of_what_matters():
    assert another_round_pays(0.06, 0.1, worth=0.5) and not another_round_pays(0.06, 0.1, worth=1.0)
