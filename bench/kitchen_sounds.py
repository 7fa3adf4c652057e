"""Recordings with known truth, made in another way than the tests make them: nothing of the sound room is used here.

A crack is a sum of a few damped tones (a small plate ringing after it breaks: Vickers & Bourne 1976 describe such bursts; the shape is ours,
no source). A room is a handful of early reflections and a decaying tail (Sabine: 60 dB in `seconds`). Noise is pink, with a fridge's hum at
50 or 60 Hz and its harmonics, or water running, or an extractor. Speech is vowels through three resonances, hisses and stops. Levels are
stated as mean power over a bite's cracks against that of the noise, both A-weighted by the analogue poles.
"""

import io
from dataclasses import dataclass, field

import numpy as np
from scipy.signal import fftconvolve, freqs_zpk, lfilter

RATE = 48000


@dataclass
class Bites:
    """What is in a recording: when each bite begins and ends, and when each of its cracks comes."""

    spans_s: list = field(default_factory=list)
    cracks_s: list = field(default_factory=list)


def a_weighted(x, rate=RATE):
    """Samples weighted without delay by the analogue transfer function of A (its poles from IEC 61672-1, annex E), 0 dB at 1 kHz."""
    poles = -2 * np.pi * np.array([20.598997, 20.598997, 107.65265, 737.86223, 12194.217, 12194.217])
    hz = np.fft.rfftfreq(x.size, 1 / rate)
    size = np.abs(freqs_zpk(np.zeros(4), poles, 1.0, 2 * np.pi * np.maximum(hz, 1e-3))[1])
    one = np.abs(freqs_zpk(np.zeros(4), poles, 1.0, [2 * np.pi * 1000])[1][0])
    return np.fft.irfft(np.fft.rfft(x) * size / one, x.size)


def a_level_db(x, rate=RATE):
    """A-weighted mean power in dB re full scale."""
    return 10 * np.log10(np.mean(a_weighted(x, rate) ** 2) + 1e-30)


def crack(rng, rate=RATE):
    """One fracture: two to five damped tones between 1 and 10 kHz on a click."""
    t = np.arange(int(0.02 * rate)) / rate
    wave = np.zeros(t.size)
    for _ in range(int(rng.integers(2, 6))):
        hz, decay = np.exp(rng.uniform(np.log(1000), np.log(10000))), rng.uniform(0.0006, 0.0025)
        wave += rng.normal() * np.sin(2 * np.pi * hz * t + rng.uniform(0, 6.28)) * np.exp(-t / decay)
    wave *= 1 - np.exp(-t / 0.0001)
    return wave / np.sqrt((wave**2).sum())


def bites(rng, count=6, cracks=(4, 10), gap_ms=(10, 45), between_s=(0.7, 1.3), rate=RATE, spread_db=4.0):
    """Bites without a room: cracks at random times apart, each within `spread_db` of the same energy."""
    at, truth, hits = 0.8, Bites(), []
    for _ in range(count):
        n = int(rng.integers(cracks[0], cracks[1] + 1))
        times = at + np.concatenate([[0.0], np.cumsum(rng.uniform(*gap_ms, n - 1) / 1000)])
        hits += [(float(s), 10 ** (rng.uniform(-spread_db, spread_db) / 40)) for s in times]
        truth.cracks_s.append([float(s) for s in times])
        truth.spans_s.append((float(times[0]), float(times[-1]) + 0.006))
        at = times[-1] + rng.uniform(*between_s)
    x = np.zeros(int((at + 0.8) * rate))
    for s, size in hits:
        wave = size * crack(rng, rate)
        i = int(s * rate)
        x[i : i + wave.size] += wave
    return x, truth


def room(x, rng, seconds=0.35, direct_db=8.0, rate=RATE):
    """Eight early reflections and a tail, together `direct_db` under the direct sound."""
    n = int(seconds * rate)
    tail = rng.standard_normal(n) * 10 ** (-3 * np.arange(n) / n)
    tail[: int(0.012 * rate)] = 0
    tail *= np.sqrt(0.5 / (tail**2).sum())
    early = np.zeros(n)
    delays = rng.uniform(0.002, 0.02, 8)
    sizes = rng.choice([-1, 1], 8) / (1 + delays * 300)
    np.add.at(early, (delays * rate).astype(int), sizes)
    early *= np.sqrt(0.5 / (early**2).sum())
    answer = (tail + early) * 10 ** (-direct_db / 20)
    answer[0] = 1.0
    return fftconvolve(x, answer)[: x.size]


def pink(rng, n):
    """Noise that falls by 3 dB an octave."""
    spectrum = np.fft.rfft(rng.standard_normal(n))
    spectrum /= np.sqrt(np.maximum(np.arange(spectrum.size), 20))
    x = np.fft.irfft(spectrum, n)
    return x / x.std()


