"""Nutrients by the yield method, worked by hand from USDA SR26 rows. Larkspur Lane's crackers are invented."""

import pytest

from proofpan.science.foods import FoodError, nutrient_after_cooking, nutrition, recipe_energy_kcal

CRACKERS = [("plain flour", 250), ("unsalted butter", 60), ("fine salt", 4), ("water", 110)]


def test_a_batch_is_the_sum_of_its_parts_over_what_comes_out():
    got = nutrition(CRACKERS, 340, 30)
    # fat: 250 × 0.98 % + 60 × 81.11 % = 51.116 g; protein: 250 × 10.33 % + 60 × 0.85 % = 26.335 g
    assert got.per_100_g.fat_g == pytest.approx(51.116 / 3.40)
    assert got.per_100_g.protein_g == pytest.approx(26.335 / 3.40)
    assert got.per_serve.fat_g == pytest.approx(51.116 / 30)
    assert got.raw_mass_g == 424
    assert got.missing == ()
    kcal = 4 * (250 * 0.7361 + 60 * 0.0006) + 2 * 250 * 0.027 + 9 * 51.116 + 4 * 26.335  # Annex XIV
    assert got.per_100_g.energy_kcal == pytest.approx(kcal / 3.40, rel=1e-3)


def test_organic_acid_counts_as_acid_not_twice():
    juice = nutrition([("lemon juice", 100)], None, 1).per_100_g
    assert juice.organic_acids_g == pytest.approx(4.7)
    assert juice.carbohydrate_g + juice.organic_acids_g == pytest.approx(6.6, abs=0.1)  # NDB 09152: 6.9 with 0.3 fibre


def test_cooking_may_leave_part_of_the_alcohol():
    neat, baked = nutrition([("rum", 100)], None, 1), nutrition([("rum", 100)], None, 1, alcohol_kept=0.4)
    assert baked.per_100_g.alcohol_g == pytest.approx(0.4 * neat.per_100_g.alcohol_g)
    assert neat.per_100_g.alcohol_g == pytest.approx(33.4, abs=0.1)  # NDB 14050, 80 proof


def test_what_has_no_figures_is_named_not_left_out_silently():
    got = nutrition([("plain flour", 100), ("moon dust", 5)], None, 1)
    assert got.missing == ("moon dust",)
    assert got.raw_mass_g == 105


def test_labels_are_rounded_by_each_rule():
    got = nutrition(CRACKERS, 340, 30)
    assert got.per_100_g.label_eu()["fat"] == "15"
    assert got.per_serve.label_us()["total fat"] == "1.5"


def test_retention_and_yield():  # EuroFIR recipe guideline: raw × retention ÷ yield
    assert nutrient_after_cooking(20, 75, 80) == 18.75
    assert recipe_energy_kcal([(200, 365), (400, 0)], 580)[1] == pytest.approx(125.862, abs=1e-3)


@pytest.mark.parametrize(
    ("lines", "final", "serves"),
    [([("plain flour", -1)], None, 1), ([("plain flour", 1)], 0, 1), ([("plain flour", 1)], None, 0), ([], None, 1)],
)
def test_impossible_recipes_are_refused_in_words(lines, final, serves):
    with pytest.raises(FoodError):
        nutrition(lines, final, serves)
