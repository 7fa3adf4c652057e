"""Printed results and exact small-sample theory."""

import numpy as np
import pytest
from scipy import stats

from proofpan.science import mixed
from tests.science.mixed.kitchens import DYESTUFF, SHOES_A, SHOES_B, stated, tasting


def test_dyestuff_batches_vary_as_printed():
    # Bates et al., lme4 documentation, REML fit of Davies' dyestuff: 1764 and 2451; both follow from the mean squares
    rows = [(batch, value) for batch, values in DYESTUFF.items() for value in values]
    fit = mixed.fit_reml({"batch": [b for b, _ in rows], "yield": [v for _, v in rows]}, mixed.Model("yield", random=("batch",)))
    means = [np.mean(values) for values in DYESTUFF.values()]
    within = np.mean([np.var(values, ddof=1) for values in DYESTUFF.values()])
    assert fit.variances["residual"] == pytest.approx(within, rel=1e-9) == pytest.approx(2451.25)
    assert fit.variances["batch"] == pytest.approx(np.var(means, ddof=1) - within / 5, rel=1e-9) == pytest.approx(1764.05)
    assert fit.coefficients["(intercept)"] == pytest.approx(1527.5)


def test_two_materials_on_each_boy_are_the_paired_t_test():
    # Box, Hunter & Hunter 1978, p. 100: mean difference 0.41; R's t.test help prints t = 3.3489, df = 9, p = 0.008539
    columns = {"boy": list(range(10)) * 2, "material": ["A"] * 10 + ["B"] * 10, "wear": SHOES_A + SHOES_B}
    fit = mixed.fit_reml(columns, mixed.Model("wear", ("material",), {"material": ("A", "B")}, random=("boy",)))
    for method in ("satterthwaite", "kenward_roger"):
        (found,) = mixed.pairwise(fit, "material", "none", df_method=method)
        assert -found.estimate == pytest.approx(0.41)
        assert -found.t == pytest.approx(3.3489, abs=5e-5)
        assert found.df == pytest.approx(9, abs=1e-6)
        assert found.p == pytest.approx(0.008539, abs=5e-7)


def test_without_a_random_part_it_is_analysis_of_variance_and_tukeys_test():
    groups = [[24.5, 23.5, 26.4, 27.1, 29.9], [28.4, 34.2, 29.5, 32.2, 30.1], [26.1, 28.3, 24.3, 26.2, 27.8]]  # scipy's example
    columns = {"g": [str(i) for i in range(3) for _ in range(5)], "y": [v for group in groups for v in group]}
    fit = mixed.fit_reml(columns, mixed.Model("y", ("g",), {"g": ("0", "1", "2")}))
    expected = stats.f_oneway(*groups)
    for method in ("satterthwaite", "kenward_roger"):
        (test,) = mixed.anova(fit, method)
        assert (test.num_df, test.den_df) == (2, pytest.approx(12))
        assert (test.F, test.p) == (pytest.approx(expected.statistic), pytest.approx(expected.pvalue))
    tukey = stats.tukey_hsd(*groups)
    interval = tukey.confidence_interval(0.95)
    for found, (i, j) in zip(mixed.pairwise(fit, "g"), [(0, 1), (0, 2), (1, 2)], strict=True):
        assert found.p == pytest.approx(tukey.pvalue[i, j], abs=1e-7)
        assert (found.low, found.high) == (pytest.approx(interval.low[i, j]), pytest.approx(interval.high[i, j]))


def test_a_balanced_tasting_has_the_exact_f_test_of_its_table():
    # versions against taster × version, by the expected mean squares (Searle, Casella & McCulloch 1992, ch. 4)
    columns = tasting(31, tasters=10, versions=4, times=3, sds=(1.0, 0.8, 0.6))
    y = columns["score"].reshape(10, 4, 3)
    cell, person, version = y.mean(axis=2), y.mean(axis=(1, 2)), y.mean(axis=(0, 2))
    rest = cell - person[:, None] - version[None] + y.mean()
    F = (30 * np.var(version, ddof=1)) / (3 * np.sum(rest**2) / 27)
    for method in ("satterthwaite", "kenward_roger"):
        (test,) = mixed.anova(mixed.fit_reml(columns, stated(4)), method)
        assert pytest.approx(F, rel=1e-7) == test.F
        assert test.den_df == pytest.approx(27, rel=1e-5)


