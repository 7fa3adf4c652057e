"""A probe lags behind the food: its time constant, and the temperature corrected for it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..reading import Reading, t_quantile
from .errors import ProbeError
from .log import ProbeLog


@dataclass(frozen=True, eq=False)
class CorrectedLog:
    """A log corrected for the probe's lag, with a 95 % interval at each reading.

    Attributes:
        times_s, temperature_c, low_c, high_c: shape (n,).
        error_sd_c: shape (n,), standard error.
        time_constant_s: the one used.
        how: one sentence.
    """

    times_s: NDArray[np.floating]
    temperature_c: NDArray[np.floating]
    low_c: NDArray[np.floating]
    high_c: NDArray[np.floating]
    error_sd_c: NDArray[np.floating]
    time_constant_s: float
    how: str

    @property
    def log(self) -> ProbeLog:
        """The corrected temperatures as a log, for the other sums of this room."""
        return ProbeLog(self.times_s, self.temperature_c)


def _window(times: NDArray[np.floating], i: int, half_width_s: float) -> slice:
    """At least five readings around i."""
    lo = int(np.searchsorted(times, times[i] - half_width_s, side="left"))
    hi = int(np.searchsorted(times, times[i] + half_width_s, side="right"))
    n = len(times)
    while hi - lo < min(5, n):
        if lo > 0:
            lo -= 1
        if hi < n and hi - lo < min(5, n):
            hi += 1
    return slice(lo, hi)


def lag_corrected(
    log: ProbeLog,
    time_constant_s: float,
    *,
    time_constant_sd_s: float = 0.0,
    accuracy_c: float = 0.5,
    window_s: float | None = None,
) -> CorrectedLog:
    """The food's temperature from a first-order probe: T + τ·dT/dt, both from a local quadratic fit.

    Parameters:
        time_constant_s: the probe's τ (see `time_constant`); 0 only smooths.
        time_constant_sd_s: its standard error.
        accuracy_c: half-width of the probe's stated accuracy, taken as a rectangular distribution.
        window_s: half-width of the fit; by default the larger of τ and three readings.
    Returns: intervals that hold the noise the correction amplifies, the error of τ and the probe's accuracy.
    Raises: ProbeError, for a negative τ or fewer than five readings.
    Source: first-order instrument, T_probe' = (T_food − T_probe)/τ (Doebelin, Measurement Systems, ch. 3, from memory);
        local quadratic: Savitzky & Golay 1964, for uneven times by least squares; accuracy: JCGM 100:2008, 4.3.7.
    Assumes: one τ, the same throughout; conduction along the stem is not corrected.
    """
    if not (time_constant_s >= 0 and time_constant_sd_s >= 0 and accuracy_c >= 0):
        raise ProbeError("A probe's time constant and its accuracy can't be negative.")
    t, c = log.times_s, log.temperature_c
    if t.size < 5:
        raise ProbeError(f"The lag of a probe can't be taken out of {t.size} readings; five are needed.")
    half = window_s if window_s is not None else max(time_constant_s, 3 * float(np.median(np.diff(t))))
    n = t.size
    value, slope = np.empty(n), np.empty(n)
    weights, residuals, spare = np.empty(n), 0.0, 0.0
    for i in range(n):
        part = _window(t, i, half)
        x = t[part] - t[i]
        scale = float(np.abs(x).max())
        design = np.vander(x / scale, 3, increasing=True)
        inverse = np.linalg.pinv(design)
        fit = inverse @ c[part]
        row = inverse[0] + time_constant_s / scale * inverse[1]
        value[i], slope[i], weights[i] = fit[0], fit[1] / scale, float(row @ row)
        # each fit's residual at its own reading, for the noise
        leverage = float(inverse[0][i - part.start])
        residuals += float((c[i] - fit[0]) ** 2)
        spare += max(1 - leverage, 0.0)
    noise = math.sqrt(residuals / spare) if spare > 0 else 0.0
    error = np.sqrt(weights * noise**2 + (slope * time_constant_sd_s) ** 2 + accuracy_c**2 / 3)
    corrected = value + time_constant_s * slope
    how = (
        f"probe reading plus {time_constant_s:g} s times its slope (local quadratic, ±{half:g} s); "
        f"noise {noise:.2g} °C, accuracy ±{accuracy_c:g} °C"
    )
    arrays = (t, corrected, corrected - 1.96 * error, corrected + 1.96 * error, error)
    for array in arrays:
        array.setflags(write=False)
    return CorrectedLog(*arrays, time_constant_s=time_constant_s, how=how)


def time_constant(log: ProbeLog, final_c: float) -> Reading:
    """The probe's τ from one plunge into stirred water of a known temperature.

    Parameters: log, the readings after the plunge; final_c, the water's temperature.
    Returns: τ in seconds with a 95 % interval.
    Raises: ProbeError, where fewer than four readings lie between 90 and 5 % of the step.
    Source: ln of the remaining step is a line of slope −1/τ (first-order instrument); least squares through 90–5 % of
        the step, so that the plunge itself and the noise at the end stay out (common practice, no source).
    """
    rest = (log.temperature_c - final_c) / (log.temperature_c[0] - final_c) if log.temperature_c[0] != final_c else None
    use = (rest < 0.9) & (rest > 0.05) if rest is not None else np.zeros(log.times_s.shape, dtype=bool)
    if rest is None or use.sum() < 4:
        raise ProbeError("The plunge shows fewer than four readings on the way to the water's temperature; log faster.")
    x, y = log.times_s[use], np.log(rest[use])
    weight = rest[use] ** 2  # noise of the log grows as the remaining step falls
    mean_x, mean_y = np.average(x, weights=weight), np.average(y, weights=weight)
    spread = float((weight * (x - mean_x) ** 2).sum())
    slope = float((weight * (x - mean_x) * (y - mean_y)).sum() / spread)
    if slope >= 0:
        raise ProbeError("The readings don't move towards the water's temperature; check final_c.")
    off = y - mean_y - slope * (x - mean_x)
    df = int(use.sum()) - 2
    error = math.sqrt(float((weight * off**2).sum()) / df / spread)
    tau = -1 / slope
    sd = error * tau**2
    reach = t_quantile(df) * sd
    return Reading(
        "time constant",
        tau,
        max(tau - reach, 0.0),
        tau + reach,
        sd,
        "s",
        int(use.sum()),
        f"line through the logarithm of the remaining step to {final_c:g} °C",
    )
