"""A study's text without one taster; all else as it was."""

import pytest

from proofpan.study.leaving import never_asked, text_never_asked
from proofpan.study.study import Study

TEXT = """# ours
title: Dip
tasters: [Ada, {name: Bo, no: [sesame]}]
attributes: [{name: snap}]
factors: [{name: fat, options: [{name: lard}, {name: tahini}]}]
"""


def test_a_text_that_does_not_name_them_stays_to_the_byte():
    assert text_never_asked(TEXT, "Cleo") == TEXT


def test_they_are_no_longer_asked():
    after = Study.from_text(text_never_asked(TEXT, "Bo"))
    assert after.tasters == ("Ada",) and after.factors == Study.from_text(TEXT).factors


def test_a_number_of_tasters_becomes_the_others():
    text = TEXT.replace("[Ada, {name: Bo, no: [sesame]}]", "3")
    assert Study.from_text(text_never_asked(text, "Taster 2")).tasters == ("Taster 1", "Taster 3")


def test_amendments_say_nothing_of_them_and_keep_what_else_they_say():
    study = Study.from_text(TEXT).amend(add={"taster": "Cleo", "option": {"factor": "fat", "name": "ghee"}}, why="late")
    study = study.amend(drop={"taster": "Cleo"}, why="asked to be left out")
    assert [a.what for a in never_asked(study, "Cleo").amendments] == ["added ghee to fat"]


def test_a_record_in_the_text_loses_their_marks_plates_and_orders():
    import proofpan as pp

    study = Study.from_text(TEXT.replace("factors", "rounds: {plates: 2}\nfactors"))
    round_ = pp.next_round(study, seed=1)
    code = {t: c[0] for t, c in round_.orders.items()}
    import pandas as pd

    rows = [{"round": 1, "taster": t, "code": c, "attribute": "snap", "score": 5} for t, c in code.items()]
    text = study.with_round(round_).with_ballots(pd.DataFrame(rows)).to_yaml()
    after = Study.from_text(text_never_asked(text, "Bo"))
    assert {b.taster for b in after.ballot_records} == {"Ada"} and set(after.rounds[0].orders) == {"Ada"}
    assert "Bo" not in text_never_asked(text, "Bo")


@pytest.mark.parametrize("text", ["title: [", "title: Dip\ntasters: [Bo]\nfactors: 7\n"])
def test_a_text_that_cannot_be_read_loses_the_name_where_it_can(text):
    assert "[Bo]" not in text_never_asked(text, "Bo")
