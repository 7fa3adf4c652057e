"""Several attributes as one score on 0–10, and back from worths to a worth overall."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from .space import Floats, VersionsError

Better = str | dict


def rescaled(score: ArrayLike, scale: tuple[float, float], better: "Better" = "more") -> Floats:
    """Score on 0–10, ten best.

    Parameters: score, shape (...), on scale = (low, high); better, "more", "less" or {"target": t}: 10·(1 − |x − t| / the
    larger distance from t to
        an end).
    Raises: VersionsError for another direction or an empty scale.
    """
    low, high = map(float, scale)
    if not high > low:
        raise VersionsError("A scale's high end must lie above its low end.")
    x = np.asarray(score, dtype=np.float64)
    if better == "more":
        return 10 * (x - low) / (high - low)
    if better == "less":
        return 10 * (high - x) / (high - low)
    if isinstance(better, dict) and "target" in better:
        t = float(better["target"])
        return 10 * (1 - np.abs(x - t) / max(t - low, high - t))
    raise VersionsError('better must be "more", "less" or a target.')


def overall_score(
    scales: Sequence[tuple[float, float]], better: Sequence["Better"], weights: Sequence[float], scores: ArrayLike
) -> Floats:
    """Weighted mean of attributes rescaled to 0–10; a single attribute is taken as it is.

    Parameters: one entry an attribute; scores, shape (..., attributes).
    """
    x = np.asarray(scores, dtype=np.float64)
    if len(scales) == 1:
        return x[..., 0]
    w = np.asarray(weights, dtype=np.float64)
    if (w < 0).any() or w.sum() <= 0:
        raise VersionsError("Weights must be zero or more, and one above zero.")
    parts = np.stack([rescaled(x[..., i], scales[i], better[i]) for i in range(len(scales))], axis=-1)
    return (parts * w).sum(-1) / w.sum()


def overall_worth(
    scales: Sequence[tuple[float, float]], better: Sequence["Better"], weights: Sequence[float], worths: Sequence[float]
) -> float:
    """The smallest overall difference that matters: the attributes' worths rescaled and weighted as scores are."""
    if len(scales) == 1:
        return float(worths[0])
    per = []
    for (low, high), b, worth in zip(scales, better, worths, strict=True):
        reach = max(b["target"] - low, high - b["target"]) if isinstance(b, dict) else high - low
        per.append(10 * float(worth) / reach)
    w = np.asarray(weights, dtype=np.float64)
    return float((w * np.array(per)).sum() / w.sum())
