"""Short-time power in bands and the recording's own noise floor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FRAME_S = 0.0053
BLOCK_S = 8.0
QUANTILE = 0.2
LEAST_DENSITY = 1e-10  # about the noise of a 16-bit converter: a gate's silence is no floor
LOWEST_HZ, HIGHEST_HZ = 1000.0, 12000.0  # where bites are looked for: above hum and the voice's strongest part


@dataclass(frozen=True, eq=False)
class Frames:
    """Power of short frames.

    Attributes:
        hop: samples from frame to frame.
        length: samples a frame.
        edges: bin numbers that bound the bands, shape (bands + 1,).
        bin_hz: width of a bin.
        power: shape (frames, bands), mean power density a bin (a unit white noise gives 1).
        floor: shape (frames, bands), the noise's mean, from the recording itself.
        low_power: shape (frames,), 200–1000 Hz, for voices.
        low_floor: shape (frames,).
        excess: shape (frames,), power over floor between 1 and 12 kHz, 1 in noise alone.
    """

    hop: int
    length: int
    edges: NDArray[np.int64]
    bin_hz: float
    power: NDArray[np.float32]
    floor: NDArray[np.float32]
    low_power: NDArray[np.float32]
    low_floor: NDArray[np.float32]
    excess: NDArray[np.float32]


def _shape_of_mean(bins: int) -> float:
    """Gamma shape of the mean power of neighbouring bins under a Hann window (neighbours share 4/9, next 1/36)."""
    return bins / (1 + 2 * (4 / 9) * (bins - 1) / bins + 2 * (1 / 36) * max(bins - 2, 0) / bins)


def _floor(power: NDArray[np.float32], bins: NDArray[np.int64], per_block: int) -> NDArray[np.float32]:
    """Mean of the noise at each frame: a low quantile in blocks, made a mean by the gamma distribution, joined by lines."""
    from scipy.special import gammaincinv

    frames = power.shape[0]
    count = max(int(round(frames / per_block)), 1)
    cuts = np.linspace(0, frames, count + 1).astype(int)
    centres = (cuts[:-1] + cuts[1:]) / 2
    # a digitally silent stretch isn't a floor
    low = np.stack([np.quantile(power[a:b:3], QUANTILE, axis=0) for a, b in zip(cuts[:-1], cuts[1:], strict=True)])
    shapes = np.array([_shape_of_mean(int(b)) for b in bins])
    mean = np.maximum(low / (gammaincinv(shapes, QUANTILE) / shapes), LEAST_DENSITY)
    at = np.arange(frames)
    if count == 1:
        return np.broadcast_to(mean.astype(np.float32), power.shape)
    return np.stack([np.interp(at, centres, mean[:, j]) for j in range(power.shape[1])], axis=1).astype(np.float32)


def frames(samples: NDArray[np.float32], rate_hz: int) -> Frames:
    """Band powers of half-overlapping 5 ms Hann frames, and their floor over blocks of 8 s.

    Source: noise floor as a low quantile over time, made unbiased for the gamma distribution of averaged periodogram bins:
        Martin 2001, IEEE Trans. Speech Audio Process. 9(5):504–512 (idea; from memory).
    """
    from scipy.fft import rfft

    length = 1 << int(round(np.log2(FRAME_S * rate_hz)))
    hop = length // 2
    if samples.size < length + hop:
        samples = np.pad(samples, (0, length + hop - samples.size))
    view = np.lib.stride_tricks.sliding_window_view(samples, length)[::hop]
    window = np.hanning(length + 1)[:-1].astype(np.float32)
    bin_hz = rate_hz / length
    top = min(HIGHEST_HZ, 0.46 * rate_hz)
    first, last = int(np.ceil(LOWEST_HZ / bin_hz)), int(top / bin_hz)
    edges = np.unique(np.rint(np.geomspace(first, last + 1, 13)).astype(int))
    low_first, low_last = max(int(round(200 / bin_hz)), 1), max(int(1000 / bin_hz), 2)
    scale = np.float32(1 / (window**2).sum())
    bins = np.diff(edges)
    power = np.empty((view.shape[0], edges.size - 1), dtype=np.float32)
    low_power = np.empty(view.shape[0], dtype=np.float32)
    for start in range(0, view.shape[0], 4096):
        spectrum = rfft(view[start : start + 4096] * window, axis=1)[:, : last + 1]
        density = (spectrum.real**2 + spectrum.imag**2) * scale
        power[start : start + 4096] = np.add.reduceat(density, edges[:-1], axis=1)[:, : bins.size] / bins
        low_power[start : start + 4096] = density[:, low_first : low_last + 1].mean(axis=1)
    per_block = int(BLOCK_S * rate_hz / hop)
    floor = _floor(power, bins, per_block)
    low_floor = _floor(low_power[:, None], np.array([low_last - low_first + 1]), per_block)[:, 0]
    excess = (power / floor) @ (bins / bins.sum()).astype(np.float32)
    return Frames(hop, length, edges, bin_hz, power, floor, low_power, low_floor, excess)
