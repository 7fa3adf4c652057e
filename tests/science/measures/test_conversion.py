"""Conversion and claims; expected values worked from the definitions and from the tables named."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.measures.claims import check
from proofpan.science.measures.conversion import convert
from proofpan.science.measures.densities import substance
from proofpan.science.measures.errors import QuantityError


def test_a_strength_shows_its_packing_and_its_steps():
    # 6 g a US teaspoon (USDA SR26, NDB 02047), 5 to 6.5 by packing; 3 US quarts = 2.839059 L (NIST Handbook 44)
    got = convert("1 tsp salt per 3 US quart water", "g/L")
    assert got.value == pytest.approx(6 / 2.839059, rel=1e-3)
    assert (got.low, got.high) == pytest.approx((5 / 2.839059, 6.5 / 2.839059), rel=1e-3)
    assert "quart" in " ".join(got.steps)
    assert got.unit == "g/L"


@pytest.mark.parametrize(("country", "ml"), [("AU", 20), ("US", 14.78676), ("UK", 15)])
def test_the_country_decides_what_a_tablespoon_is(country, ml):
    assert convert("1 tbsp water", "mL", country).value == pytest.approx(ml, rel=1e-5)


def test_without_a_country_the_interval_covers_the_countries_and_a_step_says_so():
    got = convert("1 tbsp water", "mL")
    assert (got.value, got.low, got.high) == pytest.approx((15, 14.78676, 20), rel=1e-5)
    assert "no country" in got.steps[0]


@pytest.mark.parametrize(
    ("text", "to", "country", "value"),
    [
        ("350 F", "C", None, 176.6667),
        ("gas mark 4", "C", None, 180),
        ("gas 6", "F", None, 400),
        ("180 C fan", "C", None, 200),
        ("180 C", "C fan", None, 160),
        ("180 C", "gas mark", None, 4),
        ("2 lb", "kg", None, 0.90718474),
        ("1 l", "US quart", None, 1.056688),
        ("10 g salt per 250 g flour", "%", None, 4),
        ("2 g citric acid per kg water", "ppm", None, 2000),
        ("250 ml", "cup", "US", 1.056688),
        ("salt, 1 tsp", "mL", "AU", 5),
        ("4 oz", "g", "US-label", 112),
        ("5 g per kg", "g per 100 g", None, 0.5),
    ],
)
def test_a_conversion_gives_the_defined_value(text, to, country, value):
    got = convert(text, to, country)
    assert got.value == pytest.approx(value, rel=1e-5)
    assert got.low <= got.value <= got.high


@pytest.mark.parametrize(
    ("text", "to", "country", "word"),
    [
        ("1 cup rice", "mL", "UK", "no defined size"),
        ("1 pint milk", "mL", None, "country"),
        ("hello", "g", None, "no amount"),
        ("1 glorp salt", "g", "US", "glorp"),
        ("350 F", "g", None, "temperature"),
        ("1 cup", "C", "US", "temperature"),
        ("5 g", "g/L", None, "per"),
        ("1 tsp salt per egg", "g/L", "US", "count"),
        ("0 g salt per 0 ml water", "g/L", None, "zero"),
        ("1 tsp zzz", "g", "US", "missing"),
        ("500 ml stock, 1 tsp agar", "g", "AU", "more than one"),
        ("1/0 cup", "mL", "US", "zero"),
        ("9**9**9", "g", None, "grams"),
        ("-300 C", "F", None, "absolute zero"),
        ("1 tsp pink curing salt", "g", "US", "missing"),
    ],
)
def test_what_cant_be_converted_says_why_in_one_sentence(text, to, country, word):
    with pytest.raises(QuantityError) as error:
        convert(text, to, country)
    assert word in str(error.value)
    assert len(str(error.value)) <= 300


@settings(deadline=None, max_examples=60)
@given(st.floats(0.1, 500), st.sampled_from(["tsp", "tbsp", "cup", "mL", "fl oz", "pint"]), st.sampled_from(["US", "AU", "CA"]))
def test_volumes_go_there_and_back(amount, unit, country):
    there = convert(f"{amount:.3f} {unit} water", "mL", country)
    back = convert(f"{there.value:.9f} mL water", unit, country)
    assert back.value == pytest.approx(round(amount, 3), rel=1e-6)


def test_a_pantrys_own_density_is_asked_first():
    got = convert("1 cup zzz", "g", "US", look_up=lambda name: (0.5, 0.4, 0.6) if name == "zzz" else None)
    assert got.value == pytest.approx(118.294, rel=1e-4)


def test_random_text_raises_nothing_but_quantity_errors():
    rng = random.Random(8)
    words = "1 2½ 1/0 tsp cup g L salt water per US pint / % F C gas mark fan to for every pinch of ( ) - × egg 9**9".split()  # noqa: SIM905
    for _ in range(3_000):
        text, to = (
            " ".join(rng.choice(words) for _ in range(rng.randint(1, 7))),
            rng.choice(["g", "mL", "g/L", "C", "%", "x", "g per 100 g", "", "/"]),
        )
        try:
            got = convert(text, to, rng.choice(["US", "AU", None]))
        except QuantityError:
            continue
        assert got.low <= got.value <= got.high or got.value < 0


AGAR = "1 tsp agar powder per cup of liquid"


def test_agar_spooned_in_australia_is_nearly_four_times_what_a_us_leaflet_means():
    # by hand: (20 / 250) / (4.92892 / 236.5882) = 3.840; 2 g a teaspoon: 8.45 and 32.5 g/L
    got = check(AGAR, "1 tbsp agar powder per 250 mL of water", "US", "AU", "an old leaflet")
    assert got.multiple == pytest.approx(3.840, abs=0.001)
    assert got.meant.startswith("8.45 g/L")
    assert got.planned.startswith("32.5 g/L")
    assert got.usual == (4, 15)
    assert not got.agrees
    assert got.says.startswith("You wrote 1 tbsp of agar powder. The old leaflet means about 1 tsp. That is 3.8 times as much.")
    assert "packing cancels" in " ".join(got.steps)


def test_without_our_country_our_spoon_is_the_sources():
    # by hand: (14.78676 / 250) / (4.92892 / 236.5882)
    assert check(AGAR, "1 tbsp agar powder per 250 mL of water", "US").multiple == pytest.approx(2.839, abs=0.001)


def test_what_agrees_is_silent():
    got = check(AGAR, "1 tsp agar powder per 237 mL of water", "US", "AU")
    assert got.agrees
    assert got.says == ""


def test_malt_syrup_by_weight_carries_the_syrups_interval():
    # 14.787 mL × 1.40 (1.33 to 1.47) per 453.59 g, against 160 g per kg
    got = check("1 tbsp malt syrup per lb of flour", "40 g malt syrup per 250 g flour", "US", source="the leaflet")
    assert (got.multiple, got.low, got.high) == pytest.approx((3.506, 3.339, 3.690), abs=0.001)
    assert got.says.startswith("You wrote 40 g of malt syrup. The leaflet means about 11 g. That is 3.5 times as much (3.3 to 3.7).")


def test_packing_doesnt_cancel_between_two_kinds_of_salt():
    got = check("1 tbsp salt per quart water", "1 tbsp flaky salt per litre water", "US", "AU")
    assert got.low < got.multiple < got.high


@pytest.mark.parametrize(
    ("words", "ours", "missing"),
    [
        (AGAR, "4 g agar powder per 250 g of flour", "mL of liquid"),
        (AGAR, "4 g agar powder", "what it goes into"),
        ("1 tsp agar powder", "4 g agar powder per litre", "what it goes into"),
        ("salt well", "2 g salt", "no amount"),
        ("1 tbsp malt syrup per lb of flour", "10 per 250 g flour", "no unit"),
        ("2 leaves gelatine per 500 ml", "10 g gelatine per 500 ml", "weight is missing"),
        ("1 tsp salt per kg flour", "5 g salt per kg water", "can't be compared"),
    ],
)
def test_what_cant_be_compared_says_what_is_missing(words, ours, missing):
    with pytest.raises(QuantityError, match=missing):
        check(words, ours, "US", "AU", "an old leaflet")


def test_soda_in_water_tells_its_ph_closed_and_open():
    got = check("1½ tsp baking soda per 3 quarts water", "24 g baking soda per 2.5 L water", "US", "AU")
    assert got.multiple == pytest.approx(3.95, abs=0.01)  # 4.6 g a teaspoon (USDA SR26, NDB 18372)
    assert any("8.3" in step and "open" in step for step in got.steps)


def test_curing_salt_is_never_spooned_and_its_caution_is_said():
    with pytest.raises(QuantityError):
        check("1 tsp pink curing salt per kg pork", "10 g pink curing salt per kg pork", "US")
    got = check("2.5 g curing salt per kg pork", "10 g curing salt per kg pork")
    assert "authority" in got.says
    assert got.usual is None


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 300), st.integers(1, 300))
def test_a_multiple_turned_round_is_its_inverse(a, b):
    one = check(f"{a} g salt per litre water", f"{b} g salt per litre water")
    other = check(f"{b} g salt per litre water", f"{a} g salt per litre water")
    assert one.multiple * other.multiple == pytest.approx(1)
    assert one.agrees == (0.8 <= b / a <= 1.25)


def test_a_substance_is_found_by_its_last_words():
    assert substance("good olive oil").name == "oil"
    assert substance("butter beans") is None
    assert substance("pink curing salt") is None


@pytest.mark.parametrize(
    ("text", "country", "value", "low", "high"),
    [
        ("2 large eggs", "US", 100, 92, 108),            # USDA SR26 NDB 01123: 50 g a large egg without its shell
        ("3 large eggs", "UK", 180, 165, 195),           # Regulation (EC) No 589/2008: L is 63 to 73 g in the shell, of which 12 % is shell
        ("3 eggs", None, 150, 121, 195),                 # no size and no country: medium to large over the countries, the US large one between
        ("4 egg yolks", "US", 68, 62, 74),               # USDA SR26 NDB 01125: 17 g
        ("1 clove garlic", None, 3, 2.4, 3.6),           # USDA SR26 NDB 11215: 3 g
        ("half an onion", None, 55, 44, 66),             # USDA SR26 NDB 11282: 110 g a medium onion
    ],
)
def test_what_is_counted_has_the_weight_of_usual_pieces_and_says_so(text, country, value, low, high):
    done = convert(text, "g", country)
    assert done.value == pytest.approx(value)
    assert (done.low, done.high) == (pytest.approx(low, rel=0.01), pytest.approx(high, rel=0.01))
    assert any("usually" in step or "its size not said" in step for step in done.steps)


@pytest.mark.parametrize(
    ("text", "country", "brix"),
    [
        ("100 g sugar per 100 g water", None, 50),
        ("2 cups sugar per cup water", "US", 62.8),      # by hand: 400 g (USDA SR26: 200 g a cup) with 236.6 g
        ("65 % sugar", None, 65),
        ("855.6 g sugar per litre of syrup", None, 65),  # density 1.3163 at 65 °Bx, 20 °C: ICUMSA's sucrose table
        ("100 g honey per 100 g water", None, 41.45),    # USDA SR26 NDB 19296: 17.1 g water in 100 g honey; 82.9 in 200
    ],
)
def test_sugar_in_water_is_said_in_degrees_brix(text, country, brix):
    done = convert(text, "°Bx", country)
    assert done.value == pytest.approx(brix, abs=0.05)
    assert done.low <= done.value <= done.high
    assert done.unit == "°Bx"
    assert done.steps


@pytest.mark.parametrize(("to", "value"), [("g/L", 855.6), ("%", 65), ("g per 100 g water", 185.71)])
def test_degrees_brix_are_said_in_other_units(to, value):
    assert convert("65 °Bx", to).value == pytest.approx(value, rel=2e-4)


@pytest.mark.parametrize(
    ("text", "to", "word"),
    [
        ("3 eggs", "°Bx", "isn't sugar"),
        ("50 g salt per litre water", "°Bx", "isn't sugar"),
        ("200 g sugar", "°Bx", "lacks the water"),
        ("200 g sugar per 100 g syrup", "°Bx", "more sugar than syrup"),
        ("120 °Bx", "g/L", "0 to 100"),
        ("65 °Bx", "cup", "g/L"),
        ("3 gizmos", "g", "what one weighs"),
    ],
)
def test_what_isnt_sugar_or_has_no_weight_is_refused_with_what_would_do(text, to, word):
    with pytest.raises(QuantityError, match=word):
        convert(text, to)


@given(sugar=st.floats(1, 1000), water=st.floats(1, 1000))
def test_brix_goes_there_and_back(sugar, water):
    done = convert(f"{sugar:.3f} g sugar per {water:.3f} g water", "°Bx")
    assert 0 < done.value < 100
    back = convert(f"{done.value:.9f} °Bx", "g per 100 g water")
    assert back.value == pytest.approx(100 * round(sugar, 3) / round(water, 3), rel=1e-5)


# by hand: 6 g to 100 g (100.2 mL) of water is 59.9 g/L; of the whole brine it is 6 g to 94 g of water, 63.8 g/L
def test_a_brine_in_per_cent_is_of_the_water_or_of_the_whole_and_is_set_beside_litres():
    found = check("6 % brine", "60 g salt per 1 L water")
    assert found.unit == "g/L" and found.agrees and found.low < 60 / 63.8 + 0.001 and found.multiple == pytest.approx(60 / 59.88, abs=1e-3)
    assert any("of the whole brine" in step for step in found.steps)
    strong = check("a 2 % brine", "60 g salt per 1 L water")
    assert not strong.agrees and strong.multiple == pytest.approx(3.0, abs=0.02)


def test_a_pound_a_gallon_may_be_written_with_a_stroke():
    assert convert("1 lb/gal", "g/L", "US").value == pytest.approx(convert("1 lb per gallon", "g/L", "US").value)


@pytest.mark.parametrize("text", ["-1 g salt", "- 2 tsp salt"])
def test_less_than_nothing_is_refused(text):
    with pytest.raises(QuantityError, match="above zero"):
        convert(text, "oz")
    assert convert("-40 F", "C").value == pytest.approx(-40)
