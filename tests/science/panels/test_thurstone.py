"""Against printed tables (Ennis 1993, from memory) and panels simulated by each test's decision rule."""

import math

import numpy as np
import pytest

from proofpan.science import panels
from proofpan.science.panels import PanelError
from proofpan.science.panels.thurstone import slope

METHODS = ["triangle", "duo-trio", "2-afc", "3-afc", "tetrad"]


@pytest.mark.parametrize(
    "method, d, printed",
    [("triangle", 1.0, 0.418), ("duo-trio", 1.0, 0.582), ("2-afc", 1.0, 0.760), ("3-afc", 1.0, 0.634)],
)
def test_the_curve_passes_through_the_printed_values(method, d, printed):  # Ennis 1993, tables; from memory
    assert panels.proportion_correct(method, d) == pytest.approx(printed, abs=5e-4)


def simulated(method: str, d: float, rng: np.random.Generator, n: int = 400_000) -> float:
    a, b = rng.normal(size=(n, 2)), rng.normal(size=(n, 2)) + d
    if method == "2-afc":
        return float((b[:, 0] > a[:, 0]).mean())
    if method == "3-afc":
        return float((b[:, 0] > a.max(axis=1)).mean())
    if method == "triangle":
        near = abs(a[:, 0] - a[:, 1])
        return float(((near < abs(a[:, 0] - b[:, 0])) & (near < abs(a[:, 1] - b[:, 0]))).mean())
    if method == "duo-trio":  # a0 the reference, a1 its like
        return float((abs(a[:, 0] - a[:, 1]) < abs(a[:, 0] - b[:, 0])).mean())
    right = (a.max(axis=1) < b.min(axis=1)) | (b.max(axis=1) < a.min(axis=1))
    return float(right.mean())


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("d", [0.0, 0.7, 2.0])
def test_the_curve_is_what_tasters_do_under_the_decision_rule(method, d):
    got = simulated(method, d, np.random.default_rng(11))
    assert panels.proportion_correct(method, d) == pytest.approx(got, abs=0.003)


@pytest.mark.parametrize("method", METHODS)
def test_the_slope_is_the_derivative_of_the_curve(method):
    for d in (0.3, 1.0, 2.5):
        step = 1e-5
        numeric = (panels.proportion_correct(method, d + step) - panels.proportion_correct(method, d - step)) / 2 / step
        assert slope(method, d) == pytest.approx(numeric, rel=1e-6)


@pytest.mark.parametrize("method", METHODS)
def test_d_prime_goes_back_along_the_curve(method):
    got = panels.dprime(method, 31, 40)
    assert panels.proportion_correct(method, got.dprime) == pytest.approx(31 / 40, abs=1e-12)
    assert got.low < got.dprime < got.high


def test_d_prime_is_nothing_at_chance_and_without_bound_when_all_are_right():
    assert panels.dprime("triangle", 9, 30).dprime == 0.0
    assert panels.dprime("triangle", 9, 30).dprime_se is None
    all_right = panels.dprime("tetrad", 12, 12)
    assert math.isinf(all_right.dprime) and all_right.dprime_se is None and 0 < all_right.low < math.inf


def test_two_out_of_five_has_no_d_prime_here():
    with pytest.raises(PanelError, match="not agreed"):
        panels.dprime("two-out-of-five", 5, 10)


def test_a_negative_d_prime_is_refused():
    with pytest.raises(PanelError, match="0 or more"):
        panels.proportion_correct("triangle", -1)
