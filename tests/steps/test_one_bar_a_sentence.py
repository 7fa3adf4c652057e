"""An answer names its bar once in one size: what is said of it later can't seem another bar."""

import pytest

from proofpan.steps.saying import _good_enough
from proofpan.study.verdict import EffectRow
from tests.kitchens import crackers


@pytest.mark.parametrize(("outcome", "low", "high"), [("good enough", -0.47, 0.4), ("not good enough", -2.0, -0.545)])
def test_a_swap_may_lose_and_does_lose_by_the_same_bar(outcome, low, high):
    study = crackers()
    row = EffectRow(attribute="overall", factor="fat", option="butter", against="olive oil", asks="good enough", difference=(low + high) / 2, low=low,
                    high=high, odds_better=0.4, odds_over_worth=0.97, worth=0.54, outcome=outcome)
    said = _good_enough(study.brief, row, study.versions()[0])
    assert "0.54" in said.numbers and "0.54" in said.more


def test_where_nothing_differs_one_bracket_follows_the_range():
    from proofpan.steps.verdict import judge
    from tests.kitchens import judged_study, plain

    verdict = judge(judged_study(plain(), score=lambda v: 6.0, times=3, seed=2))
    level = [a for a in verdict.answers if abs(a.row.difference) < 0.05]
    assert all(a.numbers.count("(") == 1 for a in verdict.answers)
    assert level and all("no different (" in a.numbers for a in level)
