"""Cumulative-link models against another library, brute-force integration and what must hold of any data."""

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import quad
from scipy.special import expit, ndtr

from proofpan.science import mixed
from proofpan.science.mixed import ordinal
from proofpan.science.mixed.ordinal.crossed import Marginal
from proofpan.science.mixed.ordinal.cumulative import read_grades

GRADES = ("1", "2", "3", "4")
LAW = {"logit": expit, "probit": ndtr, "cloglog": lambda x: 1 - np.exp(-np.exp(x))}


def graded(seed=1, tasters=10, versions=3, times=2, spread=1.0, shift=1.0):
    """Graded answers of a made-up tasting, as text."""
    random = np.random.default_rng(seed)
    t, v, _ = (a.ravel() for a in np.meshgrid(range(tasters), range(versions), range(times), indexing="ij"))
    latent = shift * v + random.normal(0, spread, tasters)[t] + random.logistic(0, 1, len(t))
    grade = np.digitize(latent, [-0.5, 1.0, 2.5]) + 1
    return {"taster": [f"T{i}" for i in t], "version": [f"V{i}" for i in v], "grade": [str(g) for g in grade]}


def stated(**more):
    return mixed.Model("grade", ("version",), {"version": ("V0", "V1", "V2")}, **more)


@pytest.mark.parametrize("link", ["logit", "probit"])
def test_it_agrees_with_statsmodels(link):
    from pandas import DataFrame, get_dummies
    from statsmodels.miscmodels.ordinal_model import OrderedModel

    columns = graded()
    fit = ordinal.fit_ordinal(columns, stated(), GRADES, link)
    X = get_dummies(DataFrame(columns)["version"], drop_first=True).astype(float)
    peer = OrderedModel(np.array(columns["grade"]).astype(int), X, distr=link).fit(method="bfgs", disp=False, gtol=1e-6)
    assert fit.loglik == pytest.approx(peer.llf, abs=1e-6)
    assert list(fit.coefficients.values()) == pytest.approx(list(peer.params[:2]), abs=1e-4)
    assert [fit.se[name] for name in fit.coefficients] == pytest.approx(list(peer.bse[:2]), rel=1e-3)


def log_likelihood(columns, x, link, sd=None):
    """From the definition, a taster's integral by scipy's adaptive quadrature."""
    ends = np.concatenate([[-np.inf], x[:3], [np.inf]])
    beta, F = np.concatenate([[0.0], x[3:]]), LAW[link]
    grade, version = np.array(columns["grade"]).astype(int), np.array([int(v[1]) for v in columns["version"]])

    def rows(at, u):
        with np.errstate(over="ignore"):
            high, low = ends[grade[at]] - beta[version[at]] - u, ends[grade[at] - 1] - beta[version[at]] - u
            return np.prod(F(high) - F(low))

    if sd is None:
        return sum(np.log(rows([i], 0.0)) for i in range(len(grade)))
    tasters, total = np.array(columns["taster"]), 0.0
    for name in dict.fromkeys(columns["taster"]):
        mine = np.flatnonzero(tasters == name)
        height = quad(lambda u: rows(mine, u) * stats.norm.pdf(u, 0, sd), -12, 12, limit=200)[0]  # noqa: B023
        total += np.log(height)
    return total


@pytest.mark.parametrize("link", ["logit", "probit", "cloglog"])
def test_nothing_near_the_estimate_is_likelier(link):
    columns = graded(2)
    fit = ordinal.fit_ordinal(columns, stated(), GRADES, link)
    x = np.array([*fit.thresholds.values(), *fit.coefficients.values()])
    best = log_likelihood(columns, x, link)
    assert best == pytest.approx(fit.loglik, abs=1e-9)
    for i in range(len(x)):
        for step in (-1e-3, 1e-3):
            assert log_likelihood(columns, x + step * np.eye(len(x))[i], link) < best


@pytest.mark.parametrize("link", ["logit", "probit", "cloglog"])
def test_quadrature_is_the_integral(link):
    columns = graded(3)
    x = np.array([-0.4, 0.9, 2.2, 0.7, 1.6])
    marginal = Marginal(read_grades(columns, stated(random=("taster",)), GRADES, link), 25)
    for sd in (0.3, 1.0, 2.0):
        assert marginal(np.append(x, sd)) == pytest.approx(log_likelihood(columns, x, link, sd), abs=1e-6)


