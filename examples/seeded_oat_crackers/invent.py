"""The invented truth behind the crackers of Larkspur Lane, and trials and ballots drawn from it.

    python examples/seeded_oat_crackers/invent.py [SEED]     prints the truth

The truth, in points on each attribute's scale, added to 6 for butter, no rest, no malt, 170 °C:

    snap         olive oil +1.2, sunflower oil +0.9; rest +0.0; malt +0.8 at 170 and -1.4 at 190; 190 °C +0.2
    flavour      olive oil +1.0, sunflower oil +0.3; malt +1.1 at 170 and -0.9 at 190
    colour       starts at 5, 190 °C +0.9, malt +0.6 at 170 and +2.2 at 190 (6 is the target)
    aftertaste   starts at 3 (less is better), malt +0.0 at 170 and +2.0 at 190, sunflower oil +0.3

Each oven load, each batch, each taster's liking of a version and each mark adds its own chance: sds 0.3, 0.3, 0.4 and 0.9.
A fourth part of the story: one trial of the first round splits (it fails), and it is made again later.
"""

from __future__ import annotations

import sys
import zlib
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

TASTERS = {"Ada": 0.3, "Bo": -0.4, "Cleo": 0.6, "Dov": -0.1, "Esme": 0.0, "Finn": -0.6}
WORDS = {"malt at 190": ("burnt edge", "bitter"), "malt at 170": ("toasty", "deep"), "olive oil": ("clean snap", "grassy, good"),
         "butter": ("soft, rich", "short"), "sunflower oil": ("plain", "crisp")}


def truth(version: Mapping[str, str]) -> dict[str, float]:
    """The true score of a version on each attribute."""
    fat, hot, malt = version["fat"], version["oven"] == "190", version.get("malt syrup", "none") != "none"
    snap = 6 + {"olive oil": 1.2, "sunflower oil": 0.9}.get(fat, 0.0) + (0.2 if hot else 0.0)
    flavour = 6 + {"olive oil": 1.0, "sunflower oil": 0.3}.get(fat, 0.0)
    colour = 5.0 + (0.9 if hot else 0.0)
    aftertaste = 3.0 + (0.3 if fat == "sunflower oil" else 0.0)
    if malt:
        snap += -1.4 if hot else 0.8
        flavour += -0.9 if hot else 1.1
        colour += 2.2 if hot else 0.6
        aftertaste += 2.0 if hot else 0.0
    if version.get("toasting", "none") != "none":
        flavour += 0.3
    return {"snap": snap, "flavour": flavour, "colour": colour, "aftertaste": aftertaste}


def rng_of(*parts: Any) -> np.random.Generator:
    """A generator that depends on its parts alone, so that nothing hangs on the order of things."""
    return np.random.default_rng(zlib.crc32(repr(parts).encode()))


def fails(number: int) -> str:
    """Why a trial fails; one does."""
    return "split on the tray" if number == 3 else ""


def cook(round_: Any, seed: int = 1) -> list[dict[str, Any]]:
    """What the kitchen wrote on its test sheets: out-times, weights, what went wrong."""
    rows = []
    for t in round_.trials:
        r = rng_of(seed, "cook", t.trial)
        minutes = (18 if t.version["oven"] == "170" else 12.5) + r.normal(0, 0.8)
        rows.append({
            "round": round_.number, "trial": t.trial, "version": str(t.version), "start": "10:00", "out": f"10:{round(minutes):02d}",
            "weighed": f"fine salt {1.67 + r.normal(0, 0.04):.2f} g", "blind": "yes", "failed": fails(t.trial),
            "note": "rolled a little thick" if t.trial == 6 else "",
        })
    return rows


def taste(round_: Any, tasters: Iterable[str], seed: int = 1) -> list[dict[str, Any]]:
    """What each taster marked, plate by plate, by the code under it."""
    rows = []
    code_of = {(taster, trial): code for (taster, trial, _), code in round_.codes.items()}
    for t in round_.trials:
        if fails(t.trial):
            continue
        true = truth(t.version)
        load = rng_of(seed, "load", round_.number, t.load).normal(0, 0.3)
        batch = rng_of(seed, "batch", t.trial).normal(0, 0.3)
        for taster in tasters:
            own = rng_of(seed, "palate", taster, str(t.version)).normal(0, 0.4)
            r = rng_of(seed, "mark", taster, t.trial)
            for attribute, score in true.items():
                shared = load + batch + own if attribute in ("snap", "flavour") else 0.0
                mark = score + TASTERS[taster] + shared + r.normal(0, 0.9)
                rows.append({
                    "round": round_.number, "taster": taster, "code": code_of[taster, t.trial], "attribute": attribute,
                    "score": float(np.clip(np.round(mark * 2) / 2, 0, 10)), "words": said(t.version, r) if attribute == "flavour" else "",
                })
    return rows


def said(version: Mapping[str, str], r: np.random.Generator) -> str:
    """A word or two of the taster's."""
    malt = version.get("malt syrup", "none") != "none"
    key = f"malt at {version['oven']}" if malt else version["fat"]
    return str(r.choice(WORDS[key]))


if __name__ == "__main__":
    import itertools

    for fat, malt, oven in itertools.product(("butter", "olive oil", "sunflower oil"), ("none", "10 g"), ("170", "190")):
        print(f"{fat:14} malt {malt:5} {oven}", truth({"fat": fat, "malt syrup": malt, "oven": oven}))
    print("seed", sys.argv[1] if len(sys.argv) > 1 else 1)
