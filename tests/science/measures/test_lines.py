"""Ingredient lines, each written for these tests; definitions of units as in countries.csv."""

import random
from dataclasses import fields

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.measures.definitions import COUNTRIES
from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.lines import ParsedLine, parse_line

CASES = [
    # line, country, low, high, unit, item, prep
    ("1½ cups (190 g) plain flour, sifted", "AU", 1.5, 1.5, "cup", "plain flour", "sifted"),
    ("2 tbsp honey, warmed", "AU", 2, 2, "tbsp", "honey", "warmed"),
    ("1-1/2 cups sugar", "US", 1.5, 1.5, "cup", "sugar", None),
    ("half a dozen eggs", "UK", 6, 6, "each", "eggs", None),
    ("three quarters of a cup of milk", "US", 0.75, 0.75, "cup", "milk", None),
    ("2–3 garlic cloves, crushed", "UK", 2, 3, "clove", "garlic", "crushed"),
    ("2 bay leaves", "UK", 2, 2, "each", "bay leaves", None),
    ("Plain flour, 250 g", "UK", 250, 250, "g", "Plain flour", None),
    ("4 boneless, skinless chicken thighs, trimmed", "US", 4, 4, "each", "boneless, skinless chicken thighs", "trimmed"),
    ("1 cup finely chopped parsley", "US", 1, 1, "cup", "parsley", "finely chopped"),
    ("300 g 00 flour", "UK", 300, 300, "g", "00 flour", None),
    ("200 g 70% dark chocolate", "UK", 200, 200, "g", "70% dark chocolate", None),
    ("1 tsp five-spice powder", "AU", 1, 1, "tsp", "five-spice powder", None),
    ("2 packets 2-minute noodles", "AU", 2, 2, "packet", "2-minute noodles", None),
    ("4 cloves", "UK", 4, 4, "each", "cloves", None),
    ("½ tsp cloves, ground", "UK", 0.5, 0.5, "tsp", "cloves", "ground"),
    ("scant ½ tsp salt", "US", 0.5, 0.5, "tsp", "salt", None),
    ("2 stock cubes", "UK", 2, 2, "each", "stock cubes", None),
    ("3 pinto beans", "US", 3, 3, "each", "pinto beans", None),
]


@pytest.mark.parametrize(("text", "country", "low", "high", "unit", "item", "prep"), CASES)
def test_an_amount_a_unit_a_name_and_its_preparation_are_read(text, country, low, high, unit, item, prep):
    line = parse_line(text, country)
    assert (line.low, line.high, line.unit, line.item, line.prep) == (pytest.approx(low), pytest.approx(high), unit, item, prep)


@pytest.mark.parametrize(
    ("text", "country", "mass_g", "volume_ml"),
    [
        ("1 × 400 ml can coconut milk", "NZ", None, (400, 400)),
        ("2 x 400 g tins chickpeas", "AU", (800, 800), None),
        ("1 (14.5-ounce) can diced tomatoes", "US", (411.07, 411.07), None),  # 14.5 × 28.3495 g
        ("6 salmon fillets, 150 g each", "AU", (900, 900), None),
        ("2 duck breasts (each about 200 g)", "UK", (400, 400), None),
        ("2 lb 4 oz plums", "UK", (1020.58, 1020.58), None),  # 36 × 28.3495 g
        ("2 tbsp + 1 tsp olive oil", "AU", None, (45, 45)),
        ("1 cup minus 1 tbsp flour", "US", None, (221.80, 221.80)),  # 15 US tablespoons
        ("1 cup milk (240 ml)", "US", None, (236.59, 240)),
        ("500 g (1 lb 2 oz) gooseberries", "NZ", (500, 500), None),
        ("1 pint double cream", "UK", None, (568.26, 568.26)),
        ("1 US cup sugar", "UK", None, (236.59, 236.59)),
        ("1 stick unsalted butter", "US", (113.40, 113.40), None),
        ("1 knob (15 g) butter", "UK", (15, 15), None),
        ("75 cl red wine", "UK", None, (750, 750)),
    ],
)
def test_what_a_line_weighs_or_fills_follows_from_definitions_and_the_line(text, country, mass_g, volume_ml):
    line = parse_line(text, country)
    for got, want in ((line.mass_g, mass_g), (line.volume_ml, volume_ml)):
        assert (got is None) == (want is None)
        if want is not None:
            assert got == pytest.approx(want, rel=1e-4)


