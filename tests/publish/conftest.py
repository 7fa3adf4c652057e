"""One invented kitchen day, cooked and tasted once for all these tests."""

from types import SimpleNamespace

import pandas as pd
import pytest

import proofpan as pp
from proofpan.cli.examples import examples_folder, invented
from proofpan.steps.recipe import recipe


@pytest.fixture(scope="session")
def made():
    """The seeded oat crackers after one round: study, round, verdict and the worked recipe to publish."""
    truth = invented("seeded_oat_crackers")
    study = pp.Study.load(examples_folder() / "seeded_oat_crackers" / "study.yaml")
    round_ = pp.next_round(study, seed=1)
    study = study.with_round(round_).with_trials(pd.DataFrame(truth.cook(round_, 1)))
    study = study.with_ballots(pd.DataFrame(truth.taste(round_, study.tasters, 1)))
    verdict = pp.judge(study)
    return SimpleNamespace(study=study, round=round_, verdict=verdict, worked=recipe(study, verdict.publish.version))
