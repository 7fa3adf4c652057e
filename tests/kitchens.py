"""Studies that tests share: small, invented, named for what they are."""

from __future__ import annotations

import numpy as np
import pandas as pd

from proofpan.study.study import Study

CRACKERS = """\
title: Oat crackers
question: Which fat, and is a rest worth it?
kitchen: {country: AU, ovens: [{name: main, kind: fan, trays: 2, places: 2}]}
tasters: [Ada, Bo]
attributes:
  - {name: snap, scale: [0, 10], better: more, weight: 2, worth: 0.5}
  - {name: flavour, scale: [0, 10], better: more, weight: 1, worth: 0.5}
base:
  title: Oat crackers
  makes: 30 crackers
  trial_makes: 10 crackers
  ingredients: ["250 g plain flour", "60 g unsalted butter", "4 g fine salt", "110 g water"]
  method:
    - {id: mix, do: "Rub the butter into the plain flour and fine salt, add the water.", minutes: 8}
    - {id: bake, do: "Bake on a lined tray.", oven: 170 C fan, until: deep gold, minutes: 18}
factors:
  - {name: fat, options: [{name: butter}, {name: olive oil, edits: [{swap: unsalted butter, for: 50 g olive oil}]}]}
  - name: rest
    asks: worth it
    options: [{name: none}, {name: 30 min, edits: [{insert: {id: rest, do: "Rest, covered.", minutes: 30}, after: mix}]}]
  - name: oven
    options: [{name: "170", value: 170}, {name: "190", value: 190, edits: [{set: bake.oven, to: 190 C fan}, {set: bake.minutes, to: 13}]}]
rounds: {loads: 1, at_most: 3}
"""

PLAIN = {
    "title": "Dip", "question": "Which?", "tasters": ["Ada", "Bo"],
    "attributes": [{"name": "liking", "scale": [0, 10], "better": "more", "weight": 1, "worth": 0.5}],
    "factors": [{"name": "salt", "options": [{"name": "little"}, {"name": "much"}]},
                {"name": "rest", "options": [{"name": "none"}, {"name": "1 h"}]}],
}


def crackers() -> Study:
    """Three factors of two options with a base recipe."""
    return Study.from_text(CRACKERS)


def plain(**changes) -> Study:
    """Two factors, no recipe, no kitchen."""
    return Study.from_dict({**PLAIN, **changes})


def trials_of(study: Study, times: int = 1, per_round: int = 4) -> pd.DataFrame:
    """Every version made `times` times, in order."""
    versions = [v for _ in range(times) for v in study.versions()]
    return pd.DataFrame([{"round": i // per_round + 1, "trial": i + 1, "version": str(v), "load": 1} for i, v in enumerate(versions)])


def ballots_of(study: Study, trials: pd.DataFrame, score=lambda version: 6.0, seed: int = 0, noise: float = 0.8) -> pd.DataFrame:
    """Every taster marks every plate on every attribute."""
    rng = np.random.default_rng(seed)
    rows = []
    for t in trials.itertuples():
        for taster in study.tasters:
            for attribute in study.attributes:
                mark = np.clip(np.round(2 * (score(study.version(t.version)) + rng.normal(0, noise))) / 2, *attribute.scale)
                rows.append({"round": t.round, "taster": taster, "trial": t.trial, "attribute": attribute.name, "score": float(mark)})
    return pd.DataFrame(rows)


def judged_study(study: Study, score=lambda version: 6.0, times: int = 1, seed: int = 0) -> Study:
    """A study with every version cooked and tasted."""
    trials = trials_of(study, times)
    return study.with_trials(trials).with_ballots(ballots_of(study, trials, score, seed))
