"""Exact series against printed tables and against each other."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import erf

from proofpan.science import heat

SHAPES = ("slab", "cylinder", "sphere")


# Incropera et al., table 5.1 (one-term coefficients), from memory of the printed table
@pytest.mark.parametrize(("shape", "biot", "zeta", "c"), [
    ("slab", 1.0, 0.8603, 1.1191), ("cylinder", 1.0, 1.2558, 1.2071), ("sphere", 1.0, 1.5708, 1.2732),
    ("slab", 100.0, 1.5552, 1.2731), ("cylinder", 100.0, 2.3809, 1.6015), ("sphere", 100.0, 3.1102, 1.9990),
])
def test_one_term_coefficients_are_the_printed_ones(shape, biot, zeta, c):
    assert heat.one_term_coefficients(shape, biot) == pytest.approx((zeta, c), abs=1e-4)


@given(st.sampled_from(SHAPES), st.floats(1e-3, 1e3), st.floats(1e-6, 3), st.floats(0, 1))
@settings(deadline=None, max_examples=60)
def test_theta_lies_between_nothing_and_one_and_the_middle_lags(shape, biot, fourier, position):
    inside, outside = heat.theta(shape, fourier, biot, 0.0), heat.theta(shape, fourier, biot, position)
    assert -1e-9 <= outside <= inside + 1e-9 <= 1 + 2e-9


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("biot", [0.05, 1.0, 40.0, np.inf])
def test_the_mean_is_the_volume_average_of_theta(shape, biot):
    m = SHAPES.index(shape)
    x, w = np.polynomial.legendre.leggauss(200)
    x = (x + 1) / 2
    average = (heat.theta(shape, 0.03, biot, x) * (m + 1) * x**m * w / 2).sum()
    assert heat.mean_theta(shape, 0.03, biot) == pytest.approx(average, abs=1e-6)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_shortest_times_join_the_half_infinite_body(shape):
    just_below, just_above = 9.999e-8, 1.0001e-7
    a, b = (heat.theta(shape, fo, 500.0, 0.9998) for fo in (just_below, just_above))
    assert a == pytest.approx(float(b), abs=2e-4)


def test_a_held_surface_follows_the_error_function():    # Incropera et al. eq. 5.57
    got = heat.semi_infinite_fraction(np.array([0.0, 0.002, 0.01]), 1.4e-7, 120.0)
    assert got == pytest.approx(1 - erf(np.array([0.0, 0.002, 0.01]) / (2 * np.sqrt(1.4e-7 * 120))))


@given(st.sampled_from(SHAPES), st.floats(0.01, 200), st.floats(0.01, 0.95))
@settings(deadline=None, max_examples=30)
def test_fourier_to_reach_comes_back_to_theta(shape, biot, wanted):
    fourier = heat.fourier_to_reach(shape, biot, 0.0, wanted)
    assert heat.theta(shape, fourier, biot, 0.0) == pytest.approx(wanted, abs=1e-8)


def test_a_brick_far_longer_than_thick_is_a_slab():
    args = (0.5, 1050.0, 3600.0, 200.0, 20.0, 100.0, 600.0)
    brick = heat.brick_temperature_c((0.01, 2.0, 2.0), (0, 0, 0), *args)
    slab = 100 - 80 * heat.slab_theta(0.5 / 1050 / 3600 * 600 / 0.01**2, 200 * 0.01 / 0.5)
    assert brick == pytest.approx(float(slab), abs=1e-6)


@pytest.mark.parametrize(("call", "match"), [
    (lambda: heat.theta("cone", 1, 1), "no series"), (lambda: heat.theta("slab", -1, 1), "negative"), (lambda: heat.theta("slab", 1, 0), "Biot"),
    (lambda: heat.theta("slab", 1, 1, 2), "position"), (lambda: heat.fourier_to_reach("slab", 1, 0, 1.5), "never reached"),
    (lambda: heat.lumped_temperature_c(0, 1, 1, 1, 1, 1, 1), "positive"), (lambda: heat.eigenvalues("slab", 1, 0), "at least one"),
])
def test_what_makes_no_sense_is_refused(call, match):
    with pytest.raises(heat.HeatError, match=match):
        call()
