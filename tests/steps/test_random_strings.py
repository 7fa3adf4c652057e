"""Any string through each reader of text ends in an answer or a sentence (10,000 each: bench/random_strings.py)."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from pydantic_core import PydanticCustomError

import proofpan as pp
from proofpan.science.foods import FoodError
from proofpan.science.measures import QuantityError as Unreadable
from proofpan.steps.costing import prices_of
from proofpan.steps.recipe_scaling import scaled_line, scaled_step
from proofpan.steps.recipe_styling import styled_line
from proofpan.steps.recipe_tins import read_tin
from proofpan.steps.recipe_using import asked_for
from proofpan.study.errors import ProofpanError
from proofpan.study.house import house_style, read_style
from proofpan.study.recipe import Recipe
from tests.kitchens import crackers

WORDS = "1 2 250 ½ 1/2 0 - – to or × ( ) , ; / + less of a g kg ml cup tsp tbsp oz pint C F fan salt flour water per butter egg eggs tin cm round 0,5"
TEXTS = st.one_of(st.text(max_size=30), st.lists(st.sampled_from(WORDS.split()), max_size=12).map(" ".join))
SENTENCES = (ProofpanError, Unreadable, FoodError, PydanticCustomError, ValidationError)
RECIPE = pp.recipe(crackers(), crackers().versions()[0])


def audited(text):
    step = {"id": "a", "do": text or "x"}
    return pp.audit(Recipe.model_validate({"title": "x", "makes": text or None, "shown": [text or "x"], "ingredients": ["2 eggs"], "method": [step]}))


READERS = {
    "line": lambda t: pp.parse_line(t, country="AU"),
    "conversion": lambda t: pp.convert(t, to="g/L"),
    "size": lambda t: RECIPE.scaled(**asked) if (asked := asked_for(RECIPE, t)) else None,
    "tin": read_tin,
    "price": lambda t: prices_of((t,)),
    "scaling": lambda t: (scaled_line(t, 1.7, "AU"), scaled_step(t, 1.7, "12 biscuits", "AU")),
    "style": lambda t: styled_line(t, house_style("US")),
    "house": lambda t: read_style(t.encode("utf-8", "surrogatepass"), "ours.json"),
    "audit": audited,
}


@pytest.mark.parametrize("name", READERS)
@settings(max_examples=120, deadline=None)
@given(TEXTS)
def test_no_string_ends_in_a_traceback(name, text):
    try:
        READERS[name](text)
    except SENTENCES as error:
        assert "Traceback" not in str(error)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.05, 20), st.floats(0.05, 8))
def test_scaling_is_linear_in_grams_and_nothing_is_negative(a, b):
    once, twice = RECIPE.scaled(by=a * b) if 0.02 <= a * b <= 200 else None, None
    if once is not None and 0.02 <= a <= 200 and 0.02 <= b <= 200:
        twice = RECIPE.scaled(by=a).scaled(by=b)
    if twice is None:
        return
    for x, y, base in zip(once.lines, twice.lines, RECIPE.lines, strict=True):
        if x.grams is not None:
            assert x.grams == pytest.approx(y.grams) and min(x.grams) >= 0
            assert x.grams[0] == pytest.approx(base.grams[0] * a * b)
