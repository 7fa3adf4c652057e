"""Scores that don't mean what they say: slips, and the ends of the scale; judged at the most plausible spreads."""

import numpy as np
from scipy.special import log_ndtr

from .design import Design
from .engine import Settings, Solved
from .space import Floats

SUSPECT = 2.5   # residuals within so many standard deviations are left as they are


def fitted(design: Design, solved: Solved, mean: float) -> Floats:
    """Expected score behind each row at the first setting, shape (m,)."""
    u = solved.root[0] @ solved.whitened[0]
    if design.shared is not None:
        return mean + design.shared.columns @ u
    t, j = len(design.trials), len(design.tasters)
    return mean + u[design.trial_of] + u[t + design.taster_of] + design.covariates @ u[t + j :]


def score_sd(design: Design, settings: Settings, noise: float, own: float, trial: float) -> Floats:
    """Standard deviation of a score about its expectation at the first setting, weights aside, shape (m,)."""
    if design.shared is not None:   # the expectation then knows nothing of the trial's own deviation
        own = float(np.hypot(own, trial))
    if design.scores.error_sd is not None:
        return np.sqrt(design.scores.error_sd**2 + own**2 + 1e-9)
    factor = np.atleast_2d(settings.taster_factor)[0][design.taster_of]
    return np.sqrt((noise * factor) ** 2 + own**2)


def down_weighted(score: Floats, expected: Floats, sd: Floats, chance: float, stray_sd: float) -> Floats:
    """Weight of each score: 1, less for one that is likely a slip.

    A score is a slip by `chance` and then has variance sd² + stray_sd²; its weight is the expected precision over the usual
    one (a two-component
    normal mixture; Tukey 1960).
    """
    r = score - expected
    wide = np.sqrt(sd**2 + stray_sd**2)
    log_odds = np.log(chance / (1 - chance)) + np.log(sd / wide) + 0.5 * r**2 * (1 / sd**2 - 1 / wide**2)
    slip = 1 / (1 + np.exp(-np.clip(log_odds, -40, 40)))
    weight = 1 - slip * (1 - (sd / wide) ** 2)
    return np.where(np.abs(r) > SUSPECT * sd, weight, 1.0)


def uncensored(score: Floats, expected: Floats, sd: Floats, low: float, high: float, half_step: float) -> tuple[Floats, Floats]:
    """Scores at an end of the scale read as "at least" or "at most": what stands for each, and with what weight.

    Method: Newton's second-order expansion of the censored normal likelihood about the expectation (Tobin 1958): with α the
    distance to the end in
    sd and λ = φ(α)/(1 − Φ(α)), the weight is λ(λ − α) and the stand-in expected + sd/(λ − α).
    """
    target, weight = score.copy(), np.ones(len(score))
    for side, end in ((1.0, high), (-1.0, low)):
        at = side * (score - end) >= -1e-9
        if not at.any():
            continue
        a = np.clip(side * (end - side * half_step - expected[at]) / sd[at], -6, 6)
        ratio = np.exp(-0.5 * a**2 - 0.5 * np.log(2 * np.pi) - log_ndtr(-a))
        weight[at] = np.clip(ratio * (ratio - a), 0.02, 1.0)
        target[at] = expected[at] + side * sd[at] / (ratio - a)
    return target, weight


def at_an_end(score: Floats, low: float, high: float) -> bool:
    """Whether any score lies on an end of the scale."""
    return bool((score >= high - 1e-9).any() or (score <= low + 1e-9).any())


