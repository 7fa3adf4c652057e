"""A study goes on: amendments, rounds, trials, ballots; what was cooked stands."""

import pandas as pd
import pytest

import proofpan as pp
from tests.kitchens import ballots_of, crackers, judged_study, plain, trials_of


def test_versions_come_in_the_studys_order():
    assert [str(v) for v in crackers().versions()][:3] == [
        "fat=butter; rest=none; oven=170", "fat=butter; rest=none; oven=190", "fat=butter; rest=30 min; oven=170"]


def test_versions_that_differ_only_in_what_does_not_apply_are_one():
    factors = [
        {"name": "batter", "options": [{"name": n} for n in ("beer", "tempura", "buttermilk")]},
        {"name": "fry", "options": [{"name": "once"}, {"name": "twice"}]},
        {"name": "second fry", "when": {"fry": ["twice"]}, "options": [{"name": "180"}, {"name": "190"}]},
    ]
    study = plain(factors=factors)
    assert len(study.versions()) == 9
    with pytest.raises(pp.StudyError, match="doesn't apply"):
        study.version("batter=beer; fry=once; second fry=180")


@pytest.mark.parametrize("given, text", [
    ({"fat": "olive oil"}, "fat=olive oil; rest=none; oven=170"),
    ("oven=190.0; fat=Olive Oil", "fat=olive oil; rest=none; oven=190"),
    ("", "fat=butter; rest=none; oven=170"),
])
def test_a_left_out_factor_counts_as_its_plain_option(given, text):
    assert str(crackers().version(given)) == text


def test_an_unknown_option_names_the_nearest():
    with pytest.raises(pp.StudyError, match="Did you mean “olive oil”"):
        crackers().version("fat=oliv oil")


def test_to_yaml_loads_again_with_everything_recorded():
    study = judged_study(crackers())
    again = pp.Study.from_text(study.to_yaml())
    assert again.brief == study.brief
    assert again.trial_records == study.trial_records
    assert again.ballot_records == study.ballot_records


def test_a_late_factor_counts_as_written_in_earlier_trials():
    study = judged_study(crackers())
    later = study.amend(add={"factor": {"name": "seeds", "options": [{"name": "raw"}, {"name": "toasted"}]}}, why="late", on="2026-05-03")
    assert len(later.versions()) == 16
    assert later.trial_records == study.trial_records
    table = pp.judge(later).table()
    assert table.loc[table.seeds == "raw", "cooked"].sum() == 8
    assert later.amendments[0].what == "added seeds"


def test_a_dropped_option_leaves_the_table_and_keeps_its_evidence():
    study = judged_study(crackers(), score=lambda v: 6 + (v["rest"] == "30 min"))
    later = study.amend(drop={"option": {"factor": "fat", "name": "butter"}}, why="no butter left")
    table = pp.judge(later).table()
    assert set(table.fat) == {"olive oil"}
    before = pp.judge(study).effects()
    after = pp.judge(later).effects()
    rest = [e[(e.factor == "rest") & (e.attribute == "overall") & (e["at"] == "averaged")].iloc[0].difference for e in (before, after)]
    assert rest[1] == pytest.approx(rest[0], abs=0.35)


def test_correcting_the_base_makes_the_next_draft_and_trials_keep_theirs():
    study = crackers().with_trials(pd.DataFrame([{"round": 1, "trial": 1, "version": "fat=butter"}]))
    later = study.amend(base=[{"set": "water", "to": "100 g"}], why="sticky")
    later = later.with_trials(pd.DataFrame([{"round": 2, "trial": 2, "version": "fat=butter"}]))
    assert [t.draft for t in later.trial_records] == [1, 2]
    assert later.brief.base.ingredients[3].text == "100 g water"
    assert later.brief.drafts[0].ingredients[3].text == "110 g water"


@pytest.mark.parametrize("change, words", [
    ({"drop": {"factor": "frost"}}, "isn't a factor to drop"), ({"drop": {"taster": "Zed"}}, "isn't a taster"),
    ({"add": {"option": {"factor": "fat", "name": "butter"}}}, "stands twice"), ({}, "Nothing is changed"),
    ({"base": [{"set": "watr", "to": "1 g"}]}, "Did you mean “water”"), ({"add": {"spoon": {}}}, "can't be added"),
])
def test_an_amendment_that_does_not_fit_is_refused(change, words):
    with pytest.raises(pp.StudyError, match=words):
        crackers().amend(**change)


