"""What happened to a piece, whichever way it was found."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .modes import CORE, Modal

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Cooked:
    """What happened to the pieces.

    Attributes, with a last axis of pieces where several were cooked together:
        times_s: (n,), from the start of the first stage.
        core_c, surface_c, mean_c: (n,) or (n, p). Surface is the middle of the face across the first size.
        lost_fraction: (n,) or (n, p), water lost, of the starting mass.
        crust_m: (n,) or (n, p), dry crust there.
        ends_s: when each stage ended.
        heat_j_m3, gained_j_m3, latent_j_m3, carried_j_m3: per volume of the piece: taken through the surface; gained by the food;
            spent on evaporation; sensible heat that left with the vapour.
        balance_error: |taken − gained − latent − carried| as a share of all heat that crossed.
        error_c: estimated error of the core in time, the sum over steps (not that of the cells' size); where all stages were taken by
            modes, that of the cells, which was taken off.
        steps: how many; a stage taken by modes is one.
    """

    times_s: Array
    core_c: Array
    surface_c: Array
    mean_c: Array
    lost_fraction: Array
    crust_m: Array
    ends_s: tuple[float, ...]
    heat_j_m3: Array
    gained_j_m3: Array
    latent_j_m3: Array
    carried_j_m3: Array
    balance_error: float
    error_c: float
    steps: int

    def core_at(self, times_s: ArrayLike) -> Array:
        """Core temperature at any times within, shape (t,) or (t, p); monotone cubics between steps."""
        from scipy.interpolate import PchipInterpolator

        return np.asarray(PchipInterpolator(self.times_s, self.core_c, axis=0)(np.asarray(times_s, dtype=float)))

    def surface_at(self, times_s: ArrayLike) -> Array:
        """Surface temperature at any times within; straight lines between steps."""
        t = np.asarray(times_s, dtype=float)
        if self.surface_c.ndim == 1:
            return np.asarray(np.interp(t, self.times_s, self.surface_c))
        return np.stack([np.interp(t, self.times_s, column) for column in self.surface_c.T], axis=-1)


class CookedByModes(Cooked):
    """The same where modes took all stages: the field is read when first asked for, and the core has no error in time at any moment.

    Where half as many cells were taken too (`coarse`), the core less what those are further off (Richardson 1911).
    """

    _modal: Modal
    _coarse: Modal | None
    _single: bool

    def __init__(self, modal: Modal, coarse: Modal | None, single: bool):
        self.__dict__.update(_modal=modal, _coarse=coarse, _single=single, ends_s=modal.ends_s, steps=len(modal.courses))

    def __getattr__(self, name: str) -> Any:
        if name not in _FIELDS:
            raise AttributeError(name)
        self.__dict__.update(self._log(), **self._heat())
        return self.__dict__[name]

    def core_at(self, times_s: ArrayLike) -> Array:
        """Core temperature at any times within, shape (t,) or (t, p)."""
        t = np.asarray(times_s, dtype=float)
        core = self._modal.core_at(t.reshape(-1))
        if self._coarse is not None:
            core = core + _off(core, self._coarse.core_at(t.reshape(-1)), self._modal, self._coarse)
        return shown(core, self._single).reshape(t.shape + (() if self._single else core.shape[1:]))

    def _log(self) -> dict[str, Any]:
        times, (core, surface, mean) = self._modal.log()
        less = np.zeros(1)
        if self._coarse is not None:
            less = _off(core, self._coarse.log(slice(CORE, CORE + 1))[1][0], self._modal, self._coarse)
        curves = {"core_c": core + less, "surface_c": surface, "mean_c": mean, "lost_fraction": np.zeros_like(core), "crust_m": np.zeros_like(core)}
        return {"times_s": times, "error_c": float(np.abs(less).max()), **{k: shown(v, self._single) for k, v in curves.items()}}

    def _heat(self) -> dict[str, Any]:
        taken, gained, crossed = (self._modal.material.capacity_j_m3k * kelvin for kelvin in self._modal.heat())
        sums = {"heat_j_m3": taken, "gained_j_m3": gained, "latent_j_m3": np.zeros_like(taken), "carried_j_m3": np.zeros_like(taken)}
        return {"balance_error": float((np.abs(taken - gained) / np.maximum(crossed, 1e-30)).max()),
                **{k: shown(v, self._single) for k, v in sums.items()}}


_FIELDS = frozenset(f.name for f in fields(Cooked))


def _off(fine: Array, coarse: Array, cells: Modal, fewer: Modal) -> Array:
    """How far the finer is off, from errors that go with the square of the cells' size."""
    return np.asarray((fine - coarse) / ((cells.cells / fewer.cells) ** 2 - 1))


def shown(values: NDArray[np.float64], single: bool) -> NDArray[np.float64]:
    """Without the axis of pieces where only one was asked for."""
    return values[..., 0] if single else values
