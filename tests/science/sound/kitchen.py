"""Invented kitchens to record: bites whose cracks are known, in a room with a fan, hum, a voice, an echo, a gain.

A crack is a burst of noise with an attack of 0.3 ms and a decay of 2 ms, filtered about a frequency: the shape of a fracture
pulse as drawn in the crispness literature (Vickers & Bourne 1976; Chen, Karlsson & Povey 2005; from memory). The level of the
noise is stated as the ratio of the mean A-weighted power of a bite's cracks (first to last crack) to that of the noise.
"""

from dataclasses import dataclass

import numpy as np
from scipy.signal import lfilter

from proofpan.science.sound.weighting import a_weighting_power

RATE = 48000


@dataclass
class Truth:
    starts_s: list
    pulses: list
    spans: list


def crack(rng, rate=RATE, low_hz=1200.0, high_hz=9000.0, decay_s=0.002):
    n = int(0.014 * rate)
    t = np.arange(n) / rate
    spectrum = np.fft.rfft(rng.standard_normal(n))
    hz = np.fft.rfftfreq(n, 1 / rate)
    spectrum *= 1 / (1 + (low_hz / np.maximum(hz, 1)) ** 4) / (1 + (hz / high_hz) ** 4)
    wave = np.fft.irfft(spectrum, n) * np.minimum(t / 0.0003, 1) * np.exp(-t / decay_s)
    return wave / np.sqrt((wave**2).sum())


def bites(rng, *, count=8, pulses=(3, 9), period_s=0.9, lead_s=1.0, rate=RATE, spread_db=4.0, gap_ms=(12, 40), **shape):
    """A dry recording of bites without any noise, and what is in it."""
    x = np.zeros(int((lead_s * 2 + period_s * count) * rate))
    truth = Truth([], [], [])
    for i in range(count):
        n = int(rng.integers(*pulses, endpoint=True))
        at = int((lead_s + period_s * i + rng.uniform(0, 0.1)) * rate)
        first = at
        for _ in range(n):
            wave = crack(rng, rate, **shape) * 10 ** (rng.uniform(-spread_db / 2, spread_db / 2) / 20)
            x[at : at + wave.size] += wave
            last = at
            at += int(rng.uniform(*gap_ms) / 1000 * rate)
        truth.starts_s.append(first / rate)
        truth.pulses.append(n)
        truth.spans.append((first, last + int(0.006 * rate)))
    return x, truth


def weighted_power(x, rate=RATE):
    spectrum = np.abs(np.fft.rfft(x)) ** 2
    hz = np.fft.rfftfreq(x.size, 1 / rate)
    return float(2 * (spectrum * a_weighting_power(hz)).sum() / x.size**2)


def kitchen_noise(rng, n, rate=RATE):
    """An extractor fan: broad noise that falls by 5 dB an octave, with hum at 50, 100, 150 and 300 Hz."""
    spectrum = np.fft.rfft(rng.standard_normal(n))
    hz = np.fft.rfftfreq(n, 1 / rate)
    x = np.fft.irfft(spectrum / np.maximum(hz, 30) ** 0.83, n)
    x /= np.sqrt((x**2).mean())
    t = np.arange(n) / rate
    hum = sum(a * np.sin(2 * np.pi * f * t + f) for f, a in ((50, 1.0), (100, 0.7), (150, 0.4), (300, 0.2)))
    return x * (1 + 0.05 * np.sin(2 * np.pi * 0.3 * t)) + hum


def at_snr(dry, truth, noise, snr_db, rate=RATE):
    """Mix so that the bites' mean A-weighted power stands snr_db over the noise's; the peak is put at 0.5."""
    heard = np.mean([weighted_power(dry[a:b], rate) for a, b in truth.spans])
    noise = noise * np.sqrt(heard / weighted_power(noise, rate) / 10 ** (snr_db / 10))
    x = dry + noise
    return x * (0.5 / np.abs(x).max())


def echo(x, rng, seconds=0.3, rate=RATE, direct_db=6.0):
    """A room: a decaying noise tail, `direct_db` under the direct sound in all."""
    n = int(seconds * rate)
    tail = rng.standard_normal(n) * 10 ** (-3 * np.arange(n) / n)
    tail *= np.sqrt(10 ** (-direct_db / 10) / (tail**2).sum())
    tail[: int(0.003 * rate)] = 0
    tail[0] = 1
    size = x.size + n
    return np.fft.irfft(np.fft.rfft(x, size) * np.fft.rfft(tail, size), size)[: x.size]


def voice(rng, seconds, rate=RATE, pitch_hz=140.0):
    """Syllables of a voice: glottal pulses through three formants, four a second, each ending in a hiss."""
    n = int(seconds * rate)
    t = np.arange(n) / rate
    glide = pitch_hz * (1 + 0.1 * np.sin(2 * np.pi * 0.7 * t))
    phase = np.cumsum(glide) / rate
    source = np.diff(np.floor(phase), prepend=0.0)
    out = source
    for f, width in ((600, 90), (1300, 110), (2600, 160)):
        r = np.exp(-np.pi * width / rate)
        out = lfilter([1 - r], [1, -2 * r * np.cos(2 * np.pi * f / rate), r * r], out)
    out = out / np.sqrt((out**2).mean())
    beat = (t * 4) % 1
    shape = np.clip(np.sin(np.pi * np.clip(beat / 0.65, 0, 1)), 0, 1)
    hiss = rng.standard_normal(n)
    hiss = np.diff(hiss, prepend=0.0) * 0.1 * np.clip(np.sin(np.pi * np.clip((beat - 0.6) / 0.3, 0, 1)), 0, 1)
    return out * shape + hiss
