"""What is kept and tasted again: at its hour, from a free place in the fridge; and what is said where it clashes."""

import pytest

import proofpan as pp

FRIDAY = {"start": "2026-06-05T09:00"}
ONE_PLACE = {"fridge_shelves": 1, "places_a_shelf": 1, "hours": ["08:00-20:00"]}


def flatbread(keeping, **kitchen):
    """Two flatbreads in one's hands: by hand 2 × 10 min mixing, 2 × 6 min baking, 2 × 3 min portioning, tasted from 9:38."""
    study = pp.Study.from_dict({
        "title": "Flatbread", "question": "Salt?", "tasters": ["Ada"], "attributes": [{"name": "flavour"}],
        "rounds": {"plates": 2, "loads": 1, "keeping": keeping}, "kitchen": {"country": "UK", "people": ["Ada"], **kitchen},
        "base": {"title": "Flatbread", "makes": "1 flatbread", "ingredients": ["100 g plain flour", "60 g water", "2 g fine salt"], "method": [
            {"id": "mix", "do": "Mix the flour and the water.", "minutes": 10}, {"id": "bake", "do": "Bake in a dry pan.", "minutes": 6, "hob": "high"}]},
        "factors": [{"name": "salt", "options": [{"name": "a"}, {"name": "b", "edits": [{"scale": "fine salt", "by": 1.5}]}]}]})
    return study.with_round(pp.next_round(study, seed=1))


def at(day):
    return {t.task: f"{t.start:%a %H:%M}" for t in day.day_tasks}


def test_what_is_frozen_is_thawed_the_day_before_and_holds_the_fridge_until_it_is_tasted():
    day = pp.plan_day(flatbread(["day 1", "from frozen, day 3"], **ONE_PLACE), round=1, **FRIDAY)
    assert at(day)["taste"] == "Fri 09:38" and at(day)["taste day 1"] == "Sat 09:38" and at(day)["taste from frozen, day 3"] == "Mon 09:38"
    thaw = next(t for t in day.day_tasks if t.task == "thaw day 3")
    assert f"{thaw.start:%a}" == "Sun" and (thaw.end - thaw.start).total_seconds() == 12 * 3600


@pytest.mark.parametrize("held", [["2026-06-08 1"], ["2026-06-07 1", "2026-06-08 1"]])
def test_a_thawing_for_which_the_fridge_has_no_place_is_named_with_its_tasting_and_what_would_do(held):
    # thawed on Sunday for Monday, or cooked a day later on Monday for Tuesday: on Monday something else holds the place
    with pytest.raises(pp.DayError) as caught:
        pp.plan_day(flatbread(["day 1", "from frozen, day 3"], **ONE_PLACE, fridge_taken=held), round=1, **FRIDAY)
    said, ease = str(caught.value), "\n".join(caught.value.ease)
    assert "only 1 place in the fridge, some of it taken" in said and "the thawing (day 3)" in f"{said}\n{ease}"
    assert "What is tasted again is part of it (from frozen, day 3): choose another day for it, or leave it out." in caught.value.ease
    assert "The tasting begins" not in ease and "day 1" not in ease
    assert said.endswith("With the fridge cleared it can be cooked.")


@pytest.mark.parametrize(("keeping", "held"), [
    (["day 1", "from frozen, day 3"], ["2026-06-06 1"]),      # Saturday is free again by the time of the thawing
    (["day 1", "from frozen, day 5"], ["2026-06-08 1"]),      # another day for it, as is advised
    (["day 1", "from frozen, day 3"], ["2026-06-07 1"]),      # cooked on Saturday, thawed on Monday
    (["day 1"], ["2026-06-07 1", "2026-06-08 1"]),            # left out, as is advised
])
def test_what_is_advised_does(keeping, held):
    assert pp.plan_day(flatbread(keeping, **ONE_PLACE, fridge_taken=held), round=1, **FRIDAY).day_tasks


def test_what_is_tasted_late_in_the_evening_is_tasted_again_as_late_where_no_hours_are_given():
    day = pp.plan_day(flatbread(["day 1", "from frozen, day 2"]), round=1, eat="2026-06-05T23:00")
    assert at(day)["taste"] == "Fri 22:48" and at(day)["taste day 1"][:8] == "Sat 22:4" and at(day)["taste from frozen, day 2"] == "Sun 22:48"
