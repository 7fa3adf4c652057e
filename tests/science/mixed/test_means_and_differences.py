"""What must hold of means, contrasts and tests whatever the data."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science import mixed
from tests.science.mixed.kitchens import stated, tasting

PAIR = ("version", "half", "version:half")


def figures(estimates):
    return np.array([[e.estimate, e.se, e.df, e.t, e.p, e.low, e.high] for e in estimates])


@settings(deadline=None, max_examples=8)
@given(st.integers(0, 10_000), st.sampled_from(["satterthwaite", "kenward_roger"]))
def test_the_order_of_rows_changes_nothing(seed, method):
    columns = tasting(seed, keep=0.8)
    order = np.random.default_rng(seed).permutation(len(columns["score"]))
    mixed_up = {name: [values[i] for i in order] for name, values in columns.items()}
    one, other = (figures(mixed.pairwise(mixed.fit_reml(c, stated()), "version", df_method=method)) for c in (columns, mixed_up))
    assert np.allclose(one, other, rtol=1e-6, atol=1e-8)


@settings(deadline=None, max_examples=8)
@given(st.integers(0, 10_000), st.floats(0.01, 1000), st.floats(-1e4, 1e4))
def test_another_unit_or_zero_of_the_scale_changes_only_the_unit(seed, unit, zero):
    columns = tasting(seed, keep=0.8)
    moved = {**columns, "score": columns["score"] * unit + zero}
    one, other = (mixed.fit_reml(c, stated()) for c in (columns, moved))
    assert other.variances["residual"] == pytest.approx(one.variances["residual"] * unit**2, rel=1e-5)
    a, b = figures(mixed.pairwise(one, "version")), figures(mixed.pairwise(other, "version"))
    assert np.allclose(a[:, [2, 3, 4]], b[:, [2, 3, 4]], rtol=1e-4, atol=1e-6)


@pytest.mark.parametrize("method", ["satterthwaite", "kenward_roger"])
def test_coding_changes_no_mean_and_no_test(method):
    columns = tasting(8, keep=0.8)
    one, other = (mixed.fit_reml(columns, stated(fixed=PAIR, coding=coding)) for coding in ("treatment", "sum"))
    assert np.allclose(
        figures(mixed.marginal_means(one, ["version", "half"], df_method=method)),
        figures(mixed.marginal_means(other, ["version", "half"], df_method=method)), rtol=1e-6,
    )  # fmt: skip
    for a, b in zip(mixed.anova(one, method), mixed.anova(other, method), strict=True):
        assert (a.F, a.den_df) == (pytest.approx(b.F), pytest.approx(b.den_df))


def test_a_type_three_test_with_one_degree_of_freedom_is_its_contrast_squared():
    fit = mixed.fit_reml(tasting(9, keep=0.8), stated(fixed=PAIR))
    half = next(test for test in mixed.anova(fit) if test.term == "half")
    contrast = mixed.contrast(fit, ["half"], {"early": 1, "late": -1})
    assert (half.F, half.den_df, half.p) == (
        pytest.approx(contrast.t**2), pytest.approx(contrast.df), pytest.approx(contrast.p))  # fmt: skip


def test_means_of_a_balanced_tasting_are_plain_means():
    columns = tasting(10, tasters=6, versions=3, times=2)
    means = mixed.marginal_means(mixed.fit_reml(columns, stated()), ["version"])
    for each in means:
        rows = [s for s, v in zip(columns["score"], columns["version"], strict=True) if v == each.name]
        assert each.estimate == pytest.approx(np.mean(rows))


def test_a_number_stands_at_its_mean():
    columns = tasting(12, keep=0.8)
    fit = mixed.fit_reml(columns, stated(fixed=("version", "days")))
    mean = mixed.marginal_means(fit, ["version"])[0].estimate
    assert mean == pytest.approx(fit.coefficients["(intercept)"] + fit.coefficients["days"] * np.mean(columns["days"]))


def test_differences_are_named_and_signed_the_earlier_less_the_later():
    fit = mixed.fit_reml(tasting(13, shift=2.0), stated())
    pairs = mixed.pairwise(fit, "version")
    assert [each.name for each in pairs] == ["V0 - V1", "V0 - V2", "V1 - V2"]
    assert all(each.estimate < 0 for each in pairs)
    assert [each.name for each in mixed.against_control(fit, "version", "V1")] == ["V0 - V1", "V2 - V1"]


def test_adjusting_widens_and_dunnett_less_than_tukey():
    fit = mixed.fit_reml(tasting(14), stated())
    alone, tukey = mixed.pairwise(fit, "version", "none"), mixed.pairwise(fit, "version")
    dunnett = mixed.against_control(fit, "version", "V0")
    assert all(a.p < b.p and a.low > b.low for a, b in zip(alone, tukey, strict=True))
    assert alone[0].p < dunnett[0].p < tukey[0].p


@pytest.mark.parametrize("worth, equivalent", [(5.0, True), (0.05, False)])
def test_equivalence_is_both_one_sided_tests_and_an_interval_inside_the_worth(worth, equivalent):
    fit = mixed.fit_reml(tasting(15, tasters=20, shift=0.0), stated())
    found = mixed.equivalence(fit, ["version"], {"V0": 1, "V1": -1}, worth)
    assert found.equivalent is equivalent
    assert found.equivalent == (-worth < found.low and found.high < worth)
    assert found.p == max(found.p_lower, found.p_upper)


def test_a_zero_variance_is_said():
    fit = mixed.fit_reml(tasting(3, sds=(0.0, 0.0, 1.0)), stated())
    assert fit.singular
    assert fit.zero and all(fit.variances[name] == 0.0 for name in fit.zero)


def test_rows_that_miss_something_are_left_out():
    columns = {name: list(values) for name, values in tasting(16).items()}
    whole = mixed.fit_reml(columns, stated())
    for name, value in [("score", ""), ("score", None), ("score", math.nan), ("taster", ""), ("version", None)]:
        gap = {**columns, name: [value, *columns[name][1:]]}
        assert mixed.fit_reml(gap, stated()).observations == whole.observations - 1


def test_a_thousand_tasters_are_quick():
    import time

    columns = tasting(17, tasters=1000, versions=6)
    start = time.process_time()
    fit = mixed.fit_reml(columns, stated(6))
    assert len(mixed.coefficients(fit)) == 6 and len(mixed.pairwise(fit, "version")) == 15
    assert time.process_time() - start < 0.4
