"""The tastings' journeys once more, on a real PostgreSQL that the tests start."""

import pytest

from ..notebook.conftest import database, kitchen_database, new_database, server  # noqa: F401 - fixtures
from .conftest import Kitchen
from .test_sittings import test_every_kind_goes_from_laying_to_its_sentence_and_leaves_the_verdict_alone as every_kind
from .test_tasting import (  # noqa: F401 - the same tests, in this module's kitchen
    phones,
    study,
    test_a_late_taster_gets_fresh_codes_and_is_marked_late,
    test_a_taster_left_out_for_good_leaves_the_verdict_of_never_having_asked_them,
    test_after_the_close_marks_come_too_late_and_the_phone_is_told,
    test_each_taster_gets_three_words_of_their_own,
    test_marks_are_acknowledged_when_they_are_in_the_notebook,
    test_new_words_make_the_old_ones_unknown,
    test_other_marks_for_a_marked_plate_change_nothing,
    test_paper_ballots_are_typed_in_one_grid_and_a_bad_cell_is_named,
    test_the_same_marks_sent_again_are_the_same_marks,
    test_what_they_said_stands_by_version_after_the_close,
    test_while_it_is_open_the_board_counts_plates_and_shows_no_score,
)

pytestmark = pytest.mark.postgres


@pytest.fixture
def kitchen(new_database, tmp_path, monkeypatch):  # noqa: F811
    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "media"))
    made = Kitchen(tmp_path, where=new_database)
    yield made
    made.book.close()


def test_a_triangle_goes_from_laying_to_its_sentence(kitchen, lead, study):  # noqa: F811
    every_kind(kitchen, lead, study, "triangle")
