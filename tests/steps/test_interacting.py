"""Factors that change each other's answer: settled only where the range beside the sentence says so too."""

import pytest

import proofpan as pp
from tests.kitchens import judged_study, plain


def saltier(both: float):
    """Scores where much salt is better rested and worse unrested, by so many points."""
    return lambda version: 6.0 + both * (1 if (version["salt"] == "much") == (version["rest"] == "1 h") else -1)


def test_a_clear_crossing_is_settled_and_its_range_lies_to_one_side():
    verdict = pp.judge(judged_study(plain(), saltier(2.0), times=3))
    (pair,) = verdict.interactions
    assert {pair.first, pair.second} == {"salt", "rest"}
    assert "a lean" not in pair.says
    assert "seems" not in pair.headline
    assert len(pair.points) == 4
    for _, _, mean, low, high in pair.points:
        assert low <= mean <= high


@pytest.mark.parametrize("seed", range(12))
def test_what_is_called_settled_has_a_range_that_excludes_nothing(seed):
    verdict = pp.judge(judged_study(plain(), saltier(0.6), times=2, seed=seed))
    for pair in verdict.interactions:
        lean = "a lean, not settled" in pair.says
        reach = pair.says.split("(")[1].split(")")[0]
        assert lean == ("worse" in reach)     # the range reaches below nothing, or it doesn't
        assert lean == ("seem" in pair.headline)


def test_factors_that_only_add_up_have_no_sentence():
    verdict = pp.judge(judged_study(plain(), lambda v: 6.0 + 1.5 * (v["salt"] == "much") + (v["rest"] == "1 h"), times=3))
    assert verdict.interactions == ()
