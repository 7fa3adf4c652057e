"""What each attribute says by itself, and whether other weights would have another version published."""

import numpy as np
import pandas as pd

import proofpan as pp
from proofpan.study.study import Study

ROOTS = """title: Roast roots
question: Which fat?
invented: true
kitchen: {{country: UK, ovens: [{{name: main, kind: fan}}]}}
tasters: [Ada, Bo]
attributes:
  - {{name: crisp, scale: [0, 10], better: more, weight: {crisp}, worth: 0.5}}
  - {{name: taste, scale: [0, 10], better: more, weight: {taste}, worth: 0.5}}
base:
  title: Roast roots
  makes: 4 serves
  ingredients: [1 kg parsnips, 60 g sunflower oil, 5 g fine salt]
  method: [{{id: bake, do: "Roast the parsnips in the sunflower oil with the salt for 35 minutes, until golden.", oven: 200 C fan, minutes: 35}}]
factors:
  - name: fat
    options: [{{name: sunflower oil}}, {{name: goose fat, edits: [{{swap: sunflower oil, for: 60 g goose fat}}]}}]
"""


def roots(crisp_gains: float, taste_gains: float, crisp: float = 2, taste: float = 1) -> Study:
    """Twelve makes in pairs, each taster with a noise of 0.4."""
    rng = np.random.default_rng(4)
    study = Study.from_text(ROOTS.format(crisp=crisp, taste=taste))
    trials, ballots = [], []
    for i in range(12):
        goose = (i + i // 2) % 2
        trials.append({"round": 1 + i // 4, "trial": i + 1, "version": f"fat={('sunflower oil', 'goose fat')[goose]}", "load": 1 + i // 2})
        for taster in study.tasters:
            for name, gains in (("crisp", crisp_gains), ("taste", taste_gains)):
                ballots.append({"round": 1 + i // 4, "trial": i + 1, "taster": taster, "attribute": name,
                                "score": round(2 * (5 + gains * goose + rng.normal(0, 0.4))) / 2})
    return study.with_trials(pd.DataFrame(trials)).with_ballots(pd.DataFrame(ballots))


def test_attributes_that_agree_are_named_with_the_answer_and_the_weights_decide_nothing():
    verdict = pp.judge(roots(2.0, 2.0))
    answer = verdict.answers[0]
    assert answer.headline == "Goose fat beats sunflower oil" and answer.more.startswith("Crisp gains ") and " and taste " in answer.more
    assert verdict.weights == ("Counting crisp or taste double or half would have the same version published.",)
    assert set(verdict.weights) <= set(verdict.says)


def test_attributes_that_pull_apart_are_said_and_what_other_weights_would_publish():
    verdict = pp.judge(roots(2.0, -3.0))
    apart, others = verdict.weights
    assert apart.startswith(("Goose fat against sunflower oil: crisp gains", "Sunflower oil against goose fat: taste gains"))
    assert apart.endswith("The weights of what you judge decide between them.")
    chosen = verdict.publish.version["fat"]
    other = {"goose fat": "sunflower oil", "sunflower oil": "goose fat"}[chosen]
    assert others.startswith("Other weights would have another version published: with ") and other in others and f", {chosen} (" not in others


def test_the_change_that_is_said_is_the_change_that_those_weights_make():
    said = pp.judge(roots(2.0, -3.0, crisp=2, taste=1)).weights[1]
    counted_double = pp.judge(roots(2.0, -3.0, crisp=2, taste=2)).publish.version["fat"]
    assert ("with taste counted double" in said) == (counted_double != pp.judge(roots(2.0, -3.0)).publish.version["fat"])


def test_one_attribute_has_no_weights_to_speak_of():
    study = roots(2.0, 2.0)
    assert pp.judge(Study.from_text(ROOTS.format(crisp=1, taste=1))).weights == ()
    assert study.attributes[0].weight == 2
