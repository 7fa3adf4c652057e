"""A day that goes on without a cook or an oven: who is left does the rest, and no oven takes more than it holds."""

import pytest

import proofpan as pp
from proofpan.steps.day import replan
from tests.kitchens import CRACKERS

TWO_OVENS = ("[{name: main, kind: fan, trays: 2, places: 2}]", "[{name: wide, trays: 2}, {name: the little one}], people: [Ada, Bo]")
START = "2026-06-05T09:00"


@pytest.fixture(scope="module")
def begun():
    """A small day with a load over two ovens; the first dough is in hand."""
    study = pp.Study.from_text(CRACKERS.replace(*TWO_OVENS))
    round_ = pp.next_round(study, seed=3)
    study = study.with_round(round_)
    plan = pp.plan_day(study, round=round_, start=START)
    first = next(t for t in plan.day_tasks if t.people)
    return study, plan, first, [(first.task, first.start, None)]


def baked(plan):
    return [t for t in plan.day_tasks if t.task.startswith("bake")]


@pytest.mark.parametrize("name", ["Ada", "Bo"])
def test_who_is_left_does_the_rest(begun, name):
    study, plan, first, happened = begun
    other = {"Ada": "Bo", "Bo": "Ada"}[name]
    after = replan(plan, study, happened, first.start, gone=[name])
    assert {p for t in after.day_tasks if not t.started for p in t.people} == {other}
    assert next(t for t in after.day_tasks if t.task == first.task).people == tuple(p for p in first.people if p != name)


@pytest.mark.parametrize(("gone", "left", "room"), [("the little one", "wide", 2), ("wide", "the little one", 1)])
def test_what_waits_for_an_oven_that_is_gone_goes_into_the_other_a_filling_at_a_time(begun, gone, left, room):
    study, plan, first, happened = begun
    assert {t.resource for t in baked(plan)} == {"wide", "the little one"}
    after = replan(plan, study, happened, first.start, gone=[gone])
    assert {t.resource for t in baked(after)} == {left} and len(baked(after)) == len(baked(plan)) == 3
    for task in baked(after):
        assert sum(t.start < task.end and task.start < t.end for t in baked(after)) <= room
    said = next(s for s in after.says if s.startswith("Without the "))
    assert "the the" not in said and f"into the {'little one' if left != 'wide' else 'wide'} oven" in said


@pytest.mark.parametrize(("gone", "says"), [
    (["wide", "the little one"], "No oven is left for bake"), (["Ada", "Bo"], "Nobody is left"), (["Cleo"], "neither a person nor an oven")])
def test_a_day_without_any_oven_or_anybody_waits_and_a_stranger_is_refused(begun, gone, says):
    study, plan, first, happened = begun
    with pytest.raises(pp.DayError, match=says):
        replan(plan, study, happened, first.start, gone=gone)
