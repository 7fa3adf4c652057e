"""Time above a threshold, lethality, and a cooling curve held against the Food Code's limits."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..reading import Reading
from .errors import ProbeError
from .log import ProbeLog

CAUTION = "Follow your local food-safety authority; limits differ, and a probe speaks only for the place it stood in."


def _seconds_above(t: NDArray[np.floating], c: NDArray[np.floating], threshold: float) -> float:
    a, b, dt = c[:-1] - threshold, c[1:] - threshold, np.diff(t)
    above = (a >= 0) & (b >= 0)
    rising, falling = (a < 0) & (b > 0), (a > 0) & (b < 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(above, 1.0, np.where(rising, b / (b - a), np.where(falling, a / (a - b), 0.0)))
    return float((share * dt).sum())


def time_above(log: ProbeLog, threshold_c: float, *, accuracy_c: float = 0.5) -> Reading:
    """Minutes at or above a threshold, straight lines between readings.

    Parameters: accuracy_c, half-width of the probe's accuracy; the interval runs over it.
    Returns: minutes; low and high are with the whole log shifted down and up by the accuracy.
    """
    t, c = log.times_s, log.temperature_c
    low, mid, high = (_seconds_above(t, c + shift, threshold_c) / 60 for shift in (-accuracy_c, 0.0, accuracy_c))
    # a rectangular half-width a has standard deviation a/√3
    sd = (high - low) / 2 / math.sqrt(3)
    how = f"straight lines between {t.size} readings, the probe taken as good to ±{accuracy_c:g} °C"
    return Reading(f"time above {threshold_c:g} °C", mid, low, high, sd, "min", int(t.size), how)


def lethality_minutes(times_min: ArrayLike, temperatures_c: ArrayLike, *, reference_c: float, z_c: float) -> float:
    """Minutes at the reference temperature that would do as much: ∫ 10^((T − T_ref)/z) dt.

    The temperature runs straight between readings, so the integrand runs exponentially and is summed exactly.
    Raises: ProbeError, for times that don't rise, or z that isn't positive.
    Source: Bigelow 1921; Ball 1923 (general method); F value as in Codex CAC/RCP 23-1979, from memory.
    """
    t, c = np.asarray(times_min, dtype=float), np.asarray(temperatures_c, dtype=float)
    if t.shape != c.shape or t.ndim != 1 or t.size < 2 or not (np.diff(t) >= 0).all():
        raise ProbeError("Lethality needs at least two readings with times that rise.")
    if not z_c > 0:
        raise ProbeError(f"z must be positive; {z_c} °C came.")
    exponent = (c - reference_c) / z_c * math.log(10)
    step = np.diff(exponent)
    # (e^b − e^a)/(b − a), written so that equal temperatures need no special case
    safe = np.where(np.abs(step) < 1e-12, 1.0, step)
    mean = np.exp(exponent[:-1]) * np.where(np.abs(step) < 1e-12, 1.0 + step / 2, np.expm1(safe) / safe)
    return float((mean * np.diff(t)).sum())


def lethality(log: ProbeLog, *, reference_c: float, z_c: float, accuracy_c: float = 0.5) -> Reading:
    """Equivalent minutes at the reference temperature, with the interval that the probe's accuracy leaves.

    Source: see `lethality_minutes`. Shown with `CAUTION`; use the low end where safety rests on it.
    """
    minutes = log.times_s / 60
    low, mid, high = (
        lethality_minutes(minutes, log.temperature_c + shift, reference_c=reference_c, z_c=z_c)
        for shift in (-accuracy_c, 0.0, accuracy_c)
    )
    how = f"∫ 10^((T − {reference_c:g})/{z_c:g}) dt over {log.times_s.size} readings; probe good to ±{accuracy_c:g} °C"
    name = f"minutes at {reference_c:g} °C (z = {z_c:g})"
    return Reading(name, mid, low, high, (high - low) / 2 / math.sqrt(3), "min", int(log.times_s.size), how)


@dataclass(frozen=True)
class CoolingCheck:
    """A cooling curve against the Food Code.

    Attributes:
        meets: True, False, or None where the log ends too early to tell.
        sure: whether the answer holds with the probe's whole accuracy against it (True) or for it (False).
        hours_to_21: from the crossing of 57 °C; not a number where it was not reached.
        hours_to_5: likewise.
        says: one sentence.
        caution: the customary caution; always shown.
    """

    meets: bool | None
    sure: bool
    hours_to_21: float
    hours_to_5: float
    says: str
    caution: str = CAUTION


HOT_C, WARM_C, COLD_C = 57.0, 21.0, 5.0
FIRST_LIMIT_H, TOTAL_LIMIT_H = 2.0, 6.0
_TOUCH_H = 1e-9  # reaching exactly on time meets the limit, whatever the last bit says


def _first_down(t: NDArray[np.floating], c: NDArray[np.floating], level: float) -> float:
    """Time at which the curve first comes down to the level; not a number where it doesn't."""
    below = np.flatnonzero(c <= level)
    if not below.size:
        return math.nan
    i = int(below[0])
    return float(t[i]) if i == 0 else float(t[i - 1] + (t[i] - t[i - 1]) * (c[i - 1] - level) / (c[i - 1] - c[i]))