@pytest.mark.parametrize(
    ("text", "country", "word"),
    [
        ("1 cup jasmine rice", "UK", "cup"),
        ("8 oz milk", "US", "ounce"),
        ("1 quart strawberries", "US", "dry"),
        ("1 t salt", "US", "tsp"),
        ("1 teasppon vanilla", "AU", "tsp"),
        ("1,000 g strong flour", "UK", "thousands"),
        ("1l/2 cup cream", "US", "letter"),
        ("1OO g sugar", "UK", "letter"),
        ("1/0 cup milk", "US", "zero"),
        ("11/2 cups flour", "US", "run together"),
        ("250 ml–1 cup milk", "NZ", "two measures"),
        ("up to 100 ml water", "UK", "open"),
        ("a knob of butter", "UK", "fixed"),
        ("1 stick butter, melted", "UK", "stick"),
        ("1 tbsp (20 ml) fish sauce", "US", "disagree"),
        ("1 cup almonds chopped", "US", "before or after"),
        ("250 plain flour", "UK", "unit"),
        ("3 glorps salt", "UK", "glorps"),
        ("2 eggs + 1 yolk", "UK", "added"),
        ("1 tbsp each soy sauce and mirin", "AU", "each"),
        ("juice of 2 lemons and zest of 1", "UK", "another number"),
        ("99999999999999999999 g rice", "AU", "beyond"),
        ("Vz cup sugar", "US", "without a number"),
        ("2 tbsp honey", None, "by country"),
        ("1 500 g flour", "UK", "thousands"),
        ("-60 g butter", "UK", "negative"),
    ],
)
def test_a_doubt_is_said(text, country, word):
    assert word in "; ".join(parse_line(text, country).flags)


@pytest.mark.parametrize(
    "text", ["3 eggs", "250 g butter, softened", "salt to taste", "1 onion, diced", "2 tbsp olive oil", "oil for frying"]
)
def test_a_plain_line_has_no_flag(text):
    assert parse_line(text, "AU").flags == ()


def test_preparation_before_measuring_is_told_from_preparation_after():
    assert parse_line("½ cup chopped walnuts", "US").prep_first == "chopped"
    assert parse_line("½ cup walnuts, chopped", "US").prep_first is None


def test_parts_notes_extras_and_alternatives_have_their_own_fields():
    assert parse_line("finely grated zest of 1 orange", "UK").part == "zest"
    assert parse_line("salt, to taste", "UK").note == "to taste"
    assert parse_line("1 tbsp olive oil, plus extra to drizzle", "AU").extra == "to drizzle"
    assert parse_line("3 tbsp milk or cream", "UK").alternatives == ("cream",)
    assert parse_line("2 cm piece of ginger", "IN").size == "2 cm"
    assert parse_line("For the glaze:", "UK").kind == "heading"
    assert parse_line("2 tbsp plus 1 tsp oil", "AU").plus == ((1.0, 1.0, "tsp"),)


@pytest.mark.parametrize(("country", "ml"), [("US", 14.78676), ("UK", 15), ("AU", 20), ("NZ", 15), ("CA", 15), ("IE", 15), ("IN", 15)])
def test_a_tablespoon_is_its_countrys(country, ml):
    assert parse_line("1 tbsp honey", country).volume_ml == pytest.approx((ml, ml), rel=1e-5)


def test_without_a_country_the_volume_covers_the_countries():
    low, high = parse_line("1 tbsp honey").volume_ml
    assert low == pytest.approx(14.78676, rel=1e-5)
    assert high == 20


def test_an_unknown_country_is_an_error_naming_the_known_ones():
    with pytest.raises(QuantityError, match="US-label"):
        parse_line("1 tbsp honey", "Atlantis")


ALPHABET = "0123456789½¼⅓⅛/⁄.,-–—×x*+()[]'\"%#°&;:| tspbcgkmlozTLfn¹²٣२０１\t\n\u00a0\u200b" + "aeiou éß"
PIECES = "1 2½ 1/2 1/0 cup cups tbsp g kg oz ( ) , - – × x + plus each of a an or and to about pinch tin 400 ml egg flour salt of for"
WORDS = PIECES.split()


def _whole(line: ParsedLine) -> None:
    assert {f.name for f in fields(line)} >= {"low", "high", "unit", "item", "flags"}
    assert (line.low is None) == (line.high is None)
    assert line.low is not None or line.flags or line.kind != "ingredient" or any(c.isalpha() for c in line.item)
    for size in (line.mass_g, line.volume_ml):
        assert size is None or size[0] >= 0


def test_ten_thousand_random_strings_are_read_without_a_failure():
    rng = random.Random(417)
    for n in range(10_000):
        if n % 2:
            text = "".join(rng.choice(ALPHABET) for _ in range(rng.randint(0, 40)))
        else:
            text = " ".join(rng.choice(WORDS) for _ in range(rng.randint(1, 9)))
        _whole(parse_line(text, rng.choice((*COUNTRIES, None))))


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=80), st.sampled_from((*COUNTRIES, None)))
def test_any_text_at_all_is_read_without_a_failure(text, country):
    _whole(parse_line(text, country))


@settings(deadline=None)
@given(
    st.integers(1, 400), st.sampled_from(["g", "kg", "ml", "tsp", "tbsp", "oz", "lb"]), st.sampled_from(["plain flour", "water", "butter"])
)
def test_scaling_the_number_scales_what_it_weighs_or_fills(number, unit, item):
    one, many = parse_line(f"1 {unit} {item}", "AU"), parse_line(f"{number} {unit} {item}", "AU")
    for a, b in ((one.mass_g, many.mass_g), (one.volume_ml, many.volume_ml)):
        assert (a is None) == (b is None)
        assert a is None or b[0] == pytest.approx(a[0] * number)
