"""Cracks within a bite: the envelope that shows them, and their count."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .frames import HIGHEST_HZ, LOWEST_HZ, Frames

SMOOTH_S = 0.001
CHANCE = 1e-6  # that noise alone reaches a crack's height within one independent moment
CHANCE_OVER = 1e-3  # that noise alone seems to belong to a bite
ABOVE_BEFORE = 1.5  # over the mean of the 8 ms before: what decays in an echo doesn't do that
BEFORE_S = 0.008
PROMINENCE_DB = 4.0
APART_S = 0.003
ECHO_DB, ECHO_FALLS_DB_PER_MS = 8.0, 0.15  # a wall's echo stays under this line after the crack it answers


@dataclass(frozen=True, eq=False)
class Envelope:
    """Energy between 1 and 12 kHz over time, the floor being 1.

    Attributes:
        values: one every `step` samples.
        first: sample number of the first.
        step: samples from value to value (an eighth of a millisecond).
        shape: gamma shape of the floor's own scatter (bandwidth times smoothing time).
    """

    values: NDArray[np.floating]
    first: int
    step: int
    shape: float

    def height(self, chance: float) -> float:
        """What noise alone exceeds with this chance: about 3.9 for one in a million at 48 kHz, more in a narrower band."""
        from scipy.special import gammainccinv

        return float(gammainccinv(self.shape, chance)) / self.shape


def envelope(samples: NDArray[np.float32], f: Frames, rate_hz: int, start: int, stop: int) -> Envelope:
    """Envelope of samples[start:stop] and 30 ms on each side, whitened by the floor and smoothed over 1 ms.

    Whitening weights every band by its own noise, so that cracks stand out as far as they can.
    Source: acoustic envelope of a bite: Chen, Karlsson & Povey 2005, J. Texture Studies 36:139–156 (from memory); here in
        software, with the noise of the room taken out.
    """
    from scipy.fft import irfft, next_fast_len, rfft

    pad = int(0.03 * rate_hz)
    first, last = max(start - pad, 0), min(stop + pad, samples.size)
    size = next_fast_len(last - first + int(0.01 * rate_hz), real=True)
    piece = samples[first:last].copy()
    edge = min(pad // 3, piece.size // 4)  # without it, hum that is cut off at the ends would look like two cracks
    rise = (0.5 - 0.5 * np.cos(np.pi * np.arange(edge) / max(edge, 1))).astype(np.float32)
    piece[:edge] *= rise
    piece[piece.size - edge :] *= rise[::-1]
    spectrum = rfft(piece, size)
    hz = np.arange(spectrum.size) * rate_hz / size
    at = min((start + stop) // 2 // f.hop, f.floor.shape[0] - 1)
    middles = (f.edges[:-1] + f.edges[1:] - 1) / 2 * f.bin_hz
    level = np.interp(hz, middles, np.log(f.floor[at]))
    top = min(HIGHEST_HZ, 0.46 * rate_hz)
    # soft edges: a sharp cut would ring for tens of milliseconds around a loud crack
    rising = np.clip((hz - 0.8 * LOWEST_HZ) / (0.5 * LOWEST_HZ), 0, 1)
    falling = np.clip((top - hz) / (0.3 * top), 0, 1)
    band = np.sin(np.pi / 2 * rising) ** 2 * np.sin(np.pi / 2 * falling) ** 2
    shaped = spectrum * (np.exp(-level / 2) * band).astype(np.float32)
    wave = irfft(shaped, size)[: last - first]
    step = max(rate_hz // 8000, 1)
    energy = (wave**2)[: wave.size // step * step].reshape(-1, step).mean(axis=1)
    kernel = np.hanning(max(int(SMOOTH_S * rate_hz / step) | 1, 3) + 2)[1:-1]
    smooth = np.convolve(energy, kernel / kernel.sum(), mode="same")
    # of white noise of unit power the band keeps its share
    squared = band**2
    bandwidth = float(squared.sum() ** 2 / (squared**2).sum()) * rate_hz / size
    seconds = float(kernel.sum() ** 2 / (kernel**2).sum()) * step / rate_hz
    return Envelope(smooth / float(squared.mean()), first, step, bandwidth * seconds)


def pulse_positions(e: Envelope, rate_hz: int) -> NDArray[np.int64]:
    """Sample numbers of the cracks: peaks over the floor, over what came just before and over the echo of louder ones; 3 ms apart.

    Two cracks closer than 3 ms count as one; one 8 dB weaker than the crack just before it can't be told from that one's echo and isn't
    counted (14 dB after 40 ms).
    Source: number of sound bursts as a measure of crispness: Edmister & Vickers 1985, J. Texture Studies 16:153–167;
        number of acoustic events: Chen, Karlsson & Povey 2005 (both from memory); thresholds set on synthesised bites.
    """
    from scipy.signal import find_peaks

    rate = rate_hz / e.step
    decibels = 10 * np.log10(np.maximum(e.values, 1e-6))
    peaks, _ = find_peaks(decibels, height=10 * np.log10(e.height(CHANCE)), prominence=PROMINENCE_DB, distance=max(int(APART_S * rate), 1))
    total = np.concatenate([[0.0], np.cumsum(e.values)])
    gap, span = int(0.0015 * rate), int(BEFORE_S * rate)
    stop = np.maximum(peaks - gap, 1)
    start = np.maximum(stop - span, 0)
    before = (total[stop] - total[start]) / np.maximum(stop - start, 1)
    peaks = peaks[e.values[peaks] > ABOVE_BEFORE * before]
    # both sides raised by the line's fall, so that "over every earlier peak's line" is a running maximum
    raised = decibels[peaks] + ECHO_FALLS_DB_PER_MS * 1000 / rate * peaks
    earlier = np.concatenate([[-np.inf], np.maximum.accumulate(raised)[:-1]]) if peaks.size else raised
    return peaks[raised >= earlier - ECHO_DB] * e.step + e.first
