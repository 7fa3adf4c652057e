"""Recordings → crispness measures: bites found, pulses counted, levels and bands with their interval."""

from .analysis import Analysis, Bite, Rejected, Tap, analyse, find_tap
from .errors import SoundError
from .levels import (
    FullScaleLevel,
    equivalent_level_db,
    exposure_level_db,
    level_dbfs,
    level_sum_db,
    pressure_level_db,
    spectral_centroid_hz,
)
from .recording import Recording, recording
from .trial import Comparability, Setup, SoundReading, compare_setups, trial_reading
from .weighting import NOMINAL_OCTAVES_HZ, OCTAVES, Band, a_weighting_db, c_weighting_db, octave_band

__all__ = [
    "Analysis",
    "Bite",
    "Rejected",
    "Tap",
    "analyse",
    "find_tap",
    "Recording",
    "recording",
    "Comparability",
    "Setup",
    "SoundReading",
    "compare_setups",
    "trial_reading",
    "NOMINAL_OCTAVES_HZ",
    "OCTAVES",
    "Band",
    "FullScaleLevel",
    "SoundError",
    "a_weighting_db",
    "c_weighting_db",
    "equivalent_level_db",
    "exposure_level_db",
    "level_dbfs",
    "level_sum_db",
    "octave_band",
    "pressure_level_db",
    "spectral_centroid_hz",
]
