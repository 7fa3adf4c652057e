"""How each taster scores: repeatability, agreement with the others, use of the scale, drift."""

from dataclasses import dataclass

import numpy as np

from .observations import Scores
from .posterior import Posterior
from .space import Floats


@dataclass(frozen=True)
class TasterHealth:
    """One taster.

    Attributes:
        taster: its number.
        repeatability: sd of the same plate scored twice, points; None without repeats.
        agreement: correlation with the mean of the others over the trials both scored; None below three trials or alone.
        use_of_scale: sd of the taster's scores, points.
        drift: change a day (or a load, where days aren't known) of this taster against the others, points; None below three.
        informative: False when the scores more likely than not carry no information.
        note: a short machine-readable remark, "" when nothing is wrong.
    """

    taster: int
    repeatability: float | None
    agreement: float | None
    use_of_scale: float
    drift: float | None
    informative: bool
    note: str


def taster_health(scores: Scores, posterior: Posterior) -> tuple[TasterHealth, ...]:
    """One entry a taster, in order of number; agreement is the correlation with the rest of the panel (Lawless & Heymann 2010, ch. 10)."""
    duds = {t.number: t.dud_odds for t in posterior.tasters}
    return tuple(_one(scores.canonical(), int(who), duds.get(int(who), 0.0)) for who in np.unique(scores.taster))


def _one(s: Scores, who: int, dud: float) -> TasterHealth:
    mine = s.taster == who
    trials, at = np.unique(s.trial, return_inverse=True)
    own = _means(at[mine], s.score[mine], len(trials))
    rest = _means(at[~mine], s.score[~mine], len(trials))
    both = np.isfinite(own) & np.isfinite(rest)
    agreement = drift = None
    if both.sum() >= 3:
        a, b = own[both], rest[both]
        if np.ptp(a) > 0 and np.ptp(b) > 0:
            agreement = float(np.corrcoef(a, b)[0, 1])
        when = _when(s, trials)[both]
        if np.ptp(when) > 0:
            drift = float(np.polyfit(when, a - b, 1)[0])
    use = float(np.std(s.score[mine], ddof=1)) if mine.sum() > 1 else 0.0
    note = ""
    if mine.sum() > 2 and use == 0:
        note = "same score for everything"
    elif dud > 0.5:
        note = "scores carry no information"
    elif agreement is not None and agreement < 0 and both.sum() >= 8:
        note = "disagrees with the others"
    return TasterHealth(who, _repeatability(s, mine, at), agreement, use, drift, not (dud > 0.5 or note.startswith("same")), note)


def _means(at: np.ndarray, score: Floats, n: int) -> Floats:
    count = np.bincount(at, minlength=n)
    total = np.bincount(at, weights=score, minlength=n)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _when(s: Scores, trials: np.ndarray) -> Floats:
    first = np.array([np.flatnonzero(s.trial == t)[0] for t in trials])
    day = s.day[first]
    return (day if (day >= 0).all() and np.ptp(day) > 0 else s.load[first]).astype(float)


def _repeatability(s: Scores, mine: np.ndarray, at: np.ndarray) -> float | None:
    squares, free = 0.0, 0
    for t in np.unique(at[mine]):
        x = s.score[mine & (at == t)]
        if len(x) > 1:
            squares += float(((x - x.mean()) ** 2).sum())
            free += len(x) - 1
    return float(np.sqrt(squares / free)) if free else None
