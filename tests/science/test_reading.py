"""The figure that carries its interval."""

import math

import numpy as np
import pytest

from proofpan.science.reading import mean_reading, spread_within


def test_the_mean_of_three_has_the_handbook_interval():
    # Student's factor for two degrees of freedom is 4.303 (NIST/SEMATECH e-Handbook, table 1.3.6.7.2)
    reading = mean_reading("L*", [60.0, 62.0, 64.0])
    assert reading.value == 62 and reading.error_sd == pytest.approx(2 / math.sqrt(3))
    assert reading.high - reading.value == pytest.approx(4.303 * 2 / math.sqrt(3), abs=2e-3)
    assert reading.n == 3 and "3 pieces" in reading.how


def test_one_piece_speaks_for_that_piece_and_the_interval_says_so():
    reading = mean_reading("L*", [60.0])
    assert reading.low == -math.inf and reading.high == math.inf and not reading.speaks_for_the_trial
    assert "speaks for that piece" in reading.how


def test_one_piece_may_borrow_the_other_trials_spread():
    borrowed = spread_within([[60, 62, 64], [50, 52], [40]])
    assert borrowed == (pytest.approx(math.sqrt((8 + 2) / 3)), 3)
    reading = mean_reading("L*", [60.0], borrowed=borrowed)
    assert reading.error_sd == pytest.approx(borrowed[0])
    assert reading.high - 60 == pytest.approx(3.182 * borrowed[0], rel=1e-3)  # t, 3 df: 3.182


def test_what_the_pieces_share_is_not_averaged_away():
    pieces = np.random.default_rng(1).normal(60, 0.01, 100)
    assert mean_reading("L*", pieces, instrument_sd=1.5).error_sd == pytest.approx(1.5, rel=1e-3)


def test_figures_that_are_not_finite_are_left_out_and_none_left_is_said():
    assert mean_reading("x", [1.0, math.nan, 3.0]).n == 2
    assert "no piece gave a figure" in mean_reading("x", [math.nan]).how


def test_the_interval_covers_the_truth_as_often_as_it_says():
    rng = np.random.default_rng(7)
    hits = sum(r.low <= 10 <= r.high for r in (mean_reading("x", rng.normal(10, 2, 3)) for _ in range(2000)))
    assert 0.935 < hits / 2000 < 0.965  # three standard errors of 95 % in 2,000
