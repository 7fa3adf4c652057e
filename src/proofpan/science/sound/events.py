"""Finding bites and snaps, and telling them from voices, beeps and hiss."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .frames import Frames

JOIN_S = 0.15  # cracks closer than this belong to one bite; chews are half a second and more apart
START, KEEP = 2.5, 1.7  # excess that starts an event and that keeps it going (4 and 2.3 dB over the floor)
VOICE_DB, VOICE_S = 6.0, 0.08
PITCH_LAGS_S = (0.0025, 0.014)
PITCH_STRENGTH = 0.55


@dataclass(frozen=True)
class Span:
    """A stretch of samples."""

    start: int
    stop: int

    def touches(self, other: Span, margin: int = 0) -> bool:
        """Whether the two overlap, or come within `margin` samples."""
        return self.start < other.stop + margin and other.start < self.stop + margin


def _runs(on: NDArray[np.bool_], join: int) -> list[tuple[int, int]]:
    """[start, stop) of each run of true, runs with gaps of up to `join` made one."""
    at = np.flatnonzero(on)
    if not at.size:
        return []
    cuts = np.flatnonzero(np.diff(at) > join + 1)
    starts, stops = np.concatenate([at[:1], at[cuts + 1]]), np.concatenate([at[cuts], at[-1:]]) + 1
    return list(zip(starts.tolist(), stops.tolist(), strict=True))


def candidate_spans(f: Frames, rate_hz: int) -> list[Span]:
    """Stretches that rise out of the floor between 1 and 12 kHz."""
    e = f.excess
    # the floor of a kitchen isn't quite steady: the threshold rises with the spread that quiet frames really show
    spread = 1.4826 * float(np.median(np.abs(e - np.median(e))))
    keep, start = max(KEEP, 1 + 4 * spread), max(START, 1 + 7 * spread)
    found = []
    for a, b in _runs(e > keep, int(JOIN_S * rate_hz / f.hop)):
        if e[a:b].max() > start:
            found.append(Span(a * f.hop, (b - 1) * f.hop + f.length))
    return found


def voiced_spans(samples: NDArray[np.float32], f: Frames, rate_hz: int) -> list[Span]:
    """Stretches with a voice (or a machine that hums up): lasting low-frequency sound with a pitch between 70 and 400 Hz.

    Source: normalised autocorrelation of 40 ms windows (Rabiner 1977, IEEE Trans. ASSP 25(1):24–33; from memory).
    """
    # over 30 ms: single frames of so few bins stray by 6 dB now and then
    width = max(int(0.03 * rate_hz / f.hop) | 1, 1)
    level = np.convolve(f.low_power, np.full(width, 1 / width, dtype=np.float32), mode="same")[: f.low_power.size]
    loud = level > f.low_floor * 10 ** (VOICE_DB / 10)
    spans = []
    for a, b in _runs(loud, int(0.04 * rate_hz / f.hop)):
        span = Span(a * f.hop, min((b - 1) * f.hop + f.length, samples.size))
        if (span.stop - span.start) / rate_hz >= VOICE_S and _is_pitched(samples[span.start : span.stop], rate_hz):
            spans.append(span)
    return spans


def _is_pitched(piece: NDArray[np.float32], rate_hz: int) -> bool:
    from scipy.fft import irfft, rfft

    step = max(rate_hz // 8000, 1)
    rate = rate_hz // step
    x = piece[: piece.size // step * step].reshape(-1, step).mean(axis=1)
    size = int(0.04 * rate)
    if x.size < size:
        return False
    windows = np.lib.stride_tricks.sliding_window_view(x, size)[:: size // 2][:500]
    full = 4 * size
    spectrum = rfft(windows - windows.mean(axis=1, keepdims=True), full, axis=1)
    hz = np.arange(full // 2 + 1) * rate / full
    power = np.abs(spectrum) ** 2 * ((hz > 80) & (hz < 1000))
    correlation = irfft(power, full, axis=1)
    lags = slice(int(PITCH_LAGS_S[0] * rate), int(PITCH_LAGS_S[1] * rate) + 1)
    taper = (size - np.arange(size)) / size
    strength = (correlation[:, lags] / taper[lags]).max(axis=1) / np.maximum(correlation[:, 0], 1e-20)
    return float((strength > PITCH_STRENGTH).mean()) >= 0.5
