"""Whether a plan's rounds fit the kitchen's hours and the days before the deadline, before any day is planned to the minute."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from proofpan.steps.day_hours import open_minutes
from proofpan.steps.limits import active_minutes
from proofpan.steps.rounds import places_of
from proofpan.study.study import Study


@dataclass(frozen=True)
class RoundHours:
    """Hours of one round: of hands for each cook where no step is shared, of the oven, and that the kitchen is open; none where not known."""

    hands_h: float | None
    oven_h: float | None
    open_h: float | None


def round_hours(study: Study) -> RoundHours:
    """What a round takes and what there is of it.

    Raises: DayError for hours that can't be read.
    """
    kitchen, base = study.brief.kitchen, study.brief.base
    minutes = open_minutes(kitchen)
    loads = study.plan.loads if kitchen.ovens else 1
    busy = active_minutes(base) if base is not None else 0.0
    baked = sum(sum(s.minutes) / 2 for s in base.method if s.oven is not None and s.minutes is not None) if base is not None else 0.0
    return RoundHours(
        hands_h=len(places_of(study)) * loads * busy / 60 / max(1, len(kitchen.people)) if busy else None,
        oven_h=loads * baked / 60 if baked and kitchen.ovens else None,
        open_h=minutes / 60 if minutes else None,
    )


def days_left(study: Study, today: date) -> int | None:
    """Days from today to the deadline, both counted; none without one, 0 when it has passed."""
    deadline = study.brief.limits.deadline
    return None if deadline is None else max(0, (deadline - today).days + 1)
