"""What a verdict is made from: the study, what was cooked, the posterior and the decision."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from proofpan.steps.elsewhere import of_this_kitchen
from proofpan.steps.observing import Cooked, Points
from proofpan.study.readings import INSTRUMENT
from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.science.versions import Decision, Posterior, Scores, TasterHealth


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

    @property
    def least(self) -> float:
        """The lower end of the scale that scores are said on: the attribute's own where one is used as it is, else 0."""
        only = self.study.attributes[0]
        return only.scale[0] if len(self.study.attributes) == 1 and only.better == "more" else 0.0

    @cached_property
    def before(self) -> Posterior:
        """What is expected of kitchens in general, before anyone tasted in this one."""
        from proofpan.science.versions import fit

        expected = fit(self.cooked.space, worth=self.worth)
        return expected.readers() if self.speaks_for == "readers" else expected

    @cached_property
    def untasted(self) -> frozenset[tuple[str, str]]:
        """(factor, option) that no mark speaks of; a number between two tasted ones is read off those."""
        seen = {item for v in set(self.scores.version.tolist()) for item in self.cooked.versions[v].items()}
        out = set()
        for factor in self.study.factors:
            values = [o.value for o in factor.kept if (factor.name, o.name) in seen]
            known = [float(v) for v in values if v is not None] if None not in values else []
            for option in factor.kept:
                between = option.value is not None and len(known) > 1 and min(known) < float(option.value) < max(known)
                if (factor.name, option.name) not in seen and not between:
                    out.add((factor.name, option.name))
        return frozenset(out)

    def untasted_in(self, version: int) -> list[tuple[str, str]]:
        """A version's options that no mark speaks of, as (factor, option)."""
        return [item for item in self.cooked.versions[version].items() if item in self.untasted]

    def never_tasted(self, factor: str, *options: str) -> list[tuple[str, str]]:
        """Of an answer's options those that no mark speaks of, as (factor, option); a named pair's are each looked at."""
        names = factor.split(" × ")
        asked = [(factor, o) for o in options] if len(names) == 1 else [p for o in options for p in zip(names, o.split(", "), strict=False)]
        return [p for p in dict.fromkeys(asked) if p in self.untasted]

    @cached_property
    def health(self) -> dict[str, TasterHealth]:
        """How each taster scores, by name; the instrument is one of them."""
        from proofpan.science.versions import taster_health

        names = [*(t.name for t in self.study.brief.tasters), INSTRUMENT]
        return {names[h.taster]: h for h in taster_health(of_this_kitchen(self.study, self.scores), self.posterior)} if len(self.scores) else {}
