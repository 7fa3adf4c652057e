"""Allergens by regime: Regulation (EU) No 1169/2011, Annex II; US FALCPA 2004 and FASTER Act 2021."""

import pytest

from proofpan.science.foods import EU_14, US_9, FoodError, allergen_list, allergens, allergens_of, pantry


def test_the_regimes_list_fourteen_and_nine():
    assert len(allergen_list("EU")) == 14
    assert len(allergen_list("us")) == 9
    with pytest.raises(FoodError, match="EU or US"):
        allergen_list("Mars")


@pytest.mark.parametrize(
    ("food", "eu", "us"),
    [
        ("rolled oats", {"cereals containing gluten"}, set()),
        ("squid", {"molluscs"}, set()),
        ("pine nuts", set(), {"tree nuts"}),
        ("celeriac", {"celery"}, set()),
        ("spelt", {"cereals containing gluten"}, {"wheat"}),
        ("barley flour", {"cereals containing gluten"}, set()),
        ("corn flour", set(), set()),
        ("tamari, wheat-free", {"soybeans"}, {"soybeans"}),
        ("dried apricots, sulphured", {"sulphur dioxide and sulphites"}, set()),
        ("unsulphured dried apricots", set(), set()),
        ("gluten-free oats", {"cereals containing gluten"}, set()),
        ("wheat-free rye bread", {"cereals containing gluten"}, set()),
        ("dairy-free butter", set(), set()),
        ("krill paste", {"crustaceans"}, {"crustacean shellfish"}),
        ("oat milk", {"cereals containing gluten"}, set()),
        ("cocoa butter", set(), set()),
        ("peanut butter", {"peanuts"}, {"peanuts"}),
        ("almond biscuits", {"nuts"}, {"tree nuts"}),
    ],
)
def test_a_food_as_named_brings_what_the_law_lists(food, eu, us):
    assert set(allergens([food], "EU")) == eu
    assert set(allergens([food], "US")) == us


def test_a_list_is_joined_in_the_regimes_order_and_unknown_names_are_told_apart():
    assert allergens(["soy sauce", "butter", "zzz"], "US") == ("milk", "soybeans", "wheat")
    assert allergens_of("zzz", "US") is None
    assert allergens_of("olive oil", "EU") == ()


def test_tables_use_the_regimes_own_words():
    for food in pantry().values():
        assert set(food.allergens_eu) <= set(EU_14), food.key
        assert set(food.allergens_us) <= set(US_9), food.key
