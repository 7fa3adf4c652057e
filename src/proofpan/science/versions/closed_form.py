"""Closed forms with known variances: posterior, odds of the best, knowledge gradient, expected maximum."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike
from scipy.linalg import cho_factor, cho_solve
from scipy.special import log_ndtr, ndtr

from .space import Floats, VersionsError


@dataclass(frozen=True, eq=False)
class KnownPosterior:
    """Versions (tuples of level numbers, last factor fastest), mean (n,), sd (n,), cov (n, n), log density of the values."""

    versions: tuple[tuple[int, ...], ...]
    mean: Floats
    sd: Floats
    cov: Floats
    log_evidence: float


def known_posterior(
    levels: Sequence[int], observations: Sequence[Mapping], *, mean: float, mean_sd: float,
    main_sd: float | Sequence[float], pair_sd: float, effects: str = "centred", load_sd: float = 0.0,
    cook_sd: float = 0.0, taster_sd: float = 0.0,
) -> KnownPosterior:
    """Posterior of every version when all variances are known.

    Parameters:
        levels: options a factor.
        observations: each {version, value, noise_sd} and, where it shares one, load, cook or taster.
        mean, mean_sd, main_sd (one or one a factor), pair_sd: of the prior, points.
        effects: "independent" or "centred" (each factor's options add up to nothing).
        load_sd, cook_sd, taster_sd: of what observations share.

    Raises: VersionsError for other effects.
    Source: Gaussian conditioning, e.g. Rasmussen & Williams 2006, eq. 2.22–2.24 and 2.30.
    """
    if effects not in ("independent", "centred"):
        raise VersionsError('effects must be "independent" or "centred".')
    versions = tuple(product(*[range(n) for n in levels]))
    v = np.array(versions, dtype=int).reshape(len(versions), len(levels))
    sds = np.broadcast_to(np.asarray(main_sd, dtype=float), (len(levels),))
    same = [
        (v[:, a, None] == v[None, :, a]) - (1.0 / n if effects == "centred" else 0.0) for a, n in enumerate(levels)
    ]
    cov = np.full((len(v), len(v)), float(mean_sd) ** 2)
    for a in range(len(levels)):
        cov += sds[a] ** 2 * same[a]
        for b in range(a + 1, len(levels)):
            cov += pair_sd**2 * same[a] * same[b]
    if not observations:
        return KnownPosterior(versions, np.full(len(v), float(mean)), np.sqrt(np.diag(cov)), cov, 0.0)
    where = {k: i for i, k in enumerate(versions)}
    at = np.array([where[tuple(int(x) for x in o["version"])] for o in observations])
    y = np.array([float(o["value"]) for o in observations])
    noise = np.diag([float(o["noise_sd"]) ** 2 for o in observations])
    for key, sd in (("load", load_sd), ("cook", cook_sd), ("taster", taster_sd)):
        names = [o.get(key) for o in observations]
        shared = [[a is not None and a == b for b in names] for a in names]
        noise += (sd or 0.0) ** 2 * np.array(shared, dtype=float)
    total = cho_factor(cov[np.ix_(at, at)] + noise, lower=True)
    gain = cho_solve(total, cov[at]).T
    post = cov - gain @ cov[at]
    post = (post + post.T) / 2
    r = y - mean
    evidence = -0.5 * (r @ cho_solve(total, r) + 2 * np.log(np.diag(total[0])).sum() + len(y) * np.log(2 * np.pi))
    return KnownPosterior(versions, mean + gain @ r, np.sqrt(np.maximum(np.diag(post), 0)), post, float(evidence))


def expected_maximum(k: int) -> float:
    """Mean of the largest of k independent standard normals; quadrature (Harter 1961, Biometrika 48:151, tabulates it)."""
    if k < 1:
        raise VersionsError("k must be 1 or more.")
    x = np.linspace(-12, 12, 24001)
    density = np.exp(np.log(k) - 0.5 * x**2 - 0.5 * np.log(2 * np.pi) + (k - 1) * log_ndtr(x))
    return float((x * density).sum() * (x[1] - x[0]))


def sample_value(difference: float, sd: float, noise_variance: float) -> tuple[float, float]:
    """Value of one noisy look at a version against a known alternative, and the sd by which its mean will move.

    Source: Gupta & Miescke 1996; Frazier, Powell & Dayanik 2008: change·f(−|difference|/change), f(z) = zΦ(z) + φ(z).
    """
    change = sd**2 / np.sqrt(sd**2 + noise_variance)
    z = -abs(difference) / change
    return float(change * (z * ndtr(z) + np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))), float(change)


def expected_max_of_lines(a: Floats, b: Floats) -> float:
    """E max_i (a_i + b_i Z), Z standard normal; exact, from the upper envelope (Frazier, Powell & Dayanik 2009, algorithm 1)."""
    order = np.lexsort((a, b))
    a, b = a[order], b[order]
    last = np.append(b[1:] != b[:-1], True)
    a, b = a[last], b[last]
    kept, cuts = [0], [-np.inf]
    for i in range(1, len(a)):
        while True:
            j = kept[-1]
            cut = (a[j] - a[i]) / (b[i] - b[j])
            if len(kept) > 1 and cut <= cuts[-1]:
                kept.pop()
                cuts.pop()
                continue
            break
        kept.append(i)
        cuts.append(cut)
    a, b = a[kept], b[kept]
    low = np.array(cuts)
    high = np.append(low[1:], np.inf)
    phi = lambda x: np.exp(-0.5 * x**2) / np.sqrt(2 * np.pi)  # noqa: E731
    return float((a * (ndtr(high) - ndtr(low)) + b * (phi(low) - phi(high))).sum())


def knowledge_gradient(mean: ArrayLike, cov: ArrayLike, noise_variance: ArrayLike) -> tuple[Floats, Floats]:
    """Value of one noisy look at each version, (n,), and how far each look would move every mean, (n, n), row = the one looked at.

    Source: Frazier, Powell & Dayanik 2009, INFORMS J. Comput. 21:599.
    """
    m, c = np.asarray(mean, dtype=float), np.asarray(cov, dtype=float)
    noise = np.broadcast_to(np.asarray(noise_variance, dtype=float), m.shape)
    total = np.diag(c) + noise
    change = np.where(total[:, None] > 0, c / np.sqrt(np.maximum(total, 1e-300))[:, None], 0.0)
    return np.array([expected_max_of_lines(m, row) - m.max() for row in change]), change


@dataclass(frozen=True, eq=False)
class KnownOdds:
    """Odds of being best and of lying within worth of it, (n,) each, expected best and expected loss (n,)."""

    odds_best: Floats
    odds_within_worth: Floats
    expected_best: float
    expected_loss: Floats


def known_odds(mean: ArrayLike, cov: ArrayLike, worth: float, *, points: int = 0) -> KnownOdds:
    """Odds over versions with one known Gaussian.

    Parameters: mean, shape (n,); cov, shape (n, n); worth, points; points, of the Sobol rule (0: as many as n allows in about a second).

    Method: along the direction of largest spread each version's score is a line, so that the stretch on which it is best (or
    within worth) is
        exact; the other directions by scrambled Sobol points (Owen 1998). Two versions in closed form (Clark 1961, Operations
        Research 9:145).
    """
    m, c = np.asarray(mean, dtype=float), np.asarray(cov, dtype=float)
    n = len(m)
    if n == 1:
        return KnownOdds(np.ones(1), np.ones(1), float(m[0]), np.zeros(1))
    if n == 2:
        return _two(m, c, worth)
    centre = np.eye(n) - 1.0 / n
    w, u = np.linalg.eigh(centre @ c @ centre)
    root = u * np.sqrt(np.maximum(w, 0))
    lines = root[:, -1]
    count = points or 1 << int(np.clip(np.log2(4e7 / n**2), 10, 17))
    z = _sobol_normals(n - 1, count)
    best, within, top = np.zeros(n), np.zeros(n), 0.0
    for part in np.array_split(m + z @ root[:, :-1].T, max(1, count * n * n // (1 << 22))):
        low, high = _stretches(part, lines, 0.0)
        share = np.maximum(ndtr(high) - ndtr(low), 0)
        best += share.sum(0)
        ends = np.where(high > low, _density(low) - _density(high), 0.0)
        top += float((share * part + ends * lines).sum())
        low, high = _stretches(part, lines, worth)
        within += np.maximum(ndtr(high) - ndtr(low), 0).sum(0)
    total = best.sum()
    expected = top / count
    return KnownOdds(best / total, within / count, expected, expected - m)


def _density(x: Floats) -> Floats:
    return np.exp(-0.5 * x**2) / np.sqrt(2 * np.pi)


def _stretches(at: Floats, slope: Floats, worth: float) -> tuple[Floats, Floats]:
    """Ends of the stretch of t on which at_i + slope_i t is within `worth` of every other line; at, shape (p, n), both ends (p, n)."""
    steeper = slope[:, None] - slope[None, :]
    with np.errstate(divide="ignore", invalid="ignore"):
        cut = (at[:, None, :] - at[:, :, None] - worth) / steeper
    low = np.where(steeper > 0, cut, -np.inf).max(2)
    high = np.where(steeper < 0, cut, np.inf).min(2)
    never = ((steeper == 0) & (at[:, None, :] - at[:, :, None] > worth)).any(2)
    return np.where(never, np.inf, low), np.where(never, -np.inf, high)


def _sobol_normals(n: int, count: int) -> Floats:
    from scipy.special import ndtri
    from scipy.stats import qmc  # costs a second to import

    u = qmc.Sobol(n, rng=np.random.default_rng(5)).random(count)
    return ndtri(np.clip(u, 1e-12, 1 - 1e-12))


def _two(m: Floats, c: Floats, worth: float) -> KnownOdds:
    s = float(np.sqrt(max(c[0, 0] + c[1, 1] - 2 * c[0, 1], 0.0)))
    d = m[0] - m[1]
    if s == 0:
        first = 1.0 if d > 0 else 0.5 if d == 0 else 0.0
        expected = float(m.max())
        return KnownOdds(np.array([first, 1 - first]), np.array([d >= -worth, -d >= -worth], dtype=float), expected, expected - m)
    z = d / s
    expected = float(m[0] * ndtr(z) + m[1] * ndtr(-z) + s * np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))
    within = np.array([ndtr((d + worth) / s), ndtr((worth - d) / s)])
    return KnownOdds(np.array([ndtr(z), ndtr(-z)]), within, expected, expected - m)
