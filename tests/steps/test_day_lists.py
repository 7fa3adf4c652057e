"""Shopping, prep, trays and cuts of a round, against sums done by hand."""

import pytest

import proofpan as pp
from proofpan.steps.day_lists import day_lists, list_words
from proofpan.steps.day_shopping import AISLES, section_of
from proofpan.steps.day_sums import amount_words, piece_words
from tests.kitchens import crackers, plain
from tests.steps.day_dishes import dish

FLOUR_G, SALT_G, SHARE = 250, 4, 1 / 3          # 10 of 30 crackers a trial


@pytest.fixture(scope="module")
def made():
    study = crackers()
    round_ = pp.next_round(study, seed=2, loads=2)
    return study, round_, day_lists(study, round_)


def test_shopping_sums_the_trials_in_test_batch_size(made):
    _, round_, lists = made
    bought = {x.what: x.amount for x in lists.shopping}
    n = len(round_.trials)
    butter = sum(t.version["fat"] == "butter" for t in round_.trials)
    assert n == 8 and 0 < butter < n
    assert bought["plain flour"] == f"{FLOUR_G * SHARE * n:.0f} g" and "water" not in bought
    assert bought["fine salt"] == f"{SALT_G * SHARE * n:.1f} g"
    assert bought["unsalted butter"] == f"{60 * SHARE * butter:.0f} g"
    assert bought["olive oil"] == amount_words(50 * SHARE * (n - butter), "g", "kg")


def test_shopping_stands_by_section(made):
    sections = [x.section for x in made[2].shopping]
    aisles = [*AISLES, "other"]
    assert sections[0] == "dairy and eggs" and "flour, grain and pulses" in sections and sections == sorted(sections, key=aisles.index)


def test_seeds_are_bought_shelled():
    study = plain(base={"title": "Seeds", "makes": "1 tin", "ingredients": ["100 g sunflower seeds"]},
                  factors=[{"name": "salt", "options": [{"name": "a"}, {"name": "b"}]}])
    round_ = pp.next_round(study, seed=1)
    line = day_lists(study, round_).shopping[0]
    assert (line.amount, line.note) == (f"{100 * len(round_.trials)} g", "")


def test_prep_adds_up_to_what_is_used(made):
    _, round_, lists = made
    flour = [x for x in lists.prep if x.what == "plain flour"]
    assert sum(float(x.amount.split()[0]) for x in flour) == pytest.approx(FLOUR_G * SHARE * len(round_.trials), abs=len(flour))
    assert all(x.task.startswith("mix") and x.section.startswith("Mix, trial") for x in flour)
    assert len({x.task for x in flour}) == len(flour)


def test_every_place_of_every_load_is_on_the_map_once_with_its_codes(made):
    _, round_, lists = made
    places = [(p.load, p.tray, p.place) for p in lists.trays]
    assert places == sorted(set(places)) and len(places) == 8
    for p in lists.trays:
        assert set(p.codes) == {c for (_, trial, _), c in round_.codes.items() if trial == p.trial}


def test_a_taster_gets_the_same_part_of_every_trial(made):
    _, round_, lists = made
    parts = {}
    for cut in lists.cuts:
        parts.setdefault((cut.taster, cut.pass_), set()).add((cut.part, cut.where))
    assert all(len(p) == 1 for p in parts.values())
    assert len({(c.trial, c.part) for c in lists.cuts}) == len(lists.cuts) == len(round_.codes)


def test_with_four_tasters_two_get_the_edge_and_it_is_said():
    study = plain(tasters=["Ada", "Bo", "Cleo", "Dee"])
    lists = day_lists(study, pp.next_round(study, seed=1))
    edges = {c.taster for c in lists.cuts if c.where == "edge"}
    assert edges == {"Ada", "Dee"} and any("edge" in s and "Ada and Dee" in s for s in list_words(lists))


def of(*ingredients, kitchen=None, **base):
    study = plain(base={"title": "Dish", "ingredients": list(ingredients), "method": [{"id": "mix", "do": "Mix all.", "minutes": 5}], **base},
                  kitchen=kitchen or {}, factors=[{"name": "salt", "options": [{"name": "a"}, {"name": "b"}]}], rounds={"plates": 2})
    return day_lists(study, pp.next_round(study, seed=1))


