"""Fits and degrees of freedom against whole-matrix formulas and a bounded search that share no code with ours."""

import numpy as np
import pytest

from proofpan.science import mixed
from proofpan.science.mixed.degrees import reference
from tests.science.mixed import dense
from tests.science.mixed.kitchens import stated, tasting

MODELS = {
    "crossed with its interaction": (1, {}, {}),
    "unbalanced": (2, {"keep": 0.7}, {}),
    "no taster spread, so a variance at zero": (3, {"sds": (0.0, 0.0, 1.0)}, {}),
    "sum coding, two factors and a pair": (4, {"keep": 0.8}, {"fixed": ("version", "half", "version:half"), "coding": "sum"}),
    "a number among the terms": (5, {"keep": 0.8}, {"fixed": ("version", "days", "version:days")}),
    "terms that cross": (6, {"keep": 0.8, "times": 4}, {"random": ("taster", "half:version", "days")}),
    "nothing at random": (7, {"keep": 0.8}, {"random": ()}),
}  # fmt: skip


def whole(fit):
    """Our fit's design, response and matrices for the plain formulas."""
    X, names = np.asarray(fit.X), [name for name in fit.variances if name != "residual"]
    return X, fit.rows.y, dense.matrices([fit.rows.groups[name] for name in names])


@pytest.mark.parametrize("seed, made, model", MODELS.values(), ids=MODELS.keys())
class TestAgainstPlainFormulas:
    def fit(self, seed, made, model):
        return mixed.fit_reml(tasting(seed, **made), stated(**model))

    def test_the_likelihood_is_as_high_as_a_bounded_search_finds(self, seed, made, model):
        fit = self.fit(seed, made, model)
        X, y, G = whole(fit)
        _, found = dense.highest(X, y, G)
        assert fit.loglik_reml >= found - 1e-7
        assert dense.Dense(X, y, G, list(fit.variances.values())).loglik == pytest.approx(fit.loglik_reml, abs=1e-7)

    def test_coefficients_and_their_covariance_follow_from_the_variances(self, seed, made, model):
        fit = self.fit(seed, made, model)
        plain = dense.Dense(*whole(fit), list(fit.variances.values()))
        assert np.allclose(fit.beta, plain.beta, atol=1e-8)
        assert np.allclose(fit.covariance, plain.C, rtol=1e-7, atol=1e-12)

    def test_degrees_of_freedom_are_those_of_the_model_without_its_zero_variances(self, seed, made, model):
        fit = self.fit(seed, made, model)
        X, y, G = whole(fit)
        theta = list(fit.variances.values())
        live = [i for i, value in enumerate(theta) if value > 0]
        plain = dense.Dense(X, y, [G[i] for i in live[:-1]], [theta[i] for i in live])
        L = np.eye(X.shape[1])
        expected = [plain.satterthwaite(row) for row in L]
        assert np.allclose(reference(fit, "satterthwaite").variances(L)[1], expected, rtol=1e-5)
        roger = reference(fit, "kenward_roger")
        adjusted, df, F = plain.kenward_roger(L[1:])
        assert np.allclose(roger.covariance, adjusted, rtol=1e-6, atol=1e-12)
        test = roger.joint(L[1:], np.asarray(fit.beta))
        assert (test.den_df, test.F) == (pytest.approx(df, rel=1e-6), pytest.approx(F, rel=1e-6))
        assert roger.variances(L[[1]])[1][0] == pytest.approx(plain.kenward_roger(L[[1]])[1], rel=1e-6)


@pytest.mark.parametrize("correlated", [True, False])
def test_slopes_by_taster_agree_with_the_plain_formulas(correlated):
    random = np.random.default_rng(11)
    taster, days = np.repeat(np.arange(9), 6), np.tile(np.arange(6.0), 9)
    score = 4 + 0.5 * days + random.normal(0, 1, 9)[taster] + random.normal(0, 0.4, 9)[taster] * days
    score = score + random.normal(0, 0.8, 54)
    slopes = mixed.RandomSlopes("taster", ("days",), correlated)
    fit = mixed.fit_reml(
        {"taster": [f"T{t}" for t in taster], "days": days, "score": score},
        mixed.Model("score", ("days",), numeric=("days",), random_slopes=(slopes,)),
    )
    same = np.equal.outer(taster, taster).astype(float)
    G = [same, same * np.outer(days, days)]
    theta = [fit.variances["taster"], fit.variances["taster|days"], fit.variances["residual"]]
    if correlated:
        G.insert(1, same * np.add.outer(days, days))
        theta.insert(1, fit.variances["taster|cov((intercept),days)"])
    plain = dense.Dense(np.asarray(fit.X), fit.rows.y, G, theta)
    assert plain.loglik == pytest.approx(fit.loglik_reml, abs=1e-8)
    assert np.abs(plain.gradient() * theta).max() < 1e-5  # the likelihood is level there
    slope = mixed.coefficients(fit)[1]
    assert slope.df == pytest.approx(plain.satterthwaite(np.array([0.0, 1.0])), rel=1e-5)
    assert mixed.coefficients(fit, "kenward_roger")[1].df == pytest.approx(plain.kenward_roger(np.array([[0, 1.0]]))[1])


def test_it_climbs_past_a_lower_peak_to_the_highest():
    # few rows and three crossed groupings: likelihoods with several peaks are common
    t = [0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3]
    random = np.random.default_rng(5)
    codes = {"a": np.array(t), "b": random.integers(0, 4, 16), "c": random.integers(0, 5, 16)}
    for seed in range(12):
        y = np.random.default_rng(seed).normal(0, 1, 16) + 2 * np.random.default_rng(seed + 50).normal(0, 1, 5)[codes["c"]]
        fit = mixed.fit_reml({"y": y, **codes}, mixed.Model("y", random=("a", "b", "c")))
        _, found = dense.highest(*whole(fit), starts=4, seed=seed)
        assert fit.loglik_reml >= found - 1e-7


def test_the_crossed_peer_never_reaches_a_higher_likelihood():
    import statsmodels.formula.api as smf
    from pandas import DataFrame

    columns = tasting(21, keep=0.8)
    fit = mixed.fit_reml(columns, stated())
    parts = {"taster": "0 + C(taster)", "both": "0 + C(taster):C(version)"}
    peer = smf.mixedlm("score ~ version", DataFrame(columns), groups=np.ones(len(fit.rows.y)), vc_formula=parts).fit()
    assert fit.loglik_reml >= peer.llf - 1e-8
    assert np.allclose(fit.beta, peer.fe_params, atol=1e-3)
