"""What a day lacks, said as a cook counts: a load larger than any oven here."""

import pytest

import proofpan as pp

BREAD = {
    "title": "Rolls", "question": "Salt?", "tasters": ["Ada"], "attributes": [{"name": "flavour"}], "rounds": {"plates": 2, "loads": 1},
    "base": {"title": "Rolls", "makes": "12 rolls", "ingredients": ["500 g strong white flour", "350 g water", "10 g fine salt"], "method": [
        {"id": "mix", "do": "Mix.", "minutes": 15}, {"id": "bake", "do": "Bake.", "oven": "220 C", "minutes": 20}]},
    "factors": [{"name": "salt", "options": [{"name": "a"}, {"name": "b", "edits": [{"scale": "fine salt", "by": 1.5}]}]}],
}


def load_of(trials, ovens, per_tray=1):
    """One load of so many trials, on as many trays as they fill."""
    study = pp.Study.from_dict({**BREAD, "kitchen": {"country": "UK", "people": ["Ada"], "ovens": ovens}})
    round_ = pp.next_round(study, seed=1)
    made = tuple(round_.trials[0].model_copy(update={"trial": n + 1, "load": 1, "tray": n // per_tray + 1, "place": n % per_tray + 1}) for n in range(trials))
    return study, round_.model_copy(update={"trials": made})


@pytest.mark.parametrize(("trials", "per_tray", "ovens", "says"), [
    (4, 1, [{"name": "deck", "trays": 3, "places": 1}], "Load 1 is 4 trays, and the deck oven takes 3: bake it in 2 loads."),
    (9, 5, [{"name": "main oven", "trays": 2, "places": 2}], "Load 1 is 9 trials, and the main oven has 4 places on 2 trays: bake it in 3 loads."),
    (9, 5, [], "Load 1 is 9 trials, and the oven has 8 places on 2 trays: bake it in 2 loads."),
    (3, 3, [{"name": "wide", "trays": 1, "places": 2}, {"name": "small"}], "Load 1 is 3 trials, and the wide oven has 2 places on 1 tray: bake it in 2 loads."),
])
def test_a_load_that_no_oven_takes_is_said_by_its_trays_its_places_and_the_oven(trials, per_tray, ovens, says):
    study, round_ = load_of(trials, ovens, per_tray)
    with pytest.raises(pp.DayError) as caught:
        pp.plan_day(study, round=round_, start="2026-06-05T09:00")
    assert str(caught.value) == says and caught.value.conflict == (says,)
    assert caught.value.ease == ("Write the trays and the places of each oven as they are, or plan the round again for those.",)


@pytest.mark.parametrize(("trials", "ovens"), [(3, [{"name": "deck", "trays": 3, "places": 1}]), (8, [])])
def test_a_load_that_just_fits_is_baked_at_once(trials, ovens):
    study, round_ = load_of(trials, ovens, per_tray=1 if ovens else 4)
    day = pp.plan_day(study, round=round_, start="2026-06-05T09:00")
    assert len({t.start for t in day.day_tasks if t.task.startswith("bake")}) == 1
