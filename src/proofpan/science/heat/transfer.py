"""How heat crosses a surface: convection correlations and radiation."""

from __future__ import annotations

from collections.abc import Callable

from .errors import HeatError

STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m²·K⁴), CODATA 2018


def _vertical_plate(ra: float, pr: float) -> float:
    return float((0.825 + 0.387 * ra ** (1 / 6) / (1 + (0.492 / pr) ** (9 / 16)) ** (8 / 27)) ** 2)


def _horizontal_cylinder(ra: float, pr: float) -> float:
    return float((0.60 + 0.387 * ra ** (1 / 6) / (1 + (0.559 / pr) ** (9 / 16)) ** (8 / 27)) ** 2)


def _sphere_natural(ra: float, pr: float) -> float:
    return float(2 + 0.589 * ra**0.25 / (1 + (0.469 / pr) ** (9 / 16)) ** (4 / 9))


def _cylinder_crossflow(re: float, pr: float) -> float:
    laminar = 0.62 * re**0.5 * pr ** (1 / 3) / (1 + (0.4 / pr) ** (2 / 3)) ** 0.25
    return float(0.3 + laminar * (1 + (re / 282000) ** (5 / 8)) ** (4 / 5))


def _ranz_marshall(re: float, pr: float) -> float:
    return float(2 + 0.6 * re**0.5 * pr ** (1 / 3))


def _whitaker(re: float, pr: float) -> float:
    return float(2 + (0.4 * re**0.5 + 0.06 * re ** (2 / 3)) * pr**0.4)


_CORRELATIONS: dict[tuple[str, str], tuple[str, Callable[[float, float], float]]] = {
    ("vertical plate", "natural"): ("rayleigh", _vertical_plate),
    ("horizontal cylinder", "natural"): ("rayleigh", _horizontal_cylinder),
    ("sphere", "natural"): ("rayleigh", _sphere_natural),
    ("cylinder", "crossflow"): ("reynolds", _cylinder_crossflow),
    ("sphere", "ranz"): ("reynolds", _ranz_marshall),
    ("sphere", "whitaker"): ("reynolds", _whitaker),
}
_NAMES = ("vertical plate, natural (Churchill–Chu)", "horizontal cylinder, natural (Churchill–Chu)", "sphere, natural (Churchill)",
          "cylinder in crossflow (Churchill–Bernstein)", "sphere, forced (Ranz–Marshall)", "sphere, forced (Whitaker, equal viscosities)")


def nusselt(correlation: str, prandtl: float, rayleigh: float | None = None, reynolds: float | None = None) -> float:
    """Mean Nusselt number of a surface.

    Parameters: correlation ("vertical plate, natural (Churchill–Chu)", …); prandtl; rayleigh for natural, reynolds for forced.
    Raises: HeatError, for an unknown correlation or a missing or negative number.
    Source: Incropera et al., eqs. 9.26, 9.34, 9.35, 7.54, 7.57 and 7.56 (viscosities at wall and stream alike).
    """
    text = correlation.lower()
    for words, (needs, f) in _CORRELATIONS.items():
        if all(word in text for word in words):
            number = rayleigh if needs == "rayleigh" else reynolds
            if number is None or not number >= 0 or not prandtl > 0:
                raise HeatError(f'"{correlation}" needs a {needs.capitalize()} number of zero or more and a positive Prandtl number.')
            return f(float(number), float(prandtl))
    raise HeatError(f'"{correlation}" is not a correlation known here; use one of {"; ".join(_NAMES)}.')


def radiation_coefficient_w_m2k(surface_c: float, walls_c: float, emissivity: float) -> float:
    """Heat-transfer coefficient of radiation between a small body and the walls around it.

    Raises: HeatError, for an emissivity outside 0 to 1. Source: h = ε·σ·(T_s² + T_w²)(T_s + T_w), kelvin; Incropera et al. eq. 1.9.
    """
    if not 0 <= emissivity <= 1:
        raise HeatError(f"Emissivity runs from 0 to 1; {emissivity:g} came.")
    s, w = surface_c + 273.15, walls_c + 273.15
    return float(emissivity * STEFAN_BOLTZMANN * (s * s + w * w) * (s + w))
