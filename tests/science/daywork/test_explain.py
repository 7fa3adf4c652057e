"""An impossible day is explained by a set of limits that clash, none of which could be left out."""

from dataclasses import replace

import pytest

from proofpan.science.daywork import After, DayModel, Infeasible, Kitchen, Need, NotFound, Oven, OvenNeed, Person, Task, check, plan
from proofpan.science.daywork.explain import clashes, readings
from tests.science.daywork.families import FAMILIES
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


def test_breaks_that_overlap_are_one_and_no_clash():
    model = DayModel((Task("c", "chop", 60, hands=60, not_after=200),), Kitchen((Person("Ada", breaks=((60, 120), (100, 180))),)), FRIDAY)
    assert check(model, plan(model, seconds=2)) == ()
    late = replace(model, tasks=(replace(model.tasks[0], minutes=90, hands=90),))
    assert conflict(late) == {"chop: 1 h 30 min", "chop is done by 11:20", "Ada does one thing at a time", "Ada has a break 09:00–11:00"}


def test_a_dish_longer_than_the_day_names_the_day_s_end_and_not_how_its_plates_are_served():
    jars = (Task("stand", "the jar stands", 1500), Task("open", "opening it", 5, hands=5, after=(After("stand", 0, 60),), serve_group="r"),
            Task("cut", "cutting bread", 5, hands=5, serve_group="r"))
    assert conflict(DayModel(jars, Kitchen((Person("Ada"),)), FRIDAY, serve_window=15)) == {"the jar stands: 25 h", "everything is done by Saturday 08:00"}


def test_a_cue_s_latest_end_is_part_of_how_long_a_task_takes():
    tasks = tuple(Task(f"b{i}", f"bake {i}", 20, high_minutes=60, oven=OvenNeed(180), not_after=end) for i, end in enumerate((60, 61)))
    named = conflict(DayModel(tasks, Kitchen((Person("Ada"),), (Oven("main", 1, 1),)), FRIDAY))
    assert any(s.startswith("the oven main") for s in named) and named >= {"bake 0 is done by 09:00", "bake 1 is done by 09:01"}
    assert {"bake 0: 20 min to 1 h", "bake 1: 20 min to 1 h"} & named


def test_one_pot_too_few_is_said_without_all_that_is_cooked_besides():
    fries = tuple(Task(f"f{i}", f"fry {i}", 8 + i, hands=2, needs=(Need("pot"),), serve_group="r") for i in range(4))
    besides = tuple(Task(f"c{i}", f"chop {i}", 10, hands=10) for i in range(12))
    named = conflict(DayModel(fries + besides, Kitchen((Person("Ada"), Person("Bo")), (), (("pot", 1),)), FRIDAY, serve_window=15))
    assert {"there is 1 × pot", "the plates of r are ready within 15 min of each other"} < named and not any("chop" in s for s in named)


def test_hours_in_two_parts_are_both_said():
    twice = tuple((d * 1440 + a, d * 1440 + b) for d in range(3) for a, b in ((0, 240), (300, 600)))
    kitchen = Kitchen((Person("Ada"),), (Oven("main"),))
    model = DayModel((Task("b", "the slow roast", 400, oven=OvenNeed(120)),), kitchen, FRIDAY, horizon=3 * 1440, opening=twice)
    assert conflict(model) == {"the slow roast (6 h 40 min) lies within opening hours (08:00–12:00, 13:00–18:00 each day)"}


@pytest.mark.parametrize(("family", "seed"), [(family, seed) for family in FAMILIES for seed in range(4)])
def test_what_clashes_is_proven_to_and_where_it_is_said_to_be_minimal_nothing_could_be_left_out(family, seed):
    model = FAMILIES[family](seed)
    try:
        assert check(model, plan(model, seconds=1)) == ()
    except NotFound:
        return
    except Infeasible as why:
        def clash(kept):
            return any(clashes(build_of(kept), 5)[0] for build_of in readings(model, {}, None))

        assert clash(why.conflict)
        assert not why.minimal or not any(clash([c for c in why.conflict if c != left]) for left in why.conflict)
