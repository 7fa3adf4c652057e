"""Amounts in words, cups of Japan, parts and degrees Baumé: read as a kitchen means them, or refused with what is missing."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import proofpan as pp
from proofpan.science.measures.baume import given_baume
from proofpan.science.measures.errors import QuantityError
from proofpan.science.measures.plainly import plainly, sides_in_parts


@pytest.mark.parametrize(("text", "ml"), [
    ("half a cup of milk", 125), ("a cup and a half of milk", 375), ("three quarters of a cup of oil", 187.5), ("quarter of a cup of oil", 62.5),
    ("half a teaspoon of water", 2.5), ("two cups and a quarter of milk", 562.5),
    ("1 cup (Japan) water", 200), ("2 Japanese cups water", 400),      # 200 mL: common practice, from memory
])
def test_words_are_read_in_a_line_and_in_a_conversion(text, ml):
    assert pp.parse_line(text, country="AU").volume_ml[0] == pytest.approx(ml)
    assert pp.convert(text, to="mL", country="AU").value == pytest.approx(ml)


# NBS Circular 440 (1942), degrees Brix against Baumé, modulus 145, from memory: 30 °Bx are 16.57 °Bé, 60 °Bx 32.49
@pytest.mark.parametrize(("baume", "brix"), [(16.57, 30.0), (32.49, 60.0)])
def test_a_syrups_degrees_baume_are_its_brix(baume, brix):
    found = pp.convert(f"{baume} °Bé syrup", to="Brix")
    assert found.value == pytest.approx(brix, abs=0.15) and found.low - 0.15 <= brix <= found.high + 0.15


# saturated brine, 26.3 % salt by weight, weighs 1.1972 g/mL at 20 °C (CRC Handbook, from memory): 145 − 145 / (1.1972 / 0.9982) = 24.1 °Bé
def test_a_brines_degrees_baume_are_salt_by_weight_and_stand_beside_grams_a_litre():
    assert given_baume("24 °Bé brine")[1].value == pytest.approx(26.0, abs=0.4)
    claim = pp.check_claim({"words": "brine of 10 °Bé", "source": "an old book", "ours": "111 g salt per litre of water"})
    assert claim.agrees and "g/L" in claim.meant         # 10 °Bé: 10.0 g in 100 g, so 111 g to a litre of water


@pytest.mark.parametrize(("text", "missing"), [
    ("20 °Bé", "doesn't say of what"), ("60 °Bé brine", "more than a brine can be"), ("1 part to 3 parts", "what it is parts of"),
    ("1 part salt to 3 parts water", "weighed or measured"),
])
def test_what_cant_be_read_says_what_is_missing(text, missing):
    with pytest.raises(pp.QuantityError, match=missing):
        pp.convert(text, to="g/L")


def test_parts_are_by_volume_where_both_are_poured_and_else_as_said():
    assert sides_in_parts("1 part vinegar to 3 parts water") == ("1 ml vinegar", "3 ml water")
    assert sides_in_parts("one part salt to 20 parts water by weight") == ("1 g salt", "20 g water")
    claim = pp.check_claim({"words": "1 part vinegar to 3 parts water", "source": "a leaflet", "ours": "250 mL vinegar per 750 mL water"})
    assert claim.agrees


@settings(deadline=None, max_examples=300)
@given(text=st.text(max_size=50))
def test_any_text_is_let_be_or_refused_in_a_sentence(text):
    assert isinstance(plainly(text), str)
    for read in (sides_in_parts, given_baume):
        try:
            read(text)
        except QuantityError as error:
            assert str(error).endswith((".", "after it."))


@settings(deadline=None, max_examples=200)
@given(degrees=st.floats(0, 24))
def test_more_degrees_are_more_salt(degrees):
    less, more = (given_baume(f"{d:.2f} °Bé brine")[1] for d in (degrees / 2, degrees))
    assert less.low <= less.value <= less.high and less.value <= more.value
