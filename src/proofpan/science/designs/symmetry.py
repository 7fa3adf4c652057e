"""Block designs with a supposed symmetry: orbits of blocks that together cover every pair equally often."""

from collections.abc import Sequence
from itertools import combinations

Permutation = tuple[int, ...]

EFFORT = 1.0
"""Deterministic seconds the solver may take on one symmetry."""

MOST_ORBITS = 2_500
"""More orbits than this are too many choices for the solver."""


def likely_symmetries(samples: int) -> list[list[Permutation]]:
    """Generators of groups that classical designs tend to have, the largest first, no symmetry at all last."""
    shift = _cycle(samples, 0, samples)
    fixed = _cycle(samples, 0, samples - 1)
    found: list[list[Permutation]] = []
    for factor in range(2, samples):
        if all(samples % p or factor % p for p in range(2, samples + 1)):
            found.append([shift, tuple(factor * x % samples for x in range(samples))])
    for factor in range(2, samples - 1):
        if all((samples - 1) % p or factor % p for p in range(2, samples)):
            turn = tuple(factor * x % (samples - 1) for x in range(samples - 1))
            found.append([fixed, (*turn, samples - 1)])
    if samples in (4, 8, 16):  # adding without carrying
        found.append([tuple(x ^ bit for x in range(samples)) for bit in (1, 2, 4, 8) if bit < samples])
    found += [[shift], [fixed]]
    for parts in range(2, 6):
        if samples % parts == 0 and samples // parts > 1:
            found.append([_parallel(samples, parts, 0)])
            if samples // parts > 2 or parts > 2:
                swap = tuple((x + samples // parts) % samples for x in range(samples))
                found.append([_parallel(samples, parts, 0), swap])
        if (samples - 1) % parts == 0 and (samples - 1) // parts > 1:
            found.append([_parallel(samples, parts, 1)])
    found.append([])
    return found


def orbit_cover(samples: int, size: int, together: int, symmetry: Sequence[Permutation]) -> list[list[int]] | None:
    """Blocks that a group maps onto each other and that hold each pair `together` times, or None when none is found.

    Source: Kramer & Mesner (1976), Discrete Math. 15, 263-296; the exact cover by a constraint solver.
    """
    orbits = _orbits(samples, size, symmetry)
    if len(orbits) > MOST_ORBITS:
        return None
    pairs = _orbits(samples, 2, symmetry)
    rows: list[list[tuple[int, int]]] = [[] for _ in pairs]
    which = {pair: row for row, orbit in enumerate(pairs) for pair in orbit}
    for column, orbit in enumerate(orbits):
        counts: dict[int, int] = {}
        for block in orbit:
            for pair in combinations(block, 2):
                counts[which[pair]] = counts.get(which[pair], 0) + 1
        for row, count in counts.items():
            rows[row].append((column, count // len(pairs[row])))
    chosen = _solve(len(orbits), rows, together)
    if chosen is None:
        return None
    return [list(block) for column, times in enumerate(chosen) for block in orbits[column] * times]


def _solve(columns: int, rows: Sequence[Sequence[tuple[int, int]]], together: int) -> list[int] | None:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    used = [model.new_int_var(0, together, f"orbit {column}") for column in range(columns)]
    for row in rows:
        model.add(sum(used[column] * count for column, count in row) == together)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1  # several workers give different answers from run to run
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = EFFORT
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return [solver.value(variable) for variable in used]


def _orbits(samples: int, size: int, symmetry: Sequence[Permutation]) -> list[list[tuple[int, ...]]]:
    """Sets of `size` samples sorted into those that the symmetry maps onto each other."""
    seen: set[tuple[int, ...]] = set()
    orbits = []
    for block in combinations(range(samples), size):
        if block in seen:
            continue
        orbit, waiting = {block}, [block]
        while waiting:
            one = waiting.pop()
            for permutation in symmetry:
                image = tuple(sorted(permutation[x] for x in one))
                if image not in orbit:
                    orbit.add(image)
                    waiting.append(image)
        seen |= orbit
        orbits.append(sorted(orbit))
    return orbits


def _cycle(samples: int, start: int, length: int) -> Permutation:
    """One cycle, the rest fixed."""
    moved = list(range(samples))
    for place in range(length):
        moved[start + place] = start + (place + 1) % length
    return tuple(moved)


def _parallel(samples: int, parts: int, fixed: int) -> Permutation:
    """Equal cycles side by side, the last `fixed` samples left in place."""
    length = (samples - fixed) // parts
    moved = list(range(samples))
    for part in range(parts):
        for place in range(length):
            moved[part * length + place] = part * length + (place + 1) % length
    return tuple(moved)
