"""An impossible day is explained by a set of limits that clash, none of which could be left out."""

from dataclasses import replace

import pytest

from proofpan.science.daywork import After, DayModel, Infeasible, Kitchen, Oven, OvenNeed, Person, Task, check, plan
from tests.science.daywork.kitchens import FRIDAY, THREE_DAYS, crackers, loaf


def conflict(model):
    with pytest.raises(Infeasible) as why:
        plan(model, seconds=5)
    assert len(str(why.value)) <= 600
    return set(why.value.conflict)


def test_a_48_h_dough_begun_on_friday_can_t_be_eaten_on_saturday():
    assert conflict(loaf(eaten=1440 + 240)) == {"lunch is eaten at Saturday 12:00", "the dough rests: 48 h"}


def test_two_hours_of_hands_in_a_hundred_minutes():
    tasks = tuple(Task(f"c{i}", f"chop {i}", 60, hands=60, not_after=100) for i in range(2))
    model = DayModel(tasks, Kitchen((Person("Ada"),)), FRIDAY)
    assert conflict(model) == {"chop 0 (and 1 alike): 1 h", "chop 0 (and 1 alike) is done by 09:40", "Ada does one thing at a time"}
    two = replace(model, kitchen=Kitchen((Person("Ada"), Person("Bo"))))
    assert check(two, plan(two, seconds=2)) == ()


def test_one_oven_and_a_window_narrower_than_a_load():
    tasks = tuple(Task(f"b{i}", f"bake {i}", 60, oven=OvenNeed(180 + i, places=2), serve_group="r") for i in range(2))
    model = DayModel(tasks, Kitchen((Person("Ada"),), (Oven("main", 1, 2),)), FRIDAY, serve_window=10)
    named = conflict(model)
    assert "the plates of r are ready within 10 min of each other" in named
    assert any("the oven main takes one load at a time" in s for s in named)
    relaxed = replace(model, serve_window=70)
    assert check(relaxed, plan(relaxed, seconds=2)) == ()
    second = replace(model, kitchen=replace(model.kitchen, ovens=(Oven("main", 1, 2), Oven("small", 1, 2))))
    assert check(second, plan(second, seconds=2)) == ()


def test_a_break_in_the_only_minutes_that_would_do():
    model = DayModel((Task("a", "the custard", 30, hands=30, fixed_start=60),), Kitchen((Person("Ada", breaks=((70, 80),)),)), FRIDAY)
    assert conflict(model) >= {"Ada has a break 09:10–09:20", "the custard starts at 09:00"}


def test_too_long_in_the_danger_zone():
    tasks = (
        Task("out", "chicken on the bench", 100, food="chicken", danger_zone=True),
        Task("cut", "cutting it", 30, hands=30, food="chicken", danger_zone=True, after=(After("out", 120, food_c=20),)),
    )
    named = conflict(DayModel(tasks, Kitchen((Person("Ada"),)), FRIDAY))
    assert "cutting it: at most 4 h between 5 and 57 °C (US Food Code)" in named
    assert "cutting it starts at least 2 h after chicken on the bench" in named


def test_a_bake_longer_than_the_kitchen_is_open():
    model = DayModel(
        (Task("b", "the slow roast", 700, oven=OvenNeed(120)),),
        Kitchen((Person("Ada"),), (Oven("main"),)),
        FRIDAY,
        horizon=3 * 1440,
        opening=THREE_DAYS,
    )
    (only,) = conflict(model)
    assert only.startswith("the slow roast (11 h 40 min) lies within opening hours")
    overnight = replace(model, tasks=(replace(model.tasks[0], attended=False),))
    assert check(overnight, plan(overnight, seconds=2)) == ()


def test_five_loads_in_a_twenty_minute_window_name_the_oven_and_the_window_and_each_load():
    named = conflict(crackers(loads=2, window=10))
    assert "the plates of round 1 are ready within 10 min of each other" in named
    assert any(s.startswith("the oven main") for s in named)
    assert not any("mix" in s or "roll" in s for s in named)
