"""Names by country and careful look-up. Names: common practice, no source."""

import subprocess
import sys
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.foods import COUNTRIES, FoodError, look_up, pantry, rename


@pytest.mark.parametrize(
    ("said", "country", "key"),
    [
        ("caster", None, "caster sugar"),
        ("superfine sugar", "US", "caster sugar"),
        ("cilantro", None, "coriander leaves"),
        ("plain flour", "UK", "plain flour"),
        ("all-purpose flour", "US", "plain flour"),
        ("bicarbonate of soda", "UK", "bicarbonate of soda"),
        ("Baking soda", "US", "bicarbonate of soda"),
        ("butternut pumpkin", "AU", "butternut squash"),
        ("rapeseed (canola) oil", None, "rapeseed oil"),
        ("rice, white, long grain, raw", None, "long-grain rice"),
        ("large free-range eggs", "UK", "egg"),
        ("finely chopped flat-leaf parsley", None, "parsley"),
        ("butter, melted", None, "butter"),
        ("icing suger", None, "icing sugar"),
        ("vanila", None, "vanilla extract"),
    ],
)
def test_a_cooks_word_finds_the_food(said, country, key):
    assert look_up(said, country).key == key


@pytest.mark.parametrize(
    ("said", "country", "key"),
    [
        ("tomato purée", "UK", "tomato paste"),
        ("tomato puree", "US", "passata"),
        ("coriander", "AU", "coriander leaves"),
        ("coriander", "US", "ground coriander"),
        ("corn flour", "US", "maize flour"),
        ("corn flour", "IN", "cornflour"),
        ("cider", "US", "apple juice"),
        ("cider", "UK", "cider"),
        ("curd", "IN", "yogurt"),
    ],
)
def test_the_country_decides_where_a_word_means_two_foods(said, country, key):
    assert look_up(said, country).key == key


@pytest.mark.parametrize("said", ["tomato puree", "coriander", "corn flour", "cider"])
def test_a_word_with_two_meanings_is_not_guessed_without_a_country(said):
    assert look_up(said) is None


@pytest.mark.parametrize(
    "said",
    [
        "custard tart",
        "flatbread",
        "mullet",
        "batter",
        "perch",
        "china",
        "soy mince",
        "canned salmon",
        "cooked chicken",
        "mustard cress",
        "potato salad",
        "cream horn",
        "corn chips",
        "gluten-free flour",
        "beer batter",
        "lemon balm",
        "zzz",
        "",
        "butter knife",
        "rose",
        "mince pie",
        "🥔",
    ],
)
def test_an_unknown_name_finds_nothing_rather_than_a_neighbour(said):
    assert look_up(said) is None


@pytest.mark.parametrize(
    ("text", "country", "wanted"),
    [
        ("2 courgettes, sliced", "US", "2 zucchini, sliced"),
        ("butternut squash", "AU", "butternut pumpkin"),
        ("unsalted butter", "US", "unsalted butter"),
        ("Plain flour, sifted", "US", "All-purpose flour, sifted"),
        ("unbleached all-purpose flour", "UK", "unbleached plain flour"),
        ("4 spring onions", "US", "4 green onions"),
        ("scallions", "US", "scallions"),
        ("1 tsp bicarbonate of soda", "US", "1 tsp baking soda"),
        ("eggplants", "UK", "aubergines"),
        ("sugar", "AU", "sugar"),
        ("corn chips", "UK", "corn chips"),
        ("tomato puree", "US", "tomato puree"),
        ("200 g of something else", "US", "200 g of something else"),
    ],
)
def test_only_the_name_changes_for_readers_elsewhere(text, country, wanted):
    assert rename(text, country) == wanted


def test_a_word_with_two_meanings_is_renamed_once_its_country_is_known():
    assert rename("1 bunch coriander, chopped", "US", "AU") == "1 bunch cilantro, chopped"
    assert rename("2 tbsp tomato purée", "US", "UK") == "2 tbsp tomato paste"


def test_own_entries_come_first_and_may_start_from_a_pantry_food():
    extra = {"Larkspur Lane flour": {"like": "plain flour", "composition": {"protein_g": 12.5}, "density_g_per_ml": 0.6}}
    own = look_up("larkspur lane flour", extra=extra)
    assert own.composition.protein_g == 12.5
    assert own.composition.water_g == look_up("plain flour").composition.water_g
    assert own.density_g_per_ml == (0.6, 0.6, 0.6)
    assert own.allergens_us == ("wheat",)
    assert look_up("butter", extra={"butter": {"like": "butter", "safety": ["mine"]}}).safety == ("mine",)


