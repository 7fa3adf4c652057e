"""In a kitchen every oven, cook and thing by count has a name of its own: a plan says where and who by it."""

import pytest

import proofpan as pp
from tests.kitchens import CRACKERS

KITCHEN = "kitchen: {country: AU, ovens: [{name: main, kind: fan, trays: 2, places: 2}]}"


@pytest.mark.parametrize(("kitchen", "said"), [
    ("{country: AU, ovens: [{name: main, kind: fan}, {name: Main, kind: gas}]}", "The name “Main” stands twice among the ovens: give each its own."),
    ("{country: AU, ovens: [{kind: fan}, {kind: gas}]}", "The name “main” stands twice among the ovens: give each its own."),
    ("{country: AU, people: [Ada, Bo, ada]}", "The name “ada” stands twice among the people who cook: give each its own."),
    ("{country: AU, things: [4 bowls, 2 bowls]}", "The name “bowl” stands twice among the things by count: give each its own."),
])  # fmt: skip
def test_two_of_one_name_in_a_kitchen_are_refused_by_the_line(kitchen, said):
    with pytest.raises(pp.StudyError) as error:
        pp.Study.from_text(CRACKERS.replace(KITCHEN, f"kitchen: {kitchen}"))
    assert said in str(error.value) and error.value.line == 3


def test_several_of_different_names_stand():
    kitchen = "kitchen: {country: AU, ovens: [{name: a}, {name: b}], people: [Ada, Bo], things: [4 bowls, 2 racks]}"
    study = pp.Study.from_text(CRACKERS.replace(KITCHEN, kitchen))
    assert [o.name for o in study.brief.kitchen.ovens] == ["a", "b"]
