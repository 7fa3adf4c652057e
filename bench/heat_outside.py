"""Heat's sums held against another solver: slabs that dry in five ovens, and how often a fit's 95 % intervals hold the oven that made the log.

    OMP_NUM_THREADS=1 nice .venv/bin/python bench/heat_outside.py

The other solver is scipy's method of lines (tests/science/heat/by_lines.py): a sharp front on grids that go with it where something dries, else even cells.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time

import numpy as np

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT)]

from tests.science.heat import by_lines  # noqa: E402

from proofpan.science import heat  # noqa: E402
from proofpan.science.heat import material, surface  # noqa: E402
from proofpan.science.heat.forgiveness import DRYING_CELLS, TOLERANCE_C  # noqa: E402

MEAT = {"water": 0.72, "protein": 0.21, "fat": 0.06, "ash": 0.01}
ROOT_PARTS = {"water": 0.7925, "protein": 0.0205, "fat": 0.0009, "carbohydrate": 0.1537, "fibre": 0.0221, "ash": 0.0103}
OVENS = [("meat", MEAT, "fan oven", 200.0, 3.0, 40.0), ("meat", MEAT, "oven", 150.0, 6.0, 120.0), ("root", ROOT_PARTS, "fan oven", 220.0, 4.0, 60.0),
         ("root", ROOT_PARTS, "oven", 180.0, 2.0, 30.0), ("meat", MEAT, "oven", 230.0, 8.0, 150.0)]


def dried(parts: dict[str, float], air: by_lines.Air, thickness_cm: float, times_s: np.ndarray) -> by_lines.Front:
    """The other solver's slab."""
    return by_lines.dried(by_lines.Food(parts), air, thickness_cm / 200, 8.0, times_s, 120, 60, material.CRUST_CONDUCTIVITY_W_MK, surface.CRUST_VAPOUR_M2_S,
                          0.98, surface.AIR_J_M3K * surface.LEWIS ** (2 / 3))


def ovens() -> None:
    """Worst difference over sixteen moments, by default, as the page draws it, and as readers' kitchens are summed."""
    print("| slab | core °C: default | page | kitchens | crust mm | of | surface °C | s of processor: default | page | kitchens |")
    print("|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|")
    for name, parts, kind, degrees, cm, minutes in OVENS:
        stage, times = heat.stage(kind, minutes, degrees), np.linspace(minutes / 16, minutes, 16) * 60
        air = by_lines.Air(degrees, float(np.asarray(stage.heat_transfer_w_m2k)), degrees, 0.9, float(np.asarray(stage.vapour_kpa)))
        front = dried(parts, air, cm, times)
        off, took = [], []
        for more in ({}, {"tolerance_c": 0.01}, {"tolerance_c": TOLERANCE_C, "cells": DRYING_CELLS[1]}):
            begun = process_time()
            got = heat.cook(heat.piece_of("slab", cm), heat.food_material(parts), [stage], 8.0, **more)
            took.append(process_time() - begun)
            off.append((np.abs(got.core_at(times) - front.core_c).max(), np.abs(np.interp(times, got.times_s, got.crust_m) - front.crust_m).max() * 1000,
                        np.abs(got.surface_at(times) - front.surface_c).max()))
        print(f"| {name} {cm:g} cm, {kind} {degrees:g} °C, {minutes:g} min | " + " | ".join(f"{core:.2f}" for core, _, _ in off)
              + f" | {off[0][1]:.2f} | {front.crust_m[-1] * 1000:.2f} | {off[0][2]:.1f} | " + " | ".join(f"{t:.1f}" for t in took) + " |", flush=True)


def coverage(name: str, log: np.ndarray, times: np.ndarray, fitted: Callable[[np.ndarray], heat.OvenFit], truth: dict[str, float], logs: int,
             follows: float = 0.0) -> None:
    """A line: how many of so many noisy logs' intervals hold the truth; noise of 0.1 °C, each reading following the last by `follows`."""
    held, off, wide, share = ({k: 0.0 for k in truth} for _ in range(4))
    for seed in range(logs):
        noise = np.random.default_rng(seed).normal(0, 0.1, times.size)
        for i in range(1, noise.size):
            noise[i] = follows * noise[i - 1] + np.sqrt(1 - follows**2) * noise[i]
        got = fitted(log + noise)
        for e in got.estimates:
            held[e.name] += e.low <= truth[e.name] <= e.high
            off[e.name] += (e.value - truth[e.name]) / logs
            wide[e.name] += (e.high - e.low) / 2 / logs
            share[e.name] = share[e.name] + got.solver_share / logs
    cells = [f"{100 * held[k] / logs:.1f} % | {off[k]:+.3f} ± {wide[k]:.3f}" for k in truth]
    print(f"| {name} | {logs} | " + " | ".join(cells) + f" | {share[next(iter(truth))]:.2f} |", flush=True)


def fits() -> None:
    """Intervals by the hundred where a bath or dry oven is all, by the dozen where something dries."""
    print("| log | logs | heat transfer held | mean off ± half width | offset held | mean off ± half width | size held | mean off ± half width "
          "| solver's own part |")
    print("|---|--:|--:|--:|--:|--:|--:|--:|--:|")
    plain, times = heat.constant_material(0.48, 1060.0, 3500.0), np.arange(0.0, 2700.0, 20.0)
    true, dry = by_lines.Air(172.0, 32.0, 172.0, 0.0), heat.Stage("oven", 45, 180.0, 25.0)

    class Plain(by_lines.Food):
        def __init__(self) -> None:
            pass

        def capacity(self, t: np.ndarray) -> np.ndarray:
            return np.full_like(t, 1060.0 * 3500.0)

        def conductivity(self, t: np.ndarray) -> np.ndarray:
            return np.full_like(t, 0.48)

    log = by_lines.warmed(Plain(), true, 0.021, 0, 6.0, np.concatenate([[1e-6], times[1:]]), 150)
    truth = {"heat transfer": 32.0, "oven offset": -8.0, "size": 4.2}
    slab = heat.piece_of("slab", 4)
    for name, start, follows, logs in (("dry slab", 6.0, 0.0, 400), ("dry slab, start as first read", None, 0.0, 400),
                                       ("dry slab, each reading half the last's error", 6.0, 0.5, 400)):
        coverage(name, log, times, lambda y, start=start: heat.fit_log(times, y, slab, plain, dry, start), truth, logs, follows)
    times, true = np.arange(0.0, 2401.0, 20.0), by_lines.Air(192.0, 32.0, 192.0, 0.9, 15.0)
    log = dried(MEAT, true, 3.15, np.concatenate([[1e-3], times[1:]])).core_c
    meat, fan = heat.food_material(MEAT), heat.stage("fan oven", 1, 200.0)
    coverage("meat that dries, fan oven", log, times, lambda y: heat.fit_log(times, y, heat.piece_of("slab", 3), meat, fan, 8.0),
             {"heat transfer": 32.0, "oven offset": -8.0, "size": 3.15}, 40)


if __name__ == "__main__":
    ovens()
    fits()
