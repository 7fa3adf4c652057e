"""The verdict: invariants that hold whatever was tasted, and answers where the truth is known."""

import re

import numpy as np
import pandas as pd
import pytest

import proofpan as pp
from proofpan.study.words import of_a_point, version_words
from tests.kitchens import ballots_of, crackers, judged_study, plain, trials_of


def bits(verdict):
    return [(str(r.version), r.score, r.low, r.high, r.odds_best) for r in verdict.rows]


def test_order_and_grouping_of_rows_change_nothing():
    study = plain()
    trials = trials_of(study, times=2)
    ballots = ballots_of(study, trials, seed=3)
    one = study.with_trials(trials).with_ballots(ballots)
    mixed = ballots.sample(frac=1, random_state=1)
    other = study.with_trials(trials.iloc[::-1])
    for part in np.array_split(np.arange(len(mixed)), 5):
        other = other.with_ballots(mixed.iloc[part])
    assert bits(pp.judge(one)) == bits(pp.judge(other))


def test_dropping_a_taster_gives_the_verdict_of_never_having_asked_them():
    study = plain(tasters=["Ada", "Bo", "Cleo"])
    trials = trials_of(study, times=2)
    ballots = ballots_of(study, trials, seed=3)
    dropped = study.with_trials(trials).with_ballots(ballots).amend(drop={"taster": "Cleo"}, why="left")
    never = plain().with_trials(trials).with_ballots(ballots[ballots.taster != "Cleo"])
    assert bits(pp.judge(dropped)) == bits(pp.judge(never))


def test_a_failed_trial_changes_no_score_and_is_not_published():
    study = judged_study(plain(), score=lambda v: 6 + 2 * (v["salt"] == "much"), times=2)
    before = pp.judge(study)
    best = before.publish.version
    last = max(t.trial for t in study.trial_records) + 1
    failed = study.with_trials(pd.DataFrame([{"round": 9, "trial": last, "version": str(best), "failed": "split"}]))
    after = pp.judge(failed)
    for a, b in zip(before.rows, after.rows, strict=True):
        assert a.score == pytest.approx(b.score, abs=1e-6) and a.odds_best == pytest.approx(b.odds_best, abs=1e-6)
    assert after.best.version == before.best.version
    assert after.publish.version != best and after.publish.simplest != best
    row = next(r for r in after.rows if r.version == best)
    assert row.odds_publish == 0 and row.failed == 1
    assert any("failed" in c for c in after.cautions)


def test_a_score_given_to_a_failed_trial_is_kept_and_not_used():
    study = judged_study(plain())
    failed = study.with_trials(pd.DataFrame([{"round": 1, "trial": 1, "failed": "burnt"}]))
    without = study.with_trials(pd.DataFrame([{"round": 1, "trial": 1, "failed": "burnt"}]))
    without = without.model_copy(update={"ballot_records": tuple(b for b in without.ballot_records if b.trial != 1)})
    assert bits(pp.judge(failed)) == bits(pp.judge(without))
    assert len(failed.ballots) == len(study.ballots)
    assert any("kept and not used" in c for c in pp.judge(failed).cautions)


def test_odds_of_best_add_up_and_scores_fall():
    verdict = pp.judge(judged_study(crackers(), score=lambda v: 6 + (v["fat"] == "olive oil")))
    table = verdict.table()
    assert table.odds_best.sum() == pytest.approx(1, abs=0.01)
    assert list(table.score) == sorted(table.score, reverse=True)
    assert (table.odds_within_worth >= table.odds_best - 1e-9).all()


def test_a_large_difference_is_settled_and_said_plainly():
    study = judged_study(plain(tasters=6), score=lambda v: 5 + 3 * (v["salt"] == "much"), times=4)
    verdict = pp.judge(study)
    row = verdict.effects().query("attribute == 'overall' and factor == 'salt'").iloc[0]
    assert (row.option, row.against, row.outcome) == ("much", "little", "better")
    assert row.low > 0 and row.difference == pytest.approx(3, abs=0.8)
    assert verdict.publish.version["salt"] == "much"
    assert any("Much beats little" in s for s in verdict.says)
    assert any("much beat little" in s for s in verdict.publish.says)


def test_nothing_is_settled_by_one_plate_each():
    verdict = pp.judge(judged_study(plain(tasters=1)))
    assert set(verdict.effects().outcome) == {"not settled"}
    assert any("palate" in s for s in verdict.says)
    assert "“The best”" in verdict.publish.dont_say


def test_worth_it_is_held_against_its_price_and_the_others_against_zero():
    effects = pp.judge(judged_study(crackers())).effects()
    overall = effects[(effects.attribute == "overall") & (effects["at"] == "averaged")].set_index("factor")
    assert overall.loc["rest", "price"] == pytest.approx(0.5) and overall.loc["fat", "price"] == 0
    snap = effects[(effects.attribute == "snap") & (effects.factor == "rest")].iloc[0]
    assert snap.price == pytest.approx(0.5)


