"""House styles: one recipe as four houses print it, and as a house of one's own does."""

import json

import pytest

import proofpan as pp
from proofpan.steps.recipe_styling import egg_note, styled_line, styled_numbers, with_degrees
from proofpan.study.errors import QuantityError, StudyError
from proofpan.study.house import HouseStyle, house_style, read_style
from tests.steps.larkspur import SLICE, study


def house(**keys):
    return HouseStyle(name="Larkspur", **keys)


@pytest.mark.parametrize("text, keys, said", [
    ("1½ cups (180 g) flour", {"metric_first": True}, "180 g (1½ cups) flour"),
    ("180 g (1½ cups) flour", {"metric_first": False}, "1½ cups (180 g) flour"),
    ("180 g (1½ cups) flour", {"metric_first": True}, "180 g (1½ cups) flour"),
    ("1 onion (150 g), diced", {"metric_first": True}, "1 onion (150 g), diced"),
    ("5 g (a generous ¾ tsp, 10 % over level) salt", {"metric_first": False}, "5 g (a generous ¾ tsp, 10 % over level) salt"),
])
def test_the_measure_that_leads(text, keys, said):
    assert styled_line(text, house(**keys)) == said


@pytest.mark.parametrize("text, keys, said", [
    ("1½ tsp", {"numbers": "slashes"}, "1 1/2 tsp"), ("½ tsp", {"numbers": "decimals"}, "0.5 tsp"), ("2⅔ cups", {"numbers": "decimals"}, "2.67 cups"),
    ("250 g", {"space": "none"}, "250g"), ("190 C for 10 to 12 minutes", {"space": "none"}, "190°C for 10–12 minutes"),
    ("10–12 minutes", {"dash": "to"}, "10 to 12 minutes"), ("250 g", {"space": "thin"}, "250\u202fg"),
    ("2 tbsp + ½ tsp", {"numbers": "slashes"}, "2 tbsp + 1/2 tsp"),
])
def test_numbers_stand_as_the_house_has_them(text, keys, said):
    assert styled_numbers(text, house(**keys)) == said


@pytest.mark.parametrize("text, said", [("Bake at 190 C fan.", "Bake at 190 °C fan."), ("375 F", "375 °F"), ("74°C", "74 °C"), ("2 C flour", "2 C flour"),
                                        ("170-180C", "170-180 °C"), ("Vitamin C", "Vitamin C")])
def test_degrees_carry_their_sign(text, said):
    assert with_degrees(text) == said


def test_ovens_are_said_by_type_as_the_house_has_them():
    made = study(SLICE)
    slice_ = pp.recipe(made, made.versions()[0])
    texts = {name: " ".join(s.text for s in slice_.in_house(name).method) for name in ("AU", "UK", "US")}
    assert "160 °C fan (180 °C)" in texts["AU"] and "160°C fan (180°C, gas 4)" in texts["UK"] and "350 °F (325 °F convection)" in texts["US"]
    still = slice_.in_house(HouseStyle(name="still", measures="AU", fan=False))
    assert "180 °C (160 °C fan)" in " ".join(s.text for s in still.method)


def test_eggs_are_said_by_the_houses_size_where_the_line_has_none():
    assert egg_note(house(egg="medium"), ("2 eggs, beaten",)) == "Eggs are medium."
    assert egg_note(house(egg="medium"), ("2 large eggs", "3 eggs (150 g)", "200 g egg noodles", "1 eggplant")) is None


def test_a_kitchen_keeps_a_style_of_its_own_and_its_screens_follow():
    made = study(SLICE, ("country: AU", "country: AU, style: {name: ours, measures: AU, space: none, headings: [List, Do, Kit]}"))
    shown = pp.recipe(made, made.versions()[0]).shown_as("style:own")
    assert shown.headings == ("List", "Do", "Kit") and shown.style == "ours" and any("g " in t and " g " not in t for t in shown.ingredients)
    assert pp.Study.from_text(made.to_yaml()).brief.kitchen.style == made.brief.kitchen.style


@pytest.mark.parametrize("data, says", [(b"{", "isn't JSON at line 1"), (b"[]", "isn't a mapping"), (b'{"name": "x", "fann": true}', "isn't a key"),
                                        (b'{"measures": "US"}', "has no name"), (b'{"name": "x", "measures": "MARS"}', "aren't known"),
                                        (b"\xff\xfe", "isn't text"), (json.dumps({"name": "x", "numbers": "roman"}).encode(), "numbers")])
def test_a_style_that_cannot_be_read_is_one_sentence(data, says):
    with pytest.raises(QuantityError, match=says):
        read_style(data, "ours.json")


def test_a_study_with_an_unknown_style_is_refused_with_its_line():
    with pytest.raises(StudyError, match="isn't a house style"):
        study(SLICE, ("country: AU", "country: AU, style: MARS"))


def test_words_are_replaced_once_and_capitals_stay():
    assert house_style("US").done("Colours; two baking trays and baking paper.") == "Colors; two baking sheets and parchment paper."
    two = HouseStyle(name="swap", words=(("a", "b"), ("b", "a")))
    assert two.said("a b") == "b a"


def test_a_thermometer_in_a_readers_oven_is_not_held_to_our_fan():
    from proofpan.steps.recipe_measures import step_in_region

    text, ours = "Heat the oven to 170 °C fan, until a thermometer reads 170 °C.", ((170.0, True),)
    assert step_in_region(text, "US", ours).endswith("reads 375 °F, or 340 °F with convection.")
    assert step_in_region(text, "UK", ours).endswith("reads 170 °C with the fan, or 190 °C without.")
    assert step_in_region("Bake at 190 °C until a thermometer reads 190 °C.", "US", ((190.0, False),)).endswith("reads 375 °F.")
