"""A kitchen's own probe log: what its oven does to this piece."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares

from ..reading import t_quantile
from .errors import HeatError
from .march import cook
from .material import Material
from .piece import Piece
from .stages import Stage

PARAMETERS = ("heat transfer", "oven offset", "size")
_START = len(PARAMETERS)  # fitted besides, and not told, where the start isn't given: a single reading of it is as noisy as any
_STEPS = np.array([0.02, 0.2, 0.005, 0.2])  # of log h, °C, log size, °C
_DRYING_STEPS = 5.0  # times as far where something dries: a front passes from cell to cell, and its small waves must not look like slopes
_BOUNDS = np.array([[np.log(1 / 20), -80.0, np.log(0.5), -10.0], [np.log(20), 80.0, np.log(2.0), 10.0]])
_USUAL = np.array([0.3, 15.0, 0.1, 0.3])  # how far each is in doubt
ILL = 300.0  # condition number of the scaled Jacobian from which the log can't tell its parameters apart
_CELLS, _TOLERANCE_C = {1: 24, 2: 16, 3: 12}, 0.02  # of the fit itself
_FINER, _FINER_TOLERANCE_C = {1: 48, 2: 24, 3: 18}, 0.003  # of the sum that then says how far those are off
_WIDE = 1.959964  # standard errors to 95 %
TOO_WIDE = {"heat transfer": 0.7, "oven offset": 40.0, "size": 0.3}  # half widths beyond which an estimate says nothing


@dataclass(frozen=True)
class Estimate:
    """A fitted value with its 95 % interval; `known` False where the log can't say."""

    name: str
    value: float
    low: float
    high: float
    unit: str
    known: bool


@dataclass(frozen=True, eq=False)
class OvenFit:
    """A probe log's fit.

    Attributes: estimates; stage, the stage with what was fitted; piece, with the effective size; residual_sd_c; fitted_c at the log's
        times; correlation (k, k) of the free parameters; condition number; solver_share, largest part of an interval's half width that
        is the solver's own error; says, sentences.
    """

    estimates: tuple[Estimate, ...]
    stage: Stage
    piece: Piece
    residual_sd_c: float
    fitted_c: NDArray[np.float64]
    correlation: NDArray[np.float64]
    condition: float
    solver_share: float
    says: tuple[str, ...]


def fit_log(
    times_s: ArrayLike, core_c: ArrayLike, piece: Piece, material: Material, stage: Stage, start_c: float | None = None,
    free: tuple[str, ...] = PARAMETERS,
) -> OvenFit:
    """Heat-transfer coefficient, oven offset and effective size from a core's temperatures.

    Parameters: times_s from when the stage began, rising; core_c, shape (n,); piece and stage as believed; start_c, else fitted too,
        from the first reading on; free, which of PARAMETERS are fitted.
    Raises: HeatError. Source: least squares on the solver (trust region); covariance s²(JᵀJ)⁻¹, widened for residuals that follow each
        other by (1 + ρ)/(1 − ρ) (Bartlett 1935, from memory). Derivatives by side-by-side runs. At the end a finer sum moves the
        parameters by what it says differently, and what it may itself still be off, by how the error goes with the cells, goes
        into each interval as one more standard error.
    """
    t, y = np.asarray(times_s, dtype=float), np.asarray(core_c, dtype=float)
    if t.shape != y.shape or t.ndim != 1 or t.size < 8 or not (np.diff(t) > 0).all() or t[0] < 0 or not np.isfinite(y).all():
        raise HeatError("A fit needs at least eight readings with times that rise from zero on.")
    unknown = [name for name in free if name not in PARAMETERS]
    if unknown or not free:
        raise HeatError(f"What can be fitted is {', '.join(PARAMETERS)}.")
    at = [PARAMETERS.index(name) for name in free] + ([_START] if start_c is None else [])
    model = _Model(t, piece, material, stage, float(y[0] if start_c is None else start_c), at)
    begin = np.zeros(len(at))
    bounds = _BOUNDS[:, model.at]
    got = least_squares(lambda x: model(x)[0] - y, begin, jac=lambda x: model(x)[1], bounds=bounds, x_scale=np.abs(_STEPS[model.at]) * 10,
                        xtol=1e-7, ftol=1e-9, max_nfev=60)
    return _described(got.x, model, y, free)


