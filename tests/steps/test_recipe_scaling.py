"""Scaling: lines, eggs, pots, tins. Spoon sizes: NIST Handbook 44 appendix C (US), AS 1325 (20 mL tablespoon, from memory)."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import proofpan as pp
from proofpan.science.measures import parse_line
from proofpan.steps.recipe_scaling import scaled_line, scaled_step
from proofpan.steps.recipe_spoons import nearest_spoons, spoons_for
from proofpan.steps.recipe_tins import tin_factor
from proofpan.study.errors import QuantityError
from proofpan.study.lines import number_of, scale_line
from tests.steps.larkspur import SLICE, SOUP, study

FACTORS = st.floats(0.1, 20)


@pytest.mark.parametrize(
    "line, by, wanted",
    [
        ("2 tbsp + 1 tsp olive oil", 0.5, "1 tbsp + ½ tsp olive oil"),
        ("1½ cups (190 g) plain flour, sifted", 2, "3 cups (380 g) plain flour, sifted"),
        ("2 x 400 g tins chopped tomatoes", 1.5, "3 x 400 g tins chopped tomatoes"),
        ("finely grated zest of 1 lemon", 3, "finely grated zest of 3 lemons"),
        ("juice of 2 lemons", 0.5, "juice of 1 lemon"),
        ("2 leeks (300 g), sliced", 0.5, "1 leek (150 g), sliced"),
        ("1 kg pumpkin, cut into 3 cm pieces", 0.5, "500 g pumpkin, cut into 3 cm pieces"),
        ("100 g dark chocolate (70% cocoa)", 2, "200 g dark chocolate (70% cocoa)"),
        ("½ cup (60 g) sifted icing sugar", 2, "1 cup (120 g) sifted icing sugar"),
        ("1 lb 4 oz beef", 2, "2 lb 8 oz beef"),
        ("3–4 cloves garlic, sliced", 2, "6–8 cloves garlic, sliced"),
        ("1 litre water", 1.5, "1.5 litres water"),
        ("500 ml milk", 3, "1.5 L milk"),
        ("salt to taste", 2, "salt to taste"),
        ("3 eggs (50 g each)", 2, "6 eggs (50 g each)"),
    ],
)
def test_only_the_amount_of_a_line_changes(line, by, wanted):
    assert scale_line(line, by) == wanted


@pytest.mark.parametrize("text, value", [("1½", 1.5), ("1 1/2", 1.5), ("2/3", 2 / 3), ("1,200", 1200), ("0,5", 0.5), ("⅛", 0.125)])
def test_numbers_are_read_as_cooks_write_them(text, value):
    assert number_of(text) == pytest.approx(value)


@settings(deadline=None, max_examples=150)
@given(grams=st.integers(1, 5000), by=FACTORS)
def test_a_weight_scales_within_one_per_cent(grams, by):
    parsed = parse_line(scale_line(f"{grams} g plain flour", by))
    assert parsed.mass_g is not None and parsed.mass_g[0] == pytest.approx(grams * by, rel=0.0101)
    assert parsed.item == "plain flour"


@settings(deadline=None, max_examples=150)
@given(tsp=st.sampled_from([0.25, 0.5, 1, 2, 3]), by=st.floats(0.2, 8), item=st.sampled_from(["baking powder", "ground cumin"]))
def test_spoons_stay_within_their_bound_or_the_grams_lead_with_the_error(tsp, by, item):
    bound = 0.03 if item == "baking powder" else 0.05
    found = scaled_line(f"{tsp:g} tsp {item}", by, "UK", item, 4.6 * tsp * by)
    if "level)" in found.text or "(less than" in found.text:
        assert found.text[0].isdigit() and " g " in found.text and ("%" in found.text or "(less than ⅛ tsp)" in found.text)
    else:
        parsed = parse_line(found.text, "UK")
        assert parsed.volume_ml is not None and parsed.volume_ml[0] == pytest.approx(5 * tsp * by, rel=bound + 0.0001)


@settings(deadline=None, max_examples=100)
@given(volume=st.floats(0.5, 3000), country=st.sampled_from(["US", "AU", "UK", "metric"]))
def test_the_spoons_that_fit_are_within_the_bound_and_the_nearest_is_no_worse(volume, country):
    fits = spoons_for(volume, country, 0.05)
    _, error = nearest_spoons(volume, country)
    if fits is not None:
        assert abs(fits.volume_ml / volume - 1) <= 0.05 + 1e-9
        assert abs(error) <= 0.05 + 1e-6


def test_an_australian_tablespoon_is_20_ml_and_a_us_cup_236_6():
    assert spoons_for(20, "AU", 0.01).text == "1 tbsp"
    assert spoons_for(20, "UK", 0.01).text == "1 tbsp + 1 tsp"
    assert spoons_for(236.588, "US", 0.001).text == "1 cup"


def test_eggs_are_whole_and_the_error_is_said():
    found = scaled_line("3 eggs (50 g each)", 0.5, "UK", "eggs")
    assert found.text == "2 eggs (50 g each)"
    assert "2 where 1.5 would be exact, 33 % more" in found.note and "75 g" in found.note      # 50 g an egg: USDA SR Legacy NDB 01123
    assert scaled_line("4 eggs", 0.5, "UK", "eggs").note == ""


def test_what_follows_the_pan_stays():
    assert scaled_line("500 ml sunflower oil, for frying", 3, "UK").kept
    assert scaled_line("10 g salt, for the pasta water", 2, "UK").text == "10 g salt, for the pasta water"


def test_a_step_scales_amounts_and_pieces_but_no_size_time_or_heat():
    text = ("Beat 110 g (½ cup) of the sugar for 4–5 minutes in a 3 litre bowl at 160 C, gas 3. Shape into 10 balls of about 20 g and set on "
            "two 40 × 30 cm trays.")
    assert scaled_step(text, 2, "10 biscuits", "AU") == text.replace("110 g (½ cup)", "220 g (1 cup)").replace("10 balls", "20 balls")


@pytest.mark.parametrize(
    "now, wanted, factor",
    [
        ("20 cm square", "23 x 33 cm", 23 * 33 / 400),
        ("20 cm round", "25 cm round", (25 / 20) ** 2),                          # areas of circles
        ("20 cm square", "20 cm round", math.pi / 4),
        ("9 inch round", "23 cm round", (23 / 22.86) ** 2),                      # 1 inch = 2.54 cm exactly
        ("1.5 litre dish", "3 litre dish", 2.0),
        ("20 cm square, 4 cm deep", "20 cm square, 6 cm deep", 1.5),
    ],
)
def test_a_tin_scales_by_its_base_or_its_volume(now, wanted, factor):
    assert tin_factor(now, wanted, [])[0] == pytest.approx(factor)


def test_tins_that_can_not_be_set_side_by_side_are_refused():
    with pytest.raises(QuantityError, match="both by volume"):
        tin_factor("20 cm square", "2 litre dish", [])
    with pytest.raises(QuantityError, match="holds no size"):
        tin_factor("20 cm square", "the blue one", [])


def first(text):
    made = study(text)
    return pp.recipe(made, made.versions()[0])


@settings(deadline=None, max_examples=25)
@given(a=st.floats(0.3, 5), b=st.floats(0.3, 5))
def test_scaling_is_linear_and_nothing_is_negative(a, b):
    base = first(SLICE)
    twice, once = base.scaled(by=a).scaled(by=b), base.scaled(by=a * b)
    assert twice.ingredients == once.ingredients or twice.factor == pytest.approx(once.factor, rel=1e-12)
    for line, plain in zip(once.lines, base.lines, strict=True):
        assert (line.grams is None) == (plain.grams is None)
        if line.grams is not None and plain.grams is not None:
            assert line.grams[0] == pytest.approx(plain.grams[0] * a * b) and line.grams[0] >= 0
    assert once.ingredients[0].endswith("soft butter, for the tin")


def test_there_and_back_is_the_text_as_written():
    base = first(SOUP)
    assert base.scaled(by=3).scaled(by=1 / 3).ingredients == base.ingredients
    assert base.to("US").to("UK").ingredients == base.ingredients


def test_a_scaled_recipe_passes_the_audit_that_the_written_one_passes():
    """The divided sugar and pepitas, the pieces and the yield grow together."""
    base = study(SLICE)
    twice = pp.recipe(base, base.versions()[0]).scaled(by=2)
    steps = " ".join(s.text for s in twice.method)
    assert "140 g of the sugar" in steps and "80 g sugar" in steps and "cut into 32 squares" in steps
    assert twice.makes == "32 squares" and "220 g (1 cup) caster sugar" in twice.ingredients


@pytest.mark.parametrize(
    "how", [{"serves": 0}, {"by": -1}, {"by": float("nan")}, {"by": 1e9}, {"makes": "2 kg"}, {"makes": "plenty"}, {}, {"by": 2, "serves": 3}]
)
def test_what_can_not_be_scaled_is_said_in_a_sentence(how):
    with pytest.raises(QuantityError) as caught:
        first(SLICE).scaled(**how)
    assert len(str(caught.value)) <= 300


@settings(deadline=None, max_examples=400)
@given(text=st.text(max_size=60), by=FACTORS)
def test_any_text_is_scaled_without_a_fault(text, by):
    assert isinstance(scale_line(text, by), str)
    assert isinstance(scaled_step(text, by, "12 buns", None), str)


@pytest.mark.parametrize(("line", "by", "says"), [
    ("1 cup (220 g) caster sugar", 1.27, "1¼ cups (280 g) caster sugar"),
    ("1 tsp (5 g) fine salt", 1.27, "1¼ tsp (6.3 g) fine salt"),
    ("1½ cups (190 g) plain flour, sifted", 2, "3 cups (380 g) plain flour, sifted"),
    ("1/2 cup (125 ml) milk", 1.25, "½ cup + 1½ tbsp (155 ml) milk"),          # 125 and 30 mL where 156 is exact
    ("1/8 tsp (0.7 g) fine salt", 0.9, "0.63 g (a scant ⅛ tsp, 10 % under level) fine salt"),      # no spoons hold the bound: the weighed amount leads
])
def test_a_line_in_cups_and_grams_keeps_cups_that_exist_or_lets_the_grams_lead(line, by, says):
    assert scaled_line(line, by, "AU").text == says
