"""Means over bites, and whether recordings may be compared."""

from dataclasses import replace

import numpy as np
import pytest

from proofpan.science.sound import Setup, SoundError, analyse, compare_setups, recording, trial_reading

from .kitchen import RATE, at_snr, bites, kitchen_noise

SETUP = Setup(session="3 May", device="the phone", distance_cm=20, gain_locked=True)


@pytest.fixture(scope="module")
def analysis():
    rng = np.random.default_rng(21)
    dry, truth = bites(rng)
    return analyse(recording(at_snr(dry, truth, kitchen_noise(rng, dry.size), 20), RATE))


def test_each_figure_is_a_mean_over_bites_with_its_interval(analysis):
    reading = trial_reading(analysis)
    pulses = [b.pulses for b in analysis.bites]
    assert reading.comparable and reading.bites == 8
    assert reading.readings["pulses"].value == pytest.approx(np.mean(pulses))
    assert reading.readings["pulses"].error_sd == pytest.approx(np.std(pulses, ddof=1) / np.sqrt(8))
    level = reading.readings["level_db"]
    assert level.low < level.value < level.high and "noise floor" in level.how
    assert "octave_8000_db" in reading.readings


def test_one_bite_speaks_for_itself(analysis):
    one = replace(analysis, bites=analysis.bites[:1])
    reading = trial_reading(one)
    assert reading.readings["pulses"].high == np.inf and any("at least 3" in w for w in reading.warnings)
    assert trial_reading(one, borrowed={"pulses": (2.0, 14)}).readings["pulses"].error_sd == 2.0


def test_like_recordings_are_comparable(analysis):
    assert compare_setups([(analysis, SETUP), (analysis, SETUP)]).comparable


@pytest.mark.parametrize(
    "change, says",
    [
        ({"session": "4 May"}, "session"),
        ({"device": "the other phone"}, "recorder"),
        ({"distance_cm": 40}, "distance"),
    ],
)
def test_another_setup_is_not_comparable(analysis, change, says):
    verdict = compare_setups([(analysis, SETUP), (analysis, replace(SETUP, **change))])
    assert not verdict.comparable and says in verdict.why[0]


def test_another_codec_or_reference_is_not_comparable(analysis):
    assert not compare_setups([(analysis, SETUP), (replace(analysis, codec="aac"), SETUP)]).comparable
    assert not compare_setups([(analysis, SETUP), (replace(analysis, reference="tap"), SETUP)]).comparable


def test_an_open_gain_is_warned_of_and_forbids_levels_when_floors_differ(analysis):
    open_gain = replace(SETUP, gain_locked=None)
    same = compare_setups([(analysis, open_gain), (analysis, open_gain)])
    assert same.comparable and any("Lock" in w for w in same.warnings)
    apart = replace(analysis, floor_db=analysis.floor_db + 10)
    assert not compare_setups([(analysis, open_gain), (apart, open_gain)]).comparable
    assert compare_setups([(analysis, SETUP), (apart, SETUP)]).comparable


def test_speech_over_every_bite_is_said_first(analysis):
    spoken = replace(analysis, bites=tuple(replace(b, speech=True) for b in analysis.bites))
    assert "Speech over every bite" in trial_reading(spoken).why[0]
    assert not compare_setups([(analysis, SETUP), (spoken, SETUP)]).comparable


def test_mixed_references_are_refused(analysis):
    with pytest.raises(SoundError, match="different references"):
        trial_reading([analysis, replace(analysis, reference="tap")])
