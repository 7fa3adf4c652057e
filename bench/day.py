"""How soon a kitchen day is proven best: our own days of 20, 60 and 120 tasks, a re-plan, and public instances by gap.

    OMP_NUM_THREADS=1 nice .venv/bin/python bench/day.py [--seconds 30] [--public PATH]

The days are invented (Larkspur Lane): crackers by loads of four in one oven. Each plan is checked by
the independent checker before its time counts. PATH holds `daywork.jsonl`; without it the public instances are left out.
"""

import argparse
import json
import sys
from dataclasses import replace
from pathlib import Path
from time import perf_counter, process_time

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from tests.science.daywork.kitchens import crackers, two_rounds  # noqa: E402

from proofpan.science.daywork import Started, check, plan  # noqa: E402
from proofpan.science.daywork.classics import job_shop, project  # noqa: E402

DAYS = {
    "crackers, 1 load, two cooks": lambda: crackers(4, 1),
    "crackers, 3 loads, two cooks": lambda: crackers(4, 3),
    "crackers, 3 loads, two cooks, no two doughs alike": lambda: crackers(4, 3, window=90, uneven=True),
    "crackers, 2 loads, one cook": lambda: crackers(4, 2, people=1),
    "two rounds of 3 loads, two cooks": lambda: two_rounds(3),
}


def own_days(seconds: float) -> None:
    """Time to proven optimum, or the gap, of each of our days; and a re-plan in the middle of the day of 60."""
    for name, make in DAYS.items():
        model = make()
        begun, busy = perf_counter(), process_time()
        found = plan(model, seconds=seconds)
        took, busy = perf_counter() - begun, process_time() - busy
        assert check(model, found) == (), check(model, found)
        aims = ", ".join(f"{x.name} {x.value} (≥ {x.bound})" for x in found.levels)
        print(f"{name}: {len(model.tasks)} tasks, {took:.1f} s ({busy:.1f} of processor), {'proven best' if found.optimal else f'gap {found.gap:.2f}'}: {aims}")
    model = crackers(4, 3)
    found = plan(model, seconds=seconds)
    now = found.tasks[len(found.tasks) // 2].start_min + 7
    done = {x.key: Started(x.start_min, x.end_min if x.end_min <= now - 4 else None, x.who, x.oven) for x in found.tasks if x.start_min < now}
    begun = perf_counter()
    later = plan(replace(model), seconds=1, now=now, started=done)
    faults = check(model, later)
    print(f"re-plan with {len(done)} of {len(model.tasks)} begun: {perf_counter() - begun:.2f} s, {len(faults)} faults, broken {later.broken}")


def public(path: Path, seconds: float) -> None:
    """Gap of each public instance after so many seconds."""
    file = path / "daywork.jsonl"
    if not file.is_file():
        print(f"public instances left out: there is no {file.name} in the folder given")
        return
    for line in file.read_text(encoding="utf-8").splitlines():
        case = json.loads(line)
        given = case["inputs"]
        begun = perf_counter()
        if case["call"].endswith("job_shop_makespan"):
            value, bound = job_shop(given["jobs"], seconds)
        elif case["call"].endswith("resource_constrained_makespan"):
            value, bound = project(given["durations"], given["successors"], given["demands"], given["capacities"], seconds)
        else:
            continue
        best = case["expected"]["makespan"]
        name = case["id"].split("-", 1)[1]
        print(f"{name}: {value} (≥ {bound}), published {best}, gap {(value - bound) / value:.1%}, {perf_counter() - begun:.1f} s", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=30)
    parser.add_argument("--public", type=Path, default=ROOT.parent / "shared" / "reference")
    options = parser.parse_args()
    own_days(options.seconds)
    public(options.public, options.seconds)
