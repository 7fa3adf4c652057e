"""The confirming analysis beside the verdict."""

import pandas as pd
import pytest

import proofpan as pp
from proofpan.steps.beside import beside
from proofpan.steps.confirming import confirm
from tests.kitchens import ballots_of, judged_study, plain, trials_of


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


def told(study):
    """The sentences of the second analysis."""
    verdict = pp.judge(study)
    return confirm(study, verdict), verdict


def once_each(tasters, gap, noise=0.4, seed=2):
    """Two versions, each made once, tasted by many."""
    factors = [{"name": "salt", "options": [{"name": "little"}, {"name": "much"}]}]
    study = plain(tasters=tasters, factors=factors)
    trials = trials_of(study)
    return study.with_trials(trials).with_ballots(ballots_of(study, trials, lambda v: 5 + gap * (v["salt"] == "much"), seed, noise))


def test_one_make_of_each_and_sure_marks_believe_the_verdict_and_say_why():
    found, verdict = told(once_each(12, 0.6))
    (row,) = found.rows
    odds = next(r for r in verdict.effect_rows if r.factor == "salt").odds_better
    assert row.p < 0.01 and "trial" in found.left_out and 0.1 < odds < 0.9  # by the marks beyond luck, by the verdict one make of each
    assert not row.agrees and "Believe the verdict: each version was made once" in found.says[1]


SEED = 5  # without a difference, this one's marks show none


def turned(study, **changes):
    """The verdict with its answer on salt turned into something else."""
    verdict = pp.judge(study)
    rows = tuple(r.model_copy(update=changes) if r.factor == "salt" else r for r in verdict.effect_rows)
    return confirm(study, verdict.model_copy(update={"effect_rows": rows}))


@pytest.mark.parametrize("gap, changes, says", [
    (2.0, {"odds_better": 0.01, "difference": -1.0}, "Believe the verdict: it allows for pairs"),
    (2.0, {"odds_better": 0.6, "difference": 0.1}, "Believe the marks: enough was made again"),
    (2.0, {"odds_better": 0.95, "difference": 0.2, "outcome": "no difference that matters"}, "Believe the marks"),
    (0.0, {"odds_better": 0.99, "difference": 1.0, "outcome": "better"}, "Believe the verdict, which also learns from the other versions"),
])
def test_each_way_to_disagree_says_which_to_believe(gap, changes, says):
    study = judged_study(plain(tasters=4), score=lambda v: 5 + gap * (v["salt"] == "much"), times=4, seed=SEED)
    row = next(r for r in pp.judge(study).effect_rows if r.factor == "salt")
    if row.option == "little":  # stated the other way round
        changes = {**changes, "odds_better": 1 - changes["odds_better"], "difference": -changes["difference"]}
        if changes.get("outcome") == "better":
            changes["odds_better"] = 0.99
    found = turned(study, **changes)
    assert says in " ".join(found.says), found.says


def test_marks_piled_at_the_scales_end_believe_the_grades():
    # at the top of the scale a difference shows in how many give the top mark, not in the mean (McCullagh 1980, on ordered answers)
    factors = [{"name": "salt", "options": [{"name": "little"}, {"name": "much"}]}]
    study = plain(tasters=6, factors=factors)
    trials = trials_of(study, times=4)
    marks = {"little": [10, 10, 9, 9, 9, 9], "much": [10, 10, 10, 10, 10, 2]}
    rows = [{"round": t.round, "taster": who, "trial": t.trial, "attribute": "liking",
             "score": float(marks[study.version(t.version)["salt"]][i - (t.trial // 2) % 6])}
            for t in trials.itertuples() for i, who in enumerate(study.tasters)]
    found, _ = told(study.with_trials(trials).with_ballots(pd.DataFrame(rows)))
    assert any("so believe the grades" in s for s in found.grades_disagree)


def test_a_taster_spread_of_nothing_is_named():
    found, _ = told(judged_study(plain(tasters=4), score=lambda v: 5 + 2 * (v["salt"] == "much"), times=3))
    assert found.no_spread == ("taster:version",)


def test_tasters_alike_and_their_order_stand_beside_the_verdict():
    study = judged_study(plain(tasters=4), score=lambda v: 5 + 2 * (v["salt"] == "much"), times=2)
    alike, order = beside(study)
    assert alike.says[0].startswith("One taster's mark stands") and "ICC(2,1)" in alike.rows[0][0]
    assert order.says[0].startswith("The tasters rank them apart: much + ") and len(order.rows) == 4
    assert beside(plain()) == () and beside(judged_study(plain(tasters=["Ada"]), times=2)) == ()
