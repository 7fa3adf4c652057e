"""What a real kitchen adds to a bite: a wall's echo, a noise gate, a codec's fade, a channel wired wrong, a tap in a file of its own."""

import io

import numpy as np
import pytest
from scipy.signal import fftconvolve

from proofpan.science.sound import SoundError, analyse, find_tap, recording, trial_reading
from proofpan.science.sound.decode import decode

from .kitchen import RATE, at_snr, bites, crack, kitchen_noise
from .test_decode import encode


def bitten(seed=5, count=5, snr_db=30):
    rng = np.random.default_rng(seed)
    dry, truth = bites(rng, count=count)
    return rng, dry, truth, at_snr(dry, truth, kitchen_noise(rng, dry.size), snr_db)


def test_a_walls_echo_is_no_crack():
    # the phone half a metre from the mouth, a wall a metre away: the way round is longer, so the echo is 12 dB weaker (inverse distance)
    rng, dry, truth, _ = bitten()
    wall = np.zeros(int(0.03 * RATE))
    wall[0] = 1
    for delay_s, size in ((0.0065, 0.25), (0.011, -0.2), (0.019, 0.15)):
        wall[int(delay_s * RATE)] = size
    heard = fftconvolve(dry, wall)[: dry.size]
    analysis = analyse(recording(at_snr(heard, truth, kitchen_noise(rng, dry.size), 30), RATE))
    assert [b.pulses for b in analysis.bites] == truth.pulses


def test_a_bite_lasts_from_its_first_crack_to_its_last_however_quiet_the_room():
    lengths = []
    for snr_db in (40, 10):
        _, _, truth, mixed = bitten(snr_db=snr_db)
        lengths.append([b.duration_s for b in analyse(recording(mixed, RATE)).bites])
    assert lengths[0] == pytest.approx(lengths[1], abs=0.008)


def test_a_gates_silence_is_no_floor_to_measure_levels_from():
    _, dry, truth, _ = bitten()
    analysis = analyse(recording(dry, RATE))
    assert [b.pulses for b in analysis.bites] == pytest.approx(truth.pulses, abs=1)
    assert all(np.isnan(b.level_db) for b in analysis.bites) and any("noise gate" in w for w in analysis.warnings)
    assert "level_db" not in trial_reading(analysis).readings


def test_what_a_codec_does_at_its_edges_is_no_bite():
    _, _, truth, mixed = bitten(seed=1, count=4, snr_db=25)
    assert len(analyse(decode(io.BytesIO(encode(mixed, "mp4", "aac", "fltp", RATE)))).bites) == len(truth.pulses)


def test_an_ogg_without_its_end_says_so():
    _, _, _, mixed = bitten(count=4)
    whole = encode(mixed, "ogg", "libopus", "s16", RATE)
    assert decode(io.BytesIO(whole)).notes == ()
    assert any("cut short" in w for w in analyse(decode(io.BytesIO(whole[: len(whole) * 2 // 3]))).warnings)


def test_two_channels_that_cancel_are_heard_by_one():
    _, _, truth, mixed = bitten()
    assert len(analyse(recording(np.stack([mixed, -mixed]), RATE)).bites) == len(truth.pulses)


def tapped(gain, seed=3):
    rng = np.random.default_rng(seed)
    x = 0.002 * rng.standard_normal(3 * RATE)
    for at in (0.5, 1.3, 2.1):
        i = int(at * RATE)
        wave = 3 * crack(np.random.default_rng(9), low_hz=400)
        x[i : i + wave.size] += wave
    return recording(gain * x, RATE)


def test_a_tap_in_a_file_of_its_own_takes_the_gain_out():
    _, _, _, mixed = bitten()
    found = [analyse(recording(g * mixed, RATE), tap=find_tap(tapped(g))) for g in (1.0, 0.2)]
    assert found[0].reference == "tap" and find_tap(tapped(1.0)).taps == 3
    assert [b.level_db for b in found[0].bites] == pytest.approx([b.level_db for b in found[1].bites], abs=0.1)


def test_no_tap_and_two_references_are_refused():
    _, _, _, mixed = bitten()
    with pytest.raises(SoundError, match="No tap is heard"):
        find_tap(recording(0.01 * np.random.default_rng(0).standard_normal(2 * RATE), RATE))
    with pytest.raises(SoundError, match="one reference"):
        analyse(recording(mixed, RATE), tap=find_tap(tapped(1.0)), full_scale_pa=1.0)
