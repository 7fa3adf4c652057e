"""Stages in which only the temperature changes: taken in one go by the modes of the cells, so that there is no error in time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dstev, dstevd

from .errors import HeatError
from .material import Material
from .piece import Piece, axis_of
from .stages import Stage

SHOWN = 60  # moments of a stage; t = (i/60)^1.5 of it, so that the surface's first seconds are seen and the last step is a fortieth
_GATHERED = 1.5
_EVEN = (np.arange(1, SHOWN + 1) / SHOWN) ** _GATHERED
_DIVIDES = 30  # cells from which dividing and conquering is the quicker way to the modes
CORE, SURFACE, MEAN = 0, 1, 2  # what is read of the field

Array = NDArray[np.float64]


def is_plain(material: Material, stage: Stage) -> bool:
    """Whether nothing but the temperature changes in a stage: properties constant, surroundings steady, no radiation and no water leaving."""
    if not material.constant or stage.log_s or (stage.evaporates and material.water_kg_m3):
        return False
    return not (stage.emissivity > 0 if isinstance(stage.emissivity, float | int) else (np.asarray(stage.emissivity) > 0).any())


@dataclass(frozen=True, eq=False)
class _Unit:
    """An axis of half size 1 and conductivity 1, with roots of volumes divided out so that its matrix is symmetric.

    Attributes: root (n,), of the volumes; diagonal and off, without the surface; outer, the surface's share of the last diagonal for a
        conductance of 1; inside, from the outermost middle to the surface; rows (3, n), which read core, outermost cell and mean.
    """

    root: Array
    diagonal: Array
    off: Array
    outer: float
    inside: float
    rows: Array
    whole: float


@lru_cache(maxsize=64)
def _unit(kind: str, cells: int) -> _Unit:
    axis = axis_of(kind, np.ones(1), cells)
    face, centre, volume, area = (x[:, 0, 0] for x in (axis.face_m, axis.centre_m, axis.volume, axis.area))
    between = area[1:-1] / np.diff(centre)
    diagonal = np.zeros(cells)
    diagonal[:-1] += between
    diagonal[1:] += between
    root = np.sqrt(volume)
    # a parabola, level in the middle, through the two innermost cells
    rows = np.zeros((3, cells))
    share = centre[0] ** 2 / (centre[1] ** 2 - centre[0] ** 2)
    rows[CORE, 0], rows[CORE, 1] = 1 + share, -share
    rows[SURFACE, -1] = 1.0
    rows[MEAN] = volume / volume.sum()
    return _Unit(root, diagonal / volume, -between / (root[:-1] * root[1:]), float(area[-1] / volume[-1]), float(face[-1] - centre[-1]), rows / root,
                 float(volume.sum()))


class _Axis:
    """One size of all pieces in one stage.

    Attributes: vectors (p, cell, mode); rate_s (p, mode); reads (p, 3, mode) of core, surface and mean; aside, the same of a size that
        isn't the first: the surface looked at is the middle of the first size's face; leaves (p, mode), what the mean loses in a
        second through the surface.
    """

    def __init__(self, kind: str, half_m: Array, conductivity: float, diffusivity: float, transfer: Array, cells: int):
        u = self.unit = _unit(kind, cells)
        biot = half_m * transfer / conductivity
        to_surface = 1 + biot * u.inside
        pace = diffusivity / half_m**2
        added = u.outer * biot / to_surface
        self.vectors, rates = np.empty((len(half_m), cells, cells)), np.empty((len(half_m), cells))
        solver = dstev if cells < _DIVIDES else dstevd
        diagonal = u.diagonal.copy()
        for i, more in enumerate(added.tolist()):
            diagonal[-1] = u.diagonal[-1] + more
            rates[i], self.vectors[i], fault = solver(diagonal, u.off)
            if fault:
                raise HeatError("The sum doesn't settle: sizes, temperatures or properties are out of the ordinary.")
        self.rate_s = rates * pace[:, None]
        self.reads = u.rows @ self.vectors
        self.even = self.reads[:, MEAN] * u.whole  # amplitudes of a piece that is one throughout
        outermost = self.reads[:, SURFACE]
        self._crossing = added * pace * to_surface * u.root[-1] ** 2 / u.whole
        outermost /= to_surface[:, None]

    @property
    def leaves(self) -> Array:
        # heat that crosses the surface over heat held, not what the mean is seen to lose: so that the balance is a check
        return np.asarray(self.reads[:, SURFACE] * self._crossing[:, None])

    def aside(self) -> Array:
        """Readings of a size that isn't the first."""
        return self.reads[:, (CORE, CORE, MEAN)]


