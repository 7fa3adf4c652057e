"""Which version is best, which to publish, and what is given up by deciding now."""

from dataclasses import dataclass

import numpy as np

from .design import factors_of
from .posterior import Posterior
from .space import Floats, VersionsError

DRAWS = 4000
BY_COVARIANCE = 128   # versions up to which draws come from their covariance, a square root for each setting


@dataclass(frozen=True, eq=False)
class Decision:
    """Odds over all versions jointly; arrays of shape (n,).

    Attributes:
        odds_best, odds_within_worth: before prices, over the candidates (they sum to 1; within `worth` of the best).
        odds_publish: odds of being best after prices, over the eligible.
        expected_loss: points expected below the best candidate.
        best: the candidate with the highest expected score.
        publish: the eligible version with the highest expected score less price, None when nothing is eligible.
        regret: points expected to be given up by publishing it now, after prices.
        publish_within_worth: odds that it is within `worth` of the best that may be published, both after prices.
    """

    odds_best: Floats
    odds_within_worth: Floats
    odds_publish: Floats
    expected_loss: Floats
    best: int
    publish: int | None
    regret: float
    publish_within_worth: float


def decide(
    posterior: Posterior, worth: float, prices: Floats | None = None, eligible: np.ndarray | None = None,
    candidates: np.ndarray | None = None, *, draws: int = DRAWS,
) -> Decision:
    """Odds and choice.

    Parameters:
        posterior: of n versions.
        worth: points within which a version is as good as the best.
        prices: points that each version's extras cost, shape (n,).
        eligible: which may be published, shape (n,) of bool.
        candidates: which compete for best (all but a benchmark), shape (n,) of bool.
        draws: joint draws from the posterior, always the same ones.
    """
    n = posterior.space.size
    price = np.zeros(n) if prices is None else np.asarray(prices, dtype=np.float64)
    may = np.ones(n, dtype=bool) if eligible is None else np.asarray(eligible, dtype=bool)
    run = np.ones(n, dtype=bool) if candidates is None else np.asarray(candidates, dtype=bool)
    if not run.any():
        raise VersionsError("No version competes: every one is left out.")
    sample = sample_scores(posterior, draws)
    mean = posterior.mean
    best_of = np.where(run[:, None], sample, -np.inf)
    top = best_of.max(0)
    odds_best = np.bincount(best_of.argmax(0), minlength=n) / sample.shape[1]
    within = np.where(run, (sample >= top - worth).mean(1), 0.0)
    # the control variate mean − sample mean takes most of the draw noise out of the expected best
    best = int(np.argmax(np.where(run, mean, -np.inf)))
    loss = (top - sample[best]).mean() + mean[best] - mean
    may_run = may & run
    odds_publish, publish, regret, publish_within = np.zeros(n), None, 0.0, 0.0
    if may_run.any():
        net = np.where(may_run[:, None], sample - price[:, None], -np.inf)
        odds_publish = np.bincount(net.argmax(0), minlength=n) / sample.shape[1]
        publish = int(np.argmax(np.where(may_run, mean - price, -np.inf)))
        given_up = net.max(0) - net[publish]
        regret, publish_within = float(given_up.mean()), float((given_up <= worth).mean())
    return Decision(odds_best, within, odds_publish, np.maximum(loss, 0), best, publish, regret, publish_within)


def sample_scores(posterior: Posterior, draws: int = DRAWS, seed: int = 0) -> Floats:
    """Joint draws of all versions' scores, shape (n, draws); the settings get draws by their weights."""
    counts = allot(posterior.weights, draws)
    n = posterior.space.size
    rng = np.random.default_rng([seed, 77])
    out = np.empty((n, int(counts.sum())))
    if n > BY_COVARIANCE:
        return _sample_large(posterior, counts, rng, out)
    factors = np.linalg.cholesky(posterior.cov_by + 1e-9 * np.eye(n))
    at = 0
    for g, count in enumerate(counts):
        if count:
            z = rng.standard_normal((n, (count + 1) // 2))
            z = np.concatenate([z, -z], axis=1)[:, :count]
            out[:, at : at + count] = posterior.mean_by[g][:, None] + factors[g] @ z
            at += count
    return out


def _sample_large(posterior: Posterior, counts: np.ndarray, rng: np.random.Generator, out: Floats) -> Floats:
    """For very many versions: a prior draw by effects, corrected by the data (Matheron's rule; Journel & Huijbregts 1978)."""
    space, at = posterior.space, 0
    rows = {name: space.rows_of(factors_of(name)) for name in posterior.prior_variances}
    for g, count in enumerate(counts):
        if not count:
            continue
        draw = np.sqrt(posterior.mean_variance) * rng.standard_normal((1, count)) * np.ones((space.size, 1))
        for name, variance in posterior.prior_variances.items():
            sd = np.sqrt(variance[g])
            r = rows[name]
            if r is not None:
                draw += sd * (r @ rng.standard_normal((r.shape[1], count)))
            else:
                draw += sd * rng.standard_normal((space.size, count))
        # what the trials would have shown under this draw, in the whitened coordinates of the data
        out[:, at : at + count] = posterior.mean_by[g][:, None] + _conditioned(posterior, g, draw, rng)
        at += count
    return out


def _conditioned(posterior: Posterior, g: int, draw: Floats, rng: np.random.Generator) -> Floats:
    trial_version, root, covered = posterior.trial_version, posterior.root[g], posterior.own[g]
    t = len(trial_version)
    if not t:
        return draw
    # K = versions' covariance at the trials + what trials have of their own; information A gives noise A⁻¹ on them
    own = np.linalg.cholesky(covered + 1e-10 * np.eye(t)) @ rng.standard_normal((t, draw.shape[1]))
    white = np.linalg.solve(root, draw[trial_version] + own)
    kept = posterior.kept[g]
    w, v = np.linalg.eigh(kept)
    w = np.clip(w, 0, 1)
    noisy = v @ (w[:, None] * (v.T @ white) + np.sqrt(w * (1 - w))[:, None] * rng.standard_normal((t, draw.shape[1])))
    return draw - posterior.loading[g].T @ noisy


def allot(weights: Floats, total: int) -> np.ndarray:
    """Whole numbers in proportion to the weights that add up to the total (largest remainders)."""
    exact = weights * total
    counts = np.floor(exact).astype(int)
    left = total - counts.sum()
    counts[np.argsort(-(exact - counts), kind="stable")[:left]] += 1
    return counts
