"""Exact distributions of rank sums when nobody can tell the samples apart and no ranks are tied."""

import math
from functools import lru_cache
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from .errors import PanelError

MOST_STEPS = 9e7
"""State-by-permutation steps, as `steps` guesses them, that are bearable (half a minute); a tenth part is quick."""


def friedman_exact_p(tasters: int, samples: int, statistic: float) -> float:
    """P(Friedman's statistic >= the one given), by enumeration without ties.

    Args:
        tasters: 2 or more.
        samples: 2 or more.
        statistic: as printed; a value rounded to two decimals is taken for the attainable one next to it.

    Raises:
        PanelError: numbers too small, or too large to enumerate.

    Source: Friedman (1937), J. Am. Stat. Assoc. 32, 675-701; tables of Owen (1962) have the same figures.
    """
    states, odds = rank_sum_states(tasters, samples)
    size = tasters * samples * (samples + 1)
    values = 12 * (states.astype(float) ** 2).sum(axis=1) / size - 3 * tasters * (samples + 1)
    slack = min(0.005, 6 / size) + 1e-9  # half a step of the lattice is 12 / size
    return min(1.0, float(odds[values >= statistic - slack].sum()))


def rank_range_critical(tasters: int, samples: int, alpha: float) -> int | None:
    """Smallest r with P(largest - smallest rank sum >= r) <= alpha; replaces Kramer's limits.

    Args:
        tasters: 2 or more.
        samples: 2 or more.
        alpha: risk, between 0 and 1.

    Returns:
        The range, or None when even the largest possible isn't rare enough.

    Raises:
        PanelError: an argument out of range, or numbers too large to enumerate.

    Source: Newell & MacFarlane (1987), J. Food Sci. 52, 1721-1725; exact enumeration.
    """
    _check_alpha(alpha)
    states, odds = rank_sum_states(tasters, samples)
    span = states[:, -1] - states[:, 0]
    return _smallest(np.bincount(span, odds).astype(float), alpha)


def page_exact_p(tasters: int, samples: int, total: float) -> float:
    """P(Page's L >= the one given), exact without ties. Source: Page (1963), J. Am. Stat. Assoc. 58, 216-230."""
    odds = page_distribution(tasters, samples)
    return min(1.0, float(odds[max(0, math.ceil(total - 1e-9)) :].sum()))


def page_critical(tasters: int, samples: int, alpha: float) -> int | None:
    """Smallest L with P(L >= value) <= alpha, exact without ties; None when there is none.

    Args:
        tasters: 1 or more.
        samples: 2 to 12.
        alpha: risk, between 0 and 1.

    Raises:
        PanelError: an argument out of range.

    Source: Page (1963), J. Am. Stat. Assoc. 58, 216-230; ISO 8587:2006 table.
    """
    _check_alpha(alpha)
    return _smallest(page_distribution(tasters, samples), alpha)


@lru_cache(maxsize=32)
def page_distribution(tasters: int, samples: int) -> NDArray[np.float64]:
    """Odds of each L from 0 up: one taster's by a walk over sets of ranks used, then one convolution a taster."""
    if tasters < 1 or not 2 <= samples <= 12:
        raise PanelError(f"Page's exact test takes 1 or more tasters and 2 to 12 samples, not {tasters} and {samples}.")
    top = samples * (samples + 1) * (2 * samples + 1) // 6
    ways = {0: np.eye(1, top + 1)[0]}
    for place in range(1, samples + 1):
        following: dict[int, NDArray[np.float64]] = {}
        for used, counts in ways.items():
            for rank in range(1, samples + 1):
                if used >> rank & 1:
                    continue
                moved = np.zeros(top + 1)
                moved[place * rank :] = counts[: top + 1 - place * rank]
                key = used | 1 << rank
                following[key] = following[key] + moved if key in following else moved
        ways = following
    one = next(iter(ways.values())) / math.factorial(samples)
    odds = np.ones(1)
    for _ in range(tasters):
        odds = np.convolve(odds, one)
    odds.flags.writeable = False
    return odds


def within_reach(tasters: int, samples: int) -> bool:
    """Whether the rank sums of such a table are enumerated in a second or so."""
    return steps(tasters, samples) < MOST_STEPS / 10


def steps(tasters: int, samples: int) -> float:
    """A guess of the steps an enumeration takes: about one in `samples`! of the cube of sums, times the orders."""
    cube = (samples - 1) * math.log(tasters * (samples - 1) + 1)
    return math.inf if samples > 7 else math.exp(cube) * tasters / (2 * samples)


@lru_cache(maxsize=16)
def rank_sum_states(tasters: int, samples: int) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Every set of rank sums (sorted within a row) and its odds, one taster added at a time.

    Samples are exchangeable when nobody can tell them apart, so sorted sums are enough.

    Raises:
        PanelError: numbers too small, or too large to enumerate.
    """
    if tasters < 1 or samples < 2:
        raise PanelError(f"Ranks need at least one taster and two samples, not {tasters} and {samples}.")
    if steps(tasters, samples) > MOST_STEPS:
        raise PanelError(f"{samples} samples with {tasters} tasters are too many to enumerate; use the large-sample p.")
    orders = np.array(list(permutations(range(1, samples + 1))), dtype=np.int64)
    base = (tasters * samples + 1) ** np.arange(samples - 1, dtype=np.int64)
    states, odds = np.arange(1, samples + 1)[None, :], np.ones(1)
    for _ in range(tasters - 1):
        states, odds = _with_one_more(states, odds, orders, base)
    states.flags.writeable = odds.flags.writeable = False
    return states, odds


def _with_one_more(
    states: NDArray[np.int64], odds: NDArray[np.float64], orders: NDArray[np.int64], base: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """The states after one more taster; in pieces, so that memory stays small."""
    piece = max(1, 2_000_000 // len(orders))
    found: list[NDArray[np.int64]] = []
    weights: list[NDArray[np.float64]] = []
    for start in range(0, len(states), piece):
        sums = np.sort((states[start : start + piece, None, :] + orders).reshape(-1, orders.shape[1]), axis=1)
        _, first, where = np.unique(sums[:, :-1] @ base, return_index=True, return_inverse=True)
        found.append(sums[first])
        share = np.repeat(odds[start : start + piece], len(orders)) / len(orders)
        weights.append(np.bincount(where, share).astype(float))
    merged, weight = np.concatenate(found), np.concatenate(weights)
    _, first, where = np.unique(merged[:, :-1] @ base, return_index=True, return_inverse=True)
    return merged[first], np.bincount(where, weight).astype(float)


def _smallest(odds: NDArray[np.float64], alpha: float) -> int | None:
    """Smallest value whose upper tail is at most alpha and that can happen at all."""
    tail = np.cumsum(odds[::-1])[::-1]
    rare = np.flatnonzero((tail <= alpha * (1 + 1e-12)) & (tail > 1e-300))
    if not rare.size:
        return None
    possible = np.flatnonzero(odds > 0)
    return int(rare[0]) if rare[0] <= possible[-1] else None


def _check_alpha(alpha: float) -> None:
    if not 0 < alpha < 1:
        raise PanelError(f"alpha must lie between 0 and 1, not {alpha}.")
