"""Household weights. USDA SR26 gram weights (public domain) unless another source stands beside the check."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.foods import FoodError, density_g_per_ml, look_up, mass_g, pantry


@pytest.mark.parametrize(
    ("food", "amount", "unit", "state", "grams"),
    [
        ("all-purpose flour", 1, "cup", None, 125),  # NDB 20481
        ("granulated sugar", 1, "tsp", None, 4.2),  # NDB 19335
        ("brown sugar", 1, "cup", "packed", 220),  # NDB 19334
        ("butter", 1, "stick", None, 113),  # NDB 01001
        ("egg", 1, "large", None, 50),  # NDB 01123
        ("garlic", 2, "cloves", None, 6),  # NDB 11215
        ("onion", 1, "medium", None, 110),  # NDB 11282
        ("celery", 1, "stalk", None, 40),  # NDB 11143
        ("almonds", 1, "cup", "ground", 95),  # NDB 12061
        ("heavy cream", 1, "cup", None, 238),  # NDB 01053, not its whipped 120
        ("heavy cream", 1, "cup", "whipped", 120),  # NDB 01053
        ("maple syrup", 1, "cup", None, 315),  # NDB 19353
        ("baking soda", 1, "tsp", None, 4.6),  # NDB 18372
    ],
)
def test_us_measures_weigh_what_the_usda_weighed(food, amount, unit, state, grams):
    value, low, high = mass_g(food, amount, unit, state, "US")
    assert value == pytest.approx(grams, rel=1e-3)
    assert low < value < high


def test_a_tablespoon_is_larger_in_australia():
    assert mass_g("honey", 1, "tbsp", None, "AU")[0] == pytest.approx(21 * 20 / 14.7868, rel=1e-3)
    assert mass_g("honey", 1, "tbsp", None, "UK")[0] == pytest.approx(21 * 15 / 14.7868, rel=1e-3)


def test_a_cup_without_a_country_is_open_from_the_american_to_the_metric():
    value, low, high = mass_g("water", 1, "cup")
    assert (value, low) == (pytest.approx(249.5), pytest.approx(236.588 * 0.995))
    assert high == pytest.approx(250.0)


@pytest.mark.parametrize(("unit", "country"), [("stick", "UK"), ("cup", "UK"), ("cup", "IE"), ("quart", "AU")])
def test_a_measure_that_a_country_does_not_define_has_no_weight(unit, country):
    assert mass_g("butter", 1, unit, None, country) is None


def test_an_egg_is_a_different_egg_elsewhere():
    # UK and EU classes L 63–73 g in shell (Regulation (EC) No 589/2008), US large 50 g out of shell (USDA SR26)
    assert mass_g("eggs", 1, "large", None, "UK")[0] == 60
    assert mass_g("eggs", 1, "large", None, "US")[0] == 50
    assert mass_g("eggs", 1, "large", None, "AU")[0] == 46


def test_weights_need_no_food_table():
    assert mass_g("anything", 2, "lb") == pytest.approx((907.18474,) * 3)  # international pound 0.45359237 kg


def test_what_is_unknown_has_no_weight_and_what_is_wrong_is_said():
    assert mass_g("zzz", 1, "cup", None, "US") is None
    assert mass_g("butter", 1, "bushel") is None
    with pytest.raises(FoodError, match="at least 0"):
        mass_g("butter", -1, "cup")
    with pytest.raises(FoodError, match="not a country"):
        mass_g("butter", 1, "cup", None, "Narnia")


def test_liquids_have_their_true_density():
    assert density_g_per_ml("water, 20 °C")[0] == 0.998  # FAO/INFOODS Density Database 1.0
    assert density_g_per_ml("ethanol, 20 °C")[0] == 0.789  # CRC Handbook, from memory
    low, high = density_g_per_ml("olive oil")[1:]
    assert low < 0.913 < high  # CODEX STAN 33-1981: 0.910–0.916


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from([f.key for f in pantry().values()]),
    st.floats(0, 50),
    st.sampled_from(["cup", "tbsp", "tsp", "ml", "l", "fl oz", "each", "large", "clove", "oz", None]),
    st.sampled_from([None, "US", "AU", "UK", "CA", "US-label", "metric"]),
)
def test_mass_is_linear_never_negative_and_within_its_interval(key, amount, unit, country):
    food = look_up(key, "UK") or pantry()[key]
    got = mass_g(food, amount, unit, None, country)
    if got is not None:
        twice = mass_g(food, 2 * amount, unit, None, country)
        assert twice[0] == pytest.approx(2 * got[0])
        assert 0 <= got[1] <= got[0] * (1 + 1e-9)
        assert got[0] <= got[2] * (1 + 1e-9)


@settings(deadline=None, max_examples=200)
@given(st.text(max_size=40), st.text(max_size=12))
def test_any_text_is_looked_up_without_a_traceback(name, unit):
    assert mass_g(name, 1, unit) is None or mass_g(name, 1, unit)[0] >= 0
