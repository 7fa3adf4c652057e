"""Days of ours against an independent checker, and what happened kept when the rest is planned again."""

import time
from datetime import datetime, timedelta

import pytest

import proofpan as pp
from proofpan.science.daywork import ZONES, DayPlan, PlannedTask, check
from proofpan.steps.day import replan
from proofpan.steps.day_model import day_model
from proofpan.steps.day_tasks import day_work
from tests.kitchens import CRACKERS, crackers, plain

START = "2026-06-05T09:00"
WIDE = CRACKERS.replace("kitchen: {country: AU,", "kitchen: {country: AU, people: [Ada, Bo],").replace("loads: 1", "loads: 2").replace(
    "- name: oven\n", "- name: oven\n    changed: load\n")


def planned(text=WIDE, seed=1, **times):
    study = pp.Study.from_text(text)
    study = study.with_round(pp.next_round(study, seed=seed))
    return study, pp.plan_day(study, round=1, **(times or {"start": START}))


def faults(study, day, **model):
    """What the independent checker finds wrong (it shares nothing with the solver but the day)."""
    work = day_work(study, study.rounds[0])
    at = day_model(study.brief.kitchen, work, start=day.start, eat=day.eat, now=None, **model)
    lines = tuple(
        PlannedTask(t.task, at.minute(t.start), at.minute(t.end), t.people, t.resource if work.tasks[t.task].oven else None)
        for t in day.day_tasks
    )
    return check(at, DayPlan(lines, (), False, 0, ()))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_plan_of_a_round_is_sound(seed):
    study, day = planned(seed=seed)
    assert faults(study, day) == ()


def test_the_checker_sees_a_plan_that_is_not_sound():
    study, day = planned()
    late = next(t for t in day.day_tasks if t.task.startswith("bake"))
    moved = late.model_copy(update={"start": late.start - timedelta(minutes=9), "end": late.end - timedelta(minutes=9)})
    tasks = tuple(moved if t is late else t for t in day.day_tasks)
    assert faults(study, day.model_copy(update={"day_tasks": tasks}))


def test_one_round_of_eight_trials_is_planned_in_five_seconds():
    study = pp.Study.from_text(WIDE)
    study = study.with_round(pp.next_round(study, seed=1))
    assert len(study.rounds[0].trials) == 8
    begun = time.process_time()
    pp.plan_day(study, round=1, start=START)
    assert time.process_time() - begun < 5


def test_one_dough_is_made_once_for_versions_that_share_it_until_their_ways_part():
    study, day = planned()
    mixes = [t for t in day.day_tasks if t.task.startswith("mix")]
    # every version is cooked once in this round: two fats, so two doughs, each for four versions
    assert len(mixes) == 2 and all(len(t.versions) == 4 for t in mixes)
    assert any("once" in s for s in day.says)


def test_two_makes_of_one_version_are_two_doughs():
    study = plain(base={"title": "Dip", "ingredients": ["200 g plain yogurt", "4 g fine salt"],
                        "method": [{"id": "mix", "do": "Stir the salt into the yogurt.", "minutes": 5}]}, rounds={"plates": 8})
    round_ = pp.next_round(study, seed=1)
    made = {}
    for t in round_.trials:
        made[str(t.version)] = made.get(str(t.version), 0) + 1
    assert max(made.values()) == 2
    mixes = [t for t in pp.plan_day(study, round=round_).day_tasks if t.task.startswith("mix")]
    assert len(mixes) == 2


def test_an_ingredient_that_only_a_later_step_takes_up_leaves_the_dough_shared():
    study = plain(
        base={"title": "Dough", "ingredients": ["200 g plain flour", "110 g water"],
              "method": [{"id": "mix", "do": "Stir the water into the flour.", "minutes": 5}]},
        factors=[{"name": "syrup", "options": [{"name": "none"}, {"name": "10 g", "edits": [
            {"add": "10 g malt syrup", "after": "water"},
            {"insert": {"id": "malt", "do": "Stir in the malt syrup.", "minutes": 1}, "after": "mix"}]}]}],
        rounds={"plates": 2},
    )
    tasks = {t.task: t for t in pp.plan_day(study, round=pp.next_round(study, seed=1)).day_tasks}
    assert [len(t.versions) for k, t in tasks.items() if k.startswith("mix")] == [2]
    assert [len(t.versions) for k, t in tasks.items() if k.startswith("malt")] == [1]


