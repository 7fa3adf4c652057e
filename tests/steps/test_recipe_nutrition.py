"""Nutrition as eaten: against sums done by hand from the pantry's own rows (USDA SR26) and published factors."""

import pytest

import proofpan as pp
from proofpan.science.foods import FoodError, alcohol_kept, cooked_water, look_up, mass_at_water
from tests.steps.test_forty_faults import CLEAN, study_of

BOURGUIGNON = """\
  title: Beef in red wine
  serves: 4
  ingredients: ["800 g stewing beef", "400 ml red wine", "4 g fine salt"]
  method:
    - {id: brown, do: "Brown the beef in a 28 cm pan for 8–10 minutes, until dark.", minutes: 9}
    - {id: stew, do: "Add the wine and the salt and simmer for 100–140 minutes, until tender.", minutes: [100, 140]}
"""


def nutrition(body, *changes):
    text = study_of(body)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    made = pp.Study.from_text(text)
    return pp.recipe(made, made.versions()[0]).nutrition


def figure(text):
    return float(text.split()[0].removeprefix("<"))


def test_a_stated_weight_gives_100_g_as_eaten():
    """Granola of 700 g: fat is the sum of fat of 300 g oats, 100 g + 100 g seeds, 120 g honey, 80 mL oil and 100 g apricots, over 7."""
    found = nutrition(CLEAN["granola"])
    grams = {"rolled oats": 300, "sunflower seeds": 100, "pumpkin seeds": 100, "honey": 120, "rapeseed oil": 80 * 0.92, "dried apricots": 100}
    fat = sum(look_up(k).composition.fat_g * g / 100 for k, g in grams.items())
    assert figure(dict(found.per_100_g)["fat"]) == pytest.approx(fat / 7, abs=0.6)
    assert found.basis.startswith("As eaten: by what the recipe makes") and found.per_serve == ()


def test_a_baked_dish_weighs_what_its_water_leaves():
    """Scones end at 28.9 % water (USDA SR26 NDB 18016), so that they weigh their solids over 0.711."""
    found = nutrition(CLEAN["scones"])
    assert 80 < found.weight_percent[0] < 92 and found.weight_percent[1] < found.weight_percent[0] < found.weight_percent[2]
    assert "28.9 %" in found.basis and "NDB 18016" in found.basis and "Weigh it" in found.basis
    said = nutrition(CLEAN["scones"], ("  makes: 8 scones\n", "  makes: 8 scones\n  cooked_weight: 85 %\n"))
    assert said.weight_percent[0] == pytest.approx(85) and said.per_serve == found.per_serve


def test_water_and_solids_balance():
    assert mass_at_water(100, 30, 0) == pytest.approx(70) and mass_at_water(100, 30, 30) == pytest.approx(100)
    with pytest.raises(FoodError):
        mass_at_water(100, 30, 100)
    assert cooked_water("Banana and walnut loaf").what == "tea loaf" and cooked_water("A hat") is None
    assert cooked_water("spaghetti", "food").value == 62.1        # USDA SR26 NDB 20121


@pytest.mark.parametrize("minutes, share", [(15, 0.40), (30, 0.35), (60, 0.25), (90, 0.20), (120, 0.10), (150, 0.05), (400, 0.05)])
def test_alcohol_that_stays(minutes, share):      # USDA Table of Nutrient Retention Factors, release 6 (2007), from memory
    assert alcohol_kept("baked or simmered", minutes) == pytest.approx(share)


def test_a_long_simmer_leaves_a_tenth_of_the_wine():
    found = nutrition(BOURGUIGNON)
    assert any("about 10 %" in n and "120 minutes" in n for n in found.notes)
    raw = nutrition(BOURGUIGNON, ("simmer for 100–140 minutes, until tender", "serve at once for 100–140 minutes, until tender"))
    kcal = {k: figure(dict(n.per_serve)["energy_kcal"]) for k, n in (("stewed", found), ("raw", raw))}
    wine = look_up("red wine").composition.alcohol_g * 4 * 0.99 * 7 * 0.9 / 4      # nine tenths of the alcohol of 400 mL, a quarter of it
    assert kcal["raw"] - kcal["stewed"] == pytest.approx(wine, rel=0.1)


def test_the_pots_water_and_salt_count_as_far_as_they_are_taken_up():
    """240 g barley of 10 g water ends at 68.8 % (USDA SR26 NDB 20006): it takes up about 450 g of 2 L, and that share of 10 g of salt."""
    found = nutrition(CLEAN["salad"])
    barley = look_up("pearl barley").composition.water_g
    taken = 240 * (1 - barley / 100) / (1 - 0.688) - 240
    others = sum(look_up(k).composition.salt_g * g / 100 for k, g in {"feta": 80, "Dijon mustard": 12, "leeks": 600, "lemon juice": 30}.items())
    assert figure(dict(found.per_serve)["salt"]) * 6 == pytest.approx(10 * taken / 2000 + others, rel=0.12)


def test_rounding_follows_the_readers_rules():
    eu = nutrition(CLEAN["scones"])
    us = eu.ruled("US")
    assert dict(us.per_serve)["calories"].endswith("0") and us.ruled("EU").per_serve == eu.per_serve and "salt" not in dict(us.per_serve)
    made = pp.Study.from_text(study_of(CLEAN["scones"]))
    assert pp.recipe(made, made.versions()[0]).to("US").nutrition.rules == "US"


def test_oil_to_fry_in_is_not_all_eaten():
    fritters = """\
  title: Fritters
  serves: 4
  ingredients: ["200 g plain flour", "300 g sweetcorn", "1 L sunflower oil, for frying"]
  method: [{id: fry, do: "Mix all and fry in the oil in a 3 litre pan for 3–4 minutes, until gold.", minutes: 4}]
"""
    found = nutrition(fritters)
    assert figure(dict(found.per_serve)["fat"]) < 20 and any("about 50 g" in n for n in found.notes)
