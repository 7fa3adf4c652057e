"""A favourite that people knew: marks of plates that weren't blind are held beside the blind ones."""

import numpy as np
import pandas as pd
import pytest

import proofpan as pp
from tests.kitchens import plain


def tasted(favour: float, *, known: bool = True, seed: int = 1) -> pp.Study:
    """Two rounds blind, two known: in truth nothing differs, and what is known to be much salt and rested is favoured so much."""
    study = plain()
    rng, trials, ballots = np.random.default_rng(seed), [], []
    for i in range(16):
        version = study.versions()[i % 4]
        round_ = i // 4 + 1
        seen = round_ > 2
        trials.append({"round": round_, "trial": i + 1, "version": str(version), "load": 1, "blind": "no" if seen and known else "yes"})
        for taster in study.tasters:
            lift = favour if seen and version["salt"] == "much" and version["rest"] == "1 h" else 0.0
            mark = np.clip(np.round(2 * (6 + lift + rng.normal(0, 0.7))) / 2, 0, 10)
            ballots.append({"round": round_, "taster": taster, "trial": i + 1, "attribute": "liking", "score": float(mark)})
    return study.with_trials(pd.DataFrame(trials)).with_ballots(pd.DataFrame(ballots))


def about_knowing(study: pp.Study) -> list[str]:
    return [c for c in pp.judge(study).cautions if "higher when known" in c or "only with the plates that weren't blind" in c]


def test_a_favourite_that_was_favoured_because_it_was_known_is_named_with_its_interval():
    said = about_knowing(tasted(3.0))
    assert any("is marked" in c and "higher when known than blind" in c and "Ada and Bo" in c for c in said)


@pytest.mark.parametrize("seed", range(4))
def test_where_knowing_changed_nothing_nothing_is_said_of_a_lift(seed):
    assert not [c for c in about_knowing(tasted(0.0, seed=seed)) if "higher when known" in c]


def test_all_blind_or_none_leaves_nothing_to_compare():
    assert not about_knowing(tasted(3.0, known=False))
