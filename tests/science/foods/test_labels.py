"""Label energy and rounding against the regulations' own factors and steps."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.foods import FoodError, energy_label, round_eu, round_us, salt_from_sodium_g


def test_energy_takes_kj_and_kcal_each_from_its_own_factor():
    # Regulation (EU) No 1169/2011, Annex XIV: fat 37/9, alcohol 29/7, polyols 10/2.4, fibre 8/2, organic acids 13/3
    assert energy_label(fat_g=10) == (370, 90)
    assert energy_label(alcohol_g=10, organic_acids_g=1) == (303, 73)
    assert energy_label(polyols_g=10, fibre_g=10, erythritol_g=50) == (180, 44)
    with pytest.raises(FoodError, match="fat_g"):
        energy_label(fat_g=-1)


def test_salt_is_sodium_times_two_and_a_half():  # Annex I point 11
    assert salt_from_sodium_g(400) == 1.0


@pytest.mark.parametrize(
    ("nutrient", "amount", "declared"),
    # 21 CFR 101.9(c); FDA Food Labeling Guide, appendix H
    [("calories", 4.9, "0"), ("calories", 50, "50"), ("calories", 55, "60"), ("total fat", 0.5, "0.5"), ("total_fat", 5, "5")]
    + [("cholesterol", 3, "less than 5"), ("sodium", 140, "140"), ("sodium", 145, "150"), ("sodium", 5, "5")]
    + [("dietary fiber", 0.9, "less than 1"), ("protein", 1.5, "2"), ("iron", 0.44, "0.4"), ("calcium", 126, "130")],
)
def test_us_amounts_a_serving_round_by_the_rule(nutrient, amount, declared):
    assert round_us(nutrient, amount) == declared


@pytest.mark.parametrize(
    ("nutrient", "amount", "declared"),
    # European Commission guidance on tolerances, December 2012, rounding table
    [("fat", 0.5, "<0.5"), ("fat", 9.95, "10"), ("fat", 0.55, "0.6"), ("saturates", 0.1, "<0.1"), ("salt", 0.995, "1.0")]
    + [("salt", 1.25, "1.3"), ("energy_kcal", 99.5, "100"), ("sugars", 10.5, "11"), ("salt", 0, "<0.01")],
)
def test_eu_amounts_a_hundred_grams_round_by_the_table(nutrient, amount, declared):
    assert round_eu(nutrient, amount) == declared


def test_a_unit_is_turned_into_the_rules_own():
    assert round_us("sodium", 0.138, "g") == "140"
    with pytest.raises(FoodError, match="kcal"):
        round_us("calories", 1, "kJ")


@pytest.mark.parametrize("rounding", [round_eu, round_us])
def test_unknown_nutrients_and_negative_amounts_are_refused(rounding):
    with pytest.raises(FoodError):
        rounding("vim", 1)
    with pytest.raises(FoodError):
        rounding("fat", -1)
    with pytest.raises(FoodError):
        rounding("fat", float("nan"))


@settings(deadline=None)
@given(st.floats(0.51, 1000), st.floats(0.51, 1000))
def test_rounding_never_turns_an_order_round(a, b):
    low, high = sorted((a, b))
    assert float(round_eu("fat", low)) <= float(round_eu("fat", high))
    assert float(round_us("total_fat", low)) <= float(round_us("total_fat", high))
