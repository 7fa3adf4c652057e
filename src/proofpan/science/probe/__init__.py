"""Probe logs → lag-corrected core temperature, time above thresholds, cooling checks, lethality."""

from .errors import ProbeError
from .lag import CorrectedLog, lag_corrected, time_constant
from .log import ProbeLog, probe_log, read_log
from .sums import CAUTION, CoolingCheck, cooling_check, lethality, lethality_minutes, time_above

__all__ = [
    "CAUTION",
    "CoolingCheck",
    "CorrectedLog",
    "ProbeError",
    "ProbeLog",
    "cooling_check",
    "lag_corrected",
    "lethality",
    "lethality_minutes",
    "probe_log",
    "read_log",
    "time_above",
    "time_constant",
]
