"""A study off the shelf: its document, then what was recorded since."""

import pytest

import proofpan as pp
from proofpan.notebook import Notebook
from proofpan.notebook.shelf import add_ballots, add_round, add_trials, change_brief, keep_study, read_study
from tests.kitchens import CRACKERS, judged_study


@pytest.fixture
def book(tmp_path):
    with Notebook.open(tmp_path / "notebook.sqlite") as found:
        yield found


def test_the_document_stays_as_written_while_rounds_and_ballots_are_added(book):
    entry = keep_study(book, pp.Study.from_text(CRACKERS), text=CRACKERS)
    round_ = pp.next_round(read_study(book, entry.id), seed=1)
    add_round(book, entry.id, round_)
    rows = [{"round": "1", "taster": t, "code": c, "attribute": "snap", "score": "6"} for (t, *_), c in round_.codes.items()]
    add_ballots(book, entry.id, rows)
    found = read_study(book, entry.id)
    assert len(found.ballot_records) == 8 and found.rounds == (round_,)
    assert book.document(entry.id).text == CRACKERS


def test_a_sheet_changed_and_changed_back_stands_as_it_was_left(book):
    entry = keep_study(book, pp.Study.from_text(CRACKERS))
    for note in ("pale", "brown", "pale"):
        add_trials(book, entry.id, [{"round": "1", "trial": "1", "version": "fat=butter", "note": note}])
    assert read_study(book, entry.id).trial(1).note == "pale"
    add_trials(book, entry.id, [{"round": "1", "trial": "1", "version": "fat=butter", "note": "pale"}])
    assert len(book.events(entry.id, "trial")) == 3


def test_a_table_that_does_not_fit_leaves_nothing_behind(book):
    entry = keep_study(book, pp.Study.from_text(CRACKERS))
    with pytest.raises(pp.TrialError):
        add_trials(book, entry.id, [{"round": "1", "trial": "1", "version": "fat=butter"}, {"round": "1", "trial": "2", "version": "fat=lard"}])
    assert book.events(entry.id) == ()


def test_a_changed_brief_is_a_revision_and_what_was_cooked_stands(book):
    entry = keep_study(book, pp.Study.from_text(CRACKERS))
    add_trials(book, entry.id, [{"round": "1", "trial": "1", "version": "fat=butter"}])
    later = read_study(book, entry.id).amend(add={"taster": "Cleo"}, why="back from leave", on="2026-05-03")
    change_brief(book, entry.id, later, note="Cleo tastes too")
    found = read_study(book, entry.id)
    assert found.tasters == ("Ada", "Bo", "Cleo") and found.trial(1) is not None
    assert book.undo(entry.id).what == "Cleo tastes too"
    assert read_study(book, entry.id).tasters == ("Ada", "Bo")


def test_what_a_file_brought_with_it_outlives_a_change_of_its_brief(book):
    cooked = judged_study(pp.Study.from_text(CRACKERS), times=2)
    entry = keep_study(book, cooked)
    for days in (1, 2):
        later = read_study(book, entry.id).amend(add={"taster": f"Cleo {days}"}, why="back from leave", on="2026-05-03")
        change_brief(book, entry.id, later, note="Cleo tastes too")
    found = read_study(book, entry.id)
    assert found.tasters == ("Ada", "Bo", "Cleo 1", "Cleo 2")
    assert (found.trial_records, found.ballot_records) == (cooked.trial_records, cooked.ballot_records)


def test_a_brief_without_what_a_file_says_was_cooked_is_refused(book):
    entry = keep_study(book, judged_study(pp.Study.from_text(CRACKERS)))
    other = pp.Study.from_text(CRACKERS.replace("butter", "lard"))
    with pytest.raises(pp.StudyError, match="butter"):
        change_brief(book, entry.id, other, note="lard for butter")
    assert read_study(book, entry.id).trial(1) is not None
