"""Food properties, steam and surfaces against handbook figures."""

import csv
from importlib import resources

import numpy as np
import pytest

from proofpan.science import foods, heat

ROOM = resources.files("proofpan.science.heat")


@pytest.mark.parametrize("table", ["component_polynomials", "if97_saturation", "poultry_holds", "roast_holds", "safe_temperatures", "stages",
                                   "targets"])
def test_every_row_names_its_source_and_how_far_to_trust_it(table):
    rows = list(csv.DictReader(ROOM.joinpath(f"{table}.csv").read_text(encoding="utf-8").splitlines()))
    assert rows and all(row["source"] and row["confidence"] for row in rows)


# IAPWS R7-97, tables 35 and 36 (check values)
@pytest.mark.parametrize(("kelvin", "kpa"), [(300, 3.53658941), (500, 2638.89776), (600, 12344.3146)])
def test_steam_has_the_release_s_pressures(kelvin, kpa):
    assert heat.saturation_pressure_kpa(kelvin - 273.15) == pytest.approx(kpa, rel=1e-8)


@pytest.mark.parametrize(("kpa", "kelvin"), [(100, 372.755919), (1000, 453.035632), (10000, 584.149488)])
def test_water_boils_at_the_tabulated_temperature(kpa, kelvin):
    assert heat.boiling_point_at_pressure_c(kpa) + 273.15 == pytest.approx(kelvin, abs=1e-6)


def test_the_standard_atmosphere_at_five_kilometres():    # ISO 2533, geopotential height: 54.0199 kPa
    assert heat.standard_pressure_kpa(5000) == pytest.approx(54.0199, abs=0.001)


def test_a_raw_potato_is_what_measurements_say():
    # Potato: k 0.55, c 3.5–3.7 kJ/(kg·K), ρ 1055–1090, α 1.3–1.5e-7 (Rao & Rizvi, Engineering Properties of Foods, from memory)
    potato = foods.look_up("potato")
    got = heat.food_property(heat.composition_fractions(potato.composition), 20)
    assert 0.50 < got.conductivity_w_mk < 0.60 and 3400 < got.specific_heat_j_kgk < 3800 and 1050 < got.density_kg_m3 < 1100
    assert 1.3e-7 < got.diffusivity_m2_s < 1.5e-7


def test_pores_thin_a_food_and_slow_its_heat():
    x = {"water": 0.4, "carbohydrate": 0.5, "protein": 0.1}
    solid, crumb = heat.food_property(x, 25), heat.food_property(x, 25, 0.7)
    assert crumb.density_kg_m3 == pytest.approx(0.3 * solid.density_kg_m3) and crumb.conductivity_w_mk < 0.4 * solid.conductivity_w_mk
    assert crumb.specific_heat_j_kgk == solid.specific_heat_j_kgk


def test_freezing_lean_beef_takes_the_heat_that_charts_show():
    # Riedel's chart for lean beef (74.5 % water): about 300 kJ/kg from −40 to 0 °C; ASHRAE tabulates 298 (from memory)
    beef = heat.food_material({"water": 0.745, "protein": 0.214, "fat": 0.034, "ash": 0.007})
    between = -beef.heat_and_capacity(np.array([-40.0]))[0][0] / beef.density_kg_m3
    assert between == pytest.approx(300e3, rel=0.06)


def test_half_of_the_water_is_ice_a_degree_below():
    assert heat.ice_fraction({"water": 0.75, "protein": 0.2, "ash": 0.05}, [-2.0, -0.5]) == pytest.approx([(0.75 - 0.08) / 2, 0.0])


@pytest.mark.parametrize(("call", "match"), [
    (lambda: heat.component_property("sand", "density_kg_m3", 20), "components are"), (lambda: heat.food_property({"water": 0}, 20), "above zero"),
    (lambda: heat.food_property({"water": 1}, 20, 1.0), "Porosity"), (lambda: heat.nusselt("flat plate", 0.7, rayleigh=1e5), "use one of"),
    (lambda: heat.nusselt("sphere, forced (Ranz–Marshall)", 0.7, rayleigh=1e5), "Reynolds"), (lambda: heat.boiling_point_c(2e4), "outside"),
    (lambda: heat.food_material({"ice": 1.0}), "as water"), (lambda: heat.radiation_coefficient_w_m2k(20, 200, 1.2), "Emissivity"),
])
def test_what_makes_no_sense_is_refused(call, match):
    with pytest.raises(heat.HeatError, match=match):
        call()