def hum(rng, n, rate=RATE, mains=50.0):
    """A fridge: mains harmonics that waver a little."""
    t = np.arange(n) / rate
    slow = 1 + 0.05 * np.sin(2 * np.pi * 0.2 * t + rng.uniform(0, 6))
    x = sum(rng.uniform(0.2, 1) / k * np.sin(2 * np.pi * mains * k * t + rng.uniform(0, 6)) for k in (1, 2, 3, 4, 6, 8, 12))
    return x * slow / np.std(x)


def water(rng, n, rate=RATE):
    """A tap running: noise above 1 kHz that bubbles slowly."""
    x = lfilter([1, -0.93], [1], rng.standard_normal(n))
    knots = np.arange(0, n + rate // 8, rate // 8)
    bubbling = 1 + 0.25 * np.interp(np.arange(n), knots, rng.uniform(-1, 1, knots.size))
    x *= bubbling
    return x / x.std()


def kitchen(rng, n, kind="fridge", rate=RATE):
    """Noise of one kind of kitchen."""
    if kind == "fridge":
        return pink(rng, n) + 1.5 * hum(rng, n, rate, 50 if rng.random() < 0.5 else 60)
    if kind == "water":
        return water(rng, n, rate) + 0.3 * pink(rng, n)
    fan = pink(rng, n) * (1 + 0.08 * np.sin(2 * np.pi * 11 * np.arange(n) / rate))
    return fan + 0.5 * hum(rng, n, rate)


def speech(rng, seconds, rate=RATE, pitch_hz=None):
    """Made-up syllables: stop or hiss, then a vowel through three resonances, with pauses. (samples, [(start_s, stop_s)] of its words)."""
    vowels = ((700, 1200, 2600), (300, 2200, 3000), (450, 900, 2400), (350, 800, 2250), (550, 1800, 2500))
    n = int(seconds * rate)
    out, at, words = np.zeros(n), 0.15, []
    pitch = pitch_hz or rng.uniform(95, 240)
    while at < seconds - 0.5:
        start, i = at, int(at * rate)
        if rng.random() < 0.5:  # a stop: silence, then 8 ms of noise
            size = int(0.008 * rate)
            burst = lfilter([1, -0.7], [1], rng.standard_normal(size)) * np.exp(-np.arange(size) / (0.003 * rate)) * 0.35
        else:
            size = int(rng.uniform(0.05, 0.11) * rate)
            burst = np.diff(rng.standard_normal(size + 1)) * np.hanning(size) * 0.15
        out[i : i + size] += burst[: max(n - i, 0)]
        i += size
        length = int(rng.uniform(0.09, 0.22) * rate)
        t = np.arange(length) / rate
        phase = np.cumsum(pitch * (1 + 0.08 * np.sin(2 * np.pi * 3 * t + rng.uniform(0, 6)))) / rate
        source = np.diff(np.floor(phase), prepend=0.0)
        for hz, wide in zip(vowels[int(rng.integers(5))], (80, 110, 160), strict=True):
            r = np.exp(-np.pi * wide / rate)
            source = lfilter([1 - r], [1, -2 * r * np.cos(2 * np.pi * hz / rate), r * r], source)
        source *= np.clip(np.minimum(t / 0.02, (t[-1] - t) / 0.04), 0, 1)
        source /= max(source.std(), 1e-9)
        stop = min(i + length, n)
        out[i:stop] += source[: stop - i]
        at = stop / rate
        words.append((start, at))
        at += rng.choice([0.02, 0.05, 0.35], p=[0.5, 0.3, 0.2])
    return out / out.std(), words


def mixed(dry, truth, noise, snr_db, rate=RATE, peak=0.5):
    """Bites over noise: mean A-weighted power within the bites `snr_db` over the noise's; the gain that was used comes with it."""
    weighted = a_weighted(dry, rate) ** 2
    inside = np.mean(np.concatenate([weighted[int(a * rate) : int(b * rate)] for a, b in truth.spans_s]))
    noise = noise * np.sqrt(inside / 10 ** (snr_db / 10) / np.mean(a_weighted(noise, rate) ** 2))
    x = dry + noise
    gain = peak / np.abs(x).max()
    return x * gain, gain, noise * gain


def automatic_gain(x, rate=RATE, strength=0.7, seconds=0.4):
    """A recorder that sets its own gain: level held up by a slow follower."""
    level = np.sqrt(lfilter([1 - np.exp(-1 / (seconds * rate))], [1, -np.exp(-1 / (seconds * rate))], x**2) + 1e-6)
    return x / level**strength * np.median(level) ** strength


def wav(x, rate=RATE):
    """16-bit WAV bytes; a second axis is channels."""
    import wave

    x = np.atleast_2d(np.asarray(x))
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(x.shape[0])
        out.setsampwidth(2)
        out.setframerate(rate)
        out.writeframes((np.clip(x.T, -1, 1) * 32767).astype("<i2").tobytes())
    return file.getvalue()
