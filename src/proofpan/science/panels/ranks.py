"""Rank tests over tasters: Friedman, Kendall's W, Durbin, Page, and how far rank sums must lie apart."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtrc, fdtrc, ndtr, ndtri

from .errors import PanelError
from .exact_ranks import friedman_exact_p, page_exact_p, within_reach
from .scores import mid_ranks, score_table


@dataclass(frozen=True, eq=False)
class Friedman:
    """Do the samples differ in rank?

    Attributes:
        rank_sums: shape (samples,), 1 = lowest score.
        statistic: chi-square, corrected for ties.
        df: samples - 1.
        p: large-sample.
        iman_davenport_F: the F form, nearer to its nominal level.
        iman_davenport_p: of that F with df and df * (tasters - 1).
        p_exact: by enumeration; None with ties or when the table is too large to enumerate.
    """

    rank_sums: NDArray[np.float64]
    statistic: float
    df: int
    p: float
    iman_davenport_F: float  # noqa: N815  F is the field's letter
    iman_davenport_p: float
    p_exact: float | None


@dataclass(frozen=True)
class KendallW:
    """How far the tasters agree: `w` from 0 (not at all) to 1 (all alike), with Friedman's chi-square, df and p."""

    w: float
    statistic: float
    df: int
    p: float


@dataclass(frozen=True, eq=False)
class RankDifferences:
    """How far two rank sums must lie apart.

    Attributes:
        rank_sums: shape (samples,).
        differences: shape (samples, samples), [i, j] = rank sum i - rank sum j.
        least_significant_difference: for one pair named beforehand.
        honestly_significant_difference: for all pairs at once.
        alpha: risk for which they hold.
    """

    rank_sums: NDArray[np.float64]
    differences: NDArray[np.float64]
    least_significant_difference: float
    honestly_significant_difference: float
    alpha: float


@dataclass(frozen=True, eq=False)
class Durbin:
    """Do the samples differ in rank, when each taster had only some?

    Attributes:
        rank_sums: shape (samples,), ranks within each taster's own samples.
        statistic: chi-square, corrected for ties.
        df: samples - 1.
        p: large-sample.
        F: the F form, nearer to its nominal level.
        F_df: its two degrees of freedom.
        F_p: its p.
    """

    rank_sums: NDArray[np.float64]
    statistic: float
    df: int
    p: float
    F: float
    F_df: tuple[int, int]
    F_p: float


@dataclass(frozen=True)
class Page:
    """Do the samples rise in the order expected?

    Attributes:
        L: sum of place in the expected order times rank sum.
        z: large-sample, no continuity correction.
        p_normal: upper tail of z.
        p_exact: by enumeration; None with ties or when too large to enumerate.
    """

    L: float
    z: float
    p_normal: float
    p_exact: float | None


def friedman(scores: ArrayLike) -> Friedman:
    """Friedman's test.

    Args:
        scores: shape (tasters, samples), scores or ranks, no gaps.

    Raises:
        PanelError: not such a table.

    Source: Conover (1999), Practical Nonparametric Statistics, sec. 5.8 (mid-ranks, tie correction); F: Iman &
    Davenport (1980), Commun. Stat. A9, 571-595.
    """
    table = score_table(scores)
    tasters, samples = table.shape
    ranks = mid_ranks(table)
    sums = ranks.sum(axis=0)
    spread = float((ranks**2).sum() - tasters * samples * (samples + 1) ** 2 / 4)
    df = samples - 1
    statistic = 0.0
    if spread > 0:
        statistic = df * float(((sums - tasters * (samples + 1) / 2) ** 2).sum()) / spread
    left = tasters * df - statistic
    f = math.inf if left <= 1e-9 else (tasters - 1) * statistic / left
    exact = None
    if not has_ties(table) and within_reach(tasters, samples):
        exact = friedman_exact_p(tasters, samples, statistic)
    return Friedman(_frozen(sums), statistic, df, float(chdtrc(df, statistic)), f, _f_tail(df, df * (tasters - 1), f), exact)


def kendall_w(scores: ArrayLike) -> KendallW:
    """Kendall's coefficient of concordance, corrected for ties.

    Args:
        scores: shape (tasters, samples), no gaps.

    Raises:
        PanelError: not such a table.

    Source: Kendall & Babington Smith (1939), Ann. Math. Stat. 10, 275-287; W = chi-square / (tasters * df).
    """
    test = friedman(scores)
    tasters = len(np.asarray(scores))
    return KendallW(test.statistic / (tasters * test.df), test.statistic, test.df, test.p)


