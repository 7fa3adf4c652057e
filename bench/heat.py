"""How quick the heat room is beside a general finite-element library at equal error, and what a cooked piece costs.

    OMP_NUM_THREADS=1 nice .venv/bin/python bench/heat.py

The case is linear, so that the exact series (Carslaw & Jaeger 1959, §3.11, 7.7, 9.4) tells both errors: a piece put into a bath, its core every minute.
The peer, scikit-fem, is given its best plain use: quadratic elements on a graded mesh in the radius alone, matrices assembled once, one factorisation for all
steps, Crank–Nicolson after four quarter steps of implicit Euler. A second peer has the same matrices and our own way through time: their modes, by scipy's
`eigh`. Each side takes the quickest of its own settings whose worst error is at most that asked for; everything is made anew each time (pieces, cells,
matrices); times are processor seconds, best of ten rounds of ten in a row, in which the sides take turns, so that a busy machine slows both.
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


def peer_modes(shape: str, half: float, elements: int, _: int) -> np.ndarray:
    """The core every minute by scikit-fem's matrices and their modes, exact in time."""
    from scipy.linalg import eigh
    from skfem import Basis, BilinearForm, ElementLineP2, FacetBasis, MeshLine

    m = POWER[shape]
    mesh = MeshLine(half * (1 - (1 - np.linspace(0, 1, elements + 1)) ** 1.3))
    basis = Basis(mesh, ElementLineP2())
    edge = FacetBasis(mesh, ElementLineP2(), facets=mesh.facets_satisfying(lambda x: np.isclose(x[0], half)))
    mass = BilinearForm(lambda u, v, w: RHO * CP * w.x[0] ** m * u * v).assemble(basis)
    stiff = BilinearForm(lambda u, v, w: K * w.x[0] ** m * u.grad[0] * v.grad[0]).assemble(basis)
    stiff = stiff + BilinearForm(lambda u, v, w: H * w.x[0] ** m * u * v).assemble(edge)
    rate, vectors = eigh(stiff.toarray(), mass.toarray())
    amplitude = vectors.T @ (mass @ np.full(basis.N, START - AROUND))
    core = int(basis.nodal_dofs[0, np.argmin(mesh.p[0])])
    return AROUND + np.exp(-np.outer(MINUTE_S, rate)) @ (vectors[core] * amplitude)


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


Work = Callable[[int, float], np.ndarray]


def timed(work: Callable[[], np.ndarray]) -> float:
    """Processor seconds."""
    begun = process_time()
    work()
    return process_time() - begun


def fitting(settings: list[tuple[int, float]], work: Work, want: np.ndarray, error: float) -> list[tuple[int, float, float]]:
    """(settings, worst error) whose error is at most that asked for."""
    fits = []
    for a, b in settings:
        worst = float(np.abs(work(a, b) - want).max())
        if worst <= error:
            fits.append((a, b, worst))
    return fits


def race(name: str, want: np.ndarray, error: float, sides: list[tuple[Work, list[tuple[int, float]]]], rounds: int = 10, in_a_row: int = 10) -> None:
    """One line of the table: each side's quickest settings that fit, timed in turns."""
    chosen = []
    for work, settings in sides:
        fits = fitting(settings, work, want, error)
        chosen.append(None if not fits else (work, *min(fits, key=lambda f: min(timed(partial(work, f[0], f[1])) for _ in range(5)))))
    least = [np.inf] * len(sides)
    for _ in range(rounds):
        for i, one in enumerate(chosen):
            if one is not None:
                least[i] = min(least[i], *(timed(partial(one[0], one[1], one[2])) for _ in range(in_a_row)))
    cells = [name]
    for one, seconds in zip(chosen, least, strict=True):
        cells.append("none of those tried | – | –" if one is None else f"{one[1]}, {one[2]:g} | {one[3]:.3f} | {1000 * seconds:.2f}")
    cells += ["– | – | –"] * (3 - len(sides))
    print("| " + " | ".join([*cells, *(f"{t / least[0]:.0f}" if np.isfinite(t) else "–" for t in [*least, np.inf][1:3])]) + " |", flush=True)


OURS = [(c, t) for c in (8, 10, 12, 13, 14, 16, 18, 20, 24, 28, 32) for t in (0.3, 0.03)]


def compare() -> None:
    """Equal error, one run."""
    print("| piece, error asked °C | ours (cells, tolerance) | error | ms | scikit-fem (elements, steps a minute) | error | ms | its modes (elements) "
          "| error | ms | times as quick | than its modes |")
    print("|---|---|--:|--:|---|--:|--:|---|--:|--:|--:|--:|")
    theirs = [(e, n) for e in (3, 4, 6, 8, 12, 16) for n in (1, 2, 4, 8, 16)]
    for shape in ("slab", "cylinder", "sphere"):
        want = exact(shape, 0.02)
        for error in (0.1, 0.02):
            modes = [(e, 0) for e in (3, 4, 6, 8, 12, 16)]
            race(f"{shape} 4 cm, {error}", want, error, [(partial(ours, shape, 0.02), OURS), (partial(peer, shape, 0.02), theirs),
                                                         (partial(peer_modes, shape, 0.02), modes)])
    want = heat.brick_temperature_c((0.02,) * 3, (0, 0, 0), K, RHO, CP, H, START, AROUND, MINUTE_S)
    for error in (0.1, 0.05):
        settings = [(e, n) for e in (3, 4, 6) for n in (1, 2, 4)]
        race(f"cube 4 cm, {error}", want, error, [(partial(block, 0.04), OURS), (lambda e, n: block_peer(0.04, e, int(n)), settings)], rounds=2, in_a_row=3)


def many() -> None:
    """A map's worth: 32 sizes side by side, against 32 runs of the peer."""
    sizes = 0.02 * (1 + 0.25 * np.linspace(-1, 1, 32))
    want = np.array([exact("slab", s) for s in sizes]).T

    def side_by_side(cells: int, tolerance: float) -> np.ndarray:
        got = heat.cook([heat.piece_of("slab", 200 * s) for s in sizes], heat.constant_material(K, RHO, CP), [heat.Stage("bath", MINUTES, AROUND, H)], START,
                        cells=cells, tolerance_c=tolerance)
        return got.core_at(MINUTE_S)

    race("32 slabs side by side, 0.1", want, 0.1, [
        (side_by_side, OURS), (lambda e, n: np.array([peer("slab", s, e, int(n)) for s in sizes]).T, [(e, n) for e in (3, 4, 6) for n in (1, 2, 4, 8)]),
        (lambda e, n: np.array([peer_modes("slab", s, e, 0) for s in sizes]).T, [(e, 0) for e in (3, 4, 6)])], rounds=5, in_a_row=3)


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
