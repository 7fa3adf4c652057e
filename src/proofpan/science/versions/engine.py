"""Exact Gaussian arithmetic for many settings of the spreads at once.

For one setting: trial values t ~ N(m, K), tasters and serving order ~ N(0, D), scores y = X u + taster×version + noise. With u
= (t, tasters,
order), information A = X′PX and b = X′P(y − m), L = chol(blockdiag(K, D)), B = I + L′AL:
E[u] = m + L B⁻¹ L′b; log evidence = −½(log|R| + r′Pr − b′L B⁻¹L′b + log|B| + m log 2π); R = P⁻¹ is block diagonal by taster and version.
"""

from dataclasses import dataclass

import numpy as np

from .design import Design, spread_names
from .space import Floats


@dataclass(frozen=True, eq=False)
class Settings:
    """Settings of everything that isn't known, g of them.

    Attributes:
        spreads: shape (g, s), standard deviations in the order of `spread_names`.
        spoilt: shape (g, t), extra variance of single trials.
        dud: shape (g, tasters), 1 where a taster's scores don't follow the trials.
        taster_factor: shape (tasters,) or (g, tasters), each taster's noise as a multiple of the common one.
        weight: shape (m,), weight of each score (1, less for a stray or a score at an end of the scale).
        target: shape (m,), the scores, moved where the end of the scale hid them.
    """

    spreads: Floats
    spoilt: Floats
    dud: Floats
    taster_factor: Floats
    weight: Floats
    target: Floats


@dataclass(frozen=True, eq=False)
class Solved:
    """What a setting of the spreads says, g of them.

    Attributes:
        log_evidence: shape (g,).
        root: shape (g, q, q), L.
        inverse: shape (g, q, q), B⁻¹ (empty where only the evidence was asked).
        whitened: shape (g, q), B⁻¹L′b.
    """

    log_evidence: Floats
    root: Floats
    inverse: Floats
    whitened: Floats


def solve(design: Design, settings: Settings, mean: float, mean_sd: float, *, inverse: bool = True) -> Solved:
    """Evidence and posterior of all latent quantities for each setting."""
    names = spread_names(design.space)
    sd = {n: settings.spreads[:, i] for i, n in enumerate(names)}
    g, t, j = len(settings.spreads), len(design.trials), len(design.tasters)
    q = t + j + 2
    root = _prior_root(design, settings, sd, mean_sd)
    info, vector, log_noise, quadratic = _information(design, settings, sd, mean)
    middle = np.swapaxes(root, 1, 2) @ info @ root
    middle[:, range(q), range(q)] += 1.0
    right = (np.swapaxes(root, 1, 2) @ vector[:, :, None])[:, :, 0]
    factor = np.linalg.cholesky(middle)
    log_det = 2 * np.log(factor[:, range(q), range(q)]).sum(1)
    if inverse:
        raw = np.linalg.inv(middle)
        inv: Floats = (raw + np.swapaxes(raw, 1, 2)) / 2
        white: Floats = (inv @ right[:, :, None])[:, :, 0]
    else:
        inv = np.empty((g, 0, 0))
        white = np.asarray(np.linalg.solve(middle, right[:, :, None])[:, :, 0])
    m = len(design.scores)
    log_evidence = -0.5 * (log_noise + quadratic - (right * white).sum(1) + log_det + m * np.log(2 * np.pi))
    return Solved(log_evidence, root, inv, white)


def _prior_root(design: Design, settings: Settings, sd: dict[str, Floats], mean_sd: float) -> Floats:
    """L = chol(blockdiag(K, D)), shape (g, q, q)."""
    g, t, j = len(settings.spreads), len(design.trials), len(design.tasters)
    names = [n for n in design.kernels if n in design.active]
    stack = np.array([design.kernels[n] for n in names]).reshape(len(names), -1)
    variances = np.array([sd[n] ** 2 for n in names]).T
    cov = (variances @ stack).reshape(g, t, t) + mean_sd**2
    cov[:, range(t), range(t)] += settings.spoilt + 1e-6
    root = np.zeros((g, t + j + 2, t + j + 2))
    root[:, :t, :t] = np.linalg.cholesky(cov)
    who = np.arange(t, t + j)
    root[:, who, who] = sd["taster"][:, None]
    root[:, t + j, t + j] = root[:, t + j + 1, t + j + 1] = sd["position"]
    return root


def _information(
    design: Design, settings: Settings, sd: dict[str, Floats], mean: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """X′PX (g, q, q), X′P r (g, q), log|R| (g,) and r′Pr (g,)."""
    g, t, j, q = len(settings.spreads), len(design.trials), len(design.tasters), design.size
    trial, taster, cov = design.trial_of, design.taster_of, design.covariates
    follow = 1.0 - settings.dud[:, taster]
    noise = (sd["noise"][:, None] * np.atleast_2d(settings.taster_factor)[:, taster]) ** 2 / settings.weight
    if design.scores.error_sd is not None:
        noise = noise * 0 + (design.scores.error_sd**2)[None, :] / settings.weight + 1e-9
    own = (sd["taster_version"] ** 2)[:, None]
    many = design.many
    precision = 1.0 / np.where(many, noise, noise + own)
    residual = settings.target[None, :] - mean
    entries = design.with_trial @ (precision * follow).T + design.without @ precision.T
    info = np.ascontiguousarray(entries.T).reshape(g, q, q)
    weighted = precision * residual
    vector = np.zeros((g, q))
    one_trial = np.zeros((len(trial), t))
    one_trial[np.arange(len(trial)), trial] = 1.0
    one_taster = np.zeros((len(trial), j))
    one_taster[np.arange(len(trial)), taster] = 1.0
    vector[:, :t] = (weighted * follow) @ one_trial
    vector[:, t : t + j] = weighted @ one_taster
    vector[:, t + j :] = weighted @ cov
    log_noise = -np.log(precision).sum(1)
    quadratic = (weighted * residual).sum(1)
    if many.any():
        p, follows = precision[:, many], follow[:, many]
        held = design.together.shape[1]
        mass = (design.together.T @ p.T).T
        shrink = own / (1 + own * mass)
        flat = design.gather_trial @ (p * follows).T + design.gather_other @ p.T
        gathered = np.ascontiguousarray(flat.T).reshape(g, q, held)
        info -= (gathered * shrink[:, None, :]) @ np.swapaxes(gathered, 1, 2)
        sums = (design.together.T @ weighted[:, many].T).T
        vector -= (gathered @ (shrink * sums)[:, :, None])[:, :, 0]
        log_noise += np.log1p(own * mass).sum(1)
        quadratic -= (shrink * sums**2).sum(1)
    return info, vector, log_noise, quadratic
