"""Every invented example loads, proposes a round and has an answer before anything is cooked."""

from pathlib import Path

import pytest

import proofpan as pp

EXAMPLES = sorted((Path(__file__).parent.parent / "examples").glob("*/study.yaml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.parent.name)
def test_an_example_loads_and_answers(path):
    study = pp.Study.load(path)
    assert study.brief.invented
    round_ = pp.next_round(study, seed=1)
    assert round_.trials and all(t.why for t in round_.trials)
    assert pp.judge(study).publish.version in study.versions()
    recipe = pp.recipe(study, study.versions()[-1])
    assert recipe.ingredients and "invented" in recipe.text().lower()


def test_the_chicken_names_its_core_temperature_and_may_be_published_for_that():
    study = pp.Study.load(EXAMPLES[0].parent.parent / "roast_chicken_thighs" / "study.yaml")
    recipe = pp.recipe(study, study.versions()[0])
    assert not recipe.blocks and any("74" in c for c in recipe.cautions)


def test_the_crackers_truth_is_the_same_for_the_same_seed():
    from proofpan.cli.examples import invented

    truth = invented("seeded_oat_crackers")
    study = pp.Study.load(EXAMPLES[-1])
    round_ = pp.next_round(study, seed=1)
    assert truth.taste(round_, study.tasters, 3) == truth.taste(round_, study.tasters, 3)
    best = max((truth.truth(v)["flavour"], str(v)) for v in study.versions())
    assert "olive oil" in best[1] and "malt syrup=10 g; oven=170" in best[1]