@dataclass(frozen=True, eq=False)
class _Course:
    """A stage: when it began, how long it lasts, its axes, what is around (p,), and the terms' numbers (p,) and amplitudes (p, mode) a size."""

    began_s: float
    seconds: float
    axes: list[_Axis]
    ambient_c: Array
    terms: list[tuple[Array, list[Array]]]

    def faded(self, after_s: Array) -> dict[_Axis, Array]:
        """What is left of each mode (p, mode, t), seconds after it began."""
        return {axis: np.exp(axis.rate_s[:, :, None] * -after_s) for axis in dict.fromkeys(self.axes)}

    def read(self, faded: dict[_Axis, Array], what: slice = slice(None)) -> Array:
        """(p, 3, t): core, surface and mean."""
        out: Array | float = self.ambient_c[:, None, None]
        for scale, parts in self.terms:
            seen: Array | float = scale[:, None, None]
            for i, (axis, part) in enumerate(zip(self.axes, parts, strict=True)):
                reads = (axis.aside() if i else axis.reads)[:, what]
                seen = seen * ((part[:, None] * reads) @ faded[axis])
            out = out + seen
        return np.asarray(out)

    def leaves(self) -> list[Array]:
        """What the mean loses through each size's surface for each term, K, shape (p,): summed over the modes there."""
        lost, faded = [], self.faded(np.array([self.seconds]))
        for scale, parts in self.terms:
            for i, axis in enumerate(self.axes):
                held, rate, stays = scale[:, None] * parts[i] * axis.leaves, axis.rate_s, faded[axis][..., -1]
                for j, (other, part) in enumerate(zip(self.axes, parts, strict=True)):
                    if j != i:
                        held, rate, stays = (self._each(a, b, by) for a, b, by in (
                            (held, part * other.reads[:, MEAN], np.multiply), (rate, other.rate_s, np.add), (stays, faded[other][..., -1], np.multiply)))
                lost.append((held * (1 - stays) / rate).sum(-1))
        return lost

    @staticmethod
    def _each(a: Array, b: Array, by: np.ufunc) -> Array:
        """Every mode of one with every mode of another, shape (p, both)."""
        return np.asarray(by(a[:, :, None], b[:, None])).reshape(len(a), -1)

    def ends(self) -> list[tuple[Array, list[Array]]]:
        """The terms as numbers and temperatures (p, cell) a size, when it is over."""
        faded = self.faded(np.array([self.seconds]))
        return [(scale, [(a.vectors @ (part * faded[a][..., -1])[..., None])[..., 0] / a.unit.root for a, part in zip(self.axes, parts, strict=True)])
                for scale, parts in self.terms]