def _verdict(t: NDArray[np.floating], c: NDArray[np.floating]) -> tuple[bool | None, float, float]:
    hot = np.flatnonzero(c >= HOT_C)
    if hot.size:
        # the clock starts at the first way down: a log that wavers about 57 °C is held to the stricter reading
        t, c = t[hot[0] :], c[hot[0] :]
        start = _first_down(t, c, HOT_C)
        if math.isnan(start):
            return None, math.nan, math.nan
        later = t > start
        t, c = np.concatenate([[start], t[later]]), np.concatenate([[HOT_C], c[later]])
    start = float(t[0])
    to_21, to_5 = _first_down(t, c, WARM_C) - start, _first_down(t, c, COLD_C) - start
    logged = float(t[-1]) - start
    late = to_21 > FIRST_LIMIT_H + _TOUCH_H or to_5 > TOTAL_LIMIT_H + _TOUCH_H
    late |= math.isnan(to_21) and logged > FIRST_LIMIT_H + _TOUCH_H
    late |= math.isnan(to_5) and logged > TOTAL_LIMIT_H + _TOUCH_H
    # where 57 °C was left before the log began, the hours are at least these: enough for a no, never for a yes
    return (False if late else None if math.isnan(to_5) or not hot.size else True), to_21, to_5


def cooling_check(times_h: ArrayLike, temperatures_c: ArrayLike, *, accuracy_c: float = 0.0) -> CoolingCheck:
    """Whether hot food cooled from 57 to 21 °C within 2 h and to 5 °C within 6 h of leaving 57 °C.

    The clock starts at the crossing of 57 °C; straight lines between readings; exactly on time meets the limit.
    A log that starts colder can show that the limits were missed, not that they were met.
    Raises: ProbeError, for fewer than two readings or times that don't rise.
    Source: FDA Food Code 2022, 3-501.14(A): "within 2 hours from 57ºC to 21ºC; and within a total of 6 hours from 57ºC
        to 5ºC or less" (wording checked in state codes that adopt it). Other authorities start at 60 or 63 °C.
    """
    t, c = np.asarray(times_h, dtype=float), np.asarray(temperatures_c, dtype=float)
    if t.shape != c.shape or t.ndim != 1 or t.size < 2 or not (np.diff(t) > 0).all():
        raise ProbeError("A cooling check needs at least two readings with times that rise.")
    meets, to_21, to_5 = _verdict(t, c)
    sure = accuracy_c == 0 or all(_verdict(t, c + shift)[0] == meets for shift in (-accuracy_c, accuracy_c))
    if meets:
        says = f"Cooled in time: 21 °C after {to_21:.1f} h (limit 2 h) and 5 °C after {to_5:.1f} h (limit 6 h)."
    elif meets is None:
        what = "starts below 57 °C" if c.max() < HOT_C else "ends before the food was cold"
        says = f"The log {what}, so it can't tell whether the limits were met."
    elif to_21 > FIRST_LIMIT_H + _TOUCH_H or math.isnan(to_21):
        after = "was not reached in the log" if math.isnan(to_21) else f"was reached only after {to_21:.1f} h"
        says = f"Not cooled in time: 21 °C {after}; the limit is 2 h from 57 °C."
    else:
        after = "wasn't reached in the log" if math.isnan(to_5) else f"was reached only after {to_5:.1f} h"
        says = f"Not cooled in time: 5 °C {after}; the limit is 6 h from 57 °C."
    if not sure:
        says += " The probe's accuracy alone could turn this round."
    return CoolingCheck(meets, sure, to_21, to_5, says)
