"""Bites found and measured in kitchens whose truth is known."""

import numpy as np
import pytest

from proofpan.science.sound import SoundError, analyse, recording, trial_reading

from .kitchen import RATE, at_snr, bites, echo, kitchen_noise, voice, weighted_power


def matched(analysis, truth, within_s=0.02):
    """(bite, index of the true one), and how many bites aren't true."""
    pairs, used = [], set()
    for i, start in enumerate(truth.starts_s):
        near = [j for j, b in enumerate(analysis.bites) if abs(b.start_s - start) < within_s]
        if near:
            pairs.append((analysis.bites[near[0]], i))
            used.add(near[0])
    return pairs, len(analysis.bites) - len(used)


@pytest.mark.parametrize("snr_db", [30, 20, 10, 0])
@pytest.mark.parametrize("seed", [1, 2])
def test_bites_and_their_cracks_are_counted_in_kitchen_noise(snr_db, seed):
    rng = np.random.default_rng(seed)
    dry, truth = bites(rng)
    analysis = analyse(recording(at_snr(dry, truth, kitchen_noise(rng, dry.size), snr_db), RATE))
    pairs, extra = matched(analysis, truth)
    assert len(pairs) == 8 and extra == 0
    wrong = sum(abs(b.pulses - truth.pulses[i]) for b, i in pairs)
    assert wrong <= 0.05 * sum(truth.pulses)


@pytest.mark.parametrize("snr_db", [20, 0])
def test_an_echo_adds_few_cracks(snr_db):
    rng = np.random.default_rng(4)
    dry, truth = bites(rng)
    wet = echo(dry, rng)
    analysis = analyse(recording(at_snr(wet, truth, kitchen_noise(rng, wet.size), snr_db), RATE))
    pairs, extra = matched(analysis, truth)
    assert len(pairs) == 8 and extra == 0
    assert sum(abs(b.pulses - truth.pulses[i]) for b, i in pairs) <= 0.2 * sum(truth.pulses)


@pytest.mark.parametrize("snr_db, within_db", [(30, 0.3), (10, 0.5), (0, 1.0)])
def test_the_exposure_of_each_bite_is_right_with_the_noise_taken_off(snr_db, within_db):
    rng = np.random.default_rng(6)
    dry, truth = bites(rng)
    noise = kitchen_noise(rng, dry.size)
    mixed = at_snr(dry, truth, noise, snr_db)
    scale = float(np.dot(mixed, dry) / np.dot(dry, dry)) if snr_db == 30 else None
    analysis = analyse(recording(mixed, RATE), full_scale_pa=1.0)
    pairs, _ = matched(analysis, truth)
    heard = []
    for b, i in pairs:
        a, z = truth.spans[i]
        a, z = a - 200, z + 700
        energy = weighted_power(dry[a:z]) * (z - a) / RATE
        heard.append(b.exposure_db - 10 * np.log10(energy / 20e-6**2))
    # one gain for all (at_snr scales the mixture): what is left is the error of each bite
    assert np.std(heard) < within_db
    if scale:
        assert np.mean(heard) == pytest.approx(20 * np.log10(scale), abs=0.1)


def test_octaves_tell_a_dull_crack_from_a_bright_one():
    def ratio(low_hz, high_hz):
        rng = np.random.default_rng(8)
        dry, truth = bites(rng, low_hz=low_hz, high_hz=high_hz)
        analysis = analyse(recording(at_snr(dry, truth, kitchen_noise(rng, dry.size), 20), RATE))
        return trial_reading(analysis).readings

    dull, bright = ratio(500, 2500), ratio(4000, 12000)
    assert bright["high_low_db"].low > dull["high_low_db"].high + 5
    assert bright["centroid_hz"].low > dull["centroid_hz"].high + 1000


def test_noise_alone_holds_no_bite():
    rng = np.random.default_rng(9)
    noise = kitchen_noise(rng, 20 * RATE)
    analysis = analyse(recording(noise * 0.1 / np.abs(noise).max(), RATE))
    assert analysis.bites == () and "No bite was found" in analysis.warnings[0]


def test_a_voice_alone_is_no_bite():
    rng = np.random.default_rng(10)
    said = np.concatenate([np.zeros(RATE), 0.1 * voice(rng, 4), np.zeros(RATE)])
    analysis = analyse(recording(said + 1e-3 * kitchen_noise(rng, said.size), RATE))
    assert analysis.counted == () and any("voice" in r.why for r in analysis.rejected)


