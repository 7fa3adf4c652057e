"""Units, ovens, pans, concentrations and weighing against definitions, handbook values and closed forms."""

import csv
import math
from importlib.resources import files

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.measures import concentrations, countries, oven, pans, solutions, weighing
from proofpan.science.measures.amounts import parse_amount
from proofpan.science.measures.definitions import factors, registry
from proofpan.science.measures.errors import QuantityError

TABLES = ("countries.csv", "spoon_densities.csv", "usual_ranges.csv", "solution_densities.csv", "indefinite.csv")
CONFIDENCES = {"published, checked against text", "published, from memory", "computed independently", "common practice, no source"}


@pytest.mark.parametrize("name", TABLES)
def test_every_row_of_every_table_names_its_source_and_confidence(name):
    with (files("proofpan.science.measures") / name).open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert rows
    for row in rows:
        assert row["source"]
        assert row["confidence"] in CONFIDENCES


@pytest.mark.parametrize("name", ["spoon_densities.csv"])
def test_a_density_lies_within_its_interval(name):
    with (files("proofpan.science.measures") / name).open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            assert float(row["low"]) <= float(row["density_g_per_ml"]) <= float(row["high"]), row["name"]


def test_our_reader_and_pint_agree_on_every_unit():
    for name, factor in factors().items():
        assert registry().Quantity(1, name).to_base_units().magnitude == pytest.approx(factor, rel=1e-14)


# NIST Handbook 44, Appendix C; UK Weights and Measures Act 1985, schedule 1; 21 CFR 101.9(b)(5)(viii)
@pytest.mark.parametrize(
    ("amount", "unit", "country", "ml"),
    [
        (1, "cup", "US", 236.5882365),
        (1, "bushel", "US", 35239.07),
        (1, "gill", "UK", 142.0653),
        (1, "peck", "UK", 9092.18),
        (1, "cup", "US-label", 240),
    ],
)
def test_a_volume_is_its_published_definition(amount, unit, country, ml):
    assert countries.volume_ml(amount, unit, country) == pytest.approx(ml, rel=1e-6)


@pytest.mark.parametrize(
    ("unit", "country"), [("cup", "UK"), ("cup", "IE"), ("cup", "IN"), ("pint", None), ("tbsp", None), ("glorp", "US")]
)
def test_a_unit_without_a_size_there_is_refused(unit, country):
    with pytest.raises(QuantityError):
        countries.volume_ml(1, unit, country)


def test_eu_is_metric_and_a_pound_is_a_pound_everywhere():
    assert countries.volume_ml(1, "tbsp", "EU") == 15
    assert {countries.mass_g(1, "lb", c) for c in ("US", "UK", "AU", None)} == {453.59237}


@settings(deadline=None)
@given(st.floats(-200, 1000), st.sampled_from("CFK"), st.sampled_from("CFK"))
def test_a_temperature_goes_there_and_back(value, one, other):
    start = oven.temperature(value, "C", one)
    assert oven.temperature(oven.temperature(start, one, other), other, one) == pytest.approx(start, abs=1e-9)


def test_water_boils_and_freezes_at_the_fixed_points():
    assert oven.temperature(212, "F", "C") == pytest.approx(100)
    assert oven.temperature(32, "F", "K") == pytest.approx(273.15)
    assert oven.temperature_difference(9, "F", "C") == pytest.approx(5)


def test_every_gas_mark_is_its_own_nearest_mark():
    for mark, (_, c) in oven.GAS_MARKS.items():
        assert oven.gas_mark_for_c(c) == mark
    assert oven.gas_mark("¼") == oven.gas_mark("1/4")


def test_a_round_tin_holds_pi_quarters_of_the_square_around_it():
    factor = pans.pan_area_factor({"shape": "square", "side_cm": 20}, {"shape": "round", "diameter_cm": 20})
    assert factor == pytest.approx(math.pi / 4)


def test_pan_factors_multiply_along_a_chain():
    a, b, c = ({"shape": "round", "diameter_cm": d} for d in (18, 20, 23))
    assert pans.pan_area_factor(a, b) * pans.pan_area_factor(b, c) == pytest.approx(pans.pan_area_factor(a, c))


# CRC Handbook, concentrative properties, 20 °C: 3.5 % NaCl 1.0232 (between rows of our table);
# NBS Circular 440: 66 °Bx 1.3224, 12 °Bx 1.0463 (from memory)
def test_densities_between_the_rows_meet_the_handbook():
    assert solutions.sodium_chloride_solution_density_g_per_ml(3.5) == pytest.approx(1.0232, abs=0.0003)
    assert solutions.sucrose_solution_density_g_per_ml(66) == pytest.approx(1.3224, abs=0.0006)
    assert solutions.sucrose_solution_density_g_per_ml(12) == pytest.approx(1.0463, abs=0.0006)


def test_outside_the_table_is_refused():
    with pytest.raises(QuantityError):
        solutions.sodium_chloride_solution_density_g_per_ml(30)
    with pytest.raises(QuantityError):
        solutions.sucrose_solution_density_g_per_ml(20, 80)


@settings(deadline=None)
@given(st.floats(1, 90), st.floats(1, 5000), st.floats(0.01, 1))
def test_diluting_keeps_the_solute(stock, mass, share):
    target = stock * share
    water = concentrations.dilute(stock, mass, target)
    assert water >= -1e-9
    assert (mass + water) * target == pytest.approx(mass * stock)


def test_both_bases_of_a_brine_say_the_same_brine():
    brine = concentrations.brine_percent(35, 1000)
    assert brine.percent_of_water / (100 + brine.percent_of_water) * 100 == pytest.approx(brine.percent_of_solution)


@pytest.mark.parametrize("call", [lambda: concentrations.brine_percent(-1, 100), lambda: concentrations.brine_percent(1, 0),
    lambda: concentrations.dilute(5, 100, 10), lambda: concentrations.bakers_percent({}, {"water": 1}),
    lambda: concentrations.hydration_percent(100, {"milk": (50, 88)}), lambda: weighing.repeat_weighing([1.0])])  # fmt: skip
def test_what_cant_be_is_refused(call):
    with pytest.raises(QuantityError):
        call()


def test_the_uncertainty_of_a_loss_is_the_guides_propagation():
    # JCGM 100:2008, 5.1.2: u² = Σ (∂f/∂x)² u(x)², derivatives taken numerically
    raw, cooked, d, h = 180.0, 138.0, 1.0, 1e-4

    def loss(r, c):
        return 100 * (r - c) / r

    u = d / math.sqrt(12)
    slopes = [(loss(raw + h, cooked) - loss(raw - h, cooked)) / (2 * h), (loss(raw, cooked + h) - loss(raw, cooked - h)) / (2 * h)]
    assert weighing.cooking_loss_percent(raw, cooked, d).standard_uncertainty_percent == pytest.approx(u * math.hypot(*slopes), rel=1e-6)


@pytest.mark.parametrize("text", ["", "x", "1/0", "3-", "4–3", "1 2", "½x", "--", "9**9**9"])
def test_what_isnt_an_amount_is_refused(text):
    with pytest.raises(QuantityError):
        parse_amount(text)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("between 4 and 6", 4, 6),
        ("one and a half", 1.5, 1.5),
        ("1 to 1½", 1, 1.5),
        ("1,5", 1.5, 1.5),
        ("1,500", 1500, 1500),
        ("three quarters", 0.75, 0.75),
    ],
)
def test_an_amount_is_read(text, low, high):
    assert parse_amount(text) == pytest.approx((low, high))
