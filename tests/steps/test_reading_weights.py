"""Weights before and after cooking and trimming, with the scale's resolution carried through."""

import math

import pytest

import proofpan as pp
from proofpan.steps.reading_weights import read_weights


def figure(report, name):
    return next(f for f in report.figures if f.name == name)


def test_trimming_gives_the_trades_yield_and_what_to_buy():
    # AP/EP arithmetic of the trade; JCGM 100:2008, 4.3.7: u of a resolution d is d/√12, of a difference of two d/√6
    report = read_weights(bought_g=500, trimmed_g=410, resolution_g=5)
    assert figure(report, "trimmed yield").value == pytest.approx(82) and figure(report, "to buy for 100 g trimmed").value == pytest.approx(100 / 0.82)
    assert figure(report, "trim loss").error_sd == pytest.approx(5 / math.sqrt(6))
    share = figure(report, "trim loss share")
    assert share.error_sd == pytest.approx(100 * 5 / math.sqrt(12) * math.hypot(1 / 500, 410 / 500**2))


def test_several_pieces_speak_for_the_trial():
    loss = figure(read_weights((250, 248, 255), (205, 200, 212), 1.0), "cooking loss")
    assert loss.n == 3 and loss.value == pytest.approx((18 + 100 * 48 / 248 + 100 * 43 / 255) / 3)
    assert loss.high - loss.low > 4  # three pieces that differ leave more open than the scale does


def test_a_small_dose_on_a_coarse_scale_is_warned_of():
    assert "±25 %" in read_weights(2, 2, 1.0).warnings[0]
    assert read_weights(250, 205, 1.0).warnings == ()


@pytest.mark.parametrize("given", [
    dict(raw_g=math.nan, cooked_g=1), dict(raw_g=1, cooked_g=math.inf), dict(raw_g=0, cooked_g=0), dict(raw_g=250, cooked_g=205, resolution_g=0),
    dict(raw_g=(1, 2), cooked_g=(1,)), dict(bought_g=100), dict(bought_g=100, trimmed_g=120), dict(raw_g=250, cooked_g=9000), {},
])
def test_weights_that_cant_be_are_refused(given):
    with pytest.raises(pp.TrialError):
        read_weights(**given)
