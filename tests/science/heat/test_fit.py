"""A probe log made by another solver gives back the oven that made it."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from proofpan.science import heat
from proofpan.science.heat import fit

PLAIN = heat.constant_material(0.48, 1060.0, 3500.0)


def log_by_another_solver(thickness_m, transfer, around_c, times_s, start_c=6.0, n=150):
    """scipy's method of lines (LSODA), convection only, even cells."""
    dx = thickness_m / 2 / n

    def slope(_, y):
        q = np.zeros(n + 1)
        q[1:-1] = 0.48 * np.diff(y) / dx
        q[-1] = (around_c - y[-1]) / (1 / transfer + dx / 2 / 0.48)
        return np.diff(q) / dx / (1060 * 3500)

    return solve_ivp(slope, (0, times_s[-1]), np.full(n, start_c), "LSODA", rtol=1e-7, atol=1e-5, t_eval=times_s, lband=1, uband=1).y[0]


TIMES = np.arange(0.0, 2700.0, 20.0)
STAGE = heat.Stage("oven", 45, 180.0, 25.0)


def test_transfer_offset_and_size_come_back_within_their_intervals():
    noise = np.random.default_rng(3).normal(0, 0.1, TIMES.size)
    log = log_by_another_solver(0.042, 32.0, 172.0, TIMES) + noise
    got = heat.fit_log(TIMES, log, heat.piece_of("slab", 4), PLAIN, STAGE, 6.0)
    truth = {"heat transfer": 32.0, "oven offset": -8.0, "size": 4.2}
    for e in got.estimates:
        assert e.known and e.low <= truth[e.name] <= e.high
        assert e.value == pytest.approx(truth[e.name], rel=0.2, abs=4)
    assert got.residual_sd_c == pytest.approx(0.1, rel=0.3)
    assert np.asarray(got.stage.heat_transfer_w_m2k) == pytest.approx(got.estimates[0].value)


def test_with_the_size_measured_the_oven_is_known_better():
    log = log_by_another_solver(0.04, 32.0, 172.0, TIMES) + np.random.default_rng(5).normal(0, 0.1, TIMES.size)
    both = heat.fit_log(TIMES, log, heat.piece_of("slab", 4), PLAIN, STAGE, 6.0, ("heat transfer", "oven offset"))
    one = heat.fit_log(TIMES, log, heat.piece_of("slab", 4), PLAIN, heat.Stage("oven", 45, 172.0, 25.0), 6.0, ("heat transfer",))
    widths = [got.estimates[0].high - got.estimates[0].low for got in (both, one)]
    assert widths[1] < widths[0] and one.estimates[0].low <= 32 <= one.estimates[0].high


def test_a_log_too_short_and_noisy_says_that_it_cannot_tell():
    times = np.arange(0.0, 400.0, 20.0)
    log = log_by_another_solver(0.04, 32.0, 172.0, times) + np.random.default_rng(7).normal(0, 0.5, times.size)
    got = heat.fit_log(times, log, heat.piece_of("slab", 4), PLAIN, STAGE, 6.0)
    assert any("can't" in s for s in got.says) and not all(e.known for e in got.estimates)


def test_a_log_that_cannot_be_fitted_is_refused():
    with pytest.raises(heat.HeatError, match="eight readings"):
        heat.fit_log([0, 10, 20], [5, 6, 7], heat.piece_of("slab", 4), PLAIN, STAGE)
    with pytest.raises(heat.HeatError, match="can be fitted"):
        heat.fit_log(TIMES, TIMES, heat.piece_of("slab", 4), PLAIN, STAGE, free=("colour",))


TRUTH = {"heat transfer": 32.0, "oven offset": -8.0, "size": 4.2}


@pytest.mark.parametrize("start_c", [6.0, None])
def test_of_sixty_noisy_logs_nearly_all_intervals_hold_the_oven_that_made_them(start_c):
    # 95 % meant: fewer than 52 of 60 would come of that once in 200 times; bench/heat_outside.py counts more of them
    log = log_by_another_solver(0.042, 32.0, 172.0, TIMES)
    held = dict.fromkeys(TRUTH, 0)
    for seed in range(60):
        noisy = log + np.random.default_rng(seed).normal(0, 0.1, TIMES.size)
        for e in heat.fit_log(TIMES, noisy, heat.piece_of("slab", 4), PLAIN, STAGE, start_c).estimates:
            held[e.name] += e.low <= TRUTH[e.name] <= e.high
    assert all(n >= 52 for n in held.values()), held


def test_the_solver_s_own_error_is_in_the_intervals_and_is_what_it_is_off(monkeypatch):
    monkeypatch.setattr(fit, "_CELLS", {1: 12})
    monkeypatch.setattr(fit, "_FINER", {1: 16})
    for name in ("_TOLERANCE_C", "_FINER_TOLERANCE_C"):
        monkeypatch.setattr(fit, name, 0.1)    # so that nothing is taken off for the cells
    log = log_by_another_solver(0.042, 32.0, 172.0, TIMES)    # no noise: all that is left is how coarse the cells are
    got = heat.fit_log(TIMES, log, heat.piece_of("slab", 4), PLAIN, STAGE, 6.0)
    for e in got.estimates:
        in_steps = (lambda v: v) if e.name == "oven offset" else np.log
        off, half = abs(in_steps(e.value) - in_steps(TRUTH[e.name])), in_steps(e.high) - in_steps(e.value)
        assert off < half and 1.4 < got.solver_share * half / off < 3.0, e.name
