"""Random kitchen days against the independent checker: shelves, loads, breaks, skills, filming, keeping; what can't be is explained.

    OMP_NUM_THREADS=1 nice .venv/bin/python bench/random_days.py [--days 300] [--first 0] [--seconds 1] [--kind days|bakery|fryer|week]

Counts plans with a fault (there should be none), days without a plan, how long their minimal sets of limits are, and whether each set is
minimal: with any one of its limits eased the rest must be proven possible or at least not proven impossible.
"""

import argparse
import sys
from collections import Counter
from pathlib import Path
from time import process_time

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from tests.science.daywork.families import FAMILIES  # noqa: E402
from tests.science.daywork.kitchens import random_days  # noqa: E402

from proofpan.science.daywork import Infeasible, NotFound, check, plan  # noqa: E402
from proofpan.science.daywork.explain import PROOF_SECONDS, clashes, readings  # noqa: E402


def minimal(model, conflict):
    """Whether no limit of the set can be left out and the rest still be proven to clash on the whole day."""
    def clash(kept):
        return any(clashes(build_of(kept), PROOF_SECONDS)[0] for build_of in readings(model, {}, None))

    return clash(conflict) and not any(clash([c for c in conflict if c != left]) for left in conflict)


def main() -> None:
    """Runs the days and prints the counts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=300)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=1)
    parser.add_argument("--kind", choices=("days", *FAMILIES), default="days")
    options = parser.parse_args()
    day_of = FAMILIES.get(options.kind, random_days)
    counts, sizes, faults, longest = Counter(), Counter(), [], 0.0
    for seed in range(options.first, options.first + options.days):
        model = day_of(seed)
        begun = process_time()
        try:
            found = plan(model, seconds=options.seconds)
        except Infeasible as why:
            counts["no plan, explained" if why.conflict else "no plan, not explained"] += 1
            sizes[len(why.conflict)] += 1
            longest = max(longest, process_time() - begun)
            proven = bool(why.conflict) and minimal(model, why.conflict)
            counts["explained by a minimal set"] += proven
            counts["wrongly said to be minimal"] += why.minimal and not proven
        except NotFound:
            longest = max(longest, process_time() - begun)
            counts["not found in time"] += 1
        else:
            longest = max(longest, process_time() - begun)
            counts["planned"] += 1
            counts["proven best"] += found.optimal
            wrong = check(model, found)
            counts["faulty"] += bool(wrong)
            faults += [(seed, w) for w in wrong]
    print(dict(counts), f"limits in a set: {dict(sorted(sizes.items()))}", f"longest {longest:.1f} s of processor")
    for seed, wrong in faults[:20]:
        print(f"seed {seed}: {wrong}")


if __name__ == "__main__":
    main()
