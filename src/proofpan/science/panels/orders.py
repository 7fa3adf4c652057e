"""Serving orders: which plate comes when, for each taster, so that neither place nor the plate before decides."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import PanelError

CANDIDATES = 200
"""Ways of filling the last, incomplete set of rows that are compared."""


@dataclass(frozen=True, eq=False)
class ServingOrders:
    """One order a taster, with the counts that show how well balanced they are.

    Attributes:
        orders: shape (tasters, plates), sample numbers from 0, read-only; row = taster, column = place in the order.
        samples: how many samples there are; more than `plates` when each taster gets only some.
    """

    orders: NDArray[np.int64]
    samples: int

    @property
    def rows_for_balance(self) -> int:
        """The least number of tasters for which a complete set of orders balances."""
        return williams_rows(self.samples)

    @cached_property
    def position_counts(self) -> NDArray[np.int64]:
        """Shape (samples, plates): times each sample stands in each place."""
        counts = np.zeros((self.samples, self.orders.shape[1]), dtype=np.int64)
        for place, column in enumerate(self.orders.T):
            counts[:, place] = np.bincount(column, minlength=self.samples)
        counts.flags.writeable = False
        return counts

    @cached_property
    def follows_counts(self) -> NDArray[np.int64]:
        """Shape (samples, samples): [i, j] = times j comes straight after i."""
        counts = follow_counts(self.orders, self.samples)
        counts.flags.writeable = False
        return counts

    @property
    def position_counts_differ_by(self) -> int:
        """Largest less smallest of `position_counts`."""
        return int(np.ptp(self.position_counts))

    @property
    def follows_counts_differ_by(self) -> int:
        """Largest less smallest of `follows_counts`, a sample after itself left out."""
        return int(np.ptp(_off_diagonal(self.follows_counts))) if self.samples > 1 else 0

    @property
    def balanced(self) -> bool:
        """Whether each sample stands equally often in each place and after each other sample."""
        return self.position_counts_differ_by == 0 and self.follows_counts_differ_by == 0

    @property
    def times_in_each_position(self) -> int | None:
        """The common position count, None when they differ."""
        return int(self.position_counts.flat[0]) if self.position_counts_differ_by == 0 else None

    @property
    def times_each_follows_each(self) -> int | None:
        """The common follow count, None when they differ or there is one sample."""
        if self.samples < 2 or self.follows_counts_differ_by:
            return None
        return int(self.follows_counts[0, 1])

    @property
    def says(self) -> str:
        """One sentence on how well the orders are balanced."""
        if self.balanced:
            return "Balanced: each plate stands equally often in each place and after each other plate."
        places, follows = self.position_counts_differ_by, self.follows_counts_differ_by
        return (
            f"Near-balanced: how often a plate stands in a place differs by at most {places}, "
            f"how often it follows another by at most {follows}."
        )

    def turned(self) -> "ServingOrders":
        """The same orders from last to first: for a second pass, so that over both each place averages out (ABBA)."""
        return ServingOrders(_frozen(self.orders[:, ::-1]), self.samples)


def serving_orders(samples: int, tasters: int, *, seed: int) -> ServingOrders:
    """Orders for any number of plates and tasters, balanced for place and for carry-over as far as the numbers allow.

    Whole sets are Williams squares with the samples' names shuffled: n orders when n is even, 2n when odd. What is
    left over is taken from a further square, so that position counts differ by at most one; of many ways to take
    it, the one is kept whose follow counts are most even and whose mean places differ least.

    Args:
        samples: plates a taster gets, 1 or more.
        tasters: 1 or more.
        seed: same seed, same orders.

    Raises:
        PanelError: fewer than one sample or taster.

    Source: Williams, E. J. (1949), Aust. J. Sci. Res. A2, 149-168.
    """
    if samples < 1 or tasters < 1:
        raise PanelError(f"Serving orders need at least one plate and one taster, not {samples} and {tasters}.")
    rng = np.random.default_rng(seed)
    period = williams_rows(samples)
    sets = [rng.permutation(samples)[williams_square(samples)] for _ in range(tasters // period)]
    left = tasters % period
    if left:
        sets.append(_best_rows(samples, left, rng))
    rows = np.concatenate(sets)
    return ServingOrders(_frozen(rows[rng.permutation(tasters)]), samples)


def williams_rows(samples: int) -> int:
    """Orders in a complete set: n when even (or 1), 2n when odd (Williams 1949)."""
    return samples if samples % 2 == 0 or samples == 1 else 2 * samples


def williams_square(samples: int) -> NDArray[np.int64]:
    """The complete set of orders before shuffling, shape (rows, samples): cyclic shifts of 0, 1, n-1, 2, n-2, ….

    When n is odd a second square follows, the first read backwards. Source: Williams (1949).
    """
    zigzag = np.array([(step + 1) // 2 if step % 2 else -(step // 2) for step in range(samples)])
    square = (zigzag[None, :] + np.arange(samples)[:, None]) % samples
    if samples % 2 == 0 or samples == 1:
        return square
    return np.concatenate([square, square[:, ::-1]])


def follow_counts(orders: NDArray[np.int64], samples: int) -> NDArray[np.int64]:
    """Shape (samples, samples): [i, j] = times j comes straight after i."""
    counts = np.zeros((samples, samples), dtype=np.int64)
    np.add.at(counts, (orders[:, :-1].ravel(), orders[:, 1:].ravel()), 1)
    return counts


def orders_in_blocks(blocks: ArrayLike, samples: int, *, seed: int) -> ServingOrders:
    """Orders when each taster gets only some of the samples (more plates than a palate can take).

    Args:
        blocks: shape (tasters, plates), the sample numbers each taster gets, from 0.
        samples: how many samples there are.
        seed: same seed, same orders.

    Returns:
        Orders in which each sample's places are as even as a search by exchange finds, then its follow counts.

    Raises:
        PanelError: not a table, a sample twice in a block, or a number outside 0 … samples - 1.

    Source: principle of Wakeling & MacFie (1995), Food Qual. Prefer. 6, 299-308; the search is ours.
    """
    table = np.asarray(blocks)
    if table.ndim != 2 or table.size == 0 or not np.issubdtype(table.dtype, np.integer):
        raise PanelError("Blocks must be a table of whole sample numbers, one row a taster, all rows alike in length.")
    if table.min() < 0 or table.max() >= samples:
        raise PanelError(f"Blocks hold sample numbers from {table.min()} to {table.max()}; use 0 to {samples - 1}.")
    for number, row in enumerate(table):
        if len(set(row.tolist())) < len(row):
            raise PanelError(f"Block {number + 1} holds a sample twice.")
    rng = np.random.default_rng(seed)
    best, best_cost = table, np.inf
    swaps = table.shape[0] * table.shape[1] ** 2
    for _ in range(max(1, min(8, 4000 // swaps))):
        rows = _settle(rng.permuted(table, axis=1), samples, rng)
        cost = _unevenness(rows, samples)
        if cost < best_cost:
            best, best_cost = rows, cost
    return ServingOrders(_frozen(best), samples)


def balanced_days(options: int, days: int, *, seed: int) -> ServingOrders:
    """One taster's orders over several days: every second day turns the day before (AB, BA), each pair a new order.

    Read one plate after the other they give A B B A, so a steady drift over days or within a day cancels over each
    pair of days. With several pairs the days of a pair are themselves turned (AB BA BA AB), so that a drift that
    bends cancels too.

    Args:
        options: plates a day, 1 or more.
        days: 1 or more.
        seed: same seed, same orders.

    Raises:
        PanelError: fewer than one option or day.

    Source: ABBA (counterbalanced) order; Thue-Morse turning, Cox, D. R. (1951), Biometrika 38, 312-323 on
    trend-free orders; from memory.
    """
    if options < 1 or days < 1:
        raise PanelError(f"Orders over days need at least one option and one day, not {options} and {days}.")
    pairs = (days + 1) // 2
    rng = np.random.default_rng(seed)
    firsts = serving_orders(options, pairs, seed=int(rng.integers(2**31))).orders
    if options == 2:
        firsts = np.tile(rng.permutation(2), (pairs, 1))
    rows = []
    for pair, row in enumerate(firsts):
        turned = bin(pair).count("1") % 2 == 1
        rows += [row[::-1], row] if turned else [row, row[::-1]]
    return ServingOrders(_frozen(np.array(rows)[:days]), options)


def _best_rows(samples: int, rows: int, rng: np.random.Generator) -> NDArray[np.int64]:
    """Orders for an incomplete set: position counts within one, follows and mean places as even as found."""
    square = williams_square(samples)
    whole = square[:samples] if rows >= samples else square[:0]
    pool = square[samples:] if len(whole) else square[:samples]
    best, best_cost = pool[:0], (np.inf, np.inf)
    for _ in range(CANDIDATES if rows > 1 else 1):
        picked = np.concatenate([whole, pool[rng.permutation(samples)[: rows - len(whole)]]])
        follows = _off_diagonal(follow_counts(picked, samples)) if samples > 1 else np.zeros(1)
        places = np.bincount(picked.ravel(), np.tile(np.arange(samples), rows), minlength=samples)
        cost = (float((follows**2).sum()), float(((places - places.mean()) ** 2).sum()))
        if cost < best_cost:
            best, best_cost = picked, cost
    return rng.permutation(samples)[best]


def _settle(rows: NDArray[np.int64], samples: int, rng: np.random.Generator) -> NDArray[np.int64]:
    """Swap two plates of one taster while that makes the orders more even."""
    rows, cost = rows.copy(), _unevenness(rows, samples)
    plates = rows.shape[1]
    swaps = [(t, a, b) for t in range(len(rows)) for a in range(plates) for b in range(a + 1, plates)]
    improved = True
    while improved:
        improved = False
        for index in rng.permutation(len(swaps)):
            taster, a, b = swaps[index]
            rows[taster, [a, b]] = rows[taster, [b, a]]
            new = _unevenness(rows, samples)
            if new < cost - 1e-9:
                cost, improved = new, True
            else:
                rows[taster, [a, b]] = rows[taster, [b, a]]
    return rows


def _unevenness(rows: NDArray[np.int64], samples: int) -> float:
    """Squares of position and follow counts; positions weigh more, since an uneven place biases every comparison."""
    plates = rows.shape[1]
    places = np.bincount((rows * plates + np.arange(plates)).ravel(), minlength=samples * plates)
    follows = np.bincount((rows[:, :-1] * samples + rows[:, 1:]).ravel(), minlength=samples * samples)
    return float(3 * (places**2).sum() + (follows**2).sum())


def _off_diagonal(square: NDArray[np.int64]) -> NDArray[np.int64]:
    return square[~np.eye(len(square), dtype=bool)]


def _frozen(rows: NDArray[np.int64]) -> NDArray[np.int64]:
    rows = np.ascontiguousarray(rows, dtype=np.int64)
    rows.flags.writeable = False
    return rows
