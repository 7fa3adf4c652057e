"""Against statsmodels and printed examples."""

import numpy as np
import pytest
import statsmodels.api as sm
from statsmodels.stats.contingency_tables import cochrans_q

from proofpan.science import panels
from proofpan.science.panels import PanelError
from proofpan.science.panels.choice_sets import SETS

JOURNALS = [[0, 730, 498, 221], [33, 0, 68, 17], [320, 813, 0, 142], [284, 276, 325, 0]]
# Citations among Biometrika, Commun. Stat., JASA and JRSS B: Stigler (1994); Agresti (2002), Categorical Data Analysis


def test_cochran_q_agrees_with_statsmodels():
    answers = np.random.default_rng(3).integers(0, 2, size=(20, 4))
    got, peer = panels.cochran_q(answers), cochrans_q(answers)
    assert (got.statistic, got.p) == (pytest.approx(peer.statistic), pytest.approx(peer.pvalue))


def test_cochran_q_with_nothing_but_agreement_is_zero():
    assert panels.cochran_q([[1, 1, 1], [0, 0, 0]]).p == 1.0


def test_abilities_are_those_of_a_logistic_regression():
    wins = np.array(JOURNALS)
    i, j = np.triu_indices(4, 1)
    x = np.zeros((6, 4))
    x[np.arange(6), i], x[np.arange(6), j] = 1, -1
    peer = sm.GLM(np.column_stack([wins[i, j], wins[j, i]]), x[:, 1:], family=sm.families.Binomial()).fit(tol=1e-12)
    got = panels.bradley_terry(wins)
    assert got.ability[1:] == pytest.approx(peer.params, abs=1e-8)
    assert got.se[1:] == pytest.approx(peer.bse, abs=1e-8)
    assert (got.deviance, got.residual_df) == (pytest.approx(peer.deviance), peer.df_resid)


def test_abilities_are_the_published_ones():  # Agresti 2002, sec. 10.6: JRSS B 0.27, JASA -0.48, CommStat -2.95
    assert panels.bradley_terry(JOURNALS).ability.round(2).tolist() == [0.0, -2.95, -0.48, 0.27]


def test_the_reference_moves_all_abilities_alike():
    one, other = panels.bradley_terry(JOURNALS), panels.bradley_terry(JOURNALS, reference=2)
    assert (one.ability - one.ability[2]) == pytest.approx(other.ability)
    assert one.deviance == pytest.approx(other.deviance)


def test_a_plate_that_never_loses_is_refused_since_its_ability_has_no_bound():  # Ford 1957
    with pytest.raises(PanelError, match="no bound"):
        panels.bradley_terry([[0, 3, 4], [0, 0, 2], [0, 1, 0]])


def test_even_preferences_say_all_alike():
    got = panels.bradley_terry(np.full((3, 3), 5) - 5 * np.eye(3))
    assert got.ability == pytest.approx(np.zeros(3), abs=1e-12)
    assert got.overall_p == pytest.approx(1.0)


def test_penalties_are_shares_of_the_liking_lost():
    got = panels.penalty_analysis([-1, 0, 0, 1, 1], [5, 8, 8, 4, 6])
    assert got.mean_drop_too_much == pytest.approx(3.0) and got.total_penalty_too_much == pytest.approx(1.2)
    assert got.mean_drop_too_little == pytest.approx(3.0) and got.mean_drop_too_little_interval is None
    low, high = got.mean_drop_too_much_interval
    assert low < 3 < high


def test_without_anyone_just_right_no_drop_is_made_up():
    got = panels.penalty_analysis([1, -1], [5, 6])
    assert got.mean_just_right is None and got.mean_drop_too_much is None and got.percent_too_much == 50


