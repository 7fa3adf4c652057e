"""Random kitchen days against the independent checker: shelves, loads, breaks, skills, filming, keeping; what can't be is explained.

    OMP_NUM_THREADS=1 nice .venv/bin/python bench/random_days.py [--days 300] [--first 0] [--seconds 1]

Counts plans with a fault (there should be none), days without a plan, how long their minimal sets of limits are, and whether each set is
minimal: with any one of its limits eased the rest must be proven possible or at least not proven impossible.
"""

import argparse
import sys
from collections import Counter
from pathlib import Path
from time import perf_counter

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from tests.science.daywork.kitchens import random_days  # noqa: E402

from proofpan.science.daywork import Infeasible, NotFound, check, plan  # noqa: E402
from proofpan.science.daywork.build import Build  # noqa: E402
from proofpan.science.daywork.explain import PROOF_UNITS, clash  # noqa: E402


def minimal(model, conflict):
    """Whether no limit of the set can be left out and the rest still be proven to clash on the whole day."""
    return not any(clash(Build(model, {}, None, "explain", [c for c in conflict if c != left]), PROOF_UNITS) for left in conflict)


def main() -> None:
    """Runs the days and prints the counts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=300)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=1)
    options = parser.parse_args()
    counts, sizes, faults, longest = Counter(), Counter(), [], 0.0
    for seed in range(options.first, options.first + options.days):
        model = random_days(seed)
        begun = perf_counter()
        try:
            found = plan(model, seconds=options.seconds)
        except Infeasible as why:
            counts["no plan, explained" if why.conflict else "no plan, not explained"] += 1
            sizes[len(why.conflict)] += 1
            counts["explained by a minimal set"] += bool(why.conflict) and minimal(model, why.conflict)
        except NotFound:
            counts["not found in time"] += 1
        else:
            counts["planned"] += 1
            counts["proven best"] += found.optimal
            wrong = check(model, found)
            counts["faulty"] += bool(wrong)
            faults += [(seed, w) for w in wrong]
        longest = max(longest, perf_counter() - begun)
    print(dict(counts), f"limits in a set: {dict(sorted(sizes.items()))}", f"longest {longest:.1f} s")
    for seed, wrong in faults[:20]:
        print(f"seed {seed}: {wrong}")


if __name__ == "__main__":
    main()
