"""Thermal death of a microorganism: decimal reduction times, and what a curve adds up to."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import HeatError


def d_value_minutes(d_reference_minutes: float, reference_c: float, z_c: float, temperature_c: float) -> float:
    """Minutes that kill nine tenths at a temperature.

    Raises: HeatError, for D or z that isn't positive. Source: Bigelow 1921: D(T) = D_ref·10^((T_ref − T)/z).
    """
    if not (d_reference_minutes > 0 and z_c > 0):
        raise HeatError("D and z must be positive.")
    return float(d_reference_minutes * 10 ** ((reference_c - temperature_c) / z_c))


def log10_reduction(d_minutes: float, hold_minutes: float) -> float:
    """Powers of ten killed in a hold: t/D. Source: Bigelow 1921; log-linear, no shoulder or tail."""
    if not d_minutes > 0:
        raise HeatError("D must be positive.")
    return hold_minutes / d_minutes


def equivalent_minutes(times_s: ArrayLike, temperatures_c: ArrayLike, reference_c: float, z_c: float) -> NDArray[np.float64]:
    """Running sum of minutes at a reference temperature that would do as much: ∫ 10^((T − T_ref)/z) dt.

    Parameters: times_s, shape (n,), rising; temperatures_c, shape (n, ...). Returns: shape (n, ...), zero at the start.
    Source: Bigelow 1921; Ball 1923. T runs straight between points, so each step is summed exactly.
    """
    t = np.asarray(times_s, dtype=float)
    e = (np.asarray(temperatures_c, dtype=float) - reference_c) / z_c * math.log(10)
    step = np.diff(e, axis=0)
    safe = np.where(np.abs(step) < 1e-10, 1.0, step)
    mean = np.exp(e[:-1]) * np.where(np.abs(step) < 1e-10, 1 + step / 2, np.expm1(safe) / safe)
    minutes = np.cumsum(mean * (np.diff(t) / 60).reshape(-1, *([1] * (e.ndim - 1))), axis=0)
    return np.concatenate([np.zeros_like(e[:1]), minutes])
