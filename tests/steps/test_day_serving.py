"""How warm plates are when they are tasted, and the minutes that food is in the danger zone, against sums done by hand."""

from math import exp

import pytest

import proofpan as pp
from proofpan.science.daywork import cooled_c
from proofpan.steps.day_serving import cooling_minutes, out_c, warm_when_served
from proofpan.steps.day_tasks import day_work
from proofpan.study.recipe import Recipe, Step
from tests.kitchens import plain


@pytest.mark.parametrize(("until", "degrees"), [("63 °C at the middle", 63), ("165 F at the thickest part", 73.9), ("deep gold", 95), (None, 95)])
def test_the_food_leaves_the_oven_as_its_cue_says(until, degrees):
    assert out_c(Step(id="bake", do="Bake.", until=until)) == degrees


def test_a_ball_cools_by_its_mass():
    # τ = ρ c r / (3 h), r of a ball of 523.6 g of density 1 is 5 cm: 3300 · 1000 · 0.05 / 36 s = 76.4 min, by hand
    assert cooling_minutes(523.6) == pytest.approx(76.4, abs=0.1)
    assert cooling_minutes(8 * 523.6) == pytest.approx(2 * cooling_minutes(523.6))


@pytest.mark.parametrize("then", ["Chill in the fridge.", "Cool on the trays until crisp."])
def test_what_cools_after_the_oven_is_not_served_warm(then):
    steps = [{"id": "bake", "do": "Bake.", "oven": "180 C"}, {"id": "set", "do": then, "minutes": 60}]
    recipe = Recipe(title="Tart", ingredients=["100 g plain flour"], method=steps)
    assert not warm_when_served(recipe, recipe.method[0])
    assert warm_when_served(recipe.model_copy(update={"method": recipe.method[:1]}), recipe.method[0])


def test_plates_of_two_loads_are_said_to_be_unequally_warm():
    study = plain(
        base={"title": "Loaf", "makes": "1 loaf", "ingredients": ["500 g plain flour", "300 g water"], "method": [
            {"id": "mix", "do": "Mix.", "minutes": 5}, {"id": "bake", "do": "Bake.", "minutes": 40, "oven": "200 C"}]},
        kitchen={"ovens": [{"trays": 1, "places": 2}], "people": ["Ada"]}, rounds={"loads": 2},
        factors=[{"name": "salt", "options": [{"name": "a"}, {"name": "b", "edits": [{"add": "5 g fine salt"}]}]}])
    round_ = pp.next_round(study, seed=1)
    day = pp.plan_day(study.with_round(round_), round=1, start="2026-06-05T09:00")
    said = next(s for s in day.says if "out of the oven" in s)
    at, tau = {t.task: t for t in day.day_tasks}, cooling_minutes(800)
    table = max(t.end for t in day.day_tasks if t.task.startswith("plate"))
    ages = [(table - at[f"bake {t.trial}"].end).total_seconds() / 60 for t in round_.trials]
    cool, hot = (20 + 75 * exp(-m / tau) for m in (max(ages), min(ages)))
    assert f"{min(ages):.0f} to {max(ages):.0f} minutes" in said and f"about {cool:.0f} to {hot:.0f} °C" in said
    task = day_work(study, round_).tasks["bake 1"]
    assert (task.out_c, task.cooling_minutes) == (95, round(tau, 1)) and cooled_c(task, min(ages)) == pytest.approx(hot, abs=0.1)


@pytest.mark.parametrize(("zone", "limit"), [("US Food Code", "4 h"), ("United Kingdom", "2 h")])
def test_minutes_in_the_danger_zone_are_counted_by_the_authority(zone, limit):
    study = plain(
        base={"title": "Custard", "makes": "2 cups", "ingredients": ["500 mL whole milk", "4 eggs"], "method": [
            {"id": "whisk", "do": "Whisk.", "minutes": 10}, {"id": "stand", "do": "Let it stand.", "minutes": 80, "hands": 0},
            {"id": "cook", "do": "Cook until it coats a spoon.", "minutes": 10, "hob": "low"}]},
        factors=[{"name": "salt", "options": [{"name": "a"}, {"name": "b", "edits": [{"add": "1 g fine salt"}]}]}])
    round_ = pp.next_round(study, seed=7)
    day = pp.plan_day(study.with_round(round_), round=1, start="2026-06-06T09:00", zone=zone)
    said = next(s for s in day.says if "allowed" in s)
    # whisking and standing before the hob are ninety minutes; the hob's heat begins another count
    assert f"of the {limit} allowed ({zone})" in said and "for 1 h 30 min at the most" in said
