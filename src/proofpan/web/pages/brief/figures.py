"""The figures of a plan: what it comes to, what it takes, and what of the kitchen and the commission it doesn't fit."""

from __future__ import annotations

from datetime import date

from proofpan.steps.costing import cost_of
from proofpan.steps.limits import outside_of
from proofpan.steps.observing import cooked_of
from proofpan.steps.plan_cost import Costing
from proofpan.steps.plan_hours import RoundHours, days_left, round_hours
from proofpan.steps.rounds import places_of
from proofpan.study.errors import DayError
from proofpan.study.study import Study
from proofpan.study.words import counted, joined

MOST_LOOKED_AT = 500  # versions up to which the limits are looked at as one types
HANDS, OVEN, DAYS = "Hands a round, at most", "Oven, a round", "Days left"


def figures_of(study: Study, today: date) -> dict[str, str]:
    """What the plan comes to, and what it takes."""
    places, plan, tasters = len(places_of(study)), study.plan, len(study.tasters)
    a_round = places * plan.loads if study.brief.kitchen.ovens else places
    trials = a_round * plan.at_most
    costing = Costing(study)
    took = costing.of(trials, tasters, plan.passes)
    rounds = counted(plan.at_most, "round")
    versions = len(study.versions())
    outside = outside_count(study)
    out = {
        "Versions that could be made": f"{versions:,}" + (f", {outside:,} outside the limits" if outside else ""),
        "Trials": f"{trials:,}, {'in' if plan.at_most == 1 else 'in up to'} {rounds} of {a_round}",
        "Ballots": f"{took.tastings:,} by {counted(tasters, 'taster')}",
        "At the table, each taster": hours(took.table_h),
    }
    if took.hands_h:
        out["Hands at the stove, at most"] = hours(took.hands_h)
    taken = _round_hours(study)
    if taken is not None and taken.open_h is not None:
        out |= {n: f"{hours(h)} of {hours(taken.open_h)}" for n, h in ((HANDS, taken.hands_h), (OVEN, taken.oven_h)) if h is not None}
    left = days_left(study, today)
    if left is not None:
        out[DAYS] = f"{left}, for {'' if plan.at_most == 1 else 'up to '}{rounds}"
    if took.money is not None:
        out["Ingredients, about"] = f"{took.money:.2f} {costing.currency}".rstrip()
    return out


def misfits_of(study: Study, today: date) -> tuple[str, ...]:
    """What of the plan doesn't fit the kitchen's hours, the days or the limits, and what would."""
    out = [*_time_words(study, today)]
    versions, outside = len(study.versions()), outside_count(study)
    if versions and outside == versions:
        out.append("No version lies within the limits: widen one, or let something else vary.")
    out += _unpriced(study)
    return tuple(out)


def outside_count(study: Study) -> int:
    """Versions outside the commission's limits; 0 where there are too many to look at as one types."""
    if len(study.versions()) > MOST_LOOKED_AT:
        return 0
    cooked = cooked_of(study)
    return sum(o is not None for o in outside_of(study, cooked)[: cooked.candidates])


def _round_hours(study: Study) -> RoundHours | None:
    try:
        return round_hours(study)
    except DayError:  # hours that a file brought and that can't be read: the day's page says so
        return None


def _time_words(study: Study, today: date) -> list[str]:
    out, taken = [], _round_hours(study)
    if taken is not None and taken.open_h is not None:
        open_ = f"the kitchen is open {hours(taken.open_h)} a day"
        if (taken.oven_h or 0.0) > taken.open_h:
            out.append(f"The oven alone is busy for {hours(taken.oven_h or 0.0)} a round and {open_}: plan fewer loads, or another oven.")
        elif (taken.hands_h or 0.0) > taken.open_h:
            out.append(
                f"A round takes each cook up to {hours(taken.hands_h or 0.0)} of hands and {open_}. Where steps are shared it is less: the day is "
                "planned to the minute on its own page. Fewer plates, another cook or two days are surer."
            )
    left = days_left(study, today)
    to_come = study.plan.at_most - len(study.rounds)
    if left is not None and left < to_come:
        out.append(
            "The day to publish by is past." if left == 0 else
            f"At a round a day, {counted(to_come, 'round')} won’t fit in the {counted(left, 'day')} that are left: plan {counted(left, 'round')}, "
            "or more plates a round."
        )
    return out


def _unpriced(study: Study) -> list[str]:
    base, limit = study.brief.base, study.brief.limits.cost_a_serve
    if base is None or limit is None:
        return []
    cost = cost_of(study, base)
    if cost.missing:
        return [f"The limit of {limit:.2f} a serve can’t be held to in full: there is no price of {joined(list(cost.missing))}."]
    return [] if cost.a_serve is not None else ["The limit on cost can’t be held to: the recipe doesn’t say how many it serves."]


def hours(value: float) -> str:
    """Hours as a cook says them: 45 min, 7 h 40."""
    minutes = round(value * 60 / 5) * 5 if value >= 0.5 else round(value * 60)
    return f"{minutes // 60} h {minutes % 60:02d}" if minutes >= 60 else f"{minutes} min"


def again(passes: int) -> str:
    """How often each plate is tasted, in words."""
    return {1: "tasted once", 2: "tasted twice"}.get(passes, f"tasted {passes} times")