def test_a_lower_score_is_better_where_less_is_better():
    attributes = [{"name": "bitter", "scale": [0, 10], "better": "less", "weight": 1, "worth": 0.5}]
    study = judged_study(plain(attributes=attributes, tasters=4), score=lambda v: 7 - 3 * (v["salt"] == "much"), times=3)
    assert pp.judge(study).best.version["salt"] == "much"


def test_one_attribute_on_another_scale_is_used_as_it_is():
    attributes = [{"name": "grams", "scale": [0, 200], "better": "more", "weight": 1, "worth": 10}]
    study = judged_study(plain(attributes=attributes, tasters=2), score=lambda v: 100 + 60 * (v["salt"] == "much"), times=3)
    verdict = pp.judge(study)
    assert verdict.rows[0].score == pytest.approx(160, abs=15)
    assert verdict.effects().query("attribute == 'overall' and factor == 'salt'").iloc[0].difference == pytest.approx(60, abs=12)


def test_readers_intervals_are_wider_than_these_tasters():
    study = judged_study(plain(), times=2)
    ours, theirs = pp.judge(study), pp.judge(study, for_="readers")
    width = [np.mean([r.high - r.low for r in v.rows]) for v in (ours, theirs)]
    assert width[1] > width[0]
    assert theirs.publish.speaks_for == "readers"


def test_a_version_outside_a_limit_stays_in_sight_and_is_not_published():
    study = crackers()
    limited = pp.Study.from_text(study.to_yaml() + "limits: {must_use: [60 g unsalted butter]}\n")
    judged = judged_study(limited, score=lambda v: 6 + 2 * (v["fat"] == "olive oil"), times=2)
    verdict = pp.judge(judged)
    row = next(r for r in verdict.rows if r.version["fat"] == "olive oil")
    assert "must" in row.outside and row.odds_publish == 0
    assert verdict.publish.version["fat"] == "butter"
    assert any("outside the brief" in c for c in verdict.cautions)


def test_a_benchmark_has_a_row_and_no_odds():
    factors = [{"name": "dip", "options": [{"name": "ours"}, {"name": "with mint"}, {"name": "bought", "benchmark": True}]}]
    study = judged_study(plain(factors=factors), score=lambda v: 5 + 3 * (v["dip"] == "bought"), times=3)
    verdict = pp.judge(study)
    row = next(r for r in verdict.rows if r.version["dip"] == "bought")
    assert row.odds_best is None and row.benchmark
    assert verdict.publish.version["dip"] != "bought"


def test_overall_is_also_asked_as_itself():
    study = judged_study(crackers())
    rows = study.ballots[study.ballots.attribute == "snap"][["round", "taster", "trial", "score"]].assign(attribute="overall")
    assert {"overall", "overall, asked"} <= set(pp.judge(study.with_ballots(rows)).effects().attribute)


def test_ranks_count_where_scores_are_missing():
    study = plain(tasters=6).with_trials(trials_of(plain()))
    rows = [{"round": 1, "taster": t, "trial": i, "attribute": "liking", "set": 1, "rank": 1 if i in (3, 4) else 3}
            for t in study.tasters for i in range(1, 5)]
    assert pp.judge(study.with_ballots(pd.DataFrame(rows))).best.version["salt"] == "much"


def test_opposite_palates_are_named():
    study = plain(tasters=["Ada", "Bo"])
    trials = trials_of(study, times=3)
    rows = [{"round": t.round, "taster": who, "trial": t.trial, "attribute": "liking",
             "score": 8.0 if ("much" in t.version) == (who == "Ada") else 3.0} for t in trials.itertuples() for who in study.tasters]
    verdict = pp.judge(study.with_trials(trials).with_ballots(pd.DataFrame(rows)))
    assert any("Opposite palates" in c and "Ada" in c and "Bo" in c for c in verdict.cautions)


def test_before_anything_is_cooked_it_still_answers():
    verdict = pp.judge(crackers())
    assert verdict.publish.version == crackers().versions()[0]
    assert not verdict.next.stop and verdict.next.round is not None
    assert "Nothing is tasted yet" in verdict.publish.because
    assert all(a.more == "Not settled: nothing is tasted yet." and not a.numbers and not a.lean for a in verdict.answers)


def test_weights_far_from_the_plan_are_asked_about():
    study = crackers().with_trials(pd.DataFrame([{"round": 1, "trial": 1, "version": "fat=butter", "weighed": "fine salt 3 g"}]))
    assert any("fine salt" in c and "more" in c for c in pp.judge(study).cautions)
    fine = crackers().with_trials(pd.DataFrame([{"round": 1, "trial": 1, "version": "fat=butter", "weighed": "fine salt 1.35 g"}]))
    assert not any("fine salt" in c for c in pp.judge(fine).cautions)


