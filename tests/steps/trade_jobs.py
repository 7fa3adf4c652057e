"""Invented trade jobs: kitchens with a planted truth, cooked and marked from a seed."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import pandas as pd

from proofpan.study.study import Study

Truth = Callable[[dict[str, str]], float]


def written(version: dict[str, str]) -> str:
    """A version as a CSV holds it."""
    return "; ".join(f"{f}={o}" for f, o in version.items())


def plain(title: str, factors: str, tasters: Sequence[str], *, at_most: int = 4, places: int = 4, attributes: str = "") -> str:
    """A study without a recipe; `factors` are lines of YAML."""
    judged = attributes or "[{name: liking, scale: [0, 10], better: more, weight: 1, worth: 0.5}]"
    return (f"title: {title}\nquestion: Which one do we publish?\ninvented: true\n"
            f"kitchen: {{country: UK, ovens: [{{name: main, kind: fan, trays: 1, places: {places}}}]}}\n"
            f"tasters: [{', '.join(tasters)}]\nattributes: {judged}\nfactors:\n{factors}\nrounds: {{loads: 1, at_most: {at_most}}}\n")


def trials(versions: Sequence[dict[str, str]], a_load: int, **more: Sequence[Any]) -> pd.DataFrame:
    """Trials in order, a load a round."""
    rows = [{"round": i // a_load + 1, "trial": i + 1, "version": written(v), "load": 1, "tray": 1, "place": i % a_load + 1} for i, v in enumerate(versions)]
    return pd.DataFrame(rows).assign(**more)


def marks(versions: Sequence[dict[str, str]], a_load: int, tasters: Sequence[str], truth: Truth, seed: int, *, noise: float = 0.5,
          attribute: str = "liking", skip: Sequence[int] = ()) -> pd.DataFrame:
    """A mark a taster and trial, in half points from 0 to 10; trials in `skip` get none."""
    rng = np.random.default_rng(seed)
    rows = []
    for i, v in enumerate(versions):
        for taster in tasters:
            score = float(np.clip(np.round(2 * (truth(v) + rng.normal(0, noise))) / 2, 0, 10))
            if i + 1 not in skip:
                rows.append({"round": i // a_load + 1, "trial": i + 1, "taster": taster, "attribute": attribute, "score": score})
    return pd.DataFrame(rows)


def cooked(text: str, versions: Sequence[dict[str, str]], a_load: int, truth: Truth, seed: int, *, noise: float = 0.5, **more: Sequence[Any]) -> Study:
    """A study with one attribute, cooked and marked."""
    study = Study.from_text(text)
    attribute = study.attributes[0].name
    return study.with_trials(trials(versions, a_load, **more)).with_ballots(
        marks(versions, a_load, study.tasters, truth, seed, noise=noise, attribute=attribute))
