"""What a verdict is made from: the study, what was cooked, the posterior and the decision."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from proofpan.steps.observing import Cooked, Points
from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.science.versions import Decision, Posterior, Scores


@dataclass(frozen=True, eq=False)
class Judged:
    """Everything that the sentences are made from."""

    study: Study
    cooked: Cooked
    points: Points
    scores: Scores
    posterior: Posterior
    decision: Decision
    prices: NDArray[np.float64]          # points
    unit: float                          # points per unit of the overall score
    worth: float                         # points
    speaks_for: str
    publishable: NDArray[np.bool_]
    outside: tuple[str | None, ...]
