"""Levels in decibels: sums, means over time, full scale, pressure; and the spectral centroid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .errors import SoundError

REFERENCE_PRESSURE_PA = 20e-6


def _decibels(power: float) -> float:
    return float(10 * np.log10(power)) if power > 0 else float("-inf")


def level_sum_db(levels_db: ArrayLike) -> float:
    """Level of several incoherent sources together: 10·lg Σ 10^(L/10)."""
    levels = np.atleast_1d(np.asarray(levels_db, dtype=float))
    if not levels.size:
        raise SoundError("There is no level to sum.")
    return _decibels(float((10 ** (levels / 10)).sum()))


def _levels_and_durations(levels_db: ArrayLike, durations_s: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
    levels, durations = (
        np.atleast_1d(np.asarray(levels_db, dtype=float)),
        np.atleast_1d(np.asarray(durations_s, dtype=float)),
    )
    if levels.shape != durations.shape or not levels.size:
        raise SoundError(f"{levels.size} levels need as many durations, not {durations.size}.")
    if not (durations >= 0).all() or durations.sum() <= 0:
        raise SoundError("Durations must not be negative, and some must be longer than nothing.")
    return levels, durations


def equivalent_level_db(levels_db: ArrayLike, durations_s: ArrayLike) -> float:
    """Time-averaged (equivalent continuous) level over the sum of the durations.

    Source: IEC 61672-1:2013, 3.9: 10·lg(Σ t·10^(L/10) / Σ t).
    """
    levels, durations = _levels_and_durations(levels_db, durations_s)
    return _decibels(float((durations * 10 ** (levels / 10)).sum() / durations.sum()))


def exposure_level_db(levels_db: ArrayLike, durations_s: ArrayLike) -> float:
    """Sound exposure level, referred to one second.

    Source: IEC 61672-1:2013, 3.12: 10·lg Σ t·10^(L/10) with t in seconds.
    """
    levels, durations = _levels_and_durations(levels_db, durations_s)
    return _decibels(float((durations * 10 ** (levels / 10)).sum()))


@dataclass(frozen=True)
class FullScaleLevel:
    """Levels re a full-scale amplitude of 1: a full-scale square wave is 0 dB, a full-scale sine −3.01 dB."""

    rms_dbfs: float
    peak_dbfs: float
    crest_factor_db: float


def level_dbfs(samples: ArrayLike) -> FullScaleLevel:
    """Root-mean-square, peak and crest factor of samples of ±1 full scale; no mean is removed."""
    x = np.asarray(samples, dtype=float).ravel()
    if not x.size:
        raise SoundError("There are no samples to take a level of.")
    rms, peak = _decibels(float((x**2).mean())), _decibels(float(np.abs(x).max() ** 2))
    return FullScaleLevel(rms, peak, peak - rms if np.isfinite(peak) else float("nan"))


def pressure_level_db(rms_pressure_pa: float) -> float:
    """Sound pressure level re 20 µPa.

    Source: IEC 61672-1:2013, 3.1 and 3.2.
    """
    if not rms_pressure_pa > 0:
        raise SoundError(f"A sound pressure of {rms_pressure_pa} Pa has no level; give a positive pressure.")
    return float(20 * np.log10(rms_pressure_pa / REFERENCE_PRESSURE_PA))


def spectral_centroid_hz(frequencies_hz: ArrayLike, power: ArrayLike) -> float:
    """Mean frequency weighted by power (not amplitude): Σ f·P / Σ P."""
    f, p = np.asarray(frequencies_hz, dtype=float), np.asarray(power, dtype=float)
    if f.shape != p.shape or not f.size or not p.sum() > 0:
        raise SoundError("A centroid needs as many powers as frequencies, and some power.")
    return float((f * p).sum() / p.sum())
