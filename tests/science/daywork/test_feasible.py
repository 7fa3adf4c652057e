"""The checker finds each kind of fault in a plan that was sound before it was broken."""

from dataclasses import replace
from datetime import datetime

import pytest

from proofpan.science.daywork import (
    AUSTRALIA,
    FOOD_CODE,
    UNITED_KINGDOM,
    After,
    Blocked,
    DayModel,
    DayPlan,
    Infeasible,
    Kitchen,
    Person,
    PlannedTask,
    Task,
    check,
    plan,
    zone_minutes,
)
from tests.science.daywork.kitchens import FRIDAY, crackers, loaf


@pytest.fixture(scope="module")
def sound():
    model = crackers()
    return model, plan(model, seconds=5)


def moved(found, key, **changes):
    return replace(found, tasks=tuple(replace(x, **changes) if x.key == key else x for x in found.tasks))


def shifted(found, key, minutes):
    line = found[key]
    return moved(found, key, start_min=line.start_min + minutes, end_min=line.end_min + minutes)


def faults(model, found):
    return " | ".join(check(model, found))


def test_a_sound_plan_has_no_faults(sound):
    assert check(*sound) == ()


def test_a_task_left_out_or_doubled_is_found(sound):
    model, found = sound
    assert "mix1 isn't planned" in faults(
        model, replace(found, tasks=found.tasks[1:] if found.tasks[0].key == "mix1" else tuple(x for x in found.tasks if x.key != "mix1"))
    )
    assert "planned twice" in faults(model, replace(found, tasks=(*found.tasks, found.tasks[0])))


def test_a_shortened_task_is_found(sound):
    model, found = sound
    assert "instead of 18" in faults(model, moved(found, "bake1", end_min=found["bake1"].end_min - 3))


def test_a_wait_too_long_or_too_short_is_found(sound):
    model, found = sound
    assert "at most 0 allowed" in faults(model, shifted(found, "cool1", 4))
    assert "at least 0 wanted" in faults(model, shifted(found, "cool1", -4))


def test_two_things_at_once_are_found(sound):
    model, found = sound
    assert "Ada: two things at once" in faults(
        model, moved(moved(found, "mix1", start_min=0, end_min=8, who=("Ada",)), "mix2", start_min=0, end_min=8, who=("Ada",))
    )


def test_work_in_a_break_is_found(sound):
    model, found = sound
    busy = found["roll1"].start_min
    people = tuple(Person(p.name, breaks=((busy, busy + 2),)) for p in model.kitchen.people)
    assert "works in a break" in faults(replace(model, kitchen=replace(model.kitchen, people=people)), found)


def test_nobody_or_somebody_who_may_not_is_found(sound):
    model, found = sound
    assert "nobody who may do it" in faults(model, moved(found, "roll1", who=()))
    assert "not everyone is there" in faults(model, moved(found, "taste", who=("Ada",)))


def test_one_bowl_too_many_is_found(sound):
    model, found = sound
    assert "bowl: 4 wanted" in faults(replace(model, kitchen=replace(model.kitchen, resources=(("bowl", 3), ("bench", 1)))), found)
    start = found["rest1"].start_min
    gone = replace(model, kitchen=replace(model.kitchen, blocked=(Blocked("bench", 1, start, 600),)))
    assert "bench: 2 wanted" in faults(gone, found)


def test_a_cold_oven_is_found(sound):
    model, found = sound
    cold = replace(model.kitchen.ovens[0], heat_minutes_per_c=2)
    assert "goes into a cold oven" in faults(replace(model, kitchen=replace(model.kitchen, ovens=(cold,))), found)


def test_two_loads_in_one_oven_are_found():
    model = crackers(loads=2, people=3)
    found = plan(model, seconds=5)
    start = found["bake1"].start_min
    for i in range(5, 9):
        found = moved(found, f"bake{i}", start_min=start, end_min=start + 18)
    assert "the oven main is still at" in faults(model, found) and "8 places wanted" in faults(model, found)


def test_a_load_that_does_not_start_together_is_found(sound):
    model, found = sound
    assert "its tasks don't start together" in faults(model, shifted(found, "bake1", 1))


def test_plates_too_far_apart_are_found(sound):
    model, found = sound
    assert "plates ready 7 min apart" in faults(replace(model, serve_window=5), shifted(shifted(found, "bake1", 7), "cool1", 7))


def test_hands_and_ovens_outside_opening_hours_are_found():
    model = loaf(eaten=2880 + 240)
    found = plan(model, seconds=5)
    night = shifted(found, "bake", 14 * 60)
    assert "runs while nobody is in" in faults(model, night) and "ready after" in faults(model, night)
    assert "hands outside opening hours" in faults(model, night)


def held(zone):
    """Invented: soup at 58 °C for three hours, five hours at 6 °C, and two hours at 61 °C."""
    tasks = (
        Task("warm", "soup kept at 58 °C", 180, food="soup", food_c=58),
        Task("cold", "soup kept at 6 °C", 45, food="soup", food_c=6, after=(After("warm"),)),
        Task("hot", "soup kept at 61 °C", 60, food="soup", food_c=61, after=(After("cold", 20, 20, food_c=30),)),
    )
    return DayModel(tasks, Kitchen((Person("Ada"),)), FRIDAY, zone=zone)


# limits as the zones' own sources give them; the minutes are added up by hand
@pytest.mark.parametrize(
    ("zone", "minutes"),
    [
        (FOOD_CODE, 45 + 20),  # 58 and 61 °C are above 57
        (AUSTRALIA, 180 + 45 + 20),  # 58 °C is below 60
        (UNITED_KINGDOM, 180 + 20 + 60),  # 6 °C is below 8; 58 and 61 °C are below 63
    ],
)
def test_minutes_in_the_danger_zone_are_counted_by_the_authority_s_temperatures(zone, minutes):
    allowed, short = replace(zone, limit_minutes=minutes), replace(zone, limit_minutes=minutes - 1)
    found = plan(held(allowed), seconds=2)
    assert check(held(allowed), found) == ()
    assert "in the danger zone" in faults(held(short), found)


def test_a_wait_for_the_heat_and_one_after_it_are_two_counts_and_neither_is_forgotten():
    # by hand: 30 min out, 50 min waiting for the pan (80); from the pan 70 min waiting, 10 min plating (80 again, not 160)
    model = DayModel(
        tasks=(Task("cut", "cutting", 30, hands=30, food="chicken", food_c=20),
               Task("fry", "frying", 20, hands=20, after=(After("cut", 50, food_c=20),)),
               Task("plate", "plating", 10, hands=10, food="chicken", food_c=20, after=(After("fry", 70, food_c=20),))),
        kitchen=Kitchen(people=(Person("Ada"),)), start=datetime(2026, 6, 5, 9), horizon=600,
    )
    lines = (PlannedTask("cut", 0, 30, ("Ada",)), PlannedTask("fry", 80, 100, ("Ada",)), PlannedTask("plate", 170, 180, ("Ada",)))
    assert zone_minutes(model, DayPlan(lines, (), False, 0, ())) == {"cut": 30, "fry": 80, "plate": 80}
    late = replace(model, tasks=(*model.tasks[:2], replace(model.tasks[2], after=(After("fry", 300, food_c=20),))))
    with pytest.raises(Infeasible, match="at most 4 h between 5 and 57"):
        plan(late, seconds=2)
