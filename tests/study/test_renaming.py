"""An ingredient swapped for itself keeps the method's words."""

import proofpan as pp
from proofpan.steps.making import recipe_of
from tests.kitchens import crackers


def test_another_amount_of_the_same_thing_leaves_the_method_alone():
    study = crackers()
    recipe = recipe_of(study, study.versions()[0])
    edition = pp.Edition(number=1, title="Oat crackers", version=study.versions()[0], recipe=recipe, country="AU")
    for item in recipe.ingredients:
        after = edition.correct([{"swap": item.named, "for": f"7 g {item.item}"}], why="a slip")
        assert [s.do for s in after.recipe.method] == [s.do for s in recipe.method]
