"""What the scores say of every version: a mixture of Gaussians, one for each plausible setting of the spreads."""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from .design import factors_of
from .space import Floats, Ints, VersionSpace


@dataclass(frozen=True, eq=False)
class Taster:
    """How one taster's scores vary: noise of a score with its interval, level against the others, odds of being a dud."""

    number: int
    noise: float
    low: float
    high: float
    level: float
    dud_odds: float


@dataclass(frozen=True, eq=False)
class Posterior:
    """Posterior of all versions' scores (of tasters in general).

    Attributes:
        space: the versions.
        weights: shape (g,), of the settings; they sum to 1.
        mean_by: shape (g, n).
        prior_variances: name → shape (g,), variance of each group of effects.
        loading: shape (g, t, n) and `kept` (g, t, t): the data take loading′ kept loading off the prior covariance.
        settings: name → shape (g,), standard deviations.
        spreads: name → (estimate, low, high) at 95 in 100.
        idle_odds: per factor.
        tasters: one a taster.
        extra: shape (g,), variance added to each version on its own (readers differ as tasters do).
        palates: number of tasters heard.
        spoilt_odds: trial number → odds that it went wrong unnoticed.
        trial_version, root, own: version of each trial (t,), root of the trials' prior covariance (g, t, t), and what of that covariance is
            the trials' own (oven load, tray, lot …), for joint draws over very many versions.
    """

    space: VersionSpace
    weights: Floats
    mean_by: Floats
    prior_variances: dict[str, Floats]
    mean_variance: float
    loading: Floats
    kept: Floats
    settings: dict[str, Floats]
    spreads: dict[str, tuple[float, float, float]]
    idle_odds: tuple[float, ...]
    tasters: tuple[Taster, ...]
    extra: Floats = field(default_factory=lambda: np.zeros(1))
    palates: int = 1
    spoilt_odds: dict[int, float] = field(default_factory=dict)
    trial_version: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    root: Floats = field(default_factory=lambda: np.zeros((1, 0, 0)))
    own: Floats = field(default_factory=lambda: np.zeros((1, 0, 0)))

    @cached_property
    def mean(self) -> Floats:
        """Expected score of each version, shape (n,)."""
        return self.weights @ self.mean_by

    @cached_property
    def var_by(self) -> Floats:
        """Variance of each version's score on these tasters' own use of the scale (g, n): how high tasters in general score is left out."""
        n = self.space.size
        alone = n == 1
        prior = np.full((len(self.weights), n), self.mean_variance if alone else 0.0)
        for name, variance in self.prior_variances.items():
            prior += variance[:, None] * self._prior_diagonal(name)[None, :]
        loading = self.loading if alone else self.loading - self.loading.mean(2, keepdims=True)
        off = np.einsum("gtn,gtn->gn", self.kept @ loading, loading)
        return np.maximum(prior + self.extra[:, None] - off, 1e-12)

    def _prior_diagonal(self, name: str) -> Floats:
        """Prior variance of a version about the average version, for a spread of one."""
        size = lambda rows: ((rows - rows.mean(0)) ** 2).sum(1)  # noqa: E731
        rows = self.space.rows_of(factors_of(name))
        if rows is not None:
            return size(rows)
        return np.full(self.space.size, 1.0 - 1.0 / self.space.size)

    @cached_property
    def cov_by(self) -> Floats:
        """Covariance of the versions' scores for each setting, shape (g, n, n)."""
        return self.cov_of(np.arange(len(self.weights)), np.arange(self.space.size))

    def cov_of(self, settings: NDArray, rows: NDArray) -> Floats:
        """Covariance of some versions' scores for some settings, shape (settings, rows, rows)."""
        mains = [r[rows] @ r[rows].T for r in self.space.centred]
        cov = np.full((len(settings), len(rows), len(rows)), self.mean_variance)
        for name, variance in self.prior_variances.items():
            of = factors_of(name)
            kernel = np.prod([mains[a] for a in of], axis=0) if of else np.eye(len(rows))
            cov += variance[settings][:, None, None] * kernel
        load = self.loading[settings][:, :, rows]
        cov -= np.swapaxes(load, 1, 2) @ (self.kept[settings] @ load)
        cov[:, range(len(rows)), range(len(rows))] += self.extra[settings][:, None] + 1e-10
        return cov

    @cached_property
    def sd(self) -> Floats:
        """Standard deviation of each version's score, shape (n,)."""
        return np.sqrt(np.maximum(self.weights @ (self.var_by + self._levelled**2) - self.mean**2, 1e-12))

    @cached_property
    def _levelled(self) -> Floats:
        """Means by setting, all about the same level."""
        if self.space.size == 1:
            return self.mean_by
        return self.mean_by - self.mean_by.mean(1, keepdims=True) + self.mean.mean()

    def interval(self, level: float = 0.95) -> tuple[Floats, Floats]:
        """Equal-tailed interval of each version's score, each of shape (n,)."""
        sds = np.sqrt(self.var_by)
        tail = (1 - level) / 2
        return mixture_quantile(tail, self.weights, self._levelled, sds), mixture_quantile(
            1 - tail, self.weights, self._levelled, sds
        )

    def contrast_prior(self, weights: Floats) -> Floats:
        """Variance of Σ weights·score before any score, for each setting, shape (g,)."""
        return self._before(np.atleast_2d(np.asarray(weights, dtype=np.float64)))[:, 0]

    def contrast_by(self, weights: Floats) -> tuple[Floats, Floats]:
        """Mean and variance of Σ weights·score for each setting, each of shape (g,)."""
        means, variances = self.contrasts_by(np.atleast_2d(np.asarray(weights, dtype=np.float64)))
        return means[:, 0], variances[:, 0]

    def contrasts_by(self, weights: Floats) -> tuple[Floats, Floats]:
        """The same for m differences at once: weights (m, n), each result (g, m)."""
        load = self.loading @ weights.T
        off = (np.matmul(self.kept, load) * load).sum(1)
        return self.mean_by @ weights.T, np.maximum(self._before(weights) - off, 1e-12)

    def _before(self, weights: Floats) -> Floats:
        """Variances before any score of m differences, shape (g, m)."""
        on = np.flatnonzero(weights.any(0))
        own, centred = weights[:, on], [rows[on] for rows in self.space.centred]
        out = self.mean_variance * weights.sum(1) ** 2 + np.outer(self.extra, (own**2).sum(1))
        for name, variance in self.prior_variances.items():
            of = factors_of(name)
            if len(of) == 1:
                size = ((own @ centred[of[0]]) ** 2).sum(1)
            elif len(of) == 2:
                # Σ w_i·a_i·b_i for every pair of options at once: two small products, no array of all their combinations
                first = own[:, :, None] * centred[of[0]]
                size = ((np.swapaxes(first, 1, 2) @ centred[of[1]]) ** 2).sum((1, 2))
            else:
                size = (own**2).sum(1)
            out = out + np.outer(variance, size)
        return out

    def trial_variance(self, tasters: int = 0, passes: int = 1) -> Floats:
        """Variance of a further trial's mean score about its version, within a load, for each setting, shape (g,)."""
        part, who = self.settings, tasters or self.palates
        return part["trial"] ** 2 + (part["taster_version"] ** 2 + part["noise"] ** 2 / passes) / who

    def readers(self) -> "Posterior":
        """The same for readers, who differ as tasters do.

        That tasters are a sample of palates is in every posterior. What is added is that n of them tell little about how palates differ: the
        taster×version variance over n², all of it again for one taster, next to nothing for a dozen.
        """
        add = self.settings["taster_version"] ** 2 / max(self.palates, 1) ** 2
        return replace(self, extra=self.extra + add)


def mixture_quantile(level: float | Floats, weights: Floats, means: Floats, sds: Floats) -> Floats:
    """Quantile of mixtures of Gaussians: means, sds of shape (g, n), level one or (n,), result (n,); Newton steps held inside a shrinking bracket."""
    centre = weights @ means
    spread = np.sqrt(np.maximum(weights @ (sds**2 + means**2) - centre**2, 1e-18))
    x = centre + ndtri(level) * spread
    low, high = (means - 9 * sds).min(0), (means + 9 * sds).max(0)
    for _ in range(40):
        z = (x - means) / sds
        over = weights @ ndtr(z) - level
        low, high = np.where(over < 0, x, low), np.where(over < 0, high, x)
        density = weights @ (np.exp(-0.5 * z**2) / sds) / np.sqrt(2 * np.pi)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = x - over / density
        inside = (step > low) & (step < high)
        new = np.where(inside, step, (low + high) / 2)
        if np.abs(new - x).max(initial=0.0) < 1e-9 * max(1.0, float(spread.max(initial=0.0))):
            return new
        x = new
    return x
