"""Where the 24 patches of a chart lie in a scene."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .chart import chart_linear
from .flat import flat_regions
from .photograph import Scene

ROWS, COLUMNS = 4, 6
FEWEST = 16


def grid_step(points: NDArray[np.floating]) -> float:
    """Scene pixels from patch to patch."""
    grid = points.reshape(ROWS, COLUMNS, 2)
    along = np.linalg.norm(np.diff(grid, axis=1), axis=2).mean()
    return float(min(along, np.linalg.norm(np.diff(grid, axis=0), axis=2).mean()))


def _homography(source: NDArray[np.floating], target: NDArray[np.floating]) -> NDArray[np.floating]:
    """Projective map by the direct linear transform (Hartley & Zisserman, Multiple View Geometry, section 4.1)."""
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
    return np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)


def _mapped(h: NDArray[np.floating], points: NDArray[np.floating]) -> NDArray[np.floating]:
    flat = np.column_stack([points, np.ones(len(points))]) @ h.T
    return flat[:, :2] / flat[:, 2:]


_GRID = np.array([(c, r) for r in range(ROWS) for c in range(COLUMNS)], dtype=float)


def corner_points(corners: NDArray[np.integer]) -> NDArray[np.floating]:
    """All 24 centres (row, column) from those of dark skin, bluish green, black and white."""
    ends = np.array([(0, 0), (COLUMNS - 1, 0), (COLUMNS - 1, ROWS - 1), (0, ROWS - 1)], dtype=float)
    return _mapped(_homography(ends, np.asarray(corners, dtype=float)), _GRID)


def chart_region(points: NDArray[np.floating], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Scene pixels of the whole chart with its frame, so that it isn't taken for food."""
    from skimage.draw import polygon

    ends = points[[0, COLUMNS - 1, ROWS * COLUMNS - 1, (ROWS - 1) * COLUMNS]]
    middle = ends.mean(axis=0)
    # a frame of nine tenths of a patch about the outer centres
    grown = middle + (ends - middle) * (1 + 1.8 / np.array([COLUMNS - 1, ROWS - 1]).mean())
    region = np.zeros(shape, dtype=bool)
    region[polygon(grown[:, 0], grown[:, 1], shape)] = True
    return region


def _walk(centres: NDArray[np.floating], start: int) -> dict[tuple[int, int], int]:
    """Grid places reached from one patch by steps to its neighbours; each step may bend the grid a little."""
    off = centres - centres[start]
    distance = np.hypot(*off.T)
    distance[start] = np.inf
    u = off[int(np.argmin(distance))]
    length = float(np.hypot(*u))
    across = np.array([-u[1], u[0]])
    cosine = np.abs(off @ across) / (np.maximum(distance, 1e-9) * length)
    sideways = np.flatnonzero((cosine > 0.9) & (distance < 1.5 * length))
    if not sideways.size:
        return {}
    v = off[sideways[np.argmin(distance[sideways])]]
    v = v if v @ across > 0 else -v
    places, queue = {(0, 0): start}, [(0, 0)]
    while queue:
        i, j = queue.pop(0)
        here = centres[places[i, j]]
        for di, dj in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            if (i + di, j + dj) in places or len(places) > 40:
                continue
            gap = np.hypot(*(centres - (here + di * u + dj * v)).T)
            near = int(np.argmin(gap))
            if gap[near] < 0.25 * length and near not in places.values():
                places[i + di, j + dj] = near
                queue.append((i + di, j + dj))
    return places


def chart_points(scene: Scene) -> NDArray[np.floating] | None:
    """Centres (row, column) of the patches in reading order, shape (24, 2), or None where there is no chart.

    Flat squares of like size that stand in a grid of six by four, at least 16 of them seen; which way up by their colours.
    """
    flats = [f for f in flat_regions(scene, smallest=24) if f.area < 0.03 * scene.clipped.size and 0.6 < f.rectangularity() <= 1.05]
    for model in flats[:60]:
        like = [f for f in flats if 0.4 * model.area < f.area < 2.5 * model.area]
        if len(like) < FEWEST:
            continue
        places = _walk(np.array([f.centre for f in like]), like.index(model))
        if len(places) < FEWEST:
            continue
        grid = np.array(list(places))
        grid = grid - grid.min(axis=0)
        size = (int(grid[:, 0].max()) + 1, int(grid[:, 1].max()) + 1)
        if sorted(size) != [ROWS, COLUMNS]:
            continue
        centres = np.array([like[k].centre for k in places.values()])
        seen = np.array([like[k].linear for k in places.values()])
        return _upright(grid.astype(float), size, centres, seen)
    return None


def _upright(
    grid: NDArray[np.floating], size: tuple[int, int], centres: NDArray[np.floating], seen: NDArray[np.floating]
) -> NDArray[np.floating]:
    """Of the ways to lay the chart on the grid, the one whose colours fit best (a picture may even be mirrored)."""
    reference = chart_linear()
    best, answer = np.inf, None
    wide, high = COLUMNS - 1, ROWS - 1
    turned = grid if size[0] == COLUMNS else grid[:, ::-1]
    for flip_x in (False, True):
        for flip_y in (False, True):
            places = np.column_stack([wide - turned[:, 0] if flip_x else turned[:, 0], high - turned[:, 1] if flip_y else turned[:, 1]])
            want = np.log(np.maximum(reference[(places[:, 1] * COLUMNS + places[:, 0]).astype(int)], 1e-3))
            off = np.log(np.maximum(np.nan_to_num(seen, nan=1.0), 1e-3)) - want
            score = float(((off - off.mean(axis=0)) ** 2).sum())
            if score < best:
                best, answer = score, _mapped(_homography(places, centres), _GRID)
    assert answer is not None
    return answer
