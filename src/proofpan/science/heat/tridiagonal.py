"""Many tridiagonal systems at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dgtsv

_ONE_LONG = 1000  # systems up to which one long one is quicker


def solve(lower: NDArray[np.float64], diagonal: NDArray[np.float64], upper: NDArray[np.float64], right: NDArray[np.float64]) -> NDArray[np.float64]:
    """The x of A·x = right along the first axis.

    Parameters: diagonal and right, shape (n, ...); lower and upper, shape (n − 1, ...).
    Source: Thomas's elimination without pivots, safe since conduction's matrices are diagonally dominant; where there are few, LAPACK's
        for all of them as one long system whose parts aren't joined.
    """
    n = diagonal.shape[0]
    if diagonal.size <= _ONE_LONG * n:
        return _as_one(lower, diagonal, upper, right)
    across, x = np.empty_like(upper), np.empty_like(right)
    across[0] = upper[0] / diagonal[0]
    x[0] = right[0] / diagonal[0]
    for i in range(1, n):
        pivot = diagonal[i] - lower[i - 1] * across[i - 1]
        if i < n - 1:
            across[i] = upper[i] / pivot
        x[i] = (right[i] - lower[i - 1] * x[i - 1]) / pivot
    for i in range(n - 2, -1, -1):
        x[i] -= across[i] * x[i + 1]
    return x


def _as_one(lower: NDArray[np.float64], diagonal: NDArray[np.float64], upper: NDArray[np.float64], right: NDArray[np.float64]) -> NDArray[np.float64]:
    n, systems = diagonal.shape[0], diagonal.size // diagonal.shape[0]
    if systems == 1:
        return np.asarray(dgtsv(lower.ravel(), diagonal.ravel(), upper.ravel(), right.ravel())[3]).reshape(right.shape)
    below, above = np.zeros((systems, n)), np.zeros((systems, n))
    below[:, :-1] = lower.reshape(n - 1, systems).T
    above[:, :-1] = upper.reshape(n - 1, systems).T
    x = dgtsv(below.ravel()[:-1], diagonal.reshape(n, systems).T.ravel(), above.ravel()[:-1], right.reshape(n, systems).T.ravel())[3]
    return np.asarray(x.reshape(systems, n).T.reshape(right.shape))
