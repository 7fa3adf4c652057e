"""Weightings, bands and levels against the standards' tables."""

import math

import numpy as np
import pytest

from proofpan.science.sound import (
    SoundError,
    a_weighting_db,
    c_weighting_db,
    equivalent_level_db,
    exposure_level_db,
    level_dbfs,
    level_sum_db,
    octave_band,
    pressure_level_db,
    spectral_centroid_hz,
)

# IEC 61672-1:2013, table 3, at the exact frequencies 1000·10^(n/10) (values from memory; the shared cases hold more)
TABLE_3 = [(-20, -70.4, -14.3), (-15, -39.4, -3.0), (-9, -16.1, -0.2), (0, 0.0, 0.0), (6, 1.0, -0.8), (12, -6.6, -8.5)]


@pytest.mark.parametrize("n, a, c", TABLE_3)
def test_weightings_agree_with_the_table(n, a, c):
    hz = 1000 * 10 ** (n / 10)
    assert a_weighting_db(hz) == pytest.approx(a, abs=0.06)
    assert c_weighting_db(hz) == pytest.approx(c, abs=0.06)


def test_octaves_touch_each_other():
    edges = [octave_band(1, i) for i in range(-5, 5)]
    assert all(a.upper_hz == pytest.approx(b.lower_hz) for a, b in zip(edges, edges[1:], strict=False))
    # IEC 61260-1:2014, 5.2: octave ratio 10^0.3, mid-band 1 kHz for index 0
    assert octave_band(1, 0).centre_hz == 1000 and octave_band(3, 3).centre_hz == pytest.approx(1000 * 10**0.3)


def test_sums_and_means_of_levels():
    assert level_sum_db([60, 60]) == pytest.approx(63.0103, abs=1e-4)
    assert equivalent_level_db([60, 70], [1, 1]) == pytest.approx(67.4036, abs=1e-4)
    assert exposure_level_db([80], [2]) == pytest.approx(83.0103, abs=1e-4)
    assert pressure_level_db(1.0) == pytest.approx(93.979, abs=1e-3)  # the usual calibrator: 1 Pa is 94 dB


def test_a_full_scale_sine_is_three_decibels_under_a_square():
    sine = np.sin(2 * np.pi * np.arange(480) / 48)
    assert level_dbfs(sine).rms_dbfs == pytest.approx(-3.0103, abs=1e-4)
    assert level_dbfs(np.zeros(4)).rms_dbfs == -math.inf


def test_the_centroid_weights_by_power():
    assert spectral_centroid_hz([500, 1000, 2000, 4000], [4, 3, 2, 1]) == 1300


@pytest.mark.parametrize(
    "call",
    [
        lambda: a_weighting_db(0),
        lambda: level_sum_db([]),
        lambda: equivalent_level_db([60, 70], [1]),
        lambda: equivalent_level_db([60], [0]),
        lambda: exposure_level_db([60], [-1]),
        lambda: pressure_level_db(0),
        lambda: spectral_centroid_hz([100], [0]),
        lambda: octave_band(0, 1),
        lambda: level_dbfs([]),
    ],
)
def test_impossible_figures_are_refused(call):
    with pytest.raises(SoundError):
        call()
