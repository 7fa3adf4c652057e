"""Water and its steam: saturation pressure, boiling point, and the air above a kitchen."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .components import rows
from .errors import HeatError

_N = (0.0, *(float(row["n"]) for row in rows("if97_saturation.csv")))  # n1…n10; leading zero so that numbers match the paper
STANDARD_PRESSURE_KPA = 101.325
LOWEST_M, TROPOPAUSE_M = -5000.0, 11000.0


def _within(values: ArrayLike, low: float, high: float, what: str, unit: str) -> NDArray[np.float64]:
    v = np.asarray(values, dtype=float)
    outside = ~((v >= low) & (v <= high))
    if outside.any():
        raise HeatError(f"A {what} of {v[outside].flat[0] if v.ndim else float(v):g} {unit} is outside {low:g} to {high:g} {unit}.")
    return v


def saturation_pressure_kpa(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Pressure at which water boils at a temperature.

    Parameters: temperature_c, shape (...), 0 to 373.9. Returns: shape (...), kPa absolute.
    Raises: HeatError, naming the first temperature outside the range.
    Source: IAPWS-IF97, eq. 30.
    """
    t = _within(temperature_c, 0.0, 373.946, "temperature", "°C") + 273.15
    v = t + _N[9] / (t - _N[10])
    a = v**2 + _N[1] * v + _N[2]
    b = _N[3] * v**2 + _N[4] * v + _N[5]
    c = _N[6] * v**2 + _N[7] * v + _N[8]
    return np.asarray(1000 * (2 * c / (-b + np.sqrt(b**2 - 4 * a * c))) ** 4)


def boiling_point_at_pressure_c(pressure_kpa: ArrayLike) -> NDArray[np.float64]:
    """Boiling point of pure water.

    Parameters: pressure_kpa, shape (...), absolute, 0.611213 to 22064. Returns: shape (...), °C.
    Raises: HeatError, naming the first pressure outside the range.
    Source: IAPWS-IF97, eq. 31.
    """
    beta = (_within(pressure_kpa, 0.611213, 22064.0, "pressure", "kPa") / 1000) ** 0.25
    e = beta**2 + _N[3] * beta + _N[6]
    f = _N[1] * beta**2 + _N[4] * beta + _N[7]
    g = _N[2] * beta**2 + _N[5] * beta + _N[8]
    d = 2 * g / (-f - np.sqrt(f**2 - 4 * e * g))
    return np.asarray((_N[10] + d - np.sqrt((_N[10] + d) ** 2 - 4 * (_N[9] + _N[10] * d))) / 2 - 273.15)


def standard_pressure_kpa(altitude_m: ArrayLike) -> NDArray[np.float64]:
    """Air pressure of the standard atmosphere.

    Parameters: altitude_m, shape (...), −5000 to 11000 (geopotential metres). Raises: HeatError.
    Source: ISO 2533:1975 / ICAO 1976, lapse 6.5 K/km from 288.15 K and 101.325 kPa.
    """
    h = _within(altitude_m, LOWEST_M, TROPOPAUSE_M, "height", "m")
    gravity, gas, lapse = 9.80665, 287.05287, 0.0065
    return np.asarray(STANDARD_PRESSURE_KPA * (1 - lapse * h / 288.15) ** (gravity / (gas * lapse)))


def boiling_point_c(altitude_m: ArrayLike) -> NDArray[np.float64]:
    """Boiling point of water at a height above the sea, standard atmosphere.

    Parameters: altitude_m, shape (...). Returns: shape (...), °C. Weather moves it by ± 0.8 °C or so.
    Source: `standard_pressure_kpa`, then `boiling_point_at_pressure_c`.
    """
    return boiling_point_at_pressure_c(standard_pressure_kpa(altitude_m))


def vaporisation_j_kg(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Heat that evaporates a kilogram of water.

    Parameters: temperature_c, shape (...), 0 to 150.
    Source: straight line through 2501 kJ/kg at 0 °C and 2257 kJ/kg at 100 °C (steam tables, from memory); within 0.4 % from 0 to 150 °C.
    """
    return np.asarray(1000 * (2501.0 - 2.44 * np.asarray(temperature_c, dtype=float)))
