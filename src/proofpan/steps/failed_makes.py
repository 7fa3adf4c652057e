"""Versions that failed when last made: none is printed until it has been made again without failing."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from proofpan.steps.observing import Cooked
from proofpan.study.rounds import PlannedTrial
from proofpan.study.study import Study
from proofpan.study.trials import Trial
from proofpan.study.versions import complete, current
from proofpan.study.words import capital, joined, version_words


def last_failed(cooked: Cooked) -> NDArray[np.bool_]:
    """Which versions failed when they were last made."""
    out = np.zeros(len(cooked.versions), dtype=bool)
    for trial in cooked.trials:
        out[cooked.of_trial[trial.key]] = bool(trial.failed)
    return out


def odds_of_failing(cooked: Cooked) -> NDArray[np.float64]:
    """The chance of each version that another make fails."""
    from proofpan.science.versions import failure_odds

    which = np.array([cooked.of_trial[t.key] for t in cooked.trials], dtype=np.int64)
    return failure_odds(cooked.space, which, np.array([bool(t.failed) for t in cooked.trials], dtype=bool)).odds


def comes_out_of(cooked: Cooked, waiting: Collection[int] = ()) -> NDArray[np.float64] | None:
    """Of versions that failed when last made the chance that another make comes out, NaN of the others; None where there are none.

    Parameters: waiting, versions that are being made again already.
    """
    held = last_failed(cooked)
    held[list(waiting)] = False
    return np.where(held, 1 - odds_of_failing(cooked), np.nan) if held.any() else None


def made_again(study: Study, cooked: Cooked, trials: Sequence[PlannedTrial]) -> tuple[tuple[PlannedTrial, ...], list[str]]:
    """The round's trials, each that makes a failed version again saying so; and what is said of failed ones that aren't among them."""
    latest = _latest_failures(cooked)
    out, seen = [], set[int]()
    for t in trials:
        which = cooked.index[complete(study.brief, t.version)]
        failure = latest.get(which)
        if failure is not None and which not in seen:
            t = t.model_copy(update={"why": f"Made again: it failed when last made ({_told(failure)}), and isn't printed until a make comes out."})
        elif failure is not None:
            t = t.model_copy(update={"why": "Made twice in this round, as one of the two may fail again."})
        seen.add(which)
        out.append(t)
    left = [v for v in latest if v not in seen and v < cooked.candidates and cooked.eligible[v]]
    if not left:
        return tuple(out), []
    shown = [f"{version_words(current(study.brief, cooked.versions[v]))} ({_told(latest[v])})" for v in left]
    names = capital(joined(shown[:4]))
    if len(left) == 1:
        return tuple(out), [f"{names} failed when last made and isn't in this round, so it can't be printed after it either: another make of it isn't "
                            "expected to earn a place. If you want it, make it again all the same."]
    return tuple(out), [f"{names} failed when last made and aren't in this round, so they can't be printed after it either: another make isn't expected "
                        "to earn a place. If you want one of them, make it again all the same."]


def _latest_failures(cooked: Cooked) -> dict[int, Trial]:
    latest = {cooked.of_trial[t.key]: t for t in cooked.trials}
    return {v: t for v, t in latest.items() if t.failed}


def _told(trial: Trial) -> str:
    reason = str(trial.failed)
    return f"trial {trial.trial}" if reason.casefold() in ("yes", "true", "1", "failed") else f"trial {trial.trial}: {reason}"
