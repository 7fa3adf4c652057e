"""Names by country and careful look-up. Names: common practice, no source."""

import pytest

from proofpan.science.foods import look_up, rename


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
        "custard",
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
