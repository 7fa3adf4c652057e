"""Figures over time, thinned for a picture: a recording's level, a log's temperature."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from proofpan.science.sound import Recording

MOST_POINTS = 900
LOWEST_DB = -90.0


def level_over_time(recording: Recording, most: int = MOST_POINTS) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean-square level of equal stretches of a recording.

    Parameters: most, stretches; each lasts 10 ms at least.
    Returns: times_s of their middles and levels in dB re full scale, nowhere under -90; shape (stretches,).
    Source: IEC 61606-1 (0 dBFS as the largest sample; from memory), mean square over a stretch.
    """
    samples = np.asarray(recording.samples, dtype=np.float64)
    length = max(int(0.01 * recording.rate_hz), -(-samples.size // most), 1)
    count = max(samples.size // length, 1)
    power = (samples[: count * length].reshape(count, -1) ** 2).mean(axis=1)
    levels = np.maximum(10 * np.log10(np.maximum(power, 1e-12)), LOWEST_DB)
    return (np.arange(count) + 0.5) * length / recording.rate_hz, levels