class Modal:
    """Pieces of one material through stages in which only the temperature changes.

    The field is a sum of products of one course a size (Newman 1936): one more a stage. Each course is that of the finite volumes' own
    cells, exact in time: eigenvectors of a symmetric tridiagonal matrix, each decaying at its own rate.
    """

    def __init__(
        self, pieces: Sequence[Piece], material: Material, start_c: Array, cells: int, stages: Sequence[Stage], longest_step_s: float | None = None,
    ):
        if any(p.shape != pieces[0].shape for p in pieces):
            raise HeatError("Pieces cooked together must have one shape.")
        self.kinds, self.material, self.cells = pieces[0].axes, material, cells
        self.longest_step_s = longest_step_s
        self.sizes = np.array([p.half_sizes_m for p in pieces])
        self.level = self.start = start_c + np.zeros(len(pieces))  # of the part of the field that is even
        self.courses: list[_Course] = []
        ends = [0.0]
        for stage in stages:
            ends.append(self._through(stage, ends[-1]))
        self.ends_s, self.now = tuple(ends[1:]), ends[-1]

    def _through(self, stage: Stage, began_s: float) -> float:
        seconds = float(stage.minutes) * 60
        if not 0 < seconds < np.inf:
            raise HeatError(f"The stage “{stage.kind}” lasts {stage.minutes:g} minutes; it must last some.")
        each = np.zeros(len(self.sizes))
        ambient, transfer = each + np.asarray(stage.ambient_c, dtype=float), each + np.asarray(stage.heat_transfer_w_m2k, dtype=float)
        axes = self._axes(transfer)
        terms = [(scale, [((side * a.unit.root)[:, None] @ a.vectors)[:, 0] for a, side in zip(axes, sides, strict=True)])
                 for scale, sides in (self.courses[-1].ends() if self.courses else [])]
        self.courses.append(_Course(began_s, seconds, axes, ambient, [*terms, (self.level - ambient, [a.even for a in axes])]))
        self.level = ambient
        return began_s + seconds

    def _axes(self, transfer: Array) -> list[_Axis]:
        m, made = self.material, list[_Axis]()
        for i, kind in enumerate(self.kinds):
            alike = next((j for j in range(i) if self.kinds[j] == kind and (self.sizes[:, j] == self.sizes[:, i]).all()), None)
            made.append(_Axis(kind, self.sizes[:, i], m.conductivity_w_mk, m.diffusivity_m2_s, transfer, self.cells) if alike is None else made[alike])
        return made

    def log(self, what: slice = slice(None)) -> tuple[Array, Array]:
        """(times_s (t,), core, surface and mean (3, t, p), or those of them asked for)."""
        times, read = [np.zeros(1)], [np.repeat(self.start, 3).reshape(-1, 3, 1)[:, what]]
        for course in self.courses:
            longest = self.longest_step_s
            n = SHOWN if longest is None else max(SHOWN, int(np.ceil(_GATHERED * course.seconds / longest)))
            after = course.seconds * (_EVEN if n == SHOWN else (np.arange(1, n + 1) / n) ** _GATHERED)
            times.append(course.began_s + after)
            read.append(course.read(course.faded(after), what))
        return np.concatenate(times), np.concatenate(read, axis=2).transpose(1, 2, 0)

    def heat(self) -> tuple[Array, Array, Array]:
        """(through the surface, gained, all that crossed either way), shape (p,), as K of the mean."""
        lost = [x for course in self.courses for x in course.leaves()]
        last = self.courses[-1]
        mean = last.read(last.faded(np.array([last.seconds])), slice(MEAN, MEAN + 1))[:, 0, -1]
        return -sum(lost, np.zeros(len(self.sizes))), mean - self.start, sum((np.abs(x) for x in lost), np.zeros(len(self.sizes)))

    def core_at(self, times_s: Array) -> Array:
        """Core at any times within, shape (t, p)."""
        t = np.minimum(np.maximum(times_s, 0.0), self.now)
        if len(self.courses) == 1:
            return self._core(self.courses[0], t)
        which = np.maximum(np.searchsorted([c.began_s for c in self.courses], t, side="left") - 1, 0)
        out = np.empty((len(t), len(self.sizes)))
        for i in np.unique(which):
            at, course = which == i, self.courses[i]
            out[at] = self._core(course, t[at] - course.began_s)
        return out

    @staticmethod
    def _core(course: _Course, after_s: Array) -> Array:
        return course.read(course.faded(after_s), slice(CORE, CORE + 1))[:, 0].T

    def field(self) -> Array:
        """Temperatures of all cells, shape (n1, …, p)."""
        p = len(self.sizes)
        out = self.level[:, None]
        for scale, sides in self.courses[-1].ends():
            product = scale[:, None]
            for side in sides:
                product = (product[..., None] * side[:, None]).reshape(p, -1)
            out = out + product
        return np.moveaxis(out.reshape((p, *(self.cells,) * len(self.kinds))), 0, -1)