def test_speech_over_the_bites_is_not_comparable_rather_than_a_number():
    rng = np.random.default_rng(11)
    dry, truth = bites(rng)
    said = np.zeros(dry.size)
    talk = voice(rng, dry.size / RATE - 1)
    said[RATE // 2 : RATE // 2 + talk.size] = talk
    heard = np.mean([weighted_power(dry[a:b]) for a, b in truth.spans])
    mixed = dry + said * np.sqrt(heard / weighted_power(said)) * 0.5 + kitchen_noise(rng, dry.size) * 1e-4
    reading = trial_reading(analyse(recording(mixed * 0.4 / np.abs(mixed).max(), RATE)))
    assert not reading.comparable and not reading.readings
    assert any("speech" in w.lower() or "bite" in w.lower() for w in reading.why)


def test_a_beep_and_hum_that_comes_on_are_rejected():
    rng = np.random.default_rng(12)
    t = np.arange(6 * RATE) / RATE
    beep = 0.1 * np.sin(2 * np.pi * 2800 * t) * ((t > 2) & (t < 2.2))
    mixer = sum(0.05 / k * np.sin(2 * np.pi * 100 * k * t) for k in range(1, 6)) * (t > 4)
    analysis = analyse(recording(beep + mixer + 1e-3 * kitchen_noise(rng, t.size), RATE))
    assert analysis.counted == ()
    assert any(r.start_s < 2.1 < r.stop_s for r in analysis.rejected)


def test_a_ringing_bowl_is_rejected():
    rng = np.random.default_rng(12)
    t = np.arange(4 * RATE) / RATE
    since = np.maximum(t - 2, 0)
    ring = 0.2 * np.sin(2 * np.pi * 2800 * since) * np.exp(-since / 0.15) * (t > 2)
    analysis = analyse(recording(ring + 1e-3 * kitchen_noise(rng, t.size), RATE))
    assert analysis.counted == () and any("ringing" in r.why for r in analysis.rejected)


def test_a_steady_hum_changes_no_count():
    rng = np.random.default_rng(13)
    dry, truth = bites(rng)
    t = np.arange(dry.size) / RATE
    quiet = at_snr(dry, truth, kitchen_noise(rng, dry.size), 30)
    hum = sum(0.08 / k * np.sin(2 * np.pi * 50 * k * t) for k in range(1, 9))
    plain, hummed = analyse(recording(quiet, RATE)), analyse(recording(quiet + hum, RATE))
    assert [b.pulses for b in hummed.bites] == [b.pulses for b in plain.bites]


def test_gain_cancels_against_a_tap():
    rng = np.random.default_rng(14)
    dry, truth = bites(rng, lead_s=1.5)
    tap, _ = bites(rng, count=1, pulses=(1, 1), lead_s=0.3, period_s=0.3)
    dry[: tap.size] += tap * 1.5
    mixed = at_snr(dry, truth, kitchen_noise(rng, dry.size), 25)
    loud = analyse(recording(mixed, RATE), tap_s=(0.2, 0.8))
    soft = analyse(recording(mixed * 0.1, RATE), tap_s=(0.2, 0.8))
    assert loud.reference == "tap" and len(loud.bites) == 8  # the tap itself isn't a bite
    assert [b.level_db for b in soft.bites] == pytest.approx([b.level_db for b in loud.bites], abs=0.01)


def test_clipping_is_flagged_and_its_levels_are_not_given():
    rng = np.random.default_rng(15)
    dry, truth = bites(rng)
    mixed = np.clip(at_snr(dry, truth, kitchen_noise(rng, dry.size), 30) * 4, -1, 1)
    for turned_down in (1.0, 0.5):
        analysis = analyse(recording(mixed * turned_down, RATE))
        clipped = [b for b in analysis.bites if b.clipped]
        assert clipped and all(np.isnan(b.level_db) and np.isnan(b.peak_db) for b in clipped)
        assert any("recorder's limit" in w for w in analysis.warnings)
        assert all(b.pulses > 0 for b in clipped)


def test_the_sixteen_kilohertz_octave_is_given_only_where_it_is_carried():
    rng = np.random.default_rng(16)
    dry, truth = bites(rng, high_hz=20000.0)
    mixed = at_snr(dry, truth, kitchen_noise(rng, dry.size), 30)
    assert 16000 in analyse(recording(mixed, RATE)).bands_hz
    spectrum = np.fft.rfft(mixed)
    spectrum[int(15000 * mixed.size / RATE) :] = 0  # as a codec at a low bit rate does
    cut = analyse(recording(np.fft.irfft(spectrum, mixed.size), RATE))
    assert 16000 not in cut.bands_hz and 8000 in cut.bands_hz
    assert cut.carried_up_to_hz == pytest.approx(15000, abs=700)
    assert any("16 kHz is left out" in w for w in cut.warnings)


@pytest.mark.parametrize("rate", [8000, 16000, 22050, 44100, 96000])
def test_other_sampling_rates_work(rate):
    rng = np.random.default_rng(17)
    dry, truth = bites(rng, rate=rate, count=5, gap_ms=(20, 40))
    mixed = at_snr(dry, truth, kitchen_noise(rng, dry.size, rate), 25, rate)
    analysis = analyse(recording(mixed, rate))
    pairs, extra = matched(analysis, truth)
    assert len(pairs) == 5 and extra == 0
    assert (8000 in analysis.bands_hz) == (rate >= 22050)


def test_a_drifting_gain_is_warned_of():
    rng = np.random.default_rng(18)
    noise = kitchen_noise(rng, 40 * RATE)
    noise[20 * RATE :] *= 3
    analysis = analyse(recording(noise * 0.01, RATE))
    assert analysis.gain_drift_db > 6 and any("Lock it" in w for w in analysis.warnings)


def test_what_cannot_be_a_recording_is_refused():
    with pytest.raises(SoundError, match="empty"):
        recording(np.zeros(0), RATE)
    with pytest.raises(SoundError, match="silent"):
        recording(np.zeros(RATE), RATE)
    with pytest.raises(SoundError, match="samples a second"):
        recording(np.ones(10), 4000)
    with pytest.raises(SoundError, match="aren't numbers"):
        recording(np.array([0.1, np.nan]), RATE)
    with pytest.raises(SoundError, match="tap"):
        analyse(recording(np.full(RATE, 0.1), RATE), tap_s=(2, 3))


@pytest.mark.parametrize("samples", [1, 100, 255, 2000])
def test_very_short_recordings_do_not_fail(samples):
    rng = np.random.default_rng(19)
    assert analyse(recording(rng.normal(0, 0.1, samples), RATE)).bites is not None