class _Model:
    """The curve and its derivatives, remembered for the last parameters asked for."""

    def __init__(self, t: NDArray[np.float64], piece: Piece, material: Material, stage: Stage, start_c: float, at: list[int]):
        self.t, self.piece, self.material, self.stage, self.start_c, self.at = t, piece, material, stage, start_c, at
        self.dries = bool(stage.evaporates and material.water_kg_m3)
        self.steps = _STEPS * (_DRYING_STEPS if self.dries else 1.0)
        self.last: tuple[bytes, tuple[NDArray[np.float64], NDArray[np.float64]]] | None = None

    def of(self, x: NDArray[np.float64]) -> tuple[list[Piece], Stage]:
        """Pieces and the stage for rows of all parameters, shape (p, 4)."""
        s = self.stage
        minutes = max(float(self.t[-1]) / 60, 0.1)
        walls = None if s.walls_c is None else np.asarray(s.walls_c, dtype=float) + x[:, 1]
        if s.log_s:
            raise HeatError("A stage with its own log of the oven has no offset to fit.")
        moved = replace(s, minutes=minutes, ambient_c=np.asarray(s.ambient_c, dtype=float) + x[:, 1], walls_c=walls,
                        heat_transfer_w_m2k=np.asarray(s.heat_transfer_w_m2k, dtype=float) * np.exp(x[:, 0]))
        return [self.piece.scaled(float(np.exp(v))) for v in x[:, 2]], moved

    def __call__(self, x: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        key = x.tobytes()
        if self.last is not None and self.last[0] == key:
            return self.last[1]
        k = len(self.at)
        full = np.zeros((2 * k + 1, len(_STEPS)))
        full[:, self.at] = x
        for j, p in enumerate(self.at):
            full[1 + j, p] += self.steps[p]
            full[1 + k + j, p] -= self.steps[p]
        pieces, stage = self.of(full)
        cooked = cook(pieces, self.material, [stage], self.start_c + full[:, _START], tolerance_c=_TOLERANCE_C, cells=_CELLS[len(self.piece.axes)],
                      longest_step_s=stage.minutes * 60 / 100)
        curves = cooked.core_at(self.t)
        jacobian = (curves[:, 1 : 1 + k] - curves[:, 1 + k :]) / (2 * self.steps[self.at])
        self.last = key, (curves[:, 0], jacobian)
        return self.last[1]

    def finer(self, x: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """(curve of a finer sum, what it may be off), each at the log's times."""
        full = np.zeros((1, len(_STEPS)))
        full[:, self.at] = x
        pieces, stage = self.of(full)
        sizes = len(self.piece.axes)
        cooked = cook(pieces, self.material, [stage], self.start_c + full[:, _START], tolerance_c=_FINER_TOLERANCE_C, cells=_FINER[sizes],
                      longest_step_s=stage.minutes * 60 / 100)
        curve = cooked.core_at(self.t)[:, 0]
        order = 1 if self.dries else 2
        return curve, (curve - self(x)[0]) / ((_FINER[sizes] / _CELLS[sizes]) ** order - 1)


def _described(x: NDArray[np.float64], model: _Model, y: NDArray[np.float64], free: tuple[str, ...]) -> OvenFit:
    _, jacobian = model(x)
    n, k = jacobian.shape
    back = np.linalg.pinv(jacobian)
    curve, off = model.finer(x)
    move = back @ (y - curve)
    x, curve = x + move, curve + jacobian @ move
    residual = y - curve
    scaled = jacobian * _USUAL[model.at]
    singular = np.linalg.svd(scaled, compute_uv=False)
    condition = float(singular[0] / max(singular[-1], 1e-300))
    follows = float(np.clip((residual[1:] * residual[:-1]).sum() / max((residual**2).sum(), 1e-30), 0.0, 0.95))
    effective = max(n * (1 - follows) / (1 + follows), k + 1.0)
    sd = float(np.sqrt((residual**2).sum() / max(n - k, 1)))
    covariance = sd**2 * (1 + follows) / (1 - follows) * (back @ back.T)
    error = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    own = _WIDE * np.abs(back @ off)  # what it may be off is itself a guess: taken as a standard error, not as a bound
    half = np.hypot(t_quantile(max(effective - k, 1.0)) * error, own)
    estimates, says = [], []
    h0 = float(np.asarray(model.stage.heat_transfer_w_m2k).reshape(-1)[0])
    size0 = 2 * model.piece.half_sizes_m[0] * 100
    for name, value, reach in zip(free, x, half, strict=False):
        known = bool(reach <= TOO_WIDE[name])
        if name == "heat transfer":
            e = Estimate(name, h0 * np.exp(value), h0 * np.exp(value - reach), h0 * np.exp(value + reach), "W/(m²·K)", known)
        elif name == "size":
            e = Estimate(name, size0 * np.exp(value), size0 * np.exp(value - reach), size0 * np.exp(value + reach), "cm", known)
        else:
            e = Estimate(name, float(value), float(value - reach), float(value + reach), "°C", known)
        e = Estimate(e.name, float(e.value), float(e.low), float(e.high), e.unit, e.known)
        estimates.append(e)
        says.append(f"{name.capitalize()}: {e.value:.3g} {e.unit} ({e.low:.3g} to {e.high:.3g})." if known else
                    f"{name.capitalize()}: this log can't say.")
    scale = np.where(error > 0, error, 1.0)
    correlation = (covariance / np.outer(scale, scale))[: len(free), : len(free)]
    if condition > ILL or not all(e.known for e in estimates):
        says.append("The log can't tell all of these apart; fix the size (measure it) or the oven (a second probe), and fit the rest.")
    full = np.zeros((1, len(_STEPS)))
    full[0, model.at] = x
    pieces, stage = model.of(full)
    stage = replace(stage, ambient_c=float(np.asarray(stage.ambient_c)[0]), heat_transfer_w_m2k=float(np.asarray(stage.heat_transfer_w_m2k)[0]),
                    walls_c=None if stage.walls_c is None else float(np.asarray(stage.walls_c)[0]))
    return OvenFit(tuple(estimates), stage, pieces[0], sd, curve, correlation, condition, float((own / np.maximum(half, 1e-300)).max()), tuple(says))
