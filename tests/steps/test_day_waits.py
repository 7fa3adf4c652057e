"""What may wait, and for how long: what comes off the heat, what spoils, what is filmed, what is kept."""

from datetime import timedelta

import pytest

import proofpan as pp
from proofpan.steps.day_lists import day_lists
from proofpan.steps.day_tasks import day_work, spoiling_from
from proofpan.steps.day_waits import OUT
from proofpan.steps.making import recipe_of
from tests.kitchens import plain
from tests.steps.day_dishes import dish

# an invented bun on yesterday's dough; its minutes are common practice, no source
BUNS = {
    "title": "Buns", "makes": "24 buns", "trial_makes": "8 buns",
    "ingredients": ["900 g plain flour", "300 g water", "3 eggs", "150 mL milk", "9 g dried yeast"],
    "method": [
        {"id": "ferment", "do": "Stir a pinch of the dried yeast with 300 g of the plain flour and the water; leave covered.", "minutes": 1080, "hands": 10},
        {"id": "mix", "do": "Knead with the rest of the plain flour, the eggs, the milk and the dried yeast.", "minutes": 20},
        {"id": "bake", "do": "Bake.", "minutes": 20, "oven": "190 C", "hands": 2},
        {"id": "cool", "do": "Cool on a rack.", "minutes": 40, "hands": 1, "rest": "rack"}],
}


@pytest.fixture(scope="module")
def buns():
    study = plain(base=BUNS, kitchen={"country": "AU", "ovens": [{"trays": 1, "places": 2}], "people": ["Ada"], "hours": ["08:00-18:00"]},
                  factors=[{"name": "milk", "options": [{"name": "plain"}, {"name": "rich", "edits": [{"swap": "milk", "for": "150 mL cream"}]}]}],
                  rounds={"keeping": ["day 1"]})
    study = study.with_round(pp.next_round(study, seed=1))
    return study, pp.plan_day(study, round=1, eat="2026-06-06T13:00")


def test_a_ferment_of_flour_and_water_stands_a_day_before_the_eggs_go_in(buns):
    study, day = buns
    assert spoiling_from(recipe_of(study, study.rounds[0].trials[0].version)) == 2
    ferment = next(t for t in day.day_tasks if t.task.startswith("ferment"))
    assert ferment.end - ferment.start == timedelta(minutes=1080)


def test_what_no_step_names_is_taken_to_be_in_from_the_first():
    recipe = recipe_of(study := dish("fry"), pp.next_round(study, seed=7).trials[0].version)
    unnamed = recipe.model_copy(update={"method": tuple(s.model_copy(update={"do": s.do.replace("egg", "them").replace("chicken thighs", "them")})
                                                        for s in recipe.method)})
    assert spoiling_from(recipe) == spoiling_from(unnamed) == 1


def test_what_comes_out_of_the_oven_cools_at_once(buns):
    _, day = buns
    out = {t.trials[0]: t.end for t in day.day_tasks if t.load}
    cools = [t for t in day.day_tasks if t.task.startswith("cool")]
    assert cools and all(timedelta(0) <= t.start - out[n] <= timedelta(minutes=15) for t in cools for n in t.trials)


def test_amounts_that_a_step_names_are_those_of_what_is_made(buns):
    study, day = buns
    ferment = next(t for t in day.day_tasks if t.task.startswith("ferment"))
    share = len(ferment.trials) / 3                     # 8 of 24 buns a trial
    assert f"{300 * share:.0f} g of the plain flour" in ferment.what
    weighed = {x.what: x for x in day_lists(study, study.rounds[0]).prep if x.section.startswith("Ferment")}
    assert "a part now, the rest for mix" in weighed["plain flour"].note and "a part now, the rest for mix" in weighed["dried yeast"].note
    assert "the rest" not in weighed["water"].note


def test_what_is_kept_is_tasted_at_the_hour_of_the_first_tasting(buns):
    at = {t.task: t for t in buns[1].day_tasks}
    assert at["taste day 1"].start == at["taste"].start + timedelta(days=1)


def test_fried_pieces_count_as_baked_ones_do_their_ages_are_to_be_alike():
    study = dish("fry")
    work = day_work(study, pp.next_round(study, seed=7))
    once = {k for k, trials in work.trials.items() if k.startswith("fry") and any(t.version["fry"] == "once" for t in trials)}
    assert once and {k for k, t in work.tasks.items() if t.serve_group == OUT} == once | {k for k in work.tasks if k.startswith("again")}
    jars = day_work(jar := dish("jar"), pp.next_round(jar, seed=7)).tasks
    assert not any(t.serve_group == OUT for t in jars.values())      # what is boiled weeks before it is eaten has no such age


def test_what_is_fried_drains_at_once():
    study = dish("fry")
    study = study.with_round(pp.next_round(study, seed=7))
    day = pp.plan_day(study, round=1, start="2026-06-05T09:00")
    fried = {t.trials: t.end for t in day.day_tasks if t.task.startswith("fry")}
    drains = [t for t in day.day_tasks if t.task.startswith("drain")]
    assert drains and all(timedelta(0) <= t.start - fried[t.trials] <= timedelta(minutes=15) for t in drains)


def test_the_hero_goes_on_once_its_stage_is_on_film():
    study = dish("film")
    work = day_work(study, pp.next_round(study, seed=7))
    for hero in ("hero 1", "hero 2"):
        assert f"film {hero} mix" in {a.task for a in work.tasks[f"{hero} roll"].after}
        assert f"film {hero} roll" in {a.task for a in work.tasks[f"{hero} bake"].after}
