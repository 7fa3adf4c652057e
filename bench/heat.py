"""How quick the heat room is beside a general finite-element library at equal error, and what a cooked piece costs.

    OMP_NUM_THREADS=1 nice .venv/bin/python bench/heat.py

The case is linear, so that the exact series (Carslaw & Jaeger 1959, §3.11, 7.7, 9.4) tells both errors: a piece put into a bath, its core every minute.
The peer, scikit-fem, is given its best plain use: quadratic elements on a graded mesh in the radius alone, matrices assembled once, one factorisation for all
steps, Crank–Nicolson after four quarter steps of implicit Euler. Each side takes the coarsest of its own settings whose worst error is at most that asked for;
times are processor seconds, best of five.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from time import perf_counter, process_time

import numpy as np

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "src"))

from proofpan.science import heat  # noqa: E402

K, RHO, CP, H, START, AROUND, MINUTES = 0.5, 1050.0, 3600.0, 300.0, 20.0, 100.0, 20.0
POWER = {"slab": 0, "cylinder": 1, "sphere": 2}
MINUTE_S = 60.0 * np.arange(1, int(MINUTES) + 1)


def exact(shape: str, half: float) -> np.ndarray:
    """The core every minute."""
    return AROUND + (START - AROUND) * heat.theta(shape, K / RHO / CP * MINUTE_S / half**2, H * half / K)


def ours(shape: str, half: float, cells: int, tolerance: float) -> np.ndarray:
    """The core every minute by the house's solver."""
    material = heat.constant_material(K, RHO, CP)
    got = heat.cook(heat.piece_of(shape, 200 * half), material, [heat.Stage("bath", MINUTES, AROUND, H)], START, cells=cells, tolerance_c=tolerance)
    return got.core_at(MINUTE_S)


def peer(shape: str, half: float, elements: int, per_minute: int) -> np.ndarray:
    """The core every minute by scikit-fem in one dimension, weighted by r^m."""
    from scipy.sparse.linalg import splu
    from skfem import Basis, BilinearForm, ElementLineP2, FacetBasis, LinearForm, MeshLine

    m = POWER[shape]
    mesh = MeshLine(half * (1 - (1 - np.linspace(0, 1, elements + 1)) ** 1.3))
    basis = Basis(mesh, ElementLineP2())
    edge = FacetBasis(mesh, ElementLineP2(), facets=mesh.facets_satisfying(lambda x: np.isclose(x[0], half)))
    mass = BilinearForm(lambda u, v, w: RHO * CP * w.x[0] ** m * u * v).assemble(basis)
    stiff = BilinearForm(lambda u, v, w: K * w.x[0] ** m * u.grad[0] * v.grad[0]).assemble(basis)
    stiff = stiff + BilinearForm(lambda u, v, w: H * w.x[0] ** m * u * v).assemble(edge)
    load = LinearForm(lambda v, w: H * AROUND * w.x[0] ** m * v).assemble(edge)
    dt = 60.0 / per_minute
    t = np.full(basis.N, START)
    first = splu((mass + dt / 4 * stiff).tocsc())
    for _ in range(4):
        t = first.solve(mass @ t + dt / 4 * load)
    solver, right = splu((mass + dt / 2 * stiff).tocsc()), (mass - dt / 2 * stiff).tocsr()
    core = int(basis.nodal_dofs[0, np.argmin(mesh.p[0])])
    out = []
    for step in range(1, int(MINUTES) * per_minute + 1):
        if step > 1:
            t = solver.solve(right @ t + dt * load)
        if step % per_minute == 0:
            out.append(t[core])
    return np.array(out)


def block(side: float, cells: int, tolerance: float) -> np.ndarray:
    """A cube's core every minute by the house's solver."""
    material = heat.constant_material(K, RHO, CP)
    got = heat.cook(heat.piece_of("cube", 100 * side), material, [heat.Stage("bath", MINUTES, AROUND, H)], START, cells=cells, tolerance_c=tolerance)
    return got.core_at(MINUTE_S)


def block_peer(side: float, elements: int, per_minute: int) -> np.ndarray:
    """The same by scikit-fem: an eighth of the cube, triquadratic hexahedra, Crank–Nicolson."""
    from scipy.sparse.linalg import splu
    from skfem import Basis, BilinearForm, ElementHex2, FacetBasis, LinearForm, MeshHex

    half = side / 2
    line = half * (1 - (1 - np.linspace(0, 1, elements + 1)) ** 1.3)
    mesh = MeshHex.init_tensor(line, line, line)
    basis = Basis(mesh, ElementHex2())
    edge = FacetBasis(mesh, ElementHex2(), facets=mesh.facets_satisfying(lambda x: np.isclose(x.max(axis=0), half), boundaries_only=True))
    mass = BilinearForm(lambda u, v, w: RHO * CP * u * v).assemble(basis)
    stiff = BilinearForm(lambda u, v, w: K * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1] + u.grad[2] * v.grad[2])).assemble(basis)
    stiff = stiff + BilinearForm(lambda u, v, w: H * u * v).assemble(edge)
    load = LinearForm(lambda v, w: H * AROUND * v).assemble(edge)
    dt = 60.0 / per_minute
    t = np.full(basis.N, START)
    first = splu((mass + dt / 4 * stiff).tocsc())
    for _ in range(4):
        t = first.solve(mass @ t + dt / 4 * load)
    solver, right = splu((mass + dt / 2 * stiff).tocsc()), (mass - dt / 2 * stiff).tocsr()
    core = int(basis.nodal_dofs[0, np.argmin((mesh.p**2).sum(axis=0))])
    out = []
    for step in range(1, int(MINUTES) * per_minute + 1):
        if step > 1:
            t = solver.solve(right @ t + dt * load)
        if step % per_minute == 0:
            out.append(t[core])
    return np.array(out)