@pytest.mark.parametrize("groups, df, alpha, printed", [
    (3, 10, 0.05, 3.88), (4, 20, 0.05, 3.96), (5, 30, 0.05, 4.10), (3, 20, 0.01, 4.64), (10, 60, 0.05, 4.65), (2, 10, 0.05, 3.15),
])  # fmt: skip
def test_the_studentised_range_is_as_tabulated(groups, df, alpha, printed):  # Harter 1960, Ann. Math. Stat. 31:1122 (from memory)
    assert mixed.studentized_range_critical(groups, df, alpha) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("groups", [2, 3, 6, 15])
@pytest.mark.parametrize("df", [1.5, 4.2, 17.9, 300.0])
def test_the_studentised_range_agrees_with_scipy_at_fractional_df(groups, df):
    for q in (0.8, 2.5, 4.0, 7.0):
        expected = stats.studentized_range.sf(q, groups, df)
        assert mixed.studentized_range_tail(q, groups, df) == pytest.approx(expected, abs=1e-8)


def test_the_range_of_two_is_a_t_test_far_into_the_tail():
    for t, df in [(0.01, 3.3), (1.0, 1.2), (6.0, 25.0), (12.0, 80.0)]:
        assert mixed.studentized_range_tail(t * 2**0.5, 2, df) == pytest.approx(2 * stats.t.sf(t, df), rel=1e-8)


@pytest.mark.parametrize("comparisons, printed", [(2, 2.38), (3, 2.54), (4, 2.65), (5, 2.73)])
def test_dunnetts_two_sided_values_are_as_tabulated(comparisons, printed):  # Dunnett 1964, Biometrics 20:482, 20 df
    assert mixed.dunnett_critical(comparisons, 20, 0.05) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("comparisons, printed", [(1, 1.72), (2, 2.03), (3, 2.19), (5, 2.39)])
def test_dunnetts_one_sided_values_are_as_tabulated(comparisons, printed):  # Dunnett 1955, table 1a, 20 df (from memory)
    assert mixed.dunnett_critical(comparisons, 20, 0.05, "one-sided") == pytest.approx(printed, abs=0.005)


def test_unequal_groups_against_a_control_agree_with_the_multivariate_t():
    columns = {"g": ["a"] * 10 + ["b"] * 4 + ["c"] * 7 + ["d"] * 5, "y": np.random.default_rng(3).normal(0, 1, 26)}
    fit = mixed.fit_reml(columns, mixed.Model("y", ("g",), {"g": tuple("abcd")}))
    found = mixed.against_control(fit, "g", "a")
    b = np.sqrt(np.array([4, 7, 5]) / (np.array([4, 7, 5]) + 10))  # Dunnett 1955: ρ_ij = b_i b_j
    R = np.outer(b, b)
    np.fill_diagonal(R, 1.0)
    law = stats.multivariate_t(shape=R, df=22, seed=1)
    for each in found:
        c = abs(each.t)
        inside = law.cdf(np.full(3, c), lower_limit=np.full(3, -c), maxpts=2_000_000)
        assert each.p == pytest.approx(1 - inside, abs=2e-4)


@pytest.mark.slow
def test_no_difference_is_called_one_at_the_rate_promised():
    # 400 made-up tastings in which no version differs; the chance of failing by luck is below 1 in 1,000
    false, covered = 0, 0
    for seed in range(400):
        fit = mixed.fit_reml(tasting(seed, tasters=6, keep=0.85, sds=(1.0, 0.7, 1.0), shift=0.0), stated())
        (test,) = mixed.anova(fit)
        first = mixed.pairwise(fit, "version", "none")[0]
        false, covered = false + (test.p < 0.05), covered + (first.low <= 0 <= first.high)
    assert stats.binomtest(false, 400, 0.05).pvalue > 1e-3
    assert stats.binomtest(covered, 400, 0.95).pvalue > 1e-3