def test_what_is_trimmed_is_bought_as_purchased():
    # as purchased = edible portion / yield (trade arithmetic, common practice); carrots: 89 % edible (USDA SR refuse: 11 %)
    carrots = next(x for x in of("300 g carrots").shopping if x.what == "carrots")
    assert carrots.amount == f"{600 / 0.89:.0f} g" and "600 g after trimming" in carrots.note
    weighed_first = next(x for x in of("300 g carrots, peeled").shopping if x.what == "carrots")
    assert weighed_first.amount == "600 g" and weighed_first.note == ""


def test_eggs_are_bought_whole_and_the_rest_is_said():
    lists = of("2 eggs", makes="12 buns", trial_makes="4 buns")          # 2 trials × 2/3 = 1.33 eggs
    assert [x.amount for x in lists.shopping] == ["2"]
    assert lists.left_over[0].amount == "⅔" and any("Left over" in s for s in list_words(lists))
    assert of("2 eggs").left_over == ()


def test_a_part_of_an_egg_says_its_grams_and_a_part_of_a_lemon_is_not_beaten():
    lists = of("2 eggs", "2 lemons", makes="12 buns", trial_makes="4 buns")
    # a shelled egg is about 50 g (UK and US large, common practice); two trials of one dough take 1⅓
    egg = next(x for x in lists.prep if x.what == "eggs")
    assert egg.amount == "1⅓" and 60 <= int(egg.note.split("weigh out ")[1].split()[0]) <= 75
    assert {x.what: x.note for x in lists.left_over} == {"eggs": "1⅓ of 2 used; beat and weigh to divide", "lemons": "1⅓ of 2 used"}


def test_a_bottle_is_bought_by_its_label_and_what_it_leaves_is_weighed_by_its_density():
    # olive oil 0.913 g/mL (the pantry's own source): 500 mL hold 456 g, of which 2 × 40 g are used; 14 a litre are 7 a bottle
    lists = of("40 g olive oil", "1 L water", "100 mL sparkling water", kitchen={"packs": ["olive oil 500 mL"], "prices": ["olive oil 14 a L"]})
    oil = next(x for x in lists.shopping if x.what == "olive oil")
    assert (oil.amount, oil.cost) == ("1 pack of 500 mL", "7.00") and lists.left_over[0].amount == "376 g"
    assert [x.what for x in lists.shopping if "water" in x.what] == ["sparkling water"]      # the tap's isn't bought
    loose = of("40 g olive oil", kitchen={"prices": ["olive oil 14 a L"]}).shopping[0]
    assert float(loose.cost) == pytest.approx(80 / 0.913 * 0.014, abs=0.01)


def test_a_price_is_counted_only_beside_what_it_is_the_price_of():
    lists = of("4 sprigs rosemary", "3 eggs", kitchen={"prices": ["rosemary 2.50 a bunch", "egg 0.40 each"], "packs": ["eggs 10"]})
    assert {x.what: (x.amount, x.cost) for x in lists.shopping} == {"rosemary": ("8 sprigs", ""), "eggs": ("1 pack of 10", "4.00")}


def test_a_swap_out_is_bought_and_weighed_only_as_far_as_it_is_made():
    study, round_ = _dish("film")
    film = study.brief.filming
    camera = [x for x in day_lists(study, round_).prep if "for the camera" in x.section]
    # a hero and both of its swap-outs take up all that is mixed: 3 × a third of 250 g; nothing is taken up later
    assert [(x.what, x.amount, x.section) for x in camera if x.what == "plain flour"] == [
        ("plain flour", "3 × 83 g", f"Mix, for the camera: hero {n} and 2 swap-outs") for n in (1, 2)]
    fried, round_ = _dish("fry")
    filmed = film.model_copy(update={"hero": ("fry=once",), "swap_outs": ("coat",)})
    fried = fried.model_copy(update={"brief": fried.brief.model_copy(update={"filming": filmed})})
    oil = next(x for x in day_lists(fried, round_).shopping if x.what == "sunflower oil")
    # a third of a litre for each trial and for the hero; the swap-out that is only coated never sees the oil
    assert f"{(len(round_.trials) + 1) / 3:.2f} L needed" in oil.note


def test_what_has_no_amount_is_bought_as_needed():
    assert next(x for x in of("fine salt", "100 g plain flour").shopping if x.what == "fine salt").amount == "as needed"


