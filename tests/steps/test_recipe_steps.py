"""The recipe worked out: what another reader gets, what doesn't scale, what structured data says."""

import json
import re

import pytest

import proofpan as pp
from proofpan.steps.recipe_jsonld import duration
from tests.kitchens import crackers, judged_study
from tests.schema_org import faults

OLIVE = "fat=olive oil; rest=30 min; oven=190"


def test_a_versions_recipe_holds_its_options_and_no_others():
    recipe = pp.recipe(crackers(), OLIVE)
    assert "50 g olive oil" in recipe.ingredients and not any("butter" in line for line in recipe.ingredients)
    assert any(s.id == "rest" for s in recipe.method)
    assert not any("butter" in s.text for s in recipe.method)
    assert "190" in recipe.text()


def test_every_line_says_where_it_comes_from():
    study = crackers()
    assert {line.status for line in pp.recipe(study, OLIVE).lines} == {"worked out"}
    cooked = pp.recipe(judged_study(study), OLIVE)
    assert {line.status for line in cooked.lines} == {"cooked"}
    assert {line.status for line in cooked.scaled(by=2).lines} == {"worked out"}


@pytest.mark.parametrize("how, factor", [({"by": 2}, 2), ({"makes": "60 crackers"}, 2), ({"by": 0.5}, 0.5)])
def test_grams_scale_by_the_factor(how, factor):
    recipe = pp.recipe(crackers(), OLIVE)
    for before, after in zip(recipe.lines, recipe.scaled(**how).lines, strict=True):
        assert after.grams[0] == pytest.approx(before.grams[0] * factor)
        shown = float(re.match(r"[\d.]+", after.text)[0])
        assert shown == pytest.approx(before.grams[0] * factor, rel=0.05)


@pytest.mark.parametrize("how", [{"by": -1}, {"by": 2, "serves": 3}, {}, {"tin": "a big one"}])
def test_a_scaling_that_cannot_be_is_refused(how):
    with pytest.raises(pp.QuantityError):
        pp.recipe(crackers(), OLIVE).scaled(**how)


def test_a_tin_scales_by_its_base_area():
    # pi/4 * 23^2 / 20^2: area of a circle over a square
    base = pp.recipe(crackers(), OLIVE)
    one, two = base.scaled(tin="20 cm square"), base.scaled(tin="23 cm round")
    assert two.lines[0].grams[0] / one.lines[0].grams[0] == pytest.approx(3.14159 / 4 * 23**2 / 400, rel=1e-3)


def test_readers_elsewhere_get_their_own_names_and_measures():
    us = pp.recipe(crackers(), OLIVE).to("US")
    assert any("all-purpose flour" in line for line in us.ingredients)
    assert any("cup" in line for line in us.ingredients) and "°F" in us.text()
    with pytest.raises(pp.QuantityError):
        us.to("Mars")


def test_structured_data_keeps_to_the_public_vocabulary():
    data = pp.recipe(crackers(), OLIVE).jsonld()
    data = json.loads(data) if isinstance(data, str) else data
    assert faults(data) == []                            # schema.org, release 30.0
    assert len(data["recipeIngredient"]) == 4


@pytest.mark.parametrize("minutes, text", [(95, "PT1H35M"), (60, "PT1H"), (2880, "P2D"), (5, "PT5M"), (1500, "P1DT1H")])
def test_durations_are_iso_8601(minutes, text):
    # ISO 8601-1:2019, 5.5.2
    assert duration(minutes) == text


def test_a_study_without_a_recipe_says_so():
    with pytest.raises(pp.StudyError, match="no base recipe"):
        pp.recipe(pp.compare(["a", "b"]), "version=a")
