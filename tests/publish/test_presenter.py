"""The presenter's sheet keeps the reveal sealed; its pictures have the size of a screen."""

import struct

import pytest

from proofpan.publish.presenter import chart_image_png, presenter_sheet_pdf, spoken_odds, spoken_points
from proofpan.study.words import version_words

from .reading import words


def test_while_ballots_are_open_no_result_and_no_version_stands_on_the_sheet(made):
    text = words(presenter_sheet_pdf(made.study, made.verdict, False))
    assert "Sealed" in text
    assert version_words(made.verdict.publish.version) not in text
    assert not any(said in text for said in made.verdict.publish.says)
    assert not any(a.numbers in text for a in made.verdict.answers)


def test_once_closed_the_story_runs_from_question_to_surprise_to_verdict_with_the_words_allowed(made):
    text = words(presenter_sheet_pdf(made.study, made.verdict, True))
    assert text.index("The question") < text.index("The surprise") < text.index("The verdict")
    assert all(said in text for said in made.verdict.publish.says)


def test_numbers_are_rounded_for_speech_and_never_certain():
    assert [spoken_odds(p) for p in (0.001, 0.83, 0.999)] == ["fewer than 1 in 10", "about 8 in 10", "more than 9 in 10"]
    assert [spoken_points(p) for p in (0.4, 7.4, 7.8, 6.1)] == ["about ½", "about 7½", "about 8", "about 6"]


@pytest.mark.parametrize("size", [(1920, 1080), (1080, 1920)])
def test_a_chart_is_a_png_of_the_size_asked_for(made, size):
    data = chart_image_png(made.verdict, size)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"  # PNG specification (W3C, third edition), 5.2
    assert struct.unpack(">II", data[16:24]) == size  # 11.2.1, IHDR: width, height
    assert chart_image_png(made.verdict, size) == data


def test_another_size_is_refused(made):
    with pytest.raises(ValueError, match="1920"):
        chart_image_png(made.verdict, (800, 600))


def test_a_chart_of_an_open_question_is_titled_with_that_it_is_open(made):
    from proofpan.publish.presenter import conclusion

    titles = {conclusion(a): a.row.settled for a in made.verdict.answers}
    assert all(("Not settled." in title) != settled for title, settled in titles.items())
