"""The usual hours of a kitchen that gives none (08:00 to 22:00: common practice, no source), and the nights that were asked for all the same."""

from datetime import datetime, timedelta

import pytest

import proofpan as pp
from proofpan.steps.day import plan_day, replan
from proofpan.steps.day_hours import joined_up, kept_hours, nights_asked_for, open_minutes, read_hours
from proofpan.study.kitchen import Kitchen

FRIDAY = "2026-06-05"
LOAF = [{"id": "mix", "do": "Mix.", "minutes": 15}, {"id": "prove", "do": "Prove in a cool room.", "minutes": 600, "hands": 0},
        {"id": "shape", "do": "Shape.", "minutes": 10}, {"id": "bake", "do": "Bake.", "oven": "220 C", "minutes": 40},
        {"id": "cool", "do": "Cool on a rack.", "minutes": 60}]
FLAT = [{"id": "mix", "do": "Mix the flour and the water.", "minutes": 10}, {"id": "bake", "do": "Bake in a dry pan.", "minutes": 6, "hob": "high"}]


def two(method, **kitchen):
    study = pp.Study.from_dict({
        "title": "Bread", "question": "Salt?", "tasters": ["Ada"], "attributes": [{"name": "flavour"}], "rounds": {"plates": 2, "loads": 1},
        "kitchen": {"country": "UK", "people": ["Ada"], **kitchen},
        "base": {"title": "Bread", "makes": "1 loaf", "ingredients": ["500 g strong white flour", "350 g water", "10 g fine salt"], "method": method},
        "factors": [{"name": "salt", "options": [{"name": "a"}, {"name": "b", "edits": [{"scale": "fine salt", "by": 1.5}]}]}]})
    return study.with_round(pp.next_round(study, seed=1))


def planned(method, *, kitchen=None, **when):
    study = two(method, **(kitchen or {}))
    return plan_day(study, round=study.rounds[-1], **when)


def out_of_hours(day):
    """Tasks with hands at work before eight or after ten in the evening."""
    return [t.task for t in day.day_tasks if t.people and (t.start.hour < 8 or (t.hands_until or t.end) > t.start.replace(hour=22, minute=0))]


def hours_said(day):
    return [s for s in day.says if "gives no hours" in s]


def test_a_proof_goes_through_the_night_and_nobody_is_at_work_in_it():
    # by hand: mixed at 15:00 at the soonest, proved for ten hours, it would be eaten at about three in the night
    day = planned(LOAF, start=f"{FRIDAY}T15:00")
    assert out_of_hours(day) == [] and max(t.end for t in day.day_tasks).hour < 22
    night = datetime(2026, 6, 6, 2)
    assert {t.task.split()[0] for t in day.day_tasks if t.start <= night < t.end} <= {"prove"}
    assert hours_said(day) == ["The kitchen gives no hours: cooks and tasters are there from 08:00 to 22:00; what stands by itself may go through the night. "
                               "Its own hours can be written in."]


@pytest.mark.parametrize("hours", [["08:00-22:00"], ["06:00-23:30"], ["00:00-24:00"]])
def test_a_kitchen_that_gives_its_hours_is_held_to_those_alone(hours):
    day = planned(LOAF, kitchen={"hours": hours}, start=f"{FRIDAY}T15:00")
    assert hours_said(day) == []
    assert (out_of_hours(day) == []) == (hours == ["08:00-22:00"])


@pytest.mark.parametrize(("when", "first", "last"), [
    ({"start": f"{FRIDAY}T21:30"}, "Fri 21:30", "Fri 22:18"),      # a short dish begun in the evening is cooked to its end: 48 minutes by hand
    ({"start": f"{FRIDAY}T23:30"}, "Fri 23:30", "Sat 00:18"),
    ({"eat": f"{FRIDAY}T07:00"}, "Fri 06:10", "Fri 06:58"),         # breakfast
    ({"eat": f"{FRIDAY}T23:00"}, "Fri 22:10", "Fri 22:58"),
    ({"start": f"{FRIDAY}T17:00"}, "Fri 17:00", "Fri 17:48"),
])
def test_what_was_asked_for_in_the_night_is_cooked_in_it(when, first, last):
    day = planned(FLAT, **when)
    begins, ends = min(t.start for t in day.day_tasks), max(t.end for t in day.day_tasks)
    assert (f"{begins:%a %H:%M}", f"{ends:%a %H:%M}") == (first, last)
    assert len(hours_said(day)) == 1 and ("only where that was asked for" in hours_said(day)[0]) == bool(out_of_hours(day))