def timed(work: Callable[[], np.ndarray], best_of: int) -> tuple[np.ndarray, float]:
    """(outcome, least processor seconds)."""
    least = np.inf
    for _ in range(best_of):
        begun = process_time()
        out = work()
        least = min(least, process_time() - begun)
    return out, least


def coarsest(settings: list[tuple[int, float]], work: Callable[[int, float], np.ndarray], want: np.ndarray, error: float) -> tuple[str, float, float]:
    """(settings, worst error, seconds) of the quickest settings whose error is at most that asked for."""
    fits = []
    for a, b in settings:
        got, once = timed(lambda a=a, b=b: work(a, b), 1)
        worst = float(np.abs(got - want).max())
        if worst <= error:
            fits.append((once, a, b, worst))
    if not fits:
        return "none fits", np.nan, np.nan
    _, a, b, worst = min(fits)
    return f"{a}, {b:g}", worst, timed(lambda: work(a, b), 5)[1]


def row(name: str, mine: tuple[str, float, float], theirs: tuple[str, float, float]) -> None:
    """One line of the table."""
    print(f"| {name} | {mine[0]} | {mine[1]:.3f} | {mine[2]:.4f} | {theirs[0]} | {theirs[1]:.3f} | {theirs[2]:.4f} | {theirs[2] / mine[2]:.1f} |")


def compare() -> None:
    """Equal error, one run."""
    print("| piece, error asked °C | ours (cells, tolerance) | error | s | scikit-fem (elements, steps a minute) | error | s | ratio |")
    for shape in ("slab", "sphere"):
        for error in (0.1, 0.02):
            want = exact(shape, 0.02)
            mine = coarsest([(c, t) for c in (12, 16, 24, 32, 64) for t in (1.0, 0.3, 0.1, 0.03)], partial(ours, shape, 0.02), want, error)
            theirs = coarsest([(e, n) for e in (3, 4, 6, 8, 12) for n in (1, 2, 4, 8, 16)], partial(peer, shape, 0.02), want, error)
            row(f"{shape} 4 cm, {error}", mine, theirs)
    want = heat.brick_temperature_c((0.02,) * 3, (0, 0, 0), K, RHO, CP, H, START, AROUND, MINUTE_S)
    for error in (0.1, 0.05):
        mine = coarsest([(c, t) for c in (10, 12, 14, 16, 20, 28) for t in (0.3, 0.1, 0.03)], lambda c, t: block(0.04, c, t), want, error)
        theirs = coarsest([(e, n) for e in (2, 3, 4, 6) for n in (1, 2, 4)], lambda e, n: block_peer(0.04, e, int(n)), want, error)
        row(f"cube 4 cm, {error}", mine, theirs)


def many() -> None:
    """A map's worth: 32 sizes side by side, against 32 runs of the peer."""
    sizes = 0.02 * (1 + 0.25 * np.linspace(-1, 1, 32))
    want = np.array([exact("slab", s) for s in sizes]).T

    def side_by_side(cells: int, tolerance: float) -> np.ndarray:
        got = heat.cook([heat.piece_of("slab", 200 * s) for s in sizes], heat.constant_material(K, RHO, CP), [heat.Stage("bath", MINUTES, AROUND, H)], START,
                        cells=cells, tolerance_c=tolerance)
        return got.core_at(MINUTE_S)

    mine = coarsest([(c, t) for c in (8, 12, 16, 24) for t in (0.3, 0.1, 0.03, 0.01)], side_by_side, want, 0.1)
    theirs = coarsest([(e, n) for e in (3, 4, 6) for n in (1, 2, 4, 8)], lambda e, n: np.array([peer("slab", s, e, int(n)) for s in sizes]).T, want, 0.1)
    row("32 slabs side by side, 0.1", mine, theirs)


def cooked() -> None:
    """What a piece in the oven costs, with evaporation and crust."""
    meat = heat.food_material({"water": 0.72, "protein": 0.21, "fat": 0.06, "ash": 0.01})
    for shape, sizes in (("slab", (3,)), ("sphere", (5,)), ("finite cylinder", (6, 3)), ("cube", (3,))):
        begun, clock = process_time(), perf_counter()
        got = heat.cook(heat.piece_of(shape, *sizes), meat, [heat.stage("fan oven", 30, 200)], 8.0)
        print(f"{shape}, fan oven 200 °C, 30 min: {process_time() - begun:.2f} s of processor ({perf_counter() - clock:.2f} s), {got.steps} steps, "
              f"balance {got.balance_error:.0e}")


if __name__ == "__main__":
    compare()
    many()
    cooked()
