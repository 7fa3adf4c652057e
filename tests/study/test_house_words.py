"""Our own words as a kitchen says them; names of foods by country are common practice, no source."""

from __future__ import annotations

import time

import pytest

import proofpan as pp
from proofpan.science.foods import look_up, regional_pairs
from proofpan.steps.edition import publish
from proofpan.study.house_words import house_of, our_words, style_name, words_at
from proofpan.study.kitchen import Kitchen

TEXT = """title: Grey mullet
question: Which?
kitchen: {country: %s%s}
tasters: [Ada]
attributes: [{name: flavour}]
base:
  title: T
  makes: 4 serves
  ingredients: ["250 g plain flour", "5 g bicarbonate of soda"]
  method: [{id: a, do: "Mix.", minutes: 4}]
factors: [{name: fish, options: [{name: grey mullet}, {name: aubergine, edits: []}]}]
"""


def study(country, more=""):
    return pp.Study.from_text(TEXT % (country, more))


@pytest.mark.parametrize(
    ("country", "ours", "said"),
    [
        ("US", "The colour of a grey card", "The color of a gray card"),
        ("US", "Salted prawns, caster sugar and cornflour", "Salted shrimp, superfine sugar and cornstarch"),
        ("US", "In a frying pan on the hob", "In a skillet on the stovetop"),
        ("US", "only 1 hob, 21 hobs, 4 oven shelves", "only 1 burner, 21 burners, 4 oven racks"),
        ("AU", "only 1 hob on the hob", "only 1 burner on the stovetop"),
        ("UK", "superfine sugar, zucchini and heavy cream", "caster sugar, courgette and whipping cream"),
        ("AU", "icing sugar, courgette", "icing sugar, zucchini"),
        ("NZ", "red pepper, swede", "red capsicum, swede"),
    ],
)
def test_words_of_ours_follow_the_kitchens_country(country, ours, said):
    assert our_words(ours, study(country)) == said


def test_what_was_typed_stays_as_it_was_typed():
    ours = "Grey mullet and aubergine lead; the colour is grey, “caster sugar” stands, the plain flour and the bicarbonate of soda too."
    said = "Grey mullet and aubergine lead; the color is gray, “caster sugar” stands, the plain flour and the bicarbonate of soda too."
    assert our_words(ours, study("US")) == said


def test_the_kitchens_own_style_comes_before_its_countrys():
    assert our_words("the colour of prawns", study("US", ", style: UK")) == "the colour of prawns"
    assert house_of(Kitchen(country="IE")).name == "UK"
    assert house_of(Kitchen()) is None
    assert our_words("colour", study("CA")) == "colour"


def test_a_source_is_said_in_ones_own_words_but_for_those_that_were_typed():
    said = words_at("4.9 mL cornflour, read as cornflour; with bicarbonate of soda", "US", ("1 tsp cornflour per cup of milk",))
    assert said == "4.9 mL cornflour, read as cornflour; with baking soda"


@pytest.mark.parametrize("country", ["US", "UK", "AU", "NZ"])
def test_each_name_and_the_one_it_is_said_by_mean_one_food(country):
    for elsewhere, there in regional_pairs(country):
        meant, said = look_up(elsewhere), look_up(there, country)
        assert said is not None and (meant is None or meant.key == said.key), (elsewhere, there)
        assert elsewhere != there


def test_a_page_of_sentences_costs_little():
    one = study("US")
    our_words("the colour of prawns", one)
    start = time.process_time()
    for _ in range(200):
        our_words("Grey mullet leads: the colour of prawns and grey cards, by the flavour.", one)
    assert time.process_time() - start < 0.4


def test_an_edition_is_in_the_kitchens_style_unless_another_is_named(monkeypatch):
    monkeypatch.setattr("proofpan.steps.edition.reasons_against", lambda *given: ())
    ours = study("US", ", style: AU")
    assert style_name(ours) == "AU" and style_name(study("US")) is None
    assert publish(ours, "fish=grey mullet", on="2026-06-01").house == "AU"
    assert publish(ours, "fish=grey mullet", on="2026-06-01", house="UK").house == "UK"