def test_penalty_interval_is_welch_s():
    import scipy.stats

    rng = np.random.default_rng(5)
    answers, liking = rng.integers(0, 2, 30), rng.normal(6, 1, 30)
    peer = scipy.stats.ttest_ind(liking[answers == 0], liking[answers == 1], equal_var=False)
    interval = peer.confidence_interval(0.95)
    got = panels.penalty_analysis(answers, liking)
    assert got.mean_drop_too_much_interval == pytest.approx((interval.low, interval.high))


SHROUT = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]


def test_intraclass_correlations_are_the_printed_ones():  # Shrout & Fleiss 1979, table 4
    got = panels.intraclass_correlation(SHROUT)
    forms = (got.one_way, got.random_judges, got.fixed_judges)
    means = (got.one_way_mean, got.random_judges_mean, got.fixed_judges_mean)
    assert [round(f.value, 2) for f in forms] == [0.17, 0.29, 0.71]
    assert [round(f.value, 2) for f in means] == [0.44, 0.62, 0.91]
    # (2,1): .02 to .76, as the literature prints for this example; from memory
    assert (round(got.random_judges.low, 2), round(got.random_judges.high, 2)) == (0.02, 0.76)
    assert all(f.low < f.value < f.high for f in forms + means)


def test_the_fixed_judges_interval_covers_as_often_as_it_says():
    rng = np.random.default_rng(8)
    inside = 0
    for _ in range(1500):
        table = rng.normal(size=(8, 1)) + rng.normal(size=(8, 3)) + rng.normal(size=3)
        got = panels.intraclass_correlation(table, 0.9).fixed_judges
        inside += got.low <= 0.5 <= got.high
    assert inside / 1500 == pytest.approx(0.9, abs=0.025)


def test_complete_agreement_is_said_rather_than_divided_by_zero():
    with pytest.raises(PanelError, match="no spread"):
        panels.intraclass_correlation([[1, 1], [2, 2], [3, 3]])


@pytest.mark.parametrize(
    "call, says",
    [
        (lambda: panels.cochran_q([[1, 2], [0, 1]]), "0 or 1"),
        (lambda: panels.bradley_terry([[0, 1, 2], [1, 0, 1]]), "square"),
        (lambda: panels.bradley_terry([[0, 1], [1, 0]], reference=2), "0 to 1"),
        (lambda: panels.penalty_analysis([1], [1, 2]), "same tasters"),
        (lambda: panels.penalty_analysis([np.nan], [1]), "no gaps"),
        (lambda: panels.choice_sets("square", 3, seed=1), "there are"),
        (lambda: panels.pair_orders(-1, seed=1), "none or more"),
    ],
)
def test_bad_input_is_refused_in_words(call, says):
    with pytest.raises(PanelError, match=says):
        call()


def test_six_triangles_are_the_six_of_the_standard():  # ISO 4120: ABB AAB ABA BAA BBA BAB
    assert {s.letters for s in panels.triangle_orders(6, seed=1)} == {"AAB", "ABA", "BAA", "BBA", "BAB", "ABB"}


@pytest.mark.parametrize("method", sorted(SETS))
def test_each_place_is_right_as_often_as_guessing_says(method):
    sets = panels.choice_sets(method, 60, seed=2)
    assert len(SETS[method]) == {"two-out-of-five": 20, "triangle": 6, "tetrad": 6, "duo-trio": 4, "3-afc": 3}.get(method, 2)
    answers = [s.answer for s in sets]
    counts = [answers.count(a) for a in set(answers)]
    assert max(counts) == min(counts)
    assert 1 / len(counts) == pytest.approx(panels.chance_of(method))


@pytest.mark.parametrize("n", [1, 4, 7, 20])
def test_a_number_that_doesn_t_divide_leaves_sets_within_one_of_each_other(n):
    letters = [s.letters for s in panels.triangle_orders(n, seed=n)]
    counts = [letters.count(k) for k in ("AAB", "ABA", "BAA", "BBA", "BAB", "ABB")]
    assert len(letters) == n and max(counts) - min(counts) <= 1
