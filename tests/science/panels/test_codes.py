import numpy as np
import pytest

from proofpan.science.panels import PanelError, three_digit_codes
from proofpan.science.panels.codes import is_plain


def test_codes_are_unique_and_say_nothing():
    codes = three_digit_codes(300, seed=4)
    assert len(set(codes)) == 300
    assert all(is_plain(int(c)) and len(c) == 3 for c in codes)


@pytest.mark.parametrize("code", [111, 123, 321, 666, 100, 180, 250, 455])
def test_codes_that_say_something_are_not_plain(code):
    assert not is_plain(code)


def test_all_nine_hundred_can_be_had_and_not_one_more():
    assert sorted(map(int, three_digit_codes(900, seed=1))) == list(range(100, 1000))
    with pytest.raises(PanelError, match="only 900"):
        three_digit_codes(901, seed=1)


def test_taken_codes_are_not_given_again():
    first = three_digit_codes(500, seed=1)
    more = three_digit_codes(400, seed=1, taken=frozenset(first))
    assert not set(first) & set(more)
    with pytest.raises(PanelError, match="only 400"):
        three_digit_codes(401, seed=1, taken=frozenset(first))


def test_the_same_seed_gives_the_same_codes():
    assert three_digit_codes(8, seed=9) == three_digit_codes(8, seed=9) != three_digit_codes(8, seed=10)


def test_no_plain_code_is_likelier_than_another_in_any_place():
    plain = [c for c in range(100, 1000) if is_plain(c)]
    firsts = [int(three_digit_codes(4, seed=s)[0]) for s in range(3000)]
    counts = np.array([firsts.count(c) for c in plain])
    expected = 3000 / len(plain)
    assert ((counts - expected) ** 2 / expected).sum() < 671  # chi-square, 561 df, 0.1 % (Wilson-Hilferty)


def test_no_codes_for_no_plates_and_a_negative_number_is_refused():
    assert three_digit_codes(0, seed=1) == ()
    with pytest.raises(PanelError, match="none or more"):
        three_digit_codes(-1, seed=1)