def test_everyone_sits_down_to_the_tasting_at_the_end():
    _, day = planned()
    assert day.day_tasks[-1].task == "taste" and day.day_tasks[-1].people == ("Ada", "Bo")
    assert {s.person for s in day.run_sheets} == {"Ada", "Bo", ""}
    assert sum(len(s.tasks) for s in day.run_sheets) == len(day.day_tasks) + 1


def test_plates_are_ready_when_they_are_eaten_and_not_long_before():
    study, day = planned(eat="2026-06-05T13:00")
    ready = [t.end for t in day.day_tasks if t.task.startswith("plate")]
    assert datetime(2026, 6, 5, 12, 45) <= min(ready) and max(ready) <= datetime(2026, 6, 5, 13)
    assert faults(study, day) == ()


# ---------------------------------------------------------------- days
PROOFED = WIDE.replace("{id: mix,", "{id: start, do: \"Stir flour and water; leave it.\", minutes: 2880, hands: 10}\n    - {id: mix,")


def test_a_two_day_start_that_has_passed_says_so_and_names_the_next_meal():
    with pytest.raises(pp.DayError) as caught:
        planned(PROOFED, eat="2026-06-06T12:00", now="2026-06-05T09:00")
    says = str(caught.value)
    # 2,880 minutes, and the mixing, baking and plating after them: 48 h 29 min before Saturday noon
    assert "Thursday" in says and "past" in says and "the next is" in says and caught.value.conflict


def test_a_dish_of_days_starts_days_before():
    study, day = planned(PROOFED, eat="2026-06-06T12:00", now="2026-06-01T09:00")
    assert day.start.date() == datetime(2026, 6, 4).date() and faults(study, day) == ()


def test_the_kitchens_hours_are_kept():
    text = WIDE.replace("people: [Ada, Bo]", "people: [Ada, Bo], hours: ['13:30-18:00']")
    _, day = planned(text)
    assert min(t.start for t in day.day_tasks) >= datetime(2026, 6, 5, 13, 30)
    with pytest.raises(pp.DayError, match="hours"):
        planned(WIDE.replace("people: [Ada, Bo]", "people: [Ada, Bo], hours: [mornings]"))


# ---------------------------------------------------------------- the danger zone
CHICKEN = {
    "title": "Thighs", "ingredients": ["500 g chicken thighs", "10 g fine salt"],
    "method": [{"id": "salt", "do": "Salt the chicken thighs.", "minutes": 5},
               {"id": "stand", "do": "Leave on the bench.", "minutes": 210, "rest": "bench"},
               {"id": "roast", "do": "Roast until the thickest part is at 74 C.", "oven": "200 C fan", "minutes": 35}],
}


def chicken(stand=210, country="US", rest="bench"):
    method = [dict(s) for s in CHICKEN["method"]]
    method[1] |= {"minutes": stand, "rest": rest}
    return plain(base={**CHICKEN, "method": method}, kitchen={"country": country, "ovens": [{"name": "main", "trays": 2, "places": 2}]},
                 factors=[{"name": "salt", "options": [{"name": "a"}, {"name": "b"}]}], rounds={"plates": 2})


def test_minutes_in_the_danger_zone_are_counted_against_the_authority_named():
    study = chicken()       # 5 + 210 min: within 4 h (FDA Food Code 2022, 3-501.19(B)), beyond 2 h (England, 2013 Regulations, sch. 4)
    round_ = pp.next_round(study, seed=1)
    day = pp.plan_day(study, round=round_, start=START)
    assert day.zone == "US Food Code" and any("local food-safety authority" in s for s in day.says)
    assert any("165 °F" in c for c in day.cautions)
    with pytest.raises(pp.DayError) as caught:
        pp.plan_day(study, round=round_, start=START, zone="United Kingdom")
    assert any("2 h between 8 and 63" in c for c in caught.value.conflict)
    with pytest.raises(pp.DayError):
        pp.plan_day(chicken(stand=300), round=round_, start=START)
    with pytest.raises(pp.DayError, match="danger zone"):
        pp.plan_day(study, round=round_, start=START, zone="Atlantis")


def test_a_rest_in_the_fridge_is_out_of_the_zone():
    study = chicken(stand=600, rest="fridge")
    assert pp.plan_day(study, round=pp.next_round(study, seed=1), start=START).day_tasks


@pytest.mark.parametrize("country, zone", [("AU", "Australia and New Zealand"), ("UK", "United Kingdom"), ("US", "US Food Code")])
def test_the_zone_is_the_countrys(country, zone):
    study = chicken(stand=60, country=country)
    assert pp.plan_day(study, round=pp.next_round(study, seed=1), start=START).zone == zone and zone in ZONES


