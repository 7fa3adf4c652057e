"""How long a recipe of 30 lines takes to work out, scale, put in US measures, write and audit, warm.

    OPENBLAS_NUM_THREADS=1 .venv/bin/python bench/recipe.py

The goal is less than 20 ms for the recipe fully worked (recipe, text and structured data).
"""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import median

import proofpan as pp

FOODS = ("plain flour", "rye flour", "caster sugar", "unsalted butter", "milk", "rolled oats", "honey", "fine salt", "baking powder", "walnuts",
         "olive oil", "lemon juice", "carrots", "raisins", "sesame seeds", "ground cinnamon", "ground ginger", "cocoa", "dark chocolate", "cream",
         "yoghurt", "almonds", "hazelnuts", "dates", "apricots", "sunflower seeds", "brown sugar", "cornflour", "buttermilk", "water")


def study_of_30_lines() -> pp.Study:
    """An invented recipe of 30 lines and six steps."""
    lines = [f"{20 + 5 * i} {'ml' if f in ('milk', 'olive oil', 'lemon juice', 'cream', 'buttermilk', 'water') else 'g'} {f}"
             for i, f in enumerate(FOODS)]
    steps = [{"id": f"step {k}", "do": f"Mix the {', the '.join(FOODS[5 * k : 5 * k + 5])} in a 3 litre bowl for 2–3 minutes, until even.",
              "minutes": 3} for k in range(6)]
    return pp.Study.from_dict({
        "title": "Everything slice", "question": "Less?", "kitchen": {"country": "AU"}, "tasters": ["Ada"],
        "attributes": [{"name": "liking", "scale": [0, 10], "better": "more", "worth": 0.5}],
        "base": {"title": "Everything slice", "makes": "40 squares", "ingredients": lines, "method": steps},
        "factors": [{"name": "honey", "options": [{"name": "as written"}, {"name": "less", "edits": [{"scale": "honey", "by": 0.5}]}]}],
    })


def milliseconds(what: Callable[[], object], runs: int = 40) -> float:
    """The median of several warm runs."""
    what()
    found = []
    for _ in range(runs):
        start = time.perf_counter()
        what()
        found.append(1000 * (time.perf_counter() - start))
    return median(found)


def main() -> None:
    """Print each figure."""
    study = study_of_30_lines()
    version = study.versions()[1]
    made = pp.recipe(study, version)
    for name, what in {
        "recipe, text and structured data": lambda: (r := pp.recipe(study, version), r.text(), r.jsonld()),
        "recipe": lambda: pp.recipe(study, version),
        "scaled(by=1.5)": lambda: made.scaled(by=1.5),
        'to("US")': lambda: made.to("US"),
        "audit": lambda: pp.audit(made),
    }.items():
        print(f"{name:34s} {milliseconds(what):6.1f} ms")


if __name__ == "__main__":
    main()