def rank_differences(scores: ArrayLike, alpha: float = 0.05) -> RankDifferences:
    """Least differences of rank sums that count as real, large-sample, without correction for ties.

    Args:
        scores: shape (tasters, samples), no gaps.
        alpha: risk, between 0 and 1.

    Raises:
        PanelError: not such a table, or alpha out of range.

    Source: ISO 8587:2006 (LSD = z sqrt(n k (k+1) / 6)); Nemenyi (1963), HSD = q sqrt(n k (k+1) / 12).
    """
    table = score_table(scores)
    if not 0 < alpha < 1:
        raise PanelError(f"alpha must lie between 0 and 1, not {alpha}.")
    tasters, samples = table.shape
    sums = mid_ranks(table).sum(axis=0)
    size = tasters * samples * (samples + 1)
    return RankDifferences(
        rank_sums=_frozen(sums),
        differences=_frozen(sums[:, None] - sums[None, :]),
        least_significant_difference=float(ndtri(1 - alpha / 2)) * math.sqrt(size / 6),
        honestly_significant_difference=normal_range_critical(samples, alpha) * math.sqrt(size / 12),
        alpha=alpha,
    )


def durbin(scores: ArrayLike) -> Durbin:
    """Durbin's test for incomplete blocks.

    Args:
        scores: shape (tasters, samples), nan or None where a taster didn't get a sample; each taster the same number
            of samples, each sample equally often.

    Raises:
        PanelError: not such a table.

    Source: Conover (1999), sec. 5.8, with its correction for ties; Durbin (1951), Br. J. Psychol. 4, 85-90.
    """
    try:
        table = np.asarray(scores, dtype=float)
    except (TypeError, ValueError) as error:
        raise PanelError("Scores must be a table of numbers, empty where a taster didn't get a sample.") from error
    if table.ndim != 2 or min(table.shape) < 2:
        raise PanelError("Scores must be a table of at least two tasters and two samples.")
    tasted = ~np.isnan(table)
    per_taster, per_sample = tasted.sum(axis=1), tasted.sum(axis=0)
    if np.ptp(per_taster) or np.ptp(per_sample) or per_taster[0] < 2:
        raise PanelError("Each taster needs the same number of samples (two or more), each sample equally often.")
    blocks, samples = table.shape
    size, times = int(per_taster[0]), int(per_sample[0])
    ranks = mid_ranks(table)
    sums = np.nansum(ranks, axis=0)
    spread = float(np.nansum(ranks**2) - blocks * size * (size + 1) ** 2 / 4)
    df = samples - 1
    statistic = df * float(((sums - times * (size + 1) / 2) ** 2).sum()) / spread if spread > 0 else 0.0
    f_df = (df, blocks * size - blocks - samples + 1)
    left = blocks * (size - 1) - statistic
    f = math.inf if left <= 1e-9 else statistic / df / (left / f_df[1]) if f_df[1] > 0 else math.nan
    return Durbin(_frozen(sums), statistic, df, float(chdtrc(df, statistic)), f, f_df, _f_tail(*f_df, f))


def page(scores: ArrayLike) -> Page:
    """Page's test of a rise along an order named beforehand.

    Args:
        scores: shape (tasters, samples), columns in the expected rising order, no gaps.

    Raises:
        PanelError: not such a table.

    Source: Page (1963), J. Am. Stat. Assoc. 58, 216-230; ISO 8587:2006.
    """
    table = score_table(scores, columns=3)
    tasters, samples = table.shape
    total = float(mid_ranks(table).sum(axis=0) @ np.arange(1, samples + 1))
    mean = tasters * samples * (samples + 1) ** 2 / 4
    sd = math.sqrt(tasters * (samples**3 - samples) ** 2 / (144 * (samples - 1)))
    z = (total - mean) / sd
    exact = None if has_ties(table) or samples > 12 else page_exact_p(tasters, samples, total)
    return Page(total, z, float(ndtr(-z)), exact)


def has_ties(table: NDArray[np.float64]) -> bool:
    """Whether any taster gave two samples the same score."""
    ordered = np.sort(table, axis=1)
    return bool((ordered[:, 1:] == ordered[:, :-1]).any())


def normal_range_critical(k: int, alpha: float) -> float:
    """Q with P(range of k standard normals > q) = alpha: the studentized range with endless degrees of freedom."""
    nodes, weights = np.polynomial.legendre.leggauss(200)
    z = 9 * nodes

    def tail(q: float) -> float:
        density = np.exp(-0.5 * z**2) / math.sqrt(2 * math.pi)
        return 1 - float((k * density * (ndtr(z + q) - ndtr(z)) ** (k - 1) * weights).sum() * 9)

    from scipy.optimize import brentq  # a quarter of a second to import, and few calls need it

    return float(brentq(lambda q: tail(q) - alpha, 1e-9, 20.0, xtol=1e-12))


def _f_tail(df1: int, df2: int, f: float) -> float:
    if math.isnan(f) or df2 < 1:
        return math.nan
    return 0.0 if math.isinf(f) else float(fdtrc(df1, df2, f))


def _frozen(values: NDArray[np.float64]) -> NDArray[np.float64]:
    values = np.array(values, dtype=float)
    values.flags.writeable = False
    return values
