"""How long a search takes in a notebook of 2,000 studies: `python bench/notebook_search.py`.

The studies are invented: five dishes' recipes with other titles, questions, notes and amounts, about 2,000 characters of words each.
Each query is asked 40 times; the figures are the median and the 95th percentile of all, and of the slowest query.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

from proofpan.notebook import Notebook

STUDIES = 2000
DISHES = ("oat crackers", "cucumber dip", "chicken thighs", "chocolate cake", "seeded loaf", "quince jam", "lentil soup", "lemon tart")
THINGS = ("olive oil", "unsalted butter", "malt syrup", "plain flour", "rolled oats", "sesame seeds", "fine salt", "buttermilk", "crème fraîche", "cumin",
          "brown sugar", "egg yolk", "lemon zest", "yeast", "black pepper", "paprika", "honey", "sunflower oil", "cornflour", "yoghurt")
WORDS = ("rest", "crisp", "overnight", "warm", "fold", "until", "golden", "covered", "fridge", "sharp", "snap", "crumb", "tender", "dry", "salty", "sweet")
QUERIES = ("olive oil", "crackers", "creme fraiche", "golden", "malt syrup crackers overnight", "zest", "s", "nothing such")


def main() -> int:
    """Build, ask, tell; exit 1 when the 95th percentile is above 50 ms."""
    drawn = random.Random(7)
    with tempfile.TemporaryDirectory(prefix="proofpan-bench-") as folder, Notebook.open(Path(folder) / "notebook.sqlite") as book:
        for i in range(STUDIES):
            dish = drawn.choice(DISHES)
            words = " ".join(drawn.choice(THINGS + WORDS) for _ in range(280))
            book.create(f"{dish.capitalize()} {i}", f"title: {dish} {i}\nquestion: which is best?\n", search_text=words)
        every = {}
        for query in QUERIES:
            spent = []
            for _ in range(40):
                begun = time.perf_counter()
                book.search(query)
                spent.append(1000 * (time.perf_counter() - begun))
            every[query] = spent
    together = sorted(x for v in every.values() for x in v)
    slowest = max(every, key=lambda q: statistics.median(every[q]))
    p95 = together[int(0.95 * len(together))]
    print(f"{STUDIES} studies, {len(together)} searches: median {statistics.median(together):.1f} ms, 95th percentile {p95:.1f} ms; "
          f"slowest query “{slowest}”: median {statistics.median(every[slowest]):.1f} ms, most {max(every[slowest]):.1f} ms")
    return int(p95 > 50)


if __name__ == "__main__":
    sys.exit(main())
