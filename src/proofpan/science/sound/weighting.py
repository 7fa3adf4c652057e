"""Frequency weightings A and C, and octave bands."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import SoundError

# pole frequencies of the weightings and the gains that make 1 kHz 0 dB: IEC 61672-1:2013, annex E
_F1, _F2, _F3, _F4 = 20.598997, 107.65265, 737.86223, 12194.217


def _a_amplitude(f2: NDArray[np.floating]) -> NDArray[np.floating]:
    return _F4**2 * f2**2 / ((f2 + _F1**2) * np.sqrt((f2 + _F2**2) * (f2 + _F3**2)) * (f2 + _F4**2))


def _c_amplitude(f2: NDArray[np.floating]) -> NDArray[np.floating]:
    return _F4**2 * f2 / ((f2 + _F1**2) * (f2 + _F4**2))


_THOUSAND = np.array(1e6)
_A_1000, _C_1000 = float(_a_amplitude(_THOUSAND)), float(_c_amplitude(_THOUSAND))


def a_weighting_power(frequency_hz: ArrayLike) -> NDArray[np.floating]:
    """A-weighting as a factor on power, shape (...); 0 at 0 Hz, 1 at 1 kHz."""
    return (_a_amplitude(np.asarray(frequency_hz, dtype=float) ** 2) / _A_1000) ** 2


def _positive(frequency_hz: ArrayLike) -> NDArray[np.floating]:
    f = np.asarray(frequency_hz, dtype=float)
    if not (f > 0).all():
        raise SoundError("A weighting is defined above 0 Hz; give a positive frequency.")
    return f


def a_weighting_db(frequency_hz: ArrayLike) -> NDArray[np.floating]:
    """A-weighting in dB, shape (...), 0 dB at 1 kHz.

    Raises: SoundError, for a frequency that isn't positive.
    Source: IEC 61672-1:2013, annex E.
    """
    return 20 * np.log10(_a_amplitude(_positive(frequency_hz) ** 2) / _A_1000)


def c_weighting_db(frequency_hz: ArrayLike) -> NDArray[np.floating]:
    """C-weighting in dB, shape (...), 0 dB at 1 kHz.

    Raises: SoundError, for a frequency that isn't positive.
    Source: IEC 61672-1:2013, annex E.
    """
    return 20 * np.log10(_c_amplitude(_positive(frequency_hz) ** 2) / _C_1000)


@dataclass(frozen=True)
class Band:
    """A band's exact centre and edges in Hz."""

    centre_hz: float
    lower_hz: float
    upper_hz: float


def octave_band(bands_per_octave: int, index: int) -> Band:
    """The band `index` steps from 1 kHz, exact (base ten), not nominal.

    Raises: SoundError, when bands_per_octave isn't a positive whole number.
    Source: IEC 61260-1:2014, equations 1–5: G = 10^0.3; even numbers of bands an octave are shifted by half a band.
    """
    if bands_per_octave < 1 or bands_per_octave != int(bands_per_octave):
        raise SoundError(f"{bands_per_octave} bands an octave isn't possible; use 1 or 3.")
    g = 10**0.3
    step = index / bands_per_octave if bands_per_octave % 2 else (2 * index + 1) / (2 * bands_per_octave)
    centre = 1000 * g**step
    half = g ** (1 / (2 * bands_per_octave))
    return Band(centre, centre / half, centre * half)


NOMINAL_OCTAVES_HZ = (125, 250, 500, 1000, 2000, 4000, 8000, 16000)
OCTAVES = tuple(octave_band(1, round(math.log2(hz / 1000))) for hz in NOMINAL_OCTAVES_HZ)
