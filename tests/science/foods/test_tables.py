"""The pantry's tables: every row sourced, every composition closing, no maker's name, names leading back to their food."""

import csv
import re
from importlib import resources
from pathlib import Path

import pytest

from proofpan.science.foods import cautions, look_up, mass_g, pantry, varieties

TABLES = sorted(p.name for p in resources.files("proofpan.science.foods").joinpath("tables").iterdir() if p.name.endswith(".csv"))
SHARED = Path(__file__).parents[4] / "shared" / "reference" / "tables"

# USDA's rows for these leave a part out: carbonate in soda, essential oil and piperine in pepper
DOES_NOT_CLOSE = {"bicarbonate of soda", "black pepper", "white pepper"}

# USDA measured feijoa's sugars and fibre in other samples than its carbohydrate
SUGARS_EXCEED = {"feijoa"}

# what domestic kitchens use first; each must be whole
FIRST = """plain flour|self-raising flour|bread flour|wholemeal flour|cornflour|granulated sugar|caster sugar|icing sugar|brown sugar|honey
golden syrup|maple syrup|table salt|bicarbonate of soda|baking powder|cream of tartar|instant yeast|dried active yeast|unsalted butter
butter|ghee|lard|olive oil|extra virgin olive oil|sunflower oil|rapeseed oil|vegetable oil|groundnut oil|sesame oil|coconut oil|whole milk
semi-skimmed milk|skimmed milk|buttermilk|yogurt|greek yogurt|single cream|whipping cream|double cream|sour cream|cream cheese|ricotta
cheddar|parmesan|mozzarella|feta|egg|egg white|egg yolk|water|onion|red onion|spring onion|garlic|ginger|carrot|celery|potato|sweet potato
tomato|canned tomatoes|tomato paste|red pepper|green pepper|red chilli|cucumber|courgette|aubergine|butternut squash|spinach|cabbage
cauliflower|broccoli|green beans|frozen peas|sweetcorn|mushroom|lemon|lemon juice|lime|orange|orange juice|apple|banana|strawberry|raspberry
blueberry|raisins|sultanas|dried apricots|dates|almonds|ground almonds|walnuts|hazelnuts|pecans|cashews|peanut butter|sesame seeds|tahini
rolled oats|long-grain rice|basmati rice|brown rice|risotto rice|pasta|couscous|red lentils|chickpeas|dried kidney beans|tofu|black pepper
cinnamon|nutmeg|ground ginger|cumin seeds|ground cumin|ground coriander|turmeric|paprika|cayenne pepper|bay leaf|dried oregano|parsley
coriander leaves|basil|mint|thyme|rosemary|chicken breast|chicken thigh|whole chicken|beef mince|stewing beef|pork loin|pork mince|bacon
salmon|cod|canned tuna|prawns|soy sauce|fish sauce|worcestershire sauce|ketchup|mayonnaise|dijon mustard|distilled vinegar|cider vinegar
red wine vinegar|balsamic vinegar|dark chocolate|milk chocolate|white chocolate|cocoa powder|vanilla extract|gelatine powder|red wine
white wine|vegetable stock|chicken stock|desiccated coconut|coconut milk|chilli flakes|curry powder|semolina|polenta|rice flour|rye flour"""
FIRST_KEYS = [key.strip() for key in FIRST.replace("\n", "|").split("|")]


