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
    g, q = len(settings.spreads), design.size
    root = _prior_root(design, settings, sd, mean_sd)
    inform = _information if design.shared is None else _information_shared
    info, vector, log_noise, quadratic = inform(design, settings, sd, mean)
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
    g, t, j = len(settings.spreads), design.latent, len(design.tasters)
    root = np.zeros((g, t + j + 2, t + j + 2))
    if design.shared is None:
        cov = _weighted({n: k for n, k in design.kernels.items() if n in design.active}, sd) + mean_sd**2
        cov[:, range(t), range(t)] += settings.spoilt + 1e-6
        root[:, :t, :t] = np.linalg.cholesky(cov)
    else:
        of = len(design.trial_version)
        cov = _weighted({n: k[design.trial_version] for n, k in design.across.items() if n in design.active}, sd) + mean_sd**2
        cov[:, range(of), range(of)] += 1e-6
        root[:, :of, :of] = np.linalg.cholesky(cov)
        for name, width in design.shared.terms:
            root[:, range(of, of + width), range(of, of + width)] = sd[name][:, None]
            of += width
    who = np.arange(t, t + j)
    root[:, who, who] = sd["taster"][:, None]
    root[:, t + j, t + j] = root[:, t + j + 1, t + j + 1] = sd["position"]
    return root


def _weighted(kernels: dict[str, Floats], sd: dict[str, Floats]) -> Floats:
    """Σ variance × kernel for each setting, shape (g, t, t)."""
    stack = np.array(list(kernels.values()))
    variances = np.array([sd[n] ** 2 for n in kernels]).T
    return (variances @ stack.reshape(len(stack), -1)).reshape(len(variances), *stack.shape[1:])


def _noise(design: Design, settings: Settings, sd: dict[str, Floats]) -> Floats:
    """Variance of a score about its trial and taster, shape (g, m); with its trial's own deviation where `shared` stands in for trials."""
    noise = (sd["noise"][:, None] * np.atleast_2d(settings.taster_factor)[:, design.taster_of]) ** 2 / settings.weight
    if design.scores.error_sd is not None:
        noise = noise * 0 + (design.scores.error_sd**2)[None, :] / settings.weight + 1e-9
    if design.scores.weight is not None:   # a score of less weight scatters more, its taster's own part too
        noise = noise + (sd["taster_version"] ** 2)[:, None] * (1 / design.scores.weight - 1)
    if design.shared is not None:
        follow = 1.0 - settings.dud[:, design.taster_of]
        noise = noise + follow * ((sd["trial"] ** 2)[:, None] + settings.spoilt[:, design.trial_of])
    return noise


def _information_shared(
    design: Design, settings: Settings, sd: dict[str, Floats], mean: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """As `_information`, for trials of one score each."""
    x, precision, together, shrink = _scores_shared(design, settings, sd)
    residual = settings.target[None, :] - mean
    weighted = precision * residual
    scaled = np.swapaxes(x * precision[:, :, None], 1, 2)
    info = scaled @ x
    vector = scaled @ residual[0]
    log_noise = -np.log(precision).sum(1)
    quadratic = (weighted * residual).sum(1)
    if design.many.any():
        gathered = scaled[:, :, design.many] @ together
        sums = weighted[:, design.many] @ together
        info = info - (gathered * shrink[:, None, :]) @ np.swapaxes(gathered, 1, 2)
        vector = vector - (gathered @ (shrink * sums)[:, :, None])[:, :, 0]
        log_noise += np.log1p((sd["taster_version"] ** 2)[:, None] * (precision[:, design.many] @ together)).sum(1)
        quadratic -= (shrink * sums**2).sum(1)
    return info, vector, log_noise, quadratic


def _scores_shared(design: Design, settings: Settings, sd: dict[str, Floats]) -> tuple[Floats, Floats, Floats, Floats]:
    """Columns (g, m, q), precisions (g, m), cells of a taster and a version (m, cells) and how far each is shrunk (g, cells)."""
    assert design.shared is not None
    own = (sd["taster_version"] ** 2)[:, None]
    noise = _noise(design, settings, sd)
    precision = 1.0 / np.where(design.many, noise, noise + own)
    x = np.repeat(design.shared.columns[None], len(precision), axis=0)
    if settings.dud.any():
        x[:, :, : design.shared.size] *= (1.0 - settings.dud[:, design.taster_of])[:, :, None]
    together = design.together.toarray()
    mass = precision[:, design.many] @ together
    return x, precision, together, own / (1 + own * mass)


def pull_of_scores(design: Design, settings: Settings, solved: Solved, mean: float) -> tuple[Floats, Floats]:
    """At the first setting, for trials of one score each: V⁻¹(y − mean) and the diagonal of V⁻¹, each of shape (m,); V the scores' covariance.

    Source: the matrix inversion lemma, twice (cells of a taster and a version, then the latent quantities).
    """
    sd = {n: settings.spreads[:, i] for i, n in enumerate(spread_names(design.space))}
    x, precision, together, shrink = (a[0] if a.ndim > 2 or i != 2 else a for i, a in enumerate(_scores_shared(design, settings, sd)))
    cells = np.zeros((len(x), together.shape[1]))
    cells[design.many] = together
    weighted_cells = cells * precision[:, None]

    def through(m: Floats) -> Floats:
        return m * precision[:, None] - weighted_cells @ (shrink[:, None] * (weighted_cells.T @ m))

    spread = through(x @ solved.root[0])
    residual = through((settings.target - mean)[:, None])[:, 0]
    pull = residual - spread @ solved.whitened[0]
    kept = precision - (weighted_cells**2) @ shrink - ((spread @ solved.inverse[0]) * spread).sum(1)
    return pull, kept


def _information(
    design: Design, settings: Settings, sd: dict[str, Floats], mean: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """X′PX (g, q, q), X′P r (g, q), log|R| (g,) and r′Pr (g,)."""
    g, t, j, q = len(settings.spreads), len(design.trials), len(design.tasters), design.size
    trial, taster, cov = design.trial_of, design.taster_of, design.covariates
    follow = 1.0 - settings.dud[:, taster]
    noise = _noise(design, settings, sd)
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