# ---------------------------------------------------------------- live
@pytest.mark.parametrize("minutes, late", [(0, 0), (20, 5), (45, 12), (75, 3)])
def test_the_rest_is_planned_again_in_two_seconds_and_what_has_started_stays(minutes, late):
    study, day = planned()
    due = day.start + timedelta(minutes=minutes)
    happened = [(t.task, t.start, t.end if t.end <= due else None) for t in day.day_tasks if t.start < due]
    now = due + timedelta(minutes=late)
    begun = time.process_time()
    again = replan(day, study, happened, now)
    assert time.process_time() - begun < 2
    lines = {t.task: t for t in again.day_tasks}
    assert set(lines) == {t.task for t in day.day_tasks}
    for task, start, end in happened:
        assert lines[task].started and lines[task].start == start and (end is None or lines[task].end == end)
    assert all(t.start >= now for t in again.day_tasks if not t.started)
    assert all(lines[t.task].people == t.people for t in day.day_tasks if lines[t.task].started)


def test_a_meal_that_cannot_be_kept_any_more_is_said_once_with_its_minutes():
    study, day = planned(eat="2026-06-05T13:00")
    due = datetime(2026, 6, 5, 12, 0)
    happened = [(t.task, t.start, t.end if t.end <= due else None) for t in day.day_tasks if t.start < due]
    late = [s for s in replan(day, study, happened, due + timedelta(minutes=40)).says if s.startswith("Not kept: the meal at 13:00")]
    assert len(late) == 1 and "min over" in late[0]


def test_a_replan_can_follow_a_replan():
    study, day = planned()
    first = [(t.task, t.start, t.end) for t in day.day_tasks[:2]]
    once = replan(day, study, first, day.start + timedelta(minutes=12))
    later = [(t.task, t.start, t.end if t.started else None) for t in once.day_tasks[:3]]
    twice = replan(once, study, later, max(e or s for _, s, e in later) + timedelta(minutes=2))
    assert sum(t.started for t in twice.day_tasks) == 3


def test_what_happened_to_no_task_of_the_day_is_refused_with_the_nearest():
    study, day = planned()
    with pytest.raises(pp.DayError, match="bake 1"):
        replan(day, study, [("bake1", START, None)], "2026-06-05T09:30")


def test_a_plain_study_is_cooked_and_tasted():
    study = plain(rounds={"plates": 3})
    tasks = [t.task.split()[0] for t in pp.plan_day(study, round=pp.next_round(study, seed=1)).day_tasks]
    assert sorted(set(tasks)) == ["make", "plate", "taste"] and tasks.count("make") == 3


def test_a_study_without_times_starts_at_nine_of_no_day():
    study = crackers()
    day = pp.plan_day(study, round=pp.next_round(study, seed=2))
    assert day.start.hour == 9 and day == pp.plan_day(study, round=pp.next_round(study, seed=2))


def test_the_wait_before_the_heat_and_the_wait_after_it_both_count():
    """By hand: salted 5 min at room temperature and fetched when the hob is free; out of the pan it waits in the room again."""
    method = [{"id": "salt", "do": "Salt the chicken thighs.", "minutes": 5}, {"id": "fry", "do": "Fry.", "minutes": 20, "hob": "high"},
              {"id": "drain", "do": "Drain.", "minutes": 5}]
    study = plain(base={**CHICKEN, "method": method}, kitchen={"country": "UK", "people": ["Ada"], "hours": ["09:00-12:00", "17:00-20:00"]},
                  factors=[{"name": "salt", "options": [{"name": "a"}, {"name": "b"}]}], rounds={"plates": 2})
    work = day_work(study, pp.next_round(study, seed=1))
    fry, drain = (next(t for k, t in work.tasks.items() if k.startswith(name)) for name in ("fry", "drain"))
    assert [fry.after[0].food_c, drain.after[0].food_c] == [20.0, 20.0]
    with pytest.raises(pp.DayError) as caught:      # 17:20 would have it fried before noon, five hours earlier; from 17:00 it takes 33 min
        pp.plan_day(study, round=pp.next_round(study, seed=1), eat="2026-06-05T17:20")
    assert any("2 h between 8 and 63" in c for c in caught.value.conflict)


def test_what_stands_in_the_fridge_stays_there_until_it_is_fetched():
    work = day_work(chicken(stand=600, rest="fridge"), pp.next_round(chicken(stand=600, rest="fridge"), seed=1))
    roast = next(t for k, t in work.tasks.items() if k.startswith("roast"))
    assert roast.after[0].food_c == 4.0 and next(t for k, t in work.tasks.items() if k.startswith("plate")).after[0].food_c == 20.0
