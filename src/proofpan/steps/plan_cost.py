"""What a plan takes: tastings, hours at the stove and at the table, money."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.steps.costing import cost_of
from proofpan.steps.limits import active_minutes
from proofpan.study.study import Study

PLATE_MINUTES = 5  # to taste, mark and rinse (common practice, no source)


@dataclass(frozen=True)
class PlanCost:
    """Tastings; hours of hands at the stove, none where the method doesn't say; hours that each taster sits; money, none without prices."""

    tastings: int
    hands_h: float | None
    table_h: float
    money: float | None


class Costing:
    """What one trial takes, counted once for all plans: as if no step were shared, so it is the most that it can be."""

    def __init__(self, study: Study) -> None:
        base = study.brief.base
        cost = cost_of(study, base) if base is not None else None
        known = cost is not None and cost.batch is not None and not cost.missing
        self.currency = study.brief.kitchen.currency or ""
        self._money = (cost.test_batch or cost.batch) if cost is not None and known else None
        self._minutes = active_minutes(base) or None if base is not None and base.method else None

    def of(self, trials: int, tasters: int, passes: int) -> PlanCost:
        """What so many trials, each tasted so often by so many, take."""
        return PlanCost(
            tastings=trials * tasters * passes,
            hands_h=None if self._minutes is None else trials * self._minutes / 60,
            table_h=trials * passes * PLATE_MINUTES / 60,
            money=None if self._money is None else trials * self._money,
        )