def test_laplace_for_several_groupings_is_laplace_for_one_when_the_other_has_no_spread():
    columns = {**graded(4), "plate": [str(i % 7) for i in range(60)]}
    x = np.array([-0.4, 0.9, 2.2, 0.7, 1.6, 0.8])
    one = Marginal(read_grades(columns, stated(random=("taster",)), GRADES, "logit"), "laplace")(x)
    two = Marginal(read_grades(columns, stated(random=("taster", "plate")), GRADES, "logit"), "laplace")(np.append(x, 0.0))
    assert one == pytest.approx(two, abs=1e-9)


def test_tasters_that_differ_are_seen_and_tasters_that_dont_are_a_zero():
    model = stated(random=("taster",))
    spread = ordinal.fit_ordinal_mixed(graded(5, tasters=20, spread=2.0), model, GRADES, quadrature=15)
    assert 1.0 < spread.variances["taster"] < 12.0
    plain = graded(9, tasters=20, spread=0.0)
    found = ordinal.fit_ordinal_mixed(plain, model, GRADES)
    assert found.zero == ("taster",) and found.variances["taster"] == 0.0
    assert found.loglik == pytest.approx(ordinal.fit_ordinal(plain, stated(), GRADES).loglik, abs=1e-6)


def test_turning_the_scale_round_turns_the_signs():
    columns = graded(7)
    turned = {**columns, "grade": [str(5 - int(g)) for g in columns["grade"]]}
    one, other = (ordinal.fit_ordinal(c, stated(), GRADES) for c in (columns, turned))
    assert list(one.coefficients.values()) == pytest.approx([-b for b in other.coefficients.values()])
    assert one.loglik == pytest.approx(other.loglik)


def test_measurement_and_grade_agree_where_the_effect_is_plain_and_disagreement_is_named():
    columns = graded(8, tasters=30, shift=2.0)
    by_grade = ordinal.fit_ordinal_mixed(columns, stated(random=("taster",)), GRADES)
    by_number = mixed.fit_reml(columns, stated(random=("taster",)))
    assert {each.kind for each in ordinal.compare_with_gaussian(by_grade, by_number)} == {"agree"}
    # few who love it, many who mildly don't: the mean rises while most grades fall
    skewed = {"version": ["V0"] * 40 + ["V1"] * 40, "grade": ["2"] * 40 + ["1"] * 30 + ["4"] * 10}
    model = mixed.Model("grade", ("version",), {"version": ("V0", "V1")})
    (each,) = ordinal.compare_with_gaussian(ordinal.fit_ordinal(skewed, model, ("1", "2", "4")), mixed.fit_reml(skewed, model))
    assert not each.agree and each.kind == "ordinal only"


REFUSED = {
    "a grade nobody gave": (lambda: ordinal.fit_ordinal(graded(), stated(), (*GRADES, "5")), "'5'"),
    "an unknown grade": (lambda: ordinal.fit_ordinal(graded(), stated(), GRADES[:3]), "'4'"),
    "one grade": (lambda: ordinal.fit_ordinal(graded(), stated(), ("1",)), "two"),
    "an unknown link": (lambda: ordinal.fit_ordinal(graded(), stated(), GRADES, "cauchit"), "'cauchit'"),
    "no random part": (lambda: ordinal.fit_ordinal_mixed(graded(), stated(), GRADES), "fit_ordinal"),
    "points for two groupings": (
        lambda: ordinal.fit_ordinal_mixed(graded(), stated(random=("taster", "version")), GRADES, quadrature=9), "laplace"),
    "a separation": (
        lambda: ordinal.fit_ordinal(
            {"version": ["V0"] * 9 + ["V1"] * 9 + ["V2"] * 9, "grade": ["1"] * 9 + ["2"] * 9 + ["3"] * 9}, stated(), GRADES[:3]),
        "separates"),
    "a probit separation, where the likelihood goes flat": (
        lambda: ordinal.fit_ordinal(
            {"version": ["V0"] * 9 + ["V1"] * 9 + ["V2"] * 9, "grade": ["1"] * 9 + ["2"] * 18}, stated(), GRADES[:2], "probit"), "separates"),
    "a factor the rows can't show": (
        lambda: ordinal.fit_ordinal({**graded(), "version": ["V0"] * 30 + ["V1"] * 30}, stated(), GRADES), "V2"),
}  # fmt: skip


@pytest.mark.parametrize("call, words", REFUSED.values(), ids=REFUSED.keys())
def test_it_is_refused_in_one_sentence(call, words):
    with pytest.raises(mixed.MixedError) as caught:
        call()
    assert words in str(caught.value) and len(str(caught.value)) <= 300
