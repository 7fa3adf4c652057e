"""Orders are checked by counting, against what Williams (1949) promises."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.panels import PanelError, balanced_days, orders_in_blocks, serving_orders
from proofpan.science.panels.orders import williams_square


@pytest.mark.parametrize("samples, tasters", [(2, 2), (3, 6), (4, 4), (4, 12), (5, 10), (6, 6), (7, 14), (8, 16)])
def test_a_complete_set_is_balanced_for_place_and_carry_over(samples, tasters):  # Williams 1949
    got = serving_orders(samples, tasters, seed=3)
    assert got.balanced
    assert got.times_in_each_position == tasters // samples
    assert got.times_each_follows_each == tasters // samples


def test_the_square_for_four_is_the_printed_one():  # Williams 1949; cyclic from 0 1 3 2
    assert williams_square(4).tolist() == [[0, 1, 3, 2], [1, 2, 0, 3], [2, 3, 1, 0], [3, 0, 2, 1]]


@given(st.integers(1, 12), st.integers(1, 30), st.integers(0, 2**31))
@settings(deadline=None, max_examples=60)
def test_any_numbers_give_each_taster_each_plate_once_and_even_places(samples, tasters, seed):
    got = serving_orders(samples, tasters, seed=seed)
    assert got.orders.shape == (tasters, samples)
    assert all(sorted(row) == list(range(samples)) for row in got.orders.tolist())
    assert got.position_counts_differ_by <= 1
    assert got.follows_counts.sum() == tasters * (samples - 1)
    assert (np.diag(got.follows_counts) == 0).all()


def test_the_same_seed_gives_the_same_orders_and_another_seed_others():
    one, again, other = (serving_orders(6, 9, seed=s).orders.tolist() for s in (1, 1, 2))
    assert one == again != other


def test_two_tasters_of_four_plates_get_each_other_s_order_backwards():
    first, second = serving_orders(4, 2, seed=5).orders.tolist()
    assert first == second[::-1]


def test_no_sample_is_favoured_for_the_first_place():
    firsts = np.array([serving_orders(4, 1, seed=s).orders[0, 0] for s in range(2000)])
    counts = np.bincount(firsts, minlength=4)
    assert ((counts - 500) ** 2 / 500).sum() < 16.27  # chi-square, 3 df, 0.1 % (any table)


def test_follow_counts_of_an_incomplete_set_stay_close():
    for samples, tasters in [(4, 6), (5, 7), (6, 10), (3, 4), (5, 5)]:
        assert serving_orders(samples, tasters, seed=1).follows_counts_differ_by <= 2


def test_orders_are_read_only():
    with pytest.raises(ValueError):
        serving_orders(3, 3, seed=1).orders[0, 0] = 2


def test_turned_orders_even_out_each_place_over_two_passes():
    got = serving_orders(5, 3, seed=2)
    places = np.argsort(got.orders, axis=1) + np.argsort(got.turned().orders, axis=1)
    assert (places == 4).all()


def test_blocks_of_a_balanced_design_get_even_places():  # the seven-point plane, Cochran & Cox 1957 plan 11.7
    blocks = [[0, 1, 3], [1, 2, 4], [2, 3, 5], [3, 4, 6], [4, 5, 0], [5, 6, 1], [6, 0, 2]]
    got = orders_in_blocks(blocks, 7, seed=1)
    assert [sorted(r) for r in got.orders.tolist()] == [sorted(b) for b in blocks]
    assert got.position_counts_differ_by == 0


@pytest.mark.parametrize("blocks, says", [([[0, 0]], "twice"), ([[0, 7]], "0 to 3"), ([0, 1], "table"), ([[0.5, 1.0]], "whole")])
def test_bad_blocks_are_refused_in_words(blocks, says):
    with pytest.raises(PanelError, match=says):
        orders_in_blocks(blocks, 4, seed=1)


def test_two_options_over_four_days_go_a_b_b_a_b_a_a_b():
    rows = balanced_days(2, 4, seed=1).orders.tolist()
    a, b = rows[0]
    assert rows == [[a, b], [b, a], [b, a], [a, b]]


@given(st.integers(1, 6), st.integers(1, 9), st.integers(0, 1000))
@settings(deadline=None, max_examples=40)
def test_each_second_day_turns_the_one_before(options, days, seed):
    rows = balanced_days(options, days, seed=seed).orders
    assert rows.shape == (days, options)
    for first, second in zip(rows[::2], rows[1::2], strict=False):
        assert (first == second[::-1]).all()


@pytest.mark.parametrize("call", [lambda: serving_orders(0, 3, seed=1), lambda: balanced_days(2, 0, seed=1)])
def test_nothing_to_serve_is_refused(call):
    with pytest.raises(PanelError, match="at least one"):
        call()


def test_the_orders_say_how_well_they_are_balanced():
    assert serving_orders(4, 8, seed=1).says.startswith("Balanced")
    assert serving_orders(4, 6, seed=1).says.startswith("Near-balanced: how often a plate stands in a place differs by at most 1")
