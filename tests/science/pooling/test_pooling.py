"""Pooling against printed results, another library and direct maximisation."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.optimize import minimize_scalar

from proofpan.science import pooling

# BCG vaccine trials, Colditz et al. 1994 (JAMA 271:698): tuberculosis and total, vaccinated and not
BCG = [(4, 123, 11, 139), (6, 306, 29, 303), (3, 231, 11, 220), (62, 13598, 248, 12867), (33, 5069, 47, 5808),
       (180, 1541, 372, 1451), (8, 2545, 10, 629), (505, 88391, 499, 88391), (29, 7499, 45, 7277), (17, 1716, 65, 1665),
       (186, 50634, 141, 27338), (5, 2498, 3, 2341), (27, 16913, 29, 17854)]  # fmt: skip
EFFECTS = [pooling.log_risk_ratio(*trial) for trial in BCG]
Y, V = [e.estimate for e in EFFECTS], [e.variance for e in EFFECTS]
studies = st.integers(2, 9).flatmap(
    lambda k: st.tuples(st.lists(st.floats(-5, 5), min_size=k, max_size=k), st.lists(st.floats(0.01, 4), min_size=k, max_size=k))
)


def test_the_vaccine_trials_pool_as_printed():
    # Viechtbauer 2010 (J. Stat. Softw. 36(3)), sec. 4: REML
    found = pooling.random_effects(Y, V)
    assert found.estimate == pytest.approx(-0.7145, abs=5e-5)
    assert found.se == pytest.approx(0.1798, abs=5e-5)
    assert (found.low, found.high) == (pytest.approx(-1.0669, abs=5e-5), pytest.approx(-0.3622, abs=5e-5))
    assert found.tau2 == pytest.approx(0.3132, abs=5e-5)
    assert pytest.approx(92.22, abs=5e-3) == found.I2
    assert (found.Q, found.Q_df) == (pytest.approx(152.2330, abs=5e-5), 12)
    # the same paper's confint() (from memory): interval of tau2 0.1197 to 1.1115
    assert (found.tau2_low, found.tau2_high) == (pytest.approx(0.1197, abs=5e-5), pytest.approx(1.1115, abs=5e-5))


@pytest.mark.parametrize("method, peer", [("dersimonian_laird", "chi2"), ("paule_mandel", "iterated")])
def test_it_agrees_with_statsmodels(method, peer):
    from statsmodels.stats.meta_analysis import combine_effects

    other = combine_effects(np.array(Y), np.array(V), method_re=peer, **({} if peer == "chi2" else {"atol": 1e-12, "maxiter": 500}))
    found = pooling.random_effects(Y, V, method)
    knapp = pooling.random_effects(Y, V, method, "hartung_knapp")
    assert found.tau2 == pytest.approx(other.tau2, rel=1e-6)
    assert found.estimate == pytest.approx(other.mean_effect_re, rel=1e-6)
    assert found.se == pytest.approx(other.sd_eff_w_re, rel=1e-6)
    assert knapp.se == pytest.approx(other.sd_eff_w_re_hksj, rel=1e-6)


@settings(deadline=None, max_examples=40)
@given(studies, st.sampled_from(["reml", "ml"]))
def test_no_spread_is_likelier_than_the_one_found(given_studies, method):
    y, v = map(np.array, given_studies)

    def minus(tau2):
        w = 1 / (v + tau2)
        mean = w @ y / w.sum()
        return -np.log(w).sum() + w @ (y - mean) ** 2 + (math.log(w.sum()) if method == "reml" else 0.0)

    found = pooling.tau_squared(y, v, method)
    top = 20 * float(np.var(y) + v.max())
    others = [minus(0.0), *(minimize_scalar(minus, bounds=(0, top / 4**i), method="bounded").fun for i in range(6))]
    assert minus(found) <= min(others) + 1e-8


@settings(deadline=None, max_examples=40)
@given(studies)
def test_paule_and_mandels_spread_makes_q_its_degrees_of_freedom(given_studies):
    y, v = map(np.array, given_studies)
    tau2 = pooling.tau_squared(y, v, "paule_mandel")
    w = 1 / (v + tau2)
    q = w @ (y - w @ y / w.sum()) ** 2
    assert q == pytest.approx(len(y) - 1, rel=1e-6) if tau2 > 0 else q <= len(y) - 1 + 1e-9


@settings(deadline=None, max_examples=30)
@given(studies, st.sampled_from(["dersimonian_laird", "hedges", "paule_mandel", "reml", "ml"]))
def test_the_spread_never_narrows_the_interval_and_the_next_study_is_less_certain(given_studies, method):
    y, v = given_studies
    fixed, found = pooling.fixed_effect(y, v), pooling.random_effects(y, v, method)
    assert found.high - found.low >= fixed.high - fixed.low - 1e-9
    assert found.prediction_low <= found.low <= found.estimate <= found.high <= found.prediction_high
    assert 0 <= found.I2 <= 100 and found.H2 >= 1 and found.tau2_low <= found.tau2_high


def test_one_study_is_itself():
    found = pooling.fixed_effect([1.5], [0.04])
    assert (found.estimate, found.se, found.Q, found.Q_p) == (1.5, pytest.approx(0.2), 0.0, 1.0)


def test_hartung_and_knapp_hold_their_level_with_five_studies():
    random = np.random.default_rng(12)
    inside = {"normal": 0, "hartung_knapp": 0}
    for _ in range(400):
        v = random.uniform(0.05, 0.5, 5)
        y = random.normal(0, np.sqrt(0.3 + v))
        for interval in inside:
            found = pooling.random_effects(y, v, "dersimonian_laird", interval)
            inside[interval] += found.low <= 0 <= found.high
    assert stats.binomtest(inside["hartung_knapp"], 400, 0.95).pvalue > 1e-3
    assert inside["normal"] < inside["hartung_knapp"]


def test_small_groups_shrink_the_standardised_difference():
    # Hedges 1981: J(m) = 1 − 3/(4m − 1) to three digits
    found = pooling.standardised_mean_difference(10, 2, 6, 8, 2, 6)
    assert found.estimate == pytest.approx(1 - 3 / 39, abs=1e-3)
    assert pooling.mean_difference(10, 2, 6, 8, 2, 6) == pooling.Effect(2, pytest.approx(4 / 3))


REFUSED = {
    "no studies": (lambda: pooling.fixed_effect([], []), "0 studies"),
    "one study with a spread": (lambda: pooling.random_effects([1.0], [1.0]), "at least 2"),
    "a variance of nothing": (lambda: pooling.fixed_effect([1, 2], [1, 0]), "above 0"),
    "a missing variance": (lambda: pooling.fixed_effect([1, 2], [1]), "one variance"),
    "not a number": (lambda: pooling.fixed_effect([1, math.nan], [1, 1]), "a number"),
    "an unknown method": (lambda: pooling.random_effects([1, 2], [1, 1], "bayes"), "'bayes'"),
    "an unknown interval": (lambda: pooling.fixed_effect([1, 2], [1, 1], "exact"), "'exact'"),
    "a level in percent": (lambda: pooling.fixed_effect([1, 2], [1, 1], level=95), "0.95"),
    "no events": (lambda: pooling.log_risk_ratio(0, 10, 3, 10), "without events"),
    "more events than results": (lambda: pooling.log_risk_ratio(11, 10, 3, 10), "more events"),
    "a group of one": (lambda: pooling.mean_difference(1, 1, 1, 2, 1, 5), "at least 2"),
}


@pytest.mark.parametrize("call, words", REFUSED.values(), ids=REFUSED.keys())
def test_it_is_refused_in_one_sentence(call, words):
    with pytest.raises(pooling.PoolingError) as caught:
        call()
    assert words in str(caught.value) and len(str(caught.value)) <= 300
