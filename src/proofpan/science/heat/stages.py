"""Stages of cooking, each with what is around the piece and for how long."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from .components import rows
from .errors import HeatError
from .steam import boiling_point_c, saturation_pressure_kpa, standard_pressure_kpa
from .surface import Surroundings

ROOM_VAPOUR_KPA = 1.2  # 21 °C at half saturation; an oven holds the steam of what is in it (stages.csv)
TRAY_LOAD_WEAKENS = 0.15  # a full oven's air reaches each tray the less: 15 % of convection a further tray; common practice, no source

_WATERY = ("soak", "boil", "simmer", "steam")
_REACH = {  # °C; what a kitchen has, with room
    "oven": (30.0, 350.0), "fan oven": (30.0, 350.0), "grill": (100.0, 500.0), "sear": (80.0, 400.0), "hold": (30.0, 120.0),
    "drain": (-40.0, 60.0), "rest": (-40.0, 90.0), "cool": (-40.0, 60.0), "fridge": (-40.0, 15.0),
}


@dataclass(frozen=True, eq=False)
class Stage:
    """What is around a piece, and for how long. Values but the minutes may be one a piece, shape (p,).

    Attributes: kind; minutes; ambient_c; heat_transfer_w_m2k; walls_c; emissivity (0: no radiation); evaporates; pressure_kpa;
        vapour_kpa in the air; log_s and log_c, a measured course of ambient_c from the stage's start (walls follow it).
    """

    kind: str
    minutes: float
    ambient_c: ArrayLike
    heat_transfer_w_m2k: ArrayLike
    walls_c: ArrayLike | None = None
    emissivity: ArrayLike = 0.0
    evaporates: bool = False
    pressure_kpa: ArrayLike = 101.325
    vapour_kpa: ArrayLike = ROOM_VAPOUR_KPA
    log_s: tuple[float, ...] = ()
    log_c: tuple[float, ...] = ()


@dataclass(frozen=True)
class StageKind:
    """A row of stages.csv: usual values of a kind of stage, and how far its heat transfer ranges."""

    kind: str
    temperature: str
    heat_transfer_w_m2k: float
    low: float
    high: float
    emissivity: float
    evaporates: bool
    wall: str
    vapour_kpa: float
    source: str
    confidence: str


@lru_cache(maxsize=1)
def stage_kinds() -> dict[str, StageKind]:
    """Kinds of stage by name, with the range of each heat-transfer coefficient and where it comes from."""
    return {
        r["kind"]: StageKind(r["kind"], r["temperature_c"], float(r["heat_transfer_w_m2k"]), float(r["low"]), float(r["high"]),
                             float(r["emissivity"]), r["evaporates"] == "1", r["wall"],
                             float(r["vapour_kpa"] or ROOM_VAPOUR_KPA), r["source"], r["confidence"])
        for r in rows("stages.csv")
    }


def stage(
    kind: str, minutes: float, temperature_c: ArrayLike | None = None, *, altitude_m: ArrayLike = 0.0, trays: ArrayLike = 1,
    heat_transfer_w_m2k: ArrayLike | None = None, emissivity: float | None = None, evaporates: bool | None = None,
) -> Stage:
    """A stage with the usual values of its kind.

    Parameters: kind, one of `stage_kinds()`; minutes; temperature_c of water, air or pan (boiling: follows from the altitude);
        trays in the oven (weakens convection); heat_transfer_w_m2k where it is known, else the kind's.
    Raises: HeatError, naming the kinds. Source: stages.csv.
    """
    usual = stage_kinds().get(kind)
    if usual is None:
        raise HeatError(f'"{kind}" is not a stage known here: use one of {", ".join(stage_kinds())}.')
    pressure = standard_pressure_kpa(altitude_m)
    boiling = boiling_point_c(altitude_m)
    if "boiling" in usual.temperature:
        below = -float(usual.temperature.split()[0]) if " " in usual.temperature else 0.0
        hottest = boiling - below
        ambient = hottest if temperature_c is None else np.asarray(temperature_c, dtype=float) + 0 * boiling
    else:
        ambient = np.asarray(float(usual.temperature) if temperature_c is None else temperature_c, dtype=float)
    h = np.asarray(usual.heat_transfer_w_m2k if heat_transfer_w_m2k is None else heat_transfer_w_m2k, dtype=float)
    h = h * (1 - TRAY_LOAD_WEAKENS) ** (np.asarray(trays, dtype=float) - 1)
    if kind in _WATERY and temperature_c is not None and (np.asarray(temperature_c, dtype=float) > boiling + 0.5).any():
        there = float(np.min(boiling))
        raise HeatError(f"Water can't {kind} at {float(np.max(np.asarray(temperature_c))):g} °C: it boils at {there:.0f} °C here.")
    if kind in _WATERY and (ambient < 0).any():
        raise HeatError(f"{_a(kind)} is in liquid water, from 0 °C on; {float(np.min(ambient)):g} °C came.")
    low, high = _REACH.get(kind, (-60.0, 1000.0))
    if not ((ambient >= low) & (ambient <= high)).all():
        odd = float(np.max(ambient)) if (ambient > high).any() else float(np.min(ambient))
        raise HeatError(f"{_a(kind)} at {odd:g} °C is out of reach: it runs from {low:g} to {high:g} °C.")
    if not ((ambient > -60) & (ambient < 1000)).all() or not (h > 0).all():
        raise HeatError("A stage's temperature lies between −60 and 1000 °C, and its heat transfer above zero.")
    walls = {"": ambient, "oven": ambient}.get(usual.wall)
    if walls is None:
        follows = usual.wall == usual.temperature  # a cupboard's or fridge's walls go with it
        walls = ambient if follows else np.asarray(float(usual.wall))
    vapour = np.minimum(usual.vapour_kpa, saturation_pressure_kpa(np.clip(ambient, 0.0, 370.0)))
    wets = usual.evaporates if evaporates is None else evaporates
    return Stage(kind, minutes, ambient, h, walls, usual.emissivity if emissivity is None else emissivity, wets, pressure, vapour)


def _a(kind: str) -> str:
    return f"{'An' if kind[0] in 'aeiou' else 'A'} {kind}"


def surroundings(stage: Stage, seconds: float) -> Surroundings:
    """What is around the pieces some seconds into a stage."""
    ambient = np.asarray(stage.ambient_c, dtype=float)
    walls = ambient if stage.walls_c is None else np.asarray(stage.walls_c, dtype=float)
    if stage.log_s:
        ambient = np.asarray(np.interp(seconds, stage.log_s, stage.log_c))
        walls = ambient
    return Surroundings(
        ambient, np.asarray(stage.heat_transfer_w_m2k, dtype=float), walls, np.asarray(stage.emissivity, dtype=float), stage.evaporates,
        np.asarray(stage.pressure_kpa, dtype=float), np.asarray(stage.vapour_kpa, dtype=float),
    )
