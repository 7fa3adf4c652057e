"""Against scipy and statsmodels, printed examples of Conover (1999), and brute-force enumeration."""

from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import stats

from proofpan.science import panels
from proofpan.science.panels import PanelError
from proofpan.science.panels.exact_ranks import rank_sum_states

NAN = np.nan
VARIETIES = [  # Conover (1999), sec. 5.8: seven varieties, seven people, three each
    [2, 3, NAN, 1, NAN, NAN, NAN],
    [NAN, 3, 1, NAN, 2, NAN, NAN],
    [NAN, NAN, 2, 1, NAN, 3, NAN],
    [NAN, NAN, NAN, 1, 2, NAN, 3],
    [3, NAN, NAN, NAN, 1, 2, NAN],
    [NAN, 3, NAN, NAN, NAN, 1, 2],
    [3, NAN, 1, NAN, NAN, NAN, 2],
]
tables = arrays(float, st.tuples(st.integers(3, 9), st.integers(3, 5)), elements=st.integers(0, 6).map(float))


@given(tables)
@settings(deadline=None, max_examples=60)
def test_friedman_and_w_agree_with_scipy_ties_and_all(table):
    got = panels.friedman(table)
    if all(len(set(row)) == 1 for row in table.tolist()):
        assert got.statistic == 0 and got.p == 1
        return
    peer = stats.friedmanchisquare(*table.T)
    assert got.statistic == pytest.approx(peer.statistic, abs=1e-9)
    assert got.p == pytest.approx(peer.pvalue, abs=1e-9)
    assert panels.kendall_w(table).w == pytest.approx(got.statistic / (len(table) * (table.shape[1] - 1)))


def test_complete_agreement_gives_w_of_one():
    assert panels.kendall_w([[1, 2, 3, 4]] * 5).w == pytest.approx(1.0)


@pytest.mark.parametrize("tasters, samples", [(3, 3), (4, 3), (3, 4)])
def test_exact_distributions_agree_with_going_through_every_outcome(tasters, samples):
    orders = np.array(list(permutations(range(1, samples + 1))))
    sums = np.array([orders[list(pick)].sum(axis=0) for pick in product(range(len(orders)), repeat=tasters)])
    values = 12 * (sums**2).sum(axis=1) / (tasters * samples * (samples + 1)) - 3 * tasters * (samples + 1)
    spans = np.ptp(sums, axis=1)
    totals = sums @ np.arange(1, samples + 1)
    for value in np.unique(values.round(9)):
        got = panels.friedman_exact_p(tasters, samples, value)
        assert got == pytest.approx((values >= value - 1e-6).mean(), abs=1e-12)
    for alpha in (0.2, 0.05, 0.01):
        for got, seen in (
            (panels.rank_range_critical(tasters, samples, alpha), spans),
            (panels.page_critical(tasters, samples, alpha), totals),
        ):
            rare = [v for v in np.unique(seen) if (seen >= v).mean() <= alpha + 1e-12]
            assert got == (rare[0] if rare else None)


def test_a_printed_statistic_is_taken_for_the_one_it_stands_for():
    assert panels.friedman_exact_p(3, 5, 8.53) == panels.friedman_exact_p(3, 5, 8.5333333)
    assert panels.friedman_exact_p(3, 5, 8.54) == panels.friedman_exact_p(3, 5, 8.66)


@pytest.mark.parametrize("tasters, samples, printed", [(3, 4, 8), (5, 4, 11), (5, 5, 14), (6, 4, 12), (8, 3, 10)])
def test_rank_ranges_are_those_newell_and_macfarlane_print(tasters, samples, printed):  # 1987; from memory
    assert panels.rank_range_critical(tasters, samples, 0.05) == printed


def test_odds_of_all_rank_sums_add_up_to_one():
    states, odds = rank_sum_states(8, 4)
    assert odds.sum() == pytest.approx(1.0, abs=1e-12)
    assert (states.sum(axis=1) == 8 * 10).all()


@given(st.integers(2, 8), st.integers(3, 5), st.integers(0, 10_000))
@settings(deadline=None, max_examples=30)
def test_page_agrees_with_scipy(tasters, samples, seed):
    table = np.random.default_rng(seed).permuted(np.tile(np.arange(1.0, samples + 1), (tasters, 1)), axis=1)
    got = panels.page(table)
    peer = stats.page_trend_test(table, method="exact")
    assert pytest.approx(peer.statistic) == got.L
    assert got.p_exact == pytest.approx(peer.pvalue, abs=1e-12)
    assert got.p_normal == pytest.approx(stats.page_trend_test(table, method="asymptotic").pvalue, abs=1e-12)


def test_page_gives_no_exact_p_with_ties():
    assert panels.page([[1, 1, 3], [1, 2, 3]]).p_exact is None


def test_durbin_gives_conover_s_printed_example():  # Conover (1999), sec. 5.8: T = 12, F = 8
    got = panels.durbin(VARIETIES)
    assert got.rank_sums.tolist() == [8, 9, 4, 3, 5, 6, 7]
    assert (got.statistic, got.F, got.F_df) == (pytest.approx(12), pytest.approx(8), (6, 8))


def test_durbin_on_a_full_table_is_friedman():
    table = np.random.default_rng(2).normal(size=(6, 4))
    assert panels.durbin(table).statistic == pytest.approx(panels.friedman(table).statistic)
    assert panels.durbin(table).F_p == pytest.approx(panels.friedman(table).iman_davenport_p)


def test_honest_differences_use_the_studentized_range_of_scipy():
    got = panels.rank_differences(np.random.default_rng(1).normal(size=(9, 5)), 0.01)
    q = stats.studentized_range.ppf(0.99, 5, 1e6)
    assert got.honestly_significant_difference == pytest.approx(q * np.sqrt(9 * 5 * 6 / 12), rel=1e-4)
    assert got.least_significant_difference == pytest.approx(stats.norm.ppf(0.995) * np.sqrt(9 * 5 * 6 / 6))
    assert (got.differences == -got.differences.T).all()


@pytest.mark.parametrize(
    "call, says",
    [
        (lambda: panels.friedman([[1, 2, NAN], [1, 2, 3]]), "Row 1, column 3"),
        (lambda: panels.friedman([[1, 2], [1, 2, 3]]), "alike in length"),
        (lambda: panels.friedman([[1, 2, 3]]), "at least 2 rows"),
        (lambda: panels.friedman([["good", "bad"], ["bad", "good"]]), "numbers"),
        (lambda: panels.durbin([[1, 2, NAN], [1, 2, 3]]), "same number"),
        (lambda: panels.rank_range_critical(60, 6, 0.05), "too many"),
        (lambda: panels.rank_range_critical(6, 3, 0), "between 0 and 1"),
        (lambda: panels.page_critical(6, 13, 0.05), "2 to 12"),
        (lambda: panels.rank_differences([[1, 2], [2, 1]], 1.5), "between 0 and 1"),
    ],
)
def test_bad_input_is_refused_in_words(call, says):
    with pytest.raises(PanelError, match=says):
        call()


def test_judges_who_pull_against_each_other_have_no_bound_instead_of_a_fault():
    got = panels.intraclass_correlation([[1, 2], [2, 1]])  # plates alike in the mean: Shrout & Fleiss's forms by hand, MS between 0
    assert got.one_way.value == pytest.approx(-1) and got.random_judges.value == -np.inf
