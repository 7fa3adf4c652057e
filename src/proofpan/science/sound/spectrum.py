"""Energy of a stretch: A-weighted, in octave bands, its centre; with the recording's own noise taken off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .events import Span
from .weighting import OCTAVES, a_weighting_power

QUIET_S = 0.04
TAPER_S = 0.003
CLIFF_DB = 25.0  # within 1.5 kHz; food and rooms roll off gently, a codec cuts


@dataclass(frozen=True, eq=False)
class Noise:
    """Mean power density of the quiet parts (a unit white noise gives 1), and how many stretches it rests on."""

    hz: NDArray[np.floating]
    density: NDArray[np.floating]
    stretches: int

    def at(self, hz: NDArray[np.floating]) -> NDArray[np.floating]:
        """Density at other frequencies."""
        return np.interp(hz, self.hz, self.density)

    def level_a(self) -> float:
        """A-weighted power, full scale being 1."""
        return float(2 * (self.density * a_weighting_power(self.hz)).sum() / (2 * (self.hz.size - 1)))


def quiet_noise(samples: NDArray[np.float32], rate_hz: int, busy: Sequence[Span], at_most: int = 250) -> Noise:
    """Mean spectrum of stretches outside everything that was found; of the quietest fifth where nothing is outside."""
    from scipy.fft import rfft

    length = 1 << int(np.ceil(np.log2(QUIET_S * rate_hz)))
    starts = np.arange(0, max(samples.size - length, 0) + 1, length)
    free = np.ones(starts.size, dtype=bool)
    for span in busy:
        free &= (starts + length <= span.start) | (starts >= span.stop)
    window = np.hanning(length + 1)[:-1]
    whole = samples if samples.size >= length else np.pad(samples, (0, length - samples.size))
    chosen = starts[free]
    picked = chosen if chosen.size >= 3 else starts
    picked = picked[:: max(picked.size // at_most, 1)]
    pieces = np.stack([whole[s : s + length] for s in picked]) * window
    spectrum = rfft(pieces, axis=1)
    power = (spectrum.real**2 + spectrum.imag**2) / (window**2).sum()
    if chosen.size < 3:
        total = power.sum(axis=1)
        power = power[total <= np.quantile(total, 0.2)]
    return Noise(np.arange(power.shape[1]) * rate_hz / length, np.maximum(power.mean(axis=0), 1e-16), len(power))


@dataclass(frozen=True, eq=False)
class Energy:
    """Energy over one stretch, noise taken off; full scale held for one sample is 1.

    Attributes:
        hz, power: spectrum of the stretch without its noise (may dip below zero where there is only noise).
        weighted: A-weighted energy.
        weighted_sd: standard error of it, from the noise.
        weighted_noise: the noise's own share that was taken off.
        peak: largest A-weighted sample squared.
        bands: energy in the octaves of `NOMINAL_OCTAVES_HZ`; not a number where it isn't twice the noise's scatter.
    """

    hz: NDArray[np.floating]
    power: NDArray[np.floating]
    weighted: float
    weighted_sd: float
    weighted_noise: float
    peak: float
    bands: tuple[float, ...]


def energy(samples: NDArray[np.float32], rate_hz: int, noise: Noise, start: int, stop: int) -> Energy:
    """Energy of samples[start:stop].

    Source: A-weighting IEC 61672-1:2013 annex E; octave edges IEC 61260-1:2014. The peak is of the stretch weighted without
        delay (zero phase), which can differ by a decibel from a meter's filter.
    """
    from scipy.fft import irfft, next_fast_len, rfft

    ramp = max(int(TAPER_S * rate_hz), 1)
    start, stop = max(start - ramp, 0), min(stop + ramp, samples.size)
    x = samples[start:stop]
    taper = np.ones(x.size, dtype=np.float32)
    edge = min(ramp, x.size // 2)
    rise = 0.5 - 0.5 * np.cos(np.pi * (np.arange(edge) + 0.5) / max(edge, 1))
    taper[:edge], taper[x.size - edge :] = rise, rise[::-1]
    size = next_fast_len(x.size, real=True)
    spectrum = rfft(x * taper, size)
    hz = np.arange(spectrum.size) * rate_hz / size
    weight = a_weighting_power(hz)
    both_sides = 2.0 / size
    expected = noise.at(hz) * float((taper**2).sum())
    power = ((spectrum.real.astype(float) ** 2 + spectrum.imag.astype(float) ** 2) - expected) * both_sides
    scatter = (expected * both_sides) ** 2  # each bin of noise scatters by its own mean
    bands = []
    for band in OCTAVES:
        inside = (hz >= band.lower_hz) & (hz < band.upper_hz)
        total, sd = float(power[inside].sum()), float(np.sqrt(scatter[inside].sum()))
        bands.append(total if inside.any() and total > 2 * sd else float("nan"))
    peak = float((irfft(spectrum * np.sqrt(weight).astype(np.float32), size) ** 2).max(initial=0.0))
    return Energy(
        hz,
        power,
        float((power * weight).sum()),
        float(np.sqrt((scatter * weight**2).sum())),
        float((expected * both_sides * weight).sum()),
        peak,
        tuple(bands),
    )


def carried_up_to_hz(energies: Sequence[Energy], rate_hz: int) -> float:
    """Highest frequency that the recording really carries: the codec's cut where there is one, else half the rate.

    A drop of 25 dB within 1.5 kHz above 4 kHz, in the sum of all events, is a codec's or a resampler's cut.
    """
    top = rate_hz / 2
    edges = np.arange(4000.0, top + 1, 500.0)
    if not energies or edges.size < 5:
        return top
    total, count = np.zeros(edges.size - 1), np.zeros(edges.size - 1)
    for one in energies:
        slot = np.digitize(one.hz, edges) - 1
        ok = (slot >= 0) & (slot < total.size)
        total += np.bincount(slot[ok], np.maximum(one.power[ok], 0), total.size)
        count += np.bincount(slot[ok], minlength=total.size)
    density = 10 * np.log10(np.maximum(total / np.maximum(count, 1), 1e-18))
    for i in range(density.size - 3):
        fallen = np.flatnonzero(density[i] - density[i + 1 : i + 4] > CLIFF_DB)
        if fallen.size:
            return float(edges[i + 1 + fallen[0]])
    return top


def bands_carried(up_to_hz: float, rate_hz: int) -> tuple[bool, ...]:
    """Which of the octaves 125 Hz–16 kHz fit under what the recording carries (97 % of the upper edge is enough)."""
    limit = min(up_to_hz, rate_hz / 2)
    return tuple(0.97 * band.upper_hz <= limit for band in OCTAVES)
