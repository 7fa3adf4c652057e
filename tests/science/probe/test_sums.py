"""Thresholds, lethality, cooling."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.probe import CAUTION, cooling_check, lethality, lethality_minutes, probe_log, time_above


def test_time_above_runs_straight_between_readings():
    log = probe_log([0, 600, 1200, 1800], [50, 70, 70, 50])
    reading = time_above(log, 60.0, accuracy_c=0.5)
    assert reading.value == pytest.approx(20.0)  # half of each slope and all of the top: 5 + 10 + 5 minutes
    assert (reading.low, reading.high) == (pytest.approx(19.5), pytest.approx(20.5))
    assert time_above(log, 80.0).value == 0 and time_above(log, 40.0).value == pytest.approx(30)


def test_holding_at_the_reference_counts_minute_for_minute():
    assert lethality_minutes([0, 10], [70, 70], reference_c=70, z_c=7.5) == pytest.approx(10)


def test_one_z_above_counts_tenfold():
    assert lethality_minutes([0, 10], [77.5, 77.5], reference_c=70, z_c=7.5) == pytest.approx(100)


def test_a_ramp_agrees_with_a_fine_sum():
    t = np.linspace(0, 30, 200001)
    fine = np.trapezoid(10 ** ((50 + t - 70) / 6.0), t)
    assert lethality_minutes([0, 30], [50, 80], reference_c=70, z_c=6.0) == pytest.approx(fine, rel=1e-7)


@given(st.floats(-20, 130), st.floats(-20, 130), st.floats(0.1, 100))
@settings(deadline=None, max_examples=60)
def test_lethality_lies_between_that_of_its_ends(a, b, minutes):
    ends = sorted(10 ** ((x - 70) / 10) * minutes for x in (a, b))
    got = lethality_minutes([0, minutes], [a, b], reference_c=70, z_c=10)
    assert ends[0] * (1 - 1e-9) <= got <= ends[1] * (1 + 1e-9)


def test_the_probes_accuracy_is_carried():
    reading = lethality(probe_log([0, 600], [70, 70]), reference_c=70, z_c=7.5, accuracy_c=0.5)
    assert reading.low == pytest.approx(10 * 10 ** (-0.5 / 7.5)) and reading.high == pytest.approx(
        10 * 10 ** (0.5 / 7.5)
    )


def test_cooling_on_the_limits_meets_them():
    # FDA Food Code 2022, 3-501.14(A): 57 → 21 °C within 2 h, 57 → 5 °C within a total of 6 h
    check = cooling_check([0, 2, 6], [57, 21, 5])
    assert check.meets is True and check.hours_to_21 == pytest.approx(2) and check.hours_to_5 == pytest.approx(6)
    assert check.caution == CAUTION and "local food-safety authority" in CAUTION


@pytest.mark.parametrize(
    "hours, temperatures, meets",
    [
        ([0, 1, 3, 6.5], [75, 57, 21, 5], True),  # the clock starts at 57 °C, not when the log does
        ([0, 2.1, 5], [57, 21, 5], False),
        ([0, 1.5, 6.1], [57, 21, 5], False),
        ([0, 1.0, 6.0], [57, 21, 4], True),  # quick at first leaves more for the rest
        ([0, 1.5, 3], [57, 21, 12], None),  # the log ends early
        ([0, 1, 2.5], [57, 40, 30], False),  # 2 h are over and 21 °C is far
        ([0, 1, 2, 8], [10, 70, 50, 4], False),  # a log that warms up first
        ([0, 1], [80, 70], None),
        ([0, 3], [20, 4], None),  # 57 °C was left before the log began
        ([0, 3], [40, 30], False),
    ],
)
def test_cooling_curves_are_told_apart(hours, temperatures, meets):
    check = cooling_check(hours, temperatures)
    assert check.meets is meets and check.says.endswith(".")


def test_a_close_call_says_that_the_probe_could_turn_it():
    check = cooling_check([0, 2, 6], [57, 21, 4.9], accuracy_c=0.5)
    assert check.meets is True and not check.sure and "could turn this round" in check.says
    assert cooling_check([0, 0.5, 1.5, 3], [75, 57, 15, 2], accuracy_c=0.5).sure


def test_no_crossing_is_not_a_number():
    assert math.isnan(cooling_check([0, 1], [57, 40]).hours_to_21)
