"""Against the tables of ISO 4120, 10399 and 5495 (printed values from memory) and scipy's binomial."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from proofpan.science import panels
from proofpan.science.panels import PanelError


@pytest.mark.parametrize("n, five, one, tenth", [(6, 5, 6, None), (12, 8, 9, 10), (18, 10, 12, 13), (24, 13, 15, 16), (30, 15, 17, 19)])
def test_triangles_need_what_the_standard_prints(n, five, one, tenth):  # ISO 4120 table A.1
    assert [panels.minimum_correct("triangle", n, a) for a in (0.05, 0.01, 0.001)] == [five, one, tenth]


@pytest.mark.parametrize("n, five, one", [(10, 9, 10), (12, 10, 11), (20, 15, 16), (24, 17, 19), (30, 20, 22)])
def test_duo_trios_need_what_the_standard_prints(n, five, one):  # ISO 10399 table A.1
    assert [panels.minimum_correct("duo-trio", n, a) for a in (0.05, 0.01)] == [five, one]


@pytest.mark.parametrize("n, five", [(10, 9), (20, 15), (25, 18), (30, 21), (40, 27)])
def test_two_sided_pairs_need_what_the_standard_prints(n, five):  # ISO 5495 two-sided table
    assert panels.minimum_correct("paired", n, 0.05, "two-sided") == five


@given(st.sampled_from(sorted(panels.CHANCE)), st.integers(1, 200), st.floats(1e-4, 0.4))
@settings(deadline=None, max_examples=100)
def test_the_minimum_is_the_smallest_count_rare_enough_by_scipy(method, n, alpha):
    x = panels.minimum_correct(method, n, alpha)
    tail = stats.binom.sf(np.arange(-1, n), n, panels.chance_of(method))
    rare = np.flatnonzero(tail <= alpha)
    assert x == (rare[0] if rare.size else None)


@given(st.integers(1, 60), st.data())
@settings(deadline=None, max_examples=60)
def test_p_and_interval_are_scipy_s_exact_ones(n, data):
    correct = data.draw(st.integers(0, n))
    for method, alternative in (("triangle", "greater"), ("paired", "two-sided")):
        got = panels.discrimination_test(method, correct, n, alternative, 0.9)
        peer = stats.binomtest(correct, n, panels.chance_of(method), alternative)
        interval = stats.binomtest(correct, n).proportion_ci(0.9, "exact")
        assert got.p == pytest.approx(peer.pvalue, abs=1e-12)
        assert (got.low, got.high) == pytest.approx((interval.low, interval.high), abs=1e-12)


def test_tasters_at_chance_have_no_discriminators_and_a_p_of_about_a_half():
    got = panels.discrimination_test("triangle", 12, 36)
    assert got.discriminators == 0.0 and 0.4 < got.p < 0.6
    assert got.discriminators_high > 0.2  # 36 triangles leave that much open


def test_similarity_allows_what_is_rare_when_some_can_tell():
    x = panels.maximum_correct_similar("triangle", 60, 0.05, 0.3)
    assert x == 25  # exact binomial by scipy, below
    assert stats.binom.cdf([x, x + 1], 60, 1 / 3 + 2 / 3 * 0.3).tolist() == pytest.approx([0.05, 0.05], abs=0.05)
    assert stats.binom.cdf(x, 60, 1 / 3 + 0.2) <= 0.05 < stats.binom.cdf(x + 1, 60, 1 / 3 + 0.2)


def test_no_count_is_low_enough_with_few_answers():
    assert panels.maximum_correct_similar("triangle", 2, 0.05, 0.3) is None


@given(st.sampled_from(["triangle", "duo-trio", "two-out-of-five"]), st.integers(2, 80))
@settings(deadline=None, max_examples=40)
def test_a_guessing_panel_is_called_a_difference_no_oftener_than_alpha(method, n):
    got = panels.power(method, n, 0.05, panels.chance_of(method))
    assert got.power == pytest.approx(got.actual_alpha) and got.actual_alpha <= 0.05


def test_power_agrees_with_a_simulated_panel():
    got = panels.power("triangle", 30, 0.05, panels.proportion_correct("triangle", 1.5))
    rng = np.random.default_rng(1)
    a, b = rng.normal(size=(2, 20000, 30, 2))
    odd = b[..., 0] + 1.5
    near, left, right = abs(a[..., 0] - a[..., 1]), abs(a[..., 0] - odd), abs(a[..., 1] - odd)
    right_answers = ((near < left) & (near < right)).sum(axis=1)
    assert np.mean(right_answers >= got.minimum_correct) == pytest.approx(got.power, abs=0.015)


def test_sample_size_is_a_saw_tooth():
    got = panels.sample_size("triangle", 0.05, 0.1, panels.odds_right("triangle", 0.5))
    powers = [panels.power("triangle", n, 0.05, 2 / 3).power for n in range(1, 120)]
    assert got.first == 1 + next(i for i, p in enumerate(powers) if p >= 0.9)
    assert got.always == 2 + max(i for i, p in enumerate(powers) if p < 0.9)
    assert got.first < got.always


def test_two_sided_power_counts_both_sides():
    got = panels.power("paired", 20, 0.05, 0.5, "two-sided")
    assert got.power == pytest.approx(got.actual_alpha) == pytest.approx(stats.binomtest(15, 20).pvalue)


@pytest.mark.parametrize(
    "call, says",
    [
        (lambda: panels.minimum_correct("quadrangle", 10, 0.05), "there are triangle"),
        (lambda: panels.minimum_correct("triangle", 0, 0.05), "whole number from 1"),
        (lambda: panels.minimum_correct("triangle", 10, 1.0), "between 0 and 1"),
        (lambda: panels.minimum_correct("triangle", 10, 0.05, "two-sided"), "one side"),
        (lambda: panels.minimum_correct("paired", 10, 0.05, "less"), 'not "less"'),
        (lambda: panels.discrimination_test("triangle", 11, 10), "from 0 to 10"),
        (lambda: panels.sample_size("triangle", 0.05, 0.2, 1 / 3), "no more than guessing"),
        (lambda: panels.sample_size("triangle", 0.05, 0.2, 0.35, at_most=200), "More than 200"),
        (lambda: panels.odds_right("triangle", 1.2), "between 0 and 1"),
    ],
)
def test_bad_input_is_refused_in_words(call, says):
    with pytest.raises(PanelError, match=says):
        call()