def test_a_study_without_a_recipe_has_nothing_to_buy():
    study = plain()
    lists = day_lists(study, pp.next_round(study, seed=1))
    assert lists.shopping == () and lists.prep == () and lists.cuts


def test_amounts_are_written_as_a_scale_shows_them():
    assert [amount_words(x, "g", "kg") for x in (1.666, 110.2, 999.7, 1250, 2000)] == ["1.7 g", "110 g", "1 kg", "1.25 kg", "2 kg"]


def test_what_a_later_step_takes_the_rest_of_is_said_where_it_is_weighed():
    lists = day_lists(*_dish("loaf"))
    water = {(x.task.rpartition(" ")[0], x.note) for x in lists.prep if x.what == "water" and "for the camera" not in x.section}
    assert water == {("starter", "700 g in all; a part now, the rest for mix")}


def test_batches_that_are_weighed_alike_stand_together_with_their_total():
    # by hand: eight trials of half a recipe with 20 g of oil each; four batches of brine, two with water and two without
    lists = day_lists(*_dish("roast"))
    sear = [x for x in lists.prep if x.task.startswith("sear")]
    assert [(x.what, x.amount, x.note, x.section) for x in sear] == [
        ("olive oil", "8 × 10 g", "80 g in all", "Sear, trials 1, 2, 3, 4, 5, 6, 7 and 8")]
    assert [x.amount for x in lists.prep if x.what == "water"] == ["2 × 1 L"]
    assert [x.amount for x in lists.prep if x.what == "pork shoulder"] == ["2 × 1.2 kg"] * 2
    sections = [x.section for x in lists.prep]
    assert sections.index("Sear, trials 1, 2, 3, 4, 5, 6, 7 and 8") == len(sections) - 1      # every brine before the first searing


def test_a_part_of_an_egg_is_written_as_a_cook_says_it():
    # sums by hand: a third of an egg each for two trials, one and a half, and what is no usual part
    assert [piece_words(x) for x in (1 / 3 + 1 / 3, 1.5, 3.0, 2.7)] == ["⅔", "1½", "3", "2.7"]


def test_a_thing_that_the_pantry_does_not_know_is_looked_for_where_its_last_words_stand():
    assert (section_of("wholemeal rye flour"), section_of("gribble")) == (section_of("plain flour"), "other")


def _dish(name):
    study = dish(name)
    return study, pp.next_round(study, seed=7)


def test_a_us_pack_is_bought_by_the_pound_and_by_the_quart():
    kitchen = {"country": "US", "currency": "USD", "packs": ["bread flour 5 lb", "whole milk 1 quart"], "prices": ["bread flour 0.60 a lb"]}
    study = plain(base={"title": "Rolls", "ingredients": ["1 kg bread flour", "300 mL whole milk"], "method": [{"id": "mix", "do": "Mix.", "minutes": 9}]},
                  kitchen=kitchen, factors=[{"name": "salt", "options": [{"name": "a"}, {"name": "b"}]}], rounds={"plates": 2})
    lists = day_lists(study, pp.next_round(study, seed=1))
    bought = {x.what: x for x in lists.shopping}
    made = len(pp.next_round(study, seed=1).trials)
    packs = -(-made * 1000 // 2267.96)      # 5 lb are 2267.96 g: NIST Handbook 44, appendix C
    assert bought["bread flour"].amount == f"{packs:.0f} pack{'s' if packs > 1 else ''} of 5 lb"
    assert bought["bread flour"].cost == f"{packs * 5 * 0.60:.2f} USD" and bought["whole milk"].amount.endswith("of 1 quart")


def test_what_a_recipe_measures_in_cups_is_weighed_with_its_cups_beside():
    # USDA FoodData Central, from memory: a cup of bread flour 137 g, of granulated sugar 200 g, of whole milk 244 g; two trials of one dough
    lists = of("4 cups bread flour", "1/2 cup granulated sugar", "1 1/4 cups whole milk", "300 mL water", "1 cup mystery powder", kitchen={"country": "US"})
    said = {x.what: x.amount for x in lists.prep}
    assert (said["bread flour"], said["granulated sugar"]) == ("1.1 kg (8 cups)", "200 g (1 cup)")
    assert said["whole milk"].endswith("g (2½ cups)") and 600 <= int(said["whole milk"].split()[0]) <= 620
    assert (said["water"], said["mystery powder"]) == ("600 mL", "473 mL")      # written in mL it is poured; of what no density is known the volume stays