# an hour and three quarters' work and cooling before breakfast: nobody gave the usual hours, so they refuse nothing
def test_a_day_that_the_usual_hours_forbid_is_cooked_outside_them_and_says_so():
    day = planned(LOAF, eat=f"{FRIDAY}T08:30")
    assert min(t.start for t in day.day_tasks if t.task.startswith("shape")).hour == 6
    assert hours_said(day) == ["The kitchen gives no hours, and from 08:00 to 22:00 alone this can't be cooked: hands are there outside them too. "
                               "Its own hours can be written in."]


def test_hours_that_a_kitchen_gives_refuse_such_a_day():
    with pytest.raises(pp.DayError, match=r"the kitchen's hours \(08:00–22:00\)"):
        planned(LOAF, kitchen={"hours": ["08:00-22:00"]}, eat=f"{FRIDAY}T08:30")


def test_a_day_that_no_hours_can_save_isnt_laid_to_the_usual_ones():
    with pytest.raises(pp.DayError) as caught:
        planned(LOAF, start=f"{FRIDAY}T09:00", eat=f"{FRIDAY}T11:00")
    assert "usual hours" not in str(caught.value) + " ".join(caught.value.ease)


def test_what_takes_longer_in_the_oven_than_the_usual_hours_goes_through_the_night():
    slow = [FLAT[0], {"id": "bake", "do": "Bake.", "oven": "95 C", "minutes": 900}]
    day = planned(slow, start=f"{FRIDAY}T09:00")
    assert hours_said(day) == [] and max(t.end for t in day.day_tasks) - min(t.start for t in day.day_tasks) < timedelta(hours=17)
    with pytest.raises(pp.DayError, match="the kitchen's hours"):
        planned(slow, kitchen={"hours": ["08:00-22:00"]}, start=f"{FRIDAY}T09:00")


def test_a_running_day_goes_on_past_ten_where_it_is_late():
    study = two(FLAT)
    day = plan_day(study, round=1, start=f"{FRIDAY}T20:50")
    mixed = [t for t in day.day_tasks if t.task == "mix 1"][0]
    late = datetime(2026, 6, 5, 22, 5)
    again = replan(day, study, [("mix 1", mixed.start, mixed.end)], late)
    assert min(t.start for t in again.day_tasks if not t.started) >= late and max(t.end for t in again.day_tasks) < late + timedelta(hours=1)


def test_hours_are_read_and_spans_joined():
    assert read_hours(["13:30-18:00", "9-12"]) == ((540, 720), (810, 1080))
    assert kept_hours(Kitchen()) == ("08:00-22:00",) and kept_hours(Kitchen(hours=("9-12",))) == ("9-12",)
    assert open_minutes(Kitchen()) == 0 and open_minutes(Kitchen(hours=("9-12",))) == 180
    assert joined_up([(5, 9), (0, 3), (3, 4), (8, 12)]) == [(0, 4), (5, 12)]
    with pytest.raises(pp.DayError, match="write them as 09:00-17:00"):
        read_hours(["mornings"])
    at = datetime(2026, 6, 5, 3)
    assert nights_asked_for(Kitchen(hours=("9-12",)), at, None, 30, 30, 10) == ()
    assert nights_asked_for(Kitchen(), at, None, 30, 30, 10) == ((datetime(2026, 6, 4, 22), datetime(2026, 6, 5, 8)),)


def searched(monkeypatch, fails):
    """How long each search of the rest was allowed; those for which `fails` find nothing in time."""
    from proofpan.science import daywork

    real, asked = daywork.plan, []

    def plan(model, *, seconds, **more):
        asked.append((seconds, bool(model.opening)))
        if fails(seconds):
            raise daywork.NotFound("No plan found in time.")
        return real(model, seconds=seconds, **more)

    monkeypatch.setattr(daywork, "plan", plan)
    return asked


def test_a_press_that_finds_no_plan_at_once_is_looked_at_longer_without_hours_that_nobody_gave(monkeypatch):
    study = two(FLAT)
    day = plan_day(study, round=1, start=f"{FRIDAY}T17:00")
    asked = searched(monkeypatch, lambda seconds: seconds < 1)
    again = replan(day, study, [("mix 1", f"{FRIDAY}T17:00", f"{FRIDAY}T17:10")], f"{FRIDAY}T17:10")
    assert len(again.day_tasks) == len(day.day_tasks) and [hours for _, hours in asked] == [True, False]


def test_a_rest_of_which_no_plan_is_found_says_what_a_cook_can_do(monkeypatch):
    study = two(FLAT)
    day = plan_day(study, round=1, start=f"{FRIDAY}T17:00")
    searched(monkeypatch, lambda seconds: True)
    with pytest.raises(pp.DayError, match="take back what was said last"):
        replan(day, study, [("mix 1", f"{FRIDAY}T17:00", None)], f"{FRIDAY}T17:05")
