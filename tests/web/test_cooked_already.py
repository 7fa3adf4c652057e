"""What was cooked before anything was planned: with its day, and a whole table of it as a spreadsheet saves it."""

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import crackers, planned


def notes(lead) -> str:
    return lead.post("/notes", dish="Ragù", differed="milk, no milk", words="").url.removesuffix("/cook")


def bring(lead, study: str, text: str):
    return lead.post(f"{study}/cook/table", files={"table": ("ragu.csv", text.encode(), "text/csv")})


TABLE = "Version;Date;Score;Notes\nmilk;2026-01-10;7,5;rounder\nno milk;2026-01-10;6;\nmilk;2026-02-01;8;\n"


def test_a_table_with_dates_and_marks_is_taken_once_and_leads_to_a_verdict(kitchen, lead):
    study = notes(lead)
    for _ in range(2):
        page = bring(lead, study, TABLE)
        assert page.status == 200, page.wrong
    held = read_study(kitchen.book, study.split("/")[-1])
    assert [(t.round, t.trial, t.start, t.note, t.blind) for t in held.trial_records] == [
        (1, 1, "2026-01-10", "rounder", False),
        (1, 2, "2026-01-10", "", False),
        (2, 3, "2026-02-01", "", False),
    ]
    assert [b.score for b in held.ballot_records] == [7.5, 6, 8]
    verdict = lead.get(f"{study}/verdict")
    assert "milk" in verdict.headline and "knew" in verdict.text  # not blind, and said so


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("version,date\n", "no rows"),
        ("version,temperature\nmilk,5\n", "“temperature” isn't a column"),
        ("version,score\nbutter,5\n", "Line 2"),
        ("version,score\nmilk,lots\n", "lots"),
        ("version,date\nmilk,last winter\n", "last winter"),
        ("date\n2026-01-10\n", "doesn't say what was cooked"),
    ],
)
def test_a_table_that_does_not_fit_is_refused_by_its_field_and_nothing_of_it_is_kept(kitchen, lead, text, says):
    study = notes(lead)
    page = bring(lead, study, text)
    assert page.status == 422 and says in page.wrong and 'data-field="table"' in page.text
    assert read_study(kitchen.book, study.split("/")[-1]).trial_records == ()


def test_options_may_stand_in_columns_of_their_own(kitchen, lead):
    study = crackers(lead)
    head = "round,trial,fat,rest,malt syrup,oven,taster,attribute,score\n"
    page = bring(lead, study, head + "1,1,olive oil,none,none,170,Ada,snap,7\n1,1,olive oil,none,none,170,Bo,snap,6\n")
    assert page.status == 200, page.wrong
    held = read_study(kitchen.book, study.split("/")[-1])
    assert len(held.trial_records) == 1 and [b.taster for b in held.ballot_records] == ["Ada", "Bo"]


def test_what_was_cooked_on_a_day_is_kept_with_it(kitchen, lead):
    study = notes(lead)
    lead.post(f"{study}/cook", what="already", version="what differed=milk", note="", on="2026-01-10", once="a")
    assert read_study(kitchen.book, study.split("/")[-1]).trial_records[0].start == "2026-01-10"


def test_a_core_temperature_is_typed_with_a_comma_as_a_weight_is(lead):
    study = crackers(lead)
    planned(lead, study)
    assert lead.post(f"{study}/cook", what="sheet", trial="1", core_c="96,5 °C", once="a").status == 200
    assert 'name="core_c" inputmode="decimal" value="96.5"' in lead.get(f"{study}/cook?trial=1").text
