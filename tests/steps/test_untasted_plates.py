"""Plates that were laid and not tasted are said in the verdict: how many of how many, whose, and whether it matters."""

import datetime

import pandas as pd

import proofpan as pp
from tests.kitchens import ballots_of, plain, trials_of

SIX = ["Ada", "Bo", "Cy", "Dot", "Eli", "Fay"]


def tasted(skip=lambda taster, trial: False, study: pp.Study | None = None, fails: int | None = None) -> pp.Study:
    """One round through the public calls, each plate marked but those that `skip` says."""
    study = study or plain()
    round_ = pp.next_round(study, seed=3)
    study = study.with_round(round_)
    cooked = [{"round": round_.number, "trial": t.trial, "version": str(t.version), "failed": "burnt" if t.trial == fails else ""} for t in round_.trials]
    study = study.with_trials(pd.DataFrame(cooked))
    marks = [{"round": round_.number, "taster": p.taster, "trial": p.trial, "code": p.code, "pass": p.pass_, "attribute": "liking", "score": 5 + p.trial % 3}
             for p in round_.plates if not skip(p.taster, p.trial) and p.trial != fails]
    return study.with_ballots(pd.DataFrame(marks))


def about_plates(study: pp.Study) -> list[str]:
    return [c for c in pp.judge(study).cautions if "of" in c and "no mark" in c and "plates" in c]


def first_trials(study: pp.Study, n: int) -> list[int]:
    return [t.trial for t in study.rounds[0].trials][:n]


def test_a_full_tasting_says_nothing():
    assert not about_plates(tasted())


def test_a_failed_make_has_no_plate_to_miss():
    assert not about_plates(tasted(fails=1))


def test_plates_left_are_counted_with_whose_they_were():
    study = tasted(lambda taster, trial: taster == "Bo" and trial == 1)
    laid = len(study.rounds[0].plates)
    mine = sum(p.taster == "Bo" for p in study.rounds[0].plates)
    assert [c.split(").")[0] for c in about_plates(study)] == [f"1 of {laid} plates has no mark (Bo 1 of {mine}"]


def test_a_trial_nobody_tasted_is_named():
    assert any("Trial 2 has none at all and says nothing yet." in c for c in about_plates(tasted(lambda taster, trial: trial == 2)))


def test_one_that_few_tasted_is_named_where_there_were_three_plates():
    study = tasted(lambda taster, trial: trial == 2 and taster != "Ada", plain(tasters=SIX))
    assert any("Trial 2 stands on fewer than half its marks" in c for c in about_plates(study))


def test_one_plate_of_many_matters_little():
    assert any("matters little" in c for c in about_plates(tasted(lambda taster, trial: taster == "Ada" and trial == 1, plain(tasters=SIX))))


def test_marks_of_one_who_left_are_said_not_to_count():
    study = tasted(study=plain(tasters=SIX))
    tasters = tuple(t.model_copy(update={"left": datetime.date(2026, 3, 1)}) if t.name == "Ada" else t for t in study.brief.tasters)
    said = about_plates(study.model_copy(update={"brief": study.brief.model_copy(update={"tasters": tasters})}))
    assert any("plates have no mark that counts (Ada, who left, 4 of 4)" in c for c in said), said


# who was served what isn't in such a table: two tasters may have shared the trials between them
def test_of_trials_from_a_file_nobody_can_say_what_is_missing():
    study = plain()
    trials = trials_of(study)
    marks = ballots_of(study, trials)
    assert about_plates(study.with_trials(trials).with_ballots(marks[(marks.taster == "Bo") == (marks.trial % 2 == 0)])) == []
