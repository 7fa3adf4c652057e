"""A table of scores as arrays, checked, and the mid-ranks of its rows."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import PanelError


def score_table(scores: ArrayLike, rows: int = 2, columns: int = 2) -> NDArray[np.float64]:
    """The scores as a table without gaps.

    Args:
        scores: shape (tasters, samples).
        rows: least rows.
        columns: least columns.

    Raises:
        PanelError: not a table of numbers, too small, or with a gap, naming the first.
    """
    try:
        table = np.asarray(scores, dtype=float)
    except (TypeError, ValueError) as error:
        raise PanelError("Scores must be a table of numbers, one row a taster, all rows alike in length.") from error
    if table.ndim != 2 or table.shape[0] < rows or table.shape[1] < columns:
        raise PanelError(f"Scores must be a table of at least {rows} rows and {columns} columns.")
    if not np.isfinite(table).all():
        row, column = np.argwhere(~np.isfinite(table))[0]
        raise PanelError(f"Row {row + 1}, column {column + 1} of the scores is empty; this needs every score.")
    return table


def mid_ranks(table: NDArray[np.float64]) -> NDArray[np.float64]:
    """Ranks within each row, 1 = least, ties sharing the mean of their ranks; empty (nan) cells stay empty."""
    below = (table[:, None, :] < table[:, :, None]).sum(axis=2)
    alike = (table[:, None, :] == table[:, :, None]).sum(axis=2)
    return np.where(np.isnan(table), np.nan, below + (alike + 1) / 2)