def test_a_row_fills_a_planned_trial_in_and_another_version_is_refused():
    study = crackers()
    round_ = pp.next_round(study, seed=1)
    study = study.with_round(round_)
    first = round_.trials[0]
    filled = study.with_trials(pd.DataFrame([{"round": 1, "trial": first.trial, "note": "a crack", "out": "09:18"}]))
    assert len(filled.trials) == len(study.trials)
    assert filled.trial(first.trial).note == "a crack"
    other = next(v for v in study.versions() if v != first.version)
    with pytest.raises(pp.TrialError, match="not"):
        study.with_trials(pd.DataFrame([{"round": 1, "trial": first.trial, "version": str(other)}]))


@pytest.mark.parametrize("row, words", [
    ({"round": 1, "trial": 1, "version": "fat=lard"}, "isn't an option"), ({"round": 0, "trial": 1, "version": ""}, "whole number"),
    ({"round": 1, "trial": 1, "version": "fat=butter", "out": "25:99"}, "isn't a time"),
    ({"round": 1, "trial": 1, "version": "fat=butter", "core_c": "hot"}, "isn't a number"),
    ({"round": 1, "trial": 1, "version": "fat=butter", "size": "huge"}, "isn't a size"),
    ({"round": 1, "trial": 1, "version": "fat=butter", "draft": "3"}, "Draft 3"),
    ({"round": 1, "trial": 1, "version": "fat=butter", "colour": "x"}, "isn't a column"),
])
def test_a_bad_trial_row_is_refused_in_a_sentence(row, words):
    with pytest.raises(pp.TrialError, match=words):
        crackers().with_trials(pd.DataFrame([row]))


def test_a_csv_names_its_line(tmp_path):
    path = tmp_path / "trials.csv"
    path.write_text("round,trial,version\n1,1,fat=butter\n1,2,fat=lard\n")
    with pytest.raises(pp.TrialError) as caught:
        crackers().with_trials(path)
    assert caught.value.line == 3 and "trials.csv:3" in str(caught.value)


def test_the_same_ballot_again_is_nothing_new_and_words_fill_in():
    study = judged_study(plain())
    again = ballots_of(plain(), trials_of(plain()))
    assert study.with_ballots(again).ballot_records == study.ballot_records
    more = study.with_ballots(again.iloc[:1].assign(words="nutty"))
    assert [b.words for b in more.ballot_records].count("nutty") == 1


def test_another_score_for_the_same_plate_names_both():
    study = judged_study(plain())
    row = study.ballots.iloc[:1][["round", "taster", "trial", "attribute", "score"]]
    with pytest.raises(pp.BallotError, match="twice"):
        study.with_ballots(row.assign(score=row.score - 1))


@pytest.mark.parametrize("change, words", [
    ({"taster": "Adda"}, "Did you mean “Ada”"), ({"attribute": "likin"}, "Did you mean “liking”"), ({"score": 11}, "off the scale"),
    ({"trial": 99}, "isn't in round"), ({"score": "lots"}, "isn't a number"),
])
def test_a_bad_ballot_is_refused_in_a_sentence(change, words):
    study = plain().with_trials(trials_of(plain()))
    row = {"round": 1, "taster": "Ada", "trial": 1, "attribute": "liking", "score": 6, **change}
    with pytest.raises(pp.BallotError, match=words):
        study.with_ballots(pd.DataFrame([row]))


def test_a_code_speaks_for_its_own_taster_only():
    study = crackers()
    round_ = pp.next_round(study, seed=1)
    study = study.with_round(round_)
    code = next(c for (t, *_), c in round_.codes.items() if t == "Bo")
    with pytest.raises(pp.BallotError, match="under a plate of “Bo”"):
        study.with_ballots(pd.DataFrame([{"round": 1, "taster": "Ada", "code": code, "attribute": "snap", "score": 5}]))


def test_last_years_notes_make_their_own_trials():
    rows = [{"round": 1, "taster": "Ada", "version": f"salt={s}", "attribute": "liking", "score": 6} for s in ("little", "much")]
    study = plain().with_ballots(pd.DataFrame(rows))
    assert len(study.trial_records) == 2
    assert study == plain().with_ballots(pd.DataFrame(rows[::-1]))


def test_what_was_weighed_is_an_ingredient_and_its_weight():
    with pytest.raises(pp.TrialError, match="butter lots"):
        crackers().with_trials(pd.DataFrame([{"round": 1, "trial": 1, "version": "fat=butter; rest=none; oven=170", "weighed": "butter lots"}]))


def test_an_amendment_says_after_which_round_it_came():
    study = judged_study(plain(), times=2).amend(drop={"taster": "Bo"}, why="left")
    assert study.amendments[-1].after_round == 2