def rows(name):
    with resources.files("proofpan.science.foods").joinpath("tables", name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("name", [t for t in TABLES if t != "words.csv"])
def test_every_row_says_where_it_comes_from_and_how_far_to_trust_it(name):
    for row in rows(name):
        assert row["source"].strip(), row
        assert row["confidence"].startswith(("published", "common practice", "from memory", "computed")), row


def test_compositions_close_to_100_g_but_for_the_named_ones():
    far = {f.key for f in pantry().values() if f.composition and abs(f.composition.total_g() - 100) > 3}
    assert far == DOES_NOT_CLOSE


def test_no_part_is_negative_and_none_exceeds_what_holds_it():
    for food in pantry().values():
        if c := food.composition:
            assert min(c.water_g, c.protein_g, c.fat_g, c.carbohydrate_g, c.fibre_g, c.salt_g, c.alcohol_g) >= 0, food.key
            assert (c.saturates_g or 0) <= c.fat_g + 0.05, food.key
            assert (c.sugars_g or 0) <= c.carbohydrate_g + 1.5 or food.key in SUGARS_EXCEED, food.key
            assert c.salt_g <= 2.6 * c.ash_g + 0.2 or food.key == "bicarbonate of soda", food.key


def test_keys_agree_between_tables():
    keys = {row["key"] for row in rows("names.csv")}
    for name in ("composition.csv", "portions.csv", "densities.csv", "traits.csv", "allergens.csv"):
        assert {row["key"] for row in rows(name)} <= keys


def test_at_least_four_hundred_foods_and_the_first_ones_are_whole():
    assert len(pantry()) >= 400
    assert len(FIRST_KEYS) >= 160
    for key in FIRST_KEYS:
        food = pantry()[key]
        assert food.composition is not None, key
        assert food.density_g_per_ml is not None or food.portions or food.category in ("meat", "poultry", "fish", "shellfish"), key


def test_a_density_lies_within_its_interval_and_is_physical():
    for food in pantry().values():
        if food.density_g_per_ml:
            value, low, high = food.density_g_per_ml
            assert 0 < low <= value <= high, food.key
            assert 0.02 < value < 1.6, food.key


def test_no_table_names_a_maker():
    makers = r"kellogg|heinz|kraft|nestl|hershey|campbell|vitasoy|lyle|mcvitie|tabasco|lea & perrins|bisto|oxo|marmite|vegemite|"
    makers += r"philadelphia|nutella|hellmann|kikkoman|maldon|diamond crystal|morton|splenda|crisco|quorn|oreo|pink lady|cointreau|®|™"
    for name in TABLES:
        text = resources.files("proofpan.science.foods").joinpath("tables", name).read_text(encoding="utf-8")
        assert not re.search(makers, text, re.IGNORECASE), name


@pytest.mark.parametrize("country", ["UK", "US", "AU", "NZ", "CA", "IE", "IN", "EU"])
def test_every_regional_name_leads_back_to_its_food(country):
    for food in pantry().values():
        found = look_up(food.name_in(country), country)
        assert found is not None, food.name_in(country)
        assert found.key == food.key


def test_every_countable_food_has_a_weight_a_piece():
    without = {f.key for f in pantry().values() if f.countable and mass_g(f, 1, None) is None}
    assert without == {"celery"}  # a stalk or a head: the unit must say


def test_every_safety_class_has_a_caution_that_names_the_authority():
    used = {c for f in pantry().values() for c in f.safety}
    assert used <= set(cautions())
    assert all("follow your local food-safety authority" in sentence for sentence in cautions().values())


def test_raw_animal_foods_carry_their_class():
    for food in pantry().values():
        if food.category == "poultry":
            assert "raw poultry" in food.safety, food.key
    assert "raw mince" in pantry()["beef mince"].safety
    assert pantry()["dried kidney beans"].safety == ("dried kidney beans",)
    assert pantry()["honey"].safety == ("honey",)


def test_diet_marks_leave_animal_foods_out():
    for food in pantry().values():
        if food.category in ("meat", "poultry", "fish", "shellfish"):
            assert food.diet == (), food.key
        if food.category in ("dairy", "cheese", "egg"):
            assert "vegan" not in food.diet, food.key
        if set(food.allergens_eu) & {"milk", "eggs", "fish", "crustaceans", "molluscs"}:
            assert "vegan" not in food.diet, food.key


def test_seasons_of_the_hemispheres_lie_half_a_year_apart():
    for food in pantry().values():
        if food.season_north:
            assert [(month + 5) % 12 + 1 for month in food.season_north] == list(food.season_south)


def test_variety_groups_of_foods_are_known_and_have_equivalents():
    assert varieties()["cream by fat"][1]["US"] == "heavy cream"
    named = {f.variety_group for f in pantry().values() if f.variety_group} - {"all-purpose potato"}
    assert named <= set(varieties())


@pytest.mark.skipif(not SHARED.is_dir(), reason="the open tables aren't beside the checkout")
def test_compositions_are_those_of_the_open_usda_table():
    with (SHARED / "usda_sr26_basic_foods.csv").open(encoding="utf-8") as file:
        usda = {row["usda_ndb"]: row for row in csv.DictReader(file)}
    compared = 0
    for row in rows("composition.csv"):
        if (own := usda.get(row["usda_ndb"])) is None:
            continue
        compared += 1
        for part in ("water_g", "protein_g", "fat_g", "saturates_g", "ash_g", "sugars_g"):
            if own[part]:
                assert float(row[part]) == pytest.approx(float(own[part]), abs=1e-4), (row["key"], part)
        assert float(row["salt_g"]) == pytest.approx(float(own["sodium_mg"] or 0) * 0.0025, abs=1e-4)
    assert compared > 400
