"""The confirming analysis beside the verdict."""

import pytest

import proofpan as pp
from proofpan.steps.confirming import confirm
from tests.kitchens import judged_study, plain


def test_both_analyses_agree_where_the_difference_is_large():
    study = judged_study(plain(tasters=4), score=lambda v: 5 + 2 * (v["salt"] == "much"), times=3)
    found = confirm(study, pp.judge(study))
    row = next(r for r in found.rows if r.factor == "salt")
    assert row.difference == pytest.approx(2, abs=0.7) and row.low > 0 and row.agrees
    assert "agrees on 2 of 2" in found.says[0]


def test_the_balanced_difference_is_the_difference_of_means():
    # in a balanced table the marginal means are plain averages (e.g. Montgomery, Design and Analysis of Experiments, ch. 5)
    study = judged_study(plain(tasters=4), score=lambda v: 5 + (v["salt"] == "much"), times=2)
    table = study.ballots
    means = table.groupby(table.version.str.contains("much")).score.mean()
    row = next(r for r in confirm(study, pp.judge(study)).rows if r.factor == "salt")
    sign = 1 if row.option == "much" else -1
    assert sign * row.difference == pytest.approx(means[True] - means[False], abs=1e-6)


def test_too_few_marks_are_said():
    study = plain()
    assert "Too few" in confirm(study, pp.judge(study)).says[0]


def test_two_factors_with_the_same_words_for_their_options_are_not_mixed_up():
    factors = [{"name": name, "asks": "best", "options": [{"name": "no"}, {"name": "yes"}]} for name in ("seeds", "butter")]
    study = judged_study(plain(tasters=4, factors=factors), score=lambda v: 5 + 3 * (v["butter"] == "yes"), times=3)
    rows = {r.factor: abs(r.difference) for r in confirm(study, pp.judge(study)).rows}
    assert rows["butter"] == pytest.approx(3, abs=0.8) and rows["seeds"] < 1
