"""Soda, acids, brine and syrup against printed tables and a second solver."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from proofpan.science.foods import (
    FoodError,
    acrylamide_benchmark_ug_per_kg,
    bicarbonate_ph,
    boiled_soda_ph,
    carbonate_ph,
    leftover_soda_g,
    neutralising_value,
    soda_neutralised_g,
    stoichiometric_value,
    water_activity_nacl,
    water_activity_sucrose,
)


@pytest.mark.parametrize(("bicarbonate", "carbonate"), [(0.1, 0), (8.4, 0), (84, 0), (4.2, 5.3), (0, 5.3)])
def test_ph_solves_the_charge_balance_with_handbook_constants(bicarbonate, carbonate):
    # pK 6.35 and 10.33 at 25 °C (CRC Handbook), Kw 1e-14; scipy's brentq as a second solver
    k1, k2, kw = 10**-6.35, 10**-10.33, 1e-14
    b, c = bicarbonate / 84.007, carbonate / 105.988

    def charge(ph):
        h = 10**-ph
        share = h * h + k1 * h + k1 * k2
        return b + 2 * c + h - (b + c) * (k1 * h + 2 * k1 * k2) / share - kw / h

    assert carbonate_ph(bicarbonate, carbonate) == pytest.approx(brentq(charge, 1, 14), abs=0.01)


def test_soda_water_is_about_8_3_at_any_usual_strength_and_higher_once_boiled():
    assert all(8.2 < bicarbonate_ph(g) < 8.45 for g in (0.5, 2, 10, 50))
    assert boiled_soda_ph(10, 0) == pytest.approx(bicarbonate_ph(10))
    assert bicarbonate_ph(10) < boiled_soda_ph(10, 0.3) < boiled_soda_ph(10) < 12


def test_pure_water_is_neutral():
    assert carbonate_ph(0, 0) == pytest.approx(7.0, abs=0.01)
    with pytest.raises(FoodError, match="outside"):
        carbonate_ph(1, 0, 140)


def test_neutralising_values_of_the_trade_and_of_stoichiometry():
    assert neutralising_value("SAPP") == 72  # baking-trade table
    assert neutralising_value("cream of tartar") == 45  # baking-trade table
    assert stoichiometric_value(188.177, 1) == pytest.approx(44.64, abs=0.01)  # 84.007 ÷ 188.177
    assert neutralising_value("citric acid") == pytest.approx(131.18, abs=0.01)
    with pytest.raises(FoodError, match="cream of tartar"):
        neutralising_value("moonlight")


def test_vinegar_neutralises_its_equivalents():
    # 15 g vinegar of 5 %: 0.75 g acetic acid = 12.49 mmol, as many of NaHCO3 = 1.049 g
    assert soda_neutralised_g(15, 5, 60.052, 1) == pytest.approx(1.0492, abs=1e-4)


@settings(deadline=None)
@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 200))
def test_soda_is_neither_made_nor_lost(soda, acid, value):
    neutralised, left, gas = leftover_soda_g(soda, acid, value)
    assert neutralised + left == pytest.approx(soda)
    assert min(neutralised, left, gas) >= 0
    assert gas == pytest.approx(neutralised * 44.0095 / 84.007)


@pytest.mark.parametrize(
    ("molality", "activity"),
    # Robinson & Stokes 1959, appendix 8.3, from memory
    [(0.5, 0.9836), (1, 0.9669), (2, 0.9316), (3, 0.8932), (4, 0.8515), (5, 0.8068), (6, 0.7598)],
)
def test_brine_has_the_tabulated_water_activity(molality, activity):
    assert water_activity_nacl(molality) == pytest.approx(activity, abs=0.001)


def test_saturated_brine_is_about_three_quarters_free():  # Greenspan 1977: 0.7529 at 25 °C
    assert water_activity_nacl(6.144) == pytest.approx(0.7529, abs=0.003)
    with pytest.raises(FoodError, match="saturated"):
        water_activity_nacl(7)


def test_syrup_follows_norrish():
    x = (60 / 342.297) / (60 / 342.297 + 40 / 18.0153)
    assert water_activity_sucrose(60) == pytest.approx((1 - x) * math.exp(-6.47 * x * x), rel=1e-6)
    assert water_activity_sucrose(0) == 1


def test_acrylamide_benchmarks_of_annex_iv():  # Commission Regulation (EU) 2017/2158, Annex IV
    assert acrylamide_benchmark_ug_per_kg("French fries, ready to eat") == 500
    assert acrylamide_benchmark_ug_per_kg("gingerbread") == 800
    assert acrylamide_benchmark_ug_per_kg("potato crisps") == 750
    with pytest.raises(FoodError, match="Annex IV"):
        acrylamide_benchmark_ug_per_kg("ice lollies")
