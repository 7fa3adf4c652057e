"""A day that goes as planned stays as planned, proven best or not."""

from datetime import timedelta
from pathlib import Path

from proofpan.steps.day import plan_day, replan
from proofpan.steps.rounds import next_round
from proofpan.study.study import Study


def test_a_press_on_time_makes_no_day_later_that_wasnt_proven_best():
    study = Study.from_text((Path(__file__).parent / "dishes" / "film.yaml").read_text(encoding="utf-8"))
    round_ = next_round(study, seed=1)
    day = plan_day(study.with_round(round_), round=round_, start="2026-06-05T08:00")
    for share in (0.1, 0.3):
        now = day.day_tasks[int(share * len(day.day_tasks))].start + timedelta(minutes=1)
        happened = [(t.task, t.start, t.end if t.end <= now else None) for t in day.day_tasks if t.start <= now]
        again = replan(day, study.with_round(round_), happened, now)
        assert max(t.end for t in again.day_tasks) <= max(t.end for t in day.day_tasks)