def test_a_wrong_own_entry_says_what_is_wrong():
    with pytest.raises(FoodError, match="colour"):
        look_up("x", extra={"x": {"colour": "blue"}})
    with pytest.raises(FoodError, match="not in the pantry"):
        look_up("x", extra={"x": {"like": "moon dust"}})
    with pytest.raises(FoodError, match="can't be read"):
        look_up("x", extra={"x": {"composition": {"sparkle_g": 3}}})


def test_an_unknown_country_is_refused():
    with pytest.raises(FoodError, match="not a country"):
        look_up("butter", "Narnia")


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=60), st.sampled_from(["US", "AU", "UK", "IN"]))
def test_any_text_can_be_renamed_without_a_traceback(text, country):
    assert isinstance(rename(text, country), str)
    look_up(text, country)


@pytest.mark.parametrize("country", COUNTRIES)
def test_renaming_twice_changes_nothing_more(country):
    for food in pantry().values():
        once = rename(food.name, country, "UK")
        assert rename(once, country, country) == once


def test_five_thousand_names_a_second():
    names = [food.name for food in pantry().values()]
    for name in names:
        look_up(name)
    start = time.process_time()
    for _ in range(5):
        for name in names:
            look_up(name)
    assert 5 * len(names) / (time.process_time() - start) > 5000


def test_importing_and_the_first_look_up_are_quick():
    code = (
        "import time; a = time.process_time(); import proofpan.science.foods as f; b = time.process_time(); "
        "f.look_up('plain flour'); c = time.process_time(); print(b - a, c - b)"
    )
    best = [9.0, 9.0]
    for _ in range(3):  # processor time, best of three: other work on the machine only ever adds
        took = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
        best = [min(b, float(t)) for b, t in zip(best, took, strict=True)]
    assert best[0] < 0.15
    assert best[1] < 0.1


@pytest.mark.parametrize(
    ("said", "country", "key"),
    [
        ("ladyfingers", None, "sponge fingers"),      # they hold wheat and egg; okra doesn't
        ("lady fingers", "US", "sponge fingers"),
        ("lady fingers", "IN", "okra"),
        ("savoiardi", None, "sponge fingers"),
        ("tamarillo", "NZ", "tamarillo"),
        ("beaten rice", None, "flattened rice"),
        ("mawa", "IN", "khoya"),
        ("chook", "AU", "whole chicken"),
        ("dashi", None, "dashi"),                     # a letter from dahi, which is yoghurt
        ("pimentón", None, "paprika"),                # pimento is allspice
        ("drumsticks", "IN", "drumstick pods"),
        ("drumsticks", "UK", "chicken drumstick"),
        ("NZ yams", None, None),
        ("yams", "NZ", "oca"),
        ("back bacon", "UK", "back bacon"),
        ("sushi rice", None, "sushi rice"),
        ("borlotti", None, "borlotti beans"),
    ],
)
def test_a_name_that_looks_like_another_food_is_not_taken_for_it(said, country, key):
    found = look_up(said, country)
    assert (found and found.key) == key


@pytest.mark.parametrize("said", ["lady fingers", "vermicelli", "drumstick"])
def test_a_cooks_word_for_two_foods_needs_its_country(said):
    assert look_up(said) is None


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("capsicun", "bell pepper"), ("rockmellon", "cantaloupe"), ("courgete", "courgette"), ("corriander leaves", "coriander leaves"),
        ("tamarilo", "tamarillo"),
        ("mascarpoen", "mascarpone"), ("gochujung", "gochujang"), ("jagery", "jaggery"), ("panneer", "paneer"), ("creme fresh", None), ("zuchini", "courgette"),
        ("parmasan", "parmesan"), ("brocolli", "broccoli"), ("tumeric", "turmeric"), ("cinammon", "cinnamon"), ("self raisng flour", "self-raising flour"),
        ("avacado", "avocado"), ("rasberries", "raspberry"), ("vinagar", "distilled vinegar"), ("bicarb soda", "bicarbonate of soda"),
        ("worcestshire sauce", "worcestershire sauce"),
    ],
)
def test_a_slip_of_the_pen_is_mended_where_only_one_food_is_near(said, key):
    found = look_up(said)
    assert (found and found.key) == key
