"""Holding times and least temperatures as authorities print them; the tables themselves run in the reference cases."""

import pytest

from proofpan.science import heat


def test_every_answer_carries_the_caution():
    for got in (heat.poultry_hold_minutes("chicken", 1, 60), heat.roast_hold_minutes(60), heat.safe_temperature_c("poultry")):
        assert "local food-safety authority" in got.caution and got.source


def test_between_rows_the_longer_time_stands():    # USDA FSIS: 140 °F 25.2 min, 141 °F 20.1 min
    assert heat.poultry_hold_minutes("chicken", 1, temperature_f=140.7).hold_minutes == 25.2
    assert heat.roast_hold_minutes(60.3).hold_minutes == 12


def test_unknown_fat_takes_the_fattest_column_and_other_birds_the_longer_species():    # USDA FSIS Cooking Guideline 2021
    assert heat.poultry_hold_minutes("chicken", None, 60).hold_minutes == 35.0
    assert heat.poultry_hold_minutes("duck", 1, 60).hold_minutes == 28.1
    assert heat.poultry_hold_minutes("turkey", 12, temperature_f=160).hold_minutes == pytest.approx(26.9 / 60, abs=1e-4)


def test_holding_times_fall_as_it_gets_hotter():
    chicken = [heat.poultry_hold_minutes("chicken", 1, temperature_f=f).hold_minutes for f in range(136, 170)]
    roast = [heat.roast_hold_minutes(temperature_f=f).hold_minutes for f in range(130, 170)]
    assert chicken == sorted(chicken, reverse=True) and roast == sorted(roast, reverse=True)


def test_the_poultry_table_and_the_salmonella_target_agree():    # 25.2 min at 60 °C is 7 log10
    d60 = heat.d_value_minutes(25.2 / 7, 60, 5.6, 60)
    assert heat.log10_reduction(d60, 25.2) == pytest.approx(7)
    at_65 = heat.d_value_minutes(25.2 / 7, 60, 5.6, 65.556) * 7
    assert at_65 == pytest.approx(2.7, rel=0.1)


@pytest.mark.parametrize(("food", "authority", "temperature", "hold"), [
    ("minced beef", "FDA Food Code", 68, 17), ("mechanically tenderized beef", "US Food Code 2022", 68, 17), ("wild game", "US Food Code 2022", 74, 0),
    ("burgers", "UK Food Standards Agency", 70, 120), ("pork", "Health Canada", 71, 0), ("shell eggs", "US Food Code 2022", 63, 15),
])
def test_foods_are_found_by_the_words_people_use(food, authority, temperature, hold):
    got = heat.safe_temperature_c(food, authority)
    assert (got.temperature_c, got.hold_s) == (temperature, hold)


@pytest.mark.parametrize(("call", "match"), [
    (lambda: heat.poultry_hold_minutes("chicken", 1, 55), "begins at"), (lambda: heat.poultry_hold_minutes("chicken", 1, 60, log10_reduction=5), "7 log10"),
    (lambda: heat.poultry_hold_minutes("turkey", 12, 60), "74"), (lambda: heat.roast_hold_minutes(50), "begins at"),
    (lambda: heat.safe_temperature_c("gravel"), "fits no one line"), (lambda: heat.safe_temperature_c("poultry", "the moon"), "use one of"),
])
def test_what_no_table_prints_is_refused(call, match):
    with pytest.raises(heat.HeatError, match=match):
        call()
