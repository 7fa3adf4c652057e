"""The probe's lag: found from a plunge, taken out of a log."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from proofpan.science.probe import ProbeError, lag_corrected, probe_log, time_constant


def lagging(food, tau, t):
    """What a first-order probe shows, by scipy's integrator."""
    solved = solve_ivp(lambda s, y: (food(s) - y) / tau, (t[0], t[-1]), [food(t[0])], t_eval=t, rtol=1e-9, atol=1e-9)
    return solved.y[0]


def test_a_ramp_lags_by_exactly_the_time_constant_and_is_put_right():
    # a first-order instrument lags a ramp by τ times its slope (Doebelin, Measurement Systems, ch. 3; from memory)
    t = np.arange(0, 600, 5.0)
    food = 20 + 0.1 * t
    shown = food - 0.1 * 30 * (1 - np.exp(-t / 30))
    corrected = lag_corrected(probe_log(t, shown), 30.0, window_s=15)
    assert corrected.temperature_c[60:] == pytest.approx(food[60:], abs=0.01)
    assert shown[60:].max() < food[60:].max() - 2.9


def test_a_roasting_curve_is_followed_within_its_interval():
    t = np.arange(0, 3600, 10.0)

    def food(s):
        return 175 - 155 * np.exp(-s / 4000)

    rng = np.random.default_rng(3)
    shown = lagging(food, 40.0, t) + rng.normal(0, 0.05, t.size)
    corrected = lag_corrected(probe_log(t, shown), 40.0, accuracy_c=0.0)
    inside = (corrected.low_c <= food(t)) & (food(t) <= corrected.high_c)
    assert inside[12:-4].mean() > 0.9  # correlated neighbours: the share varies more than 95 ± 1 %
    assert np.abs(corrected.temperature_c - food(t))[12:-4].max() < 0.3


def test_the_uncertainty_of_the_lag_and_of_the_probe_widen_the_interval():
    t = np.arange(0, 300, 5.0)
    log = probe_log(t, 20 + 0.1 * t)
    assert lag_corrected(log, 30, accuracy_c=0.5).error_sd_c.max() == pytest.approx(0.5 / np.sqrt(3), rel=1e-6)
    both = lag_corrected(log, 30, accuracy_c=0.0, time_constant_sd_s=5.0)
    assert both.error_sd_c.max() == pytest.approx(0.1 * 5.0, rel=1e-6)


def test_the_time_constant_of_a_plunge_is_found():
    t = np.arange(0, 40, 1.0)
    shown = 0 + 22 * np.exp(-t / 7.5) + np.random.default_rng(5).normal(0, 0.05, t.size)
    tau = time_constant(probe_log(t, shown), final_c=0.0)
    assert tau.low < 7.5 < tau.high and tau.value == pytest.approx(7.5, rel=0.03)


def test_what_cannot_be_corrected_is_refused():
    with pytest.raises(ProbeError, match="five are needed"):
        lag_corrected(probe_log([0, 1, 2], [1, 2, 3]), 10)
    with pytest.raises(ProbeError, match="negative"):
        lag_corrected(probe_log(range(9), range(9)), -1)
    with pytest.raises(ProbeError, match="fewer than four"):
        time_constant(probe_log([0, 100], [20, 0]), 0.0)
