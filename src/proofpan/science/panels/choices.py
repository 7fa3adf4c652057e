"""Choices and yes-or-no answers: Cochran's Q over tasters, Bradley-Terry abilities from paired preferences."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtrc, ndtri

from .errors import PanelError
from .scores import score_table


@dataclass(frozen=True)
class CochranQ:
    """Do the samples differ in how often they got a yes? Chi-square `statistic` with `df` = samples - 1, and `p`."""

    statistic: float
    df: int
    p: float


@dataclass(frozen=True, eq=False)
class BradleyTerry:
    """Abilities from paired preferences: i is preferred to j with odds exp(ability[i] - ability[j]).

    Attributes:
        ability: shape (samples,), natural log, the reference 0.
        se: of the difference from the reference, which itself has 0.
        low: lower end of the interval of the ability.
        high: its upper end.
        covariance: shape (samples, samples), zero for the reference.
        deviance: how ill the model fits, pairs as binomials.
        residual_df: pairs compared less samples - 1.
        residual_p: small when preferences go in circles more than chance makes them.
        overall_statistic: likelihood-ratio chi-square of "all alike".
        overall_df: samples - 1.
        overall_p: its p.
        level: of the interval.
    """

    ability: NDArray[np.float64]
    se: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    covariance: NDArray[np.float64]
    deviance: float
    residual_df: int
    residual_p: float | None
    overall_statistic: float
    overall_df: int
    overall_p: float
    level: float


def cochran_q(answers: ArrayLike) -> CochranQ:
    """Cochran's Q.

    Args:
        answers: shape (tasters, samples), 0 or 1, no gaps; tasters who answered all alike carry nothing.

    Raises:
        PanelError: not such a table.

    Source: Cochran (1950), Biometrika 37, 256-266; Conover (1999), sec. 4.6.
    """
    table = score_table(answers, rows=1)
    if not np.isin(table, (0.0, 1.0)).all():
        raise PanelError("Answers must be 0 or 1.")
    samples = table.shape[1]
    columns, rows, total = table.sum(axis=0), table.sum(axis=1), float(table.sum())
    spread = samples * total - float((rows**2).sum())
    df = samples - 1
    statistic = df * (samples * float((columns**2).sum()) - total**2) / spread if spread > 0 else 0.0
    return CochranQ(statistic, df, float(chdtrc(df, statistic)))


def bradley_terry(wins: ArrayLike, reference: int = 0, level: float = 0.95) -> BradleyTerry:
    """Maximum-likelihood abilities.

    Args:
        wins: shape (samples, samples), [i, j] = times i was preferred to j; the diagonal is 0. Pairs never compared
            are left out.
        reference: number of the sample whose ability is 0.
        level: of the intervals, between 0 and 1.

    Raises:
        PanelError: not such a table, or samples that never lose or are never compared, whose ability has no bound.

    Source: Bradley & Terry (1952), Biometrika 39, 324-345; existence: Ford (1957), Am. Math. Mon. 64(8), 28-33.
    """
    table = score_table(wins)
    samples = len(table)
    if table.shape[1] != samples or (table < 0).any() or np.diag(table).any():
        raise PanelError("Wins must be a square table of counts with an empty diagonal.")
    if not 0 <= reference < samples:
        raise PanelError(f"The reference must be a sample from 0 to {samples - 1}, not {reference}.")
    if not 0 < level < 1:
        raise PanelError(f"level must lie between 0 and 1, not {level}.")
    _check_bounded(table)
    i, j = np.triu_indices(samples, 1)
    won, played = table[i, j], table[i, j] + table[j, i]
    met = played > 0
    i, j, won, played = i[met], j[met], won[met], played[met]
    contrast = np.zeros((len(i), samples))
    contrast[np.arange(len(i)), i], contrast[np.arange(len(i)), j] = 1.0, -1.0
    free = np.arange(samples) != reference
    x = contrast[:, free]
    ability, information = _newton(x, won, played)
    odds = 1 / (1 + np.exp(-x @ ability))
    covariance = np.zeros((samples, samples))
    covariance[np.ix_(free, free)] = np.linalg.inv(information)
    full = np.zeros(samples)
    full[free] = ability
    se = np.sqrt(np.diag(covariance))
    reach = float(ndtri((1 + level) / 2)) * se
    deviance = _deviance(won, played, odds)
    df = len(i) - (samples - 1)
    overall = _deviance(won, played, np.full(len(i), 0.5)) - deviance
    return BradleyTerry(
        ability=_frozen(full),
        se=_frozen(se),
        low=_frozen(full - reach),
        high=_frozen(full + reach),
        covariance=_frozen(covariance),
        deviance=deviance,
        residual_df=df,
        residual_p=float(chdtrc(df, deviance)) if df > 0 else None,
        overall_statistic=overall,
        overall_df=samples - 1,
        overall_p=float(chdtrc(samples - 1, max(0.0, overall))),
        level=level,
    )


def _newton(
    x: NDArray[np.float64], won: NDArray[np.float64], played: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Abilities and information of the concave log-likelihood; a step that goes down is halved."""

    def loglik(b: NDArray[np.float64]) -> float:
        eta = x @ b
        return float((won * eta - played * np.logaddexp(0, eta)).sum())

    ability = np.zeros(x.shape[1])
    height = loglik(ability)
    for _ in range(100):
        odds = 1 / (1 + np.exp(-x @ ability))
        information = x.T @ (x * (played * odds * (1 - odds))[:, None])
        step = np.linalg.solve(information, x.T @ (won - played * odds))
        while (new := loglik(ability + step)) < height - 1e-9 * abs(height):
            step = step / 2
        ability, height = ability + step, new
        if np.abs(step).max() < 1e-12:
            break
    return ability, information


def _deviance(won: NDArray[np.float64], played: NDArray[np.float64], odds: NDArray[np.float64]) -> float:
    total = 0.0
    for count, expected in ((won, played * odds), (played - won, played * (1 - odds))):
        some = count > 0
        total += 2 * float((count[some] * np.log(count[some] / expected[some])).sum())
    return max(0.0, total)


def _check_bounded(wins: NDArray[np.float64]) -> None:
    """Each sample must be linked to each other by a chain of wins, or some ability runs off to infinity (Ford 1957)."""
    reach = (wins > 0) | np.eye(len(wins), dtype=bool)
    for _ in range(int(math.ceil(math.log2(len(wins)))) + 1):
        reach = (reach.astype(int) @ reach.astype(int)) > 0
    if not reach.all():
        winner, loser = np.argwhere(~reach)[0]
        raise PanelError(
            f"Sample {winner} was never preferred to sample {loser}, not even by way of others: "
            "how far apart they are has no bound from these answers."
        )


def _frozen(values: NDArray[np.float64]) -> NDArray[np.float64]:
    values.flags.writeable = False
    return values
