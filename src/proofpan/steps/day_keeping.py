"""Keeping tests: a portion of each trial wrapped and tasted again on day 1, on day 3, or from frozen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from proofpan.study.equipment import Kept, kept
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.wording import say, say_counted

if TYPE_CHECKING:
    from proofpan.science.daywork import Task

WRAP_MINUTES, AGAIN_MINUTES, THAW_MINUTES = 2, 3, 12 * 60
DAY, GIVE, FRESH = 1440, 120, 4 * 60


def keeping_of(study: Study) -> tuple[Kept, ...]:
    """The keeping tests that the plan asks for, soonest first."""
    return tuple(sorted(dict.fromkeys(kept(k) for k in study.plan.keeping)))


def tasks_of(test: Kept) -> tuple[str, ...]:
    """The tasks of tasting again: its tasting, and the thawing for it."""
    return (f"taste {test.words}", *([f"thaw day {test.days}"] if test.frozen else []))


def kept_names(study: Study) -> dict[str, str]:
    """{task: what it is called where a day can't be cooked} of tasting again and of thawing for it."""
    out: dict[str, str] = {}
    for test in keeping_of(study):
        names = (say("the tasting ({when})", when=test.said), say("the thawing (day {day})", day=test.days))
        out |= dict(zip(tasks_of(test), names, strict=False))
    return out


def kept_tasks(study: Study, round_: Round, last: Mapping[int, str], taste_minutes: int) -> tuple[Task, ...]:
    """Wrapping a portion of each trial, thawing what was frozen, tasting again at the hour of the first tasting, which takes `taste_minutes`.

    Wrapped within four hours, twelve to twenty-four hours' thawing in the fridge and two hours' give after the hour are common practice, no source.
    """
    from proofpan.science.daywork import After, Need, Task

    tests = keeping_of(study)
    if not tests or not round_.trials:
        return ()
    names = ", ".join(t.said for t in tests)
    out = [
        Task(key=f"keep {t.trial}", words=say_counted(
                len(tests), "Wrap and date {number} portion of trial {trial}: {when}", "Wrap and date {number} portions of trial {trial}: {when}",
                trial=t.trial, when=names),
             minutes=WRAP_MINUTES, hands=WRAP_MINUTES, after=(After(last[t.trial], 0, FRESH),),
             kind="keep", versions=(str(t.version),))
        for t in round_.trials
    ]
    wrapped = tuple(After(t.key) for t in out)
    for test in tests:
        wait = test.days * DAY
        soonest, latest = max(0, wait - taste_minutes), wait + GIVE
        before: tuple[After, ...] = (After("taste", soonest, latest), *wrapped)
        if test.frozen:
            thaw = Task(key=f"thaw day {test.days}", words=say("Thaw what was frozen, in the fridge, for day {day}", day=test.days), minutes=THAW_MINUTES,
                        hands=1, attended=False, needs=(Need("shelf place", until=f"taste {test.words}"),), kind="keep", afterwards=True,
                        after=(After("taste", max(0, soonest - 2 * THAW_MINUTES)), *wrapped))
            out.append(thaw)
            before = (*before, After(thaw.key, 0, THAW_MINUTES))
        minutes = max(5, AGAIN_MINUTES * len(round_.trials))
        out.append(Task(key=f"taste {test.words}", words=say("Taste what was kept: {when}, under fresh codes", when=test.said), minutes=minutes, hands=minutes,
                        everyone=True, after=before, kind="keep", afterwards=True, versions=tuple(dict.fromkeys(str(t.version) for t in round_.trials))))
    return tuple(out)
