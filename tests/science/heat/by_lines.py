"""Another way to the same sums: scipy's method of lines, with properties, vapour and the front written out anew from what is published.

Nothing of the solver is used here. Choi & Okos 1986 as in ASHRAE Handbook—Refrigeration, Thermal Properties of Foods, tables 1 and 2; saturation pressure
by Wagner & Pruß 1993 (auxiliary equation, from memory); the rest as docs/method/heat.md says it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.sparse import lil_matrix

SIGMA = 5.670374419e-8
HOTTEST_C = 150.0  # the polynomials' end: above it properties stay
DENSITY = {"water": (997.18, 3.1439e-3, -3.7574e-3), "protein": (1329.9, -0.5184, 0), "fat": (925.59, -0.41757, 0), "ash": (2423.8, -0.28063, 0),
           "carbohydrate": (1599.1, -0.31046, 0), "fibre": (1311.5, -0.36589, 0), "ice": (916.89, -0.13071, 0)}
CONDUCTIVITY = {"water": (0.57109, 1.7625e-3, -6.7036e-6), "protein": (0.17881, 1.1958e-3, -2.7178e-6), "fat": (0.18071, -2.7604e-4, -1.7749e-7),
                "ash": (0.32962, 1.4011e-3, -2.9069e-6), "carbohydrate": (0.20141, 1.3874e-3, -4.3312e-6), "fibre": (0.18331, 1.2497e-3, -3.1683e-6),
                "ice": (2.2196, -6.2489e-3, 1.0154e-4)}
HEAT = {"water": (4128.9, -9.0864e-2, 5.4731e-3), "protein": (2008.2, 1.2089, -1.3129e-3), "fat": (1984.2, 1.4733, -4.8008e-3),
        "ash": (1092.6, 1.8896, -3.6817e-3), "carbohydrate": (1548.8, 1.9625, -5.9399e-3), "fibre": (1845.9, 1.8306, -4.6509e-3)}


FUSION_J_KG = 333.6e3
FIRST_CRUST_M = 1e-5  # a front needs somewhere to begin; vapour isn't held back by it


class Food:
    """Properties by composition; with ice, where a freezing point is given (Miles 1974, ice = free water × (1 − t_f/t))."""

    def __init__(self, parts: dict[str, float], freezing_c: float | None = None):
        self.parts, self.freezing_c = parts, freezing_c
        self.free = parts["water"] - 0.4 * parts.get("protein", 0.0)
        self.density = 1 / sum(x / np.polyval(DENSITY[c][::-1], 20.0) for c, x in parts.items())
        self.water = parts["water"] * self.density
        each = np.sum([x * np.array(HEAT[c]) for c, x in parts.items()], axis=0)
        self._heat = self.density * each
        self.share = parts["water"] * np.polyval(HEAT["water"][::-1], 20.0) / np.polyval(each[::-1], 20.0)

    def capacity(self, t):
        """J/(m³·K), with what melting takes."""
        heat = np.polyval(self._heat[::-1], np.minimum(t, HOTTEST_C))
        if self.freezing_c is None:
            return heat
        ice, water = self.ice(t), self.parts["water"]
        dry = sum(x * np.polyval(HEAT[c][::-1], t) for c, x in self.parts.items() if c != "water")
        cold = dry + (water - ice) * HEAT["water"][0] + ice * (2062.3 + 6.0769 * t) - FUSION_J_KG * self.free * self.freezing_c / t**2
        return np.where(t < self.freezing_c, self.density * cold, heat)

    def ice(self, t):
        """Mass of ice in one of food."""
        return self.free * (1 - self.freezing_c / np.minimum(t, self.freezing_c))

    def content(self, t):
        """J/m³, from 0 °C."""
        a, b, c = self._heat
        low = np.minimum(t, HOTTEST_C)
        return low * (a + low * (b / 2 + low * c / 3)) + self.capacity(HOTTEST_C) * (t - low)

    def conductivity(self, t):
        """W/(m·K)."""
        t = np.minimum(t, HOTTEST_C)
        parts = dict(self.parts)
        if self.freezing_c is not None:
            parts["ice"] = self.ice(t)
            parts["water"] = parts["water"] - parts["ice"]
        volume = {c: x / np.polyval(DENSITY[c][::-1], t) for c, x in parts.items()}
        return sum(v * np.polyval(CONDUCTIVITY[c][::-1], t) for c, v in volume.items()) / sum(volume.values())


def saturation_kpa(t):
    """Wagner & Pruß 1993."""
    tau = 1 - (t + 273.15) / 647.096
    powers = ((-7.85951783, 1), (1.84408259, 1.5), (-11.7866497, 3), (22.6807411, 3.5), (-15.9618719, 4), (1.80122502, 7.5))
    return 22064.0 * np.exp(647.096 / (t + 273.15) * sum(a * tau**p for a, p in powers))


@dataclass(frozen=True)
class Air:
    """What is around."""

    ambient_c: float
    transfer: float
    walls_c: float
    emissivity: float
    vapour_kpa: float = 0.0
    pressure_kpa: float = 101.325

    def inward(self, s):
        """W/m² into a surface at s."""
        return self.transfer * (self.ambient_c - s) + self.emissivity * SIGMA * ((self.walls_c + 273.15) ** 4 - (s + 273.15) ** 4)


def surface(air, cell_c, half):
    """Temperature of a surface over a cell whose middle is 1/half away."""
    s = np.array(cell_c, dtype=float)
    for _ in range(50):
        left = air.inward(s) - half * (s - cell_c)
        step = left / (half + air.transfer + 4 * air.emissivity * SIGMA * (s + 273.15) ** 3)
        s = s + step
        if np.abs(step).max() < 1e-10:
            break
    return s


def warmed(food, air, half_m, power, start_c, times_s, cells):
    """Middle of a slab (power 0), cylinder (1) or sphere (2) without evaporation, from heat content on an even grid."""
    face = np.linspace(0, half_m, cells + 1)
    dx, area = half_m / cells, face**power
    volume = (face[1:] ** (power + 1) - face[:-1] ** (power + 1)) / (power + 1)

    def slope(_, t):
        k = food.conductivity(t)
        q = np.zeros(cells + 1)
        q[1:-1] = np.diff(t) / (dx / 2 / k[:-1] + dx / 2 / k[1:])
        q[-1] = air.inward(surface(air, t[-1], 2 * k[-1] / dx))
        return np.diff(q * area) / volume / food.capacity(t)

    got = solve_ivp(slope, (0, times_s[-1]), np.full(cells, float(start_c)), "LSODA", rtol=1e-6, atol=1e-6, t_eval=times_s, lband=1, uband=1)
    return 9 / 8 * got.y[0] - got.y[1] / 8  # a parabola, level in the middle, through the two innermost of an even grid


@dataclass(frozen=True, eq=False)
class Front:
    """A slab that dries: middle (°C), crust (m), and what the piece lost of its water, as kg/m²."""

    core_c: np.ndarray
    surface_c: np.ndarray
    crust_m: np.ndarray
    front_c: np.ndarray


def dried(food, air, half_m, start_c, times_s, cells, crust_cells, crust_k, vapour_m2_s, activity, transfer_to_mass):
    """A slab whose wet part ends at a sharp front that goes inwards: both parts on grids that go with it (Landau 1950).

    Parameters: crust_k, W/(m·K); vapour_m2_s through the crust; activity of the water; transfer_to_mass, heat-transfer coefficient over that of mass.
    """
    mass = air.transfer / transfer_to_mass
    wet_at, crust_at = np.linspace(0, 1, cells + 1), np.linspace(0, 1, crust_cells + 1)

    def leaving(t, s):
        k = 1000 * air.pressure_kpa / (461.5 * 373.15) / (1 / mass + (s - FIRST_CRUST_M) / vapour_m2_s)
        return np.maximum(0.0, k * np.log((air.pressure_kpa - air.vapour_kpa) / np.maximum(air.pressure_kpa - activity * saturation_kpa(t), 1e-3)))

    def latent(t):
        return 1000 * (2501 - 2.44 * t)

    def front(wet, crust, s):
        inner, outer = food.conductivity(wet) * 2 * cells / (half_m - s), crust_k * 2 * crust_cells / s
        t = brentq(lambda t: outer * (crust - t) - inner * (t - wet) - latent(t) * leaving(t, s), -20.0, 105.0, xtol=1e-11)
        return t, inner * (t - wet), outer * (crust - t)

    def slope(_, y):
        wet, crust, s = y[:cells], y[cells:-1], y[-1]
        dw, dc = (half_m - s) / cells, s / crust_cells
        t, to_wet, from_crust = front(wet[-1], crust[0], s)
        pace = leaving(t, s) / food.water
        k = food.conductivity(wet)
        q = np.concatenate([[0.0], np.diff(wet) / (dw / 2 / k[:-1] + dw / 2 / k[1:]), [to_wet]])
        # faces go inwards in proportion; what they pass over goes from one cell to the next
        passed = food.content(np.concatenate([[0.0], (wet[1:] + wet[:-1]) / 2, [t]])) * pace * wet_at
        d_wet = (np.diff(q) - np.diff(passed) + food.content(wet) * pace / cells) / dw / food.capacity(wet)
        dry = 1 - food.share
        qc = np.concatenate([[from_crust], crust_k * np.diff(crust) / dc, [air.inward(surface(air, crust[-1], 2 * crust_k / dc))]])
        over = dry * food.content(np.concatenate([[t], (crust[1:] + crust[:-1]) / 2, [0.0]])) * pace * (1 - crust_at)
        d_crust = (np.diff(qc) - np.diff(over) - dry * food.content(crust) * pace / crust_cells) / dc / (dry * food.capacity(crust))
        return np.concatenate([d_wet, d_crust, [pace]])

    n = cells + crust_cells + 1
    pattern = lil_matrix((n, n))
    for shift in (-1, 0, 1):
        pattern.setdiag(1, shift)
    pattern[:, cells - 1] = pattern[:, cells] = pattern[:, -1] = 1
    start = np.full(n, float(start_c))
    start[-1] = FIRST_CRUST_M
    got = solve_ivp(slope, (0, times_s[-1]), start, "BDF", rtol=1e-6, atol=1e-6 * np.where(np.arange(n) == n - 1, 1e-3, 1.0), t_eval=times_s,
                    jac_sparsity=pattern)
    wet, crust, s = got.y[:cells], got.y[cells:-1], got.y[-1]
    skin = np.array([float(surface(air, c, 2 * crust_k * crust_cells / d)) for c, d in zip(crust[-1], s, strict=True)])
    there = np.array([front(a, b, d)[0] for a, b, d in zip(wet[-1], crust[0], s, strict=True)])
    return Front(9 / 8 * wet[0] - wet[1] / 8, skin, s - FIRST_CRUST_M, there)