def test_a_version_held_back_by_a_failed_make_is_proposed_again():
    study = judged_study(plain(), score=lambda v: 5 + 3 * (v["salt"] == "much"), times=2)
    best = pp.judge(study).publish.version
    last = max(t.trial for t in study.trial_records) + 1
    made = max(t.round for t in study.trial_records)
    after = pp.judge(study.with_trials(pd.DataFrame([{"round": made, "trial": last, "version": str(best), "failed": "split"}])))
    assert after.next.why.count(f"Make {version_words(best)} again") == 1
    assert after.next.gain > pp.judge(study).next.gain
    assert "may be printed" in after.publish.because


def test_a_failed_make_followed_by_a_good_one_no_longer_keeps_a_version_back():
    study = judged_study(plain(), times=2)
    said = " ".join(pp.judge(study.with_trials(pd.DataFrame([{"round": 1, "trial": 1, "failed": "burnt"}]))).cautions)
    assert "failed in 1 of 2 makes (trial 1): burnt." in said and "made since without failing" in said
    assert "isn't published" not in said


def test_of_many_options_only_pairs_with_the_version_to_publish_get_a_sentence():
    names = ["none", "a little", "some", "much", "lots"]
    study = judged_study(plain(factors=[{"name": "salt", "options": [{"name": n} for n in names]}]), score=lambda v: 5.0, times=2)
    verdict = pp.judge(study)
    chosen = verdict.publish.version["salt"]
    asked = [a for a in verdict.answers if not a.row.settled]
    assert all(chosen in (a.row.option, a.row.against) for a in asked) and len(asked) <= 4
    assert len([r for r in verdict.effect_rows if r.attribute == "overall"]) == 10
    assert any("stand in the table" in s for s in verdict.says)
    assert all(chosen.lower() in s.lower() for s in verdict.publish.says if "probably" in s)


def test_a_taster_who_marks_at_random_is_no_opposite_palate():
    study = plain(tasters=["Ada", "Bo", "Cleo"])
    trials = trials_of(study, times=4)
    ballots = ballots_of(study, trials, score=lambda v: 5 + 2 * (v["salt"] == "much"), seed=3)
    rng = np.random.default_rng(2)
    ballots = ballots.assign(score=[rng.choice([0.0, 10.0]) if t == "Cleo" else s for t, s in zip(ballots.taster, ballots.score, strict=True)])
    assert not any("Opposite" in c for c in pp.judge(study.with_trials(trials).with_ballots(ballots)).cautions)


def test_what_is_published_is_within_worth_at_least_as_often_as_it_is_the_best():   # both after the extras' prices
    for study in (judged_study(crackers()), judged_study(crackers(), times=3, seed=4), judged_study(plain(), times=2, seed=3)):
        verdict = pp.judge(study)
        row = next(r for r in verdict.rows if r.version == verdict.publish.version)
        assert 0 < row.odds_publish <= verdict.publish.within_worth <= 1


# what publishing now gives up is one figure: beside the odds of the best and beside what another round is worth
@pytest.mark.parametrize("noise", [0.2, 0.6, 1.5])
def test_what_publishing_gives_up_is_rounded_once(noise):
    study = pp.compare(["salted", "not salted"], ["Ada", "Bo"])
    frame = trials_of(study, times=3)
    marked = ballots_of(study, frame, lambda v: 5 + 0.6 * (v["version"] == "salted"), seed=3, noise=noise)
    verdict = pp.judge(study.with_trials(frame).with_ballots(marked))
    size = re.search(r"gives up ((?:about|less than) [\d.]+ (?:of a point|points))", verdict.publish.because).group(1)
    assert of_a_point(verdict.publish.regret) == size
    assert "publishing now" not in verdict.next.why or f"publishing now gives up {size}" in verdict.next.why


@pytest.mark.parametrize(("size", "said"), [(0.004, "less than 0.01 of a point"), (0.0612, "about 0.06 of a point"), (0.28, "about 0.3 of a point"),
                                            (0.0951, "about 0.1 of a point"), (0.96, "about 1.0 points"), (3.52, "about 3.5 points")])
def test_a_part_of_a_point_is_said_to_what_it_needs(size, said):
    assert of_a_point(size) == said


# one attribute is used as it is: marks of 7 on a scale of 1 to 9 are a score of 7 (its distance from 1 was said, 6)
def test_a_score_is_said_on_the_scale_it_was_marked_on():
    study = plain(attributes=[{"name": "liking", "scale": [1, 9], "better": "more", "worth": 0.5}])
    frame = trials_of(study, times=3)
    verdict = pp.judge(study.with_trials(frame).with_ballots(ballots_of(study, frame, lambda v: 7.0, seed=1, noise=0.2)))
    assert all(6.6 < r.score < 7.4 and r.low < r.score < r.high <= 9.5 for r in verdict.rows)
    assert re.match(r"Likely (6\.[89]|7\.[012]) of 9 ", verdict.publish.because)
    assert verdict.table()["score"].between(6.6, 7.4).all()
