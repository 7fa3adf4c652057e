"""Studies that may stop by themselves, and steps that do nothing, in invented kitchens whose truth is known.

OPENBLAS_NUM_THREADS=1 .venv/bin/python bench/stopping_and_idle.py --stopping --n 100 [--per-load 2 --passes 2]
… --idle --n 200      how often a step that does nothing is found "not worth it"
"""

import argparse
import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np
from decision_quality import Book, cook, space_of

from kitchens import Kind, Kitchen, changed
from proofpan.science import versions as v

MOST = 36
DOES_NOTHING = 1e-9


def plan_of(kind: Kind, left: int) -> v.LoadPlan:
    """The next round of one load."""
    places = tuple((i // 2, i % 2) for i in range(kind.per_load))
    return v.LoadPlan(1, places, tasters=kind.tasters, passes=kind.passes, rounds_left=max(1, -(-left // kind.per_load)))


def stopped(kind: Kind, seed: int, number: int) -> tuple[int, bool, float]:
    """Trials cooked until it stops, whether it ended within worth, what its odds said."""
    kitchen, space, book = Kitchen(kind, seed, number), space_of(kind), Book()
    while True:
        scores = book.scores() if book.rows else None
        posterior = v.fit(space, scores) if scores is not None else None
        if posterior is not None:
            d = v.decide(posterior, kind.worth)
            gain = v.choose(space, scores, plan_of(kind, MOST - book.trials), posterior=posterior).gain
            if book.trials >= MOST or not v.another_round_pays(gain, d.expected_loss[d.best], kind.worth):
                return book.trials, kitchen.loss(d.best) <= kind.worth + 1e-9, float(d.odds_within_worth[d.best])
        choice = v.choose(space, scores, plan_of(kind, MOST - book.trials), seed=book.loads)
        book.add(choice.versions, kitchen.serve(choice.versions), choice.tray)


def stopping(kind: Kind, n: int, seed: int) -> None:
    """One line."""
    rows = np.array([stopped(kind, seed, i) for i in range(n)], dtype=float)
    trials, within, said = rows.mean(0)
    print(f"may stop by itself, at most {MOST} trials × {kind.tasters}, loads of {kind.per_load}, tasted {kind.passes}×, n {n}: stops after "
          f"{trials:.1f} trials; within worth {100 * within:.1f} ± {100 * rows[:, 1].std() / n**0.5:.1f}, odds said {100 * said:.1f}", flush=True)


def idle(n: int, seed: int) -> None:
    """A factor of two options that does nothing, asked whether it is worth its price of `worth`."""
    for trials, tasters in ((12, 2), (24, 6), (36, 12)):
        kind = Kind(trials=trials, tasters=tasters, idle=1)
        found = wrong = asked = number = 0
        while asked < n:
            kitchen, space, book = Kitchen(kind, seed, number), space_of(kind), Book()
            number += 1
            factor = next((a for a in (0, 3) if np.abs(space.contrast(a, 1, 0) @ kitchen.truth) < DOES_NOTHING), None)
            if factor is None:
                continue
            asked += 1
            space = space_of(kind, factor)
            cook(kind, kitchen, space, trials, book, [])
            said = v.outcome("worth it", v.contrast(v.fit(space, book.scores()), space.contrast(factor, 1, 0)), kind.worth, kind.worth)
            found += said == "not worth it"
            wrong += said == "worth it"
        print(f"a step that does nothing, {trials} × {tasters}, n {n}: not worth it {100 * found / n:.0f} ± "
              f"{100 * (found / n * (1 - found / n) / n) ** 0.5:.0f}, worth it {wrong}", flush=True)


def main() -> None:
    """Reads the options and prints."""
    a = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    a.add_argument("--stopping", action="store_true")
    a.add_argument("--idle", action="store_true")
    a.add_argument("--per-load", type=int, default=4)
    a.add_argument("--passes", type=int, default=1)
    a.add_argument("--tasters", type=int, default=6)
    a.add_argument("--n", type=int, default=100)
    a.add_argument("--seed", type=int, default=4400)
    o = a.parse_args()
    if o.stopping:
        stopping(changed(Kind(tasters=o.tasters), per_load=o.per_load, passes=o.passes), o.n, o.seed)
    if o.idle:
        idle(o.n, o.seed)


if __name__ == "__main__":
    main()
