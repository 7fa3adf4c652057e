"""How often a study ends within `worth` of the best version, in invented kitchens whose truth is known.

    OPENBLAS_NUM_THREADS=1 .venv/bin/python bench/decision_quality.py --rows --n 400
    … --odd --n 100        every odd kind of kitchen      … --kind "12 trials × 2" --per-load 2 --passes 2
    … --two --n 400        publish-today right in two-option questions
    … --needed --n 200     of studies told "about n more", how many settle with n
    … --kept FILE          keeps each kitchen in FILE as it is done: a long row can be broken off and goes on

Each line: share within worth with its Monte-Carlo error, what the odds said, the habit beside it, loss, how often 95 %
intervals cover, wrong claims.
"""

import argparse
import json
import os
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np

from kitchens import ODD, ROWS, Kind, Kitchen, changed, habit
from proofpan.science import versions as v


def space_of(kind: Kind, extra: int | None = None) -> v.VersionSpace:
    """The versions of a kind of kitchen; `extra` is a factor of which it is asked whether it is worth it."""
    names = [f"factor {a}" for a in range(len(kind.levels))]
    return v.make_space(
        {name: [str(o) for o in range(n)] for name, n in zip(names, kind.levels, strict=True)}, extras=[] if extra is None else [names[extra]]
    )


class Book:
    """Scores so far, as the model takes them."""

    def __init__(self) -> None:
        self.rows: list[tuple[int, ...]] = []
        self.points: list[float] = []
        self.trials = self.loads = 0

    def add(self, versions: np.ndarray, rows: list[tuple[int, int, int, int, float]], trays: np.ndarray | None = None) -> None:
        """One load's ballots."""
        for i, taster, again, place, score in rows:
            tray = -1 if trays is None else int(trays[i])
            self.rows.append((int(versions[i]), taster, self.trials + i, self.loads, self.loads, place, again, tray))
            self.points.append(score)
        self.trials += len(versions)
        self.loads += 1

    def scores(self) -> v.Scores:
        """All of them."""
        c = np.array(self.rows, dtype=np.int64).reshape(-1, 8).T
        return v.make_scores(
            c[0], self.points, taster=c[1], trial=c[2], load=c[3], day=c[4], position=c[5], repeat=c[6], tray=c[7], step=0.5
        )


def cook(kind: Kind, kitchen: Kitchen, space: v.VersionSpace, trials: int, book: Book, clock: list[float]) -> None:
    """Plays rounds of one load each."""
    while book.trials < trials:
        q = min(kind.per_load, trials - book.trials)
        left = -(-(trials - book.trials) // kind.per_load)
        plan = v.LoadPlan(1, tuple((i // 2, i % 2) for i in range(q)), tasters=kind.tasters, passes=kind.passes, rounds_left=left)
        start = time.process_time()
        choice = v.choose(space, book.scores() if book.rows else None, plan, seed=book.loads)
        clock.append(time.process_time() - start)
        book.add(choice.versions, kitchen.serve(choice.versions), choice.tray)


def one(kind: Kind, seed: int, number: int) -> dict[str, float]:
    """One study from first load to verdict, and the habit in the same kitchen."""
    kitchen, space, book = Kitchen(kind, seed, number), space_of(kind), Book()
    clock: list[float] = []
    cook(kind, kitchen, space, kind.trials, book, clock)
    start = time.process_time()
    p = v.fit(space, book.scores())
    d = v.decide(p, kind.worth)
    low, high = p.interval()
    judge = time.process_time() - start
    truth = kitchen.truth - kitchen.truth.mean() + ((low + high) / 2).mean()
    loss = kitchen.loss(d.best)
    out = dict(
        within=loss <= kind.worth + 1e-9, best=loss < 1e-9, loss=loss, said=d.odds_within_worth[d.best],
        said_best=d.odds_best[d.best], said_loss=d.expected_loss[d.best], cover=((truth >= low) & (truth <= high)).mean(),
        width=(high - low).mean(), choose=max(clock), judge=judge,
    )
    out["habit"] = kitchen_habit_within(kind, seed, number)
    out.update(claims(kind, kitchen, space, p))
    return {k: float(x) for k, x in out.items()}


def kitchen_habit_within(kind: Kind, seed: int, number: int) -> bool:
    """Whether the habit ends within worth in the same kitchen."""
    kitchen = Kitchen(kind, seed, number)
    return kitchen.loss(habit(kitchen)) <= kind.worth + 1e-9


def claims(kind: Kind, kitchen: Kitchen, space: v.VersionSpace, p: v.Posterior) -> dict[str, float]:
    """Main contrasts: how many are covered, settled, and settled wrongly."""
    seen = covered = settled = wrong = 0
    for a, n in enumerate(kind.levels):
        for x in range(n):
            for y in range(x):
                w = space.contrast(a, x, y)
                truth, c = float(w @ kitchen.truth), v.contrast(p, w)
                low, high = c.interval()
                seen, covered = seen + 1, covered + (low <= truth <= high)
                said = v.outcome("best", c, kind.worth)
                settled += said != "not settled"
                wrong += (said == "better" and truth * c.mean <= 0) or (said.startswith("no diff") and abs(truth) > kind.worth)
    return dict(contrasts=seen, contrasts_in=covered, settled=settled, wrong=wrong)


def played(name: str, kind: Kind, n: int, seed: int, kept: Path | None) -> list[dict[str, float]]:
    """The first n kitchens of a seed; what `kept` holds of them already isn't played again."""
    if kept is None:
        return [one(kind, seed, i) for i in range(n)]
    lines = [json.loads(line) for line in kept.read_text().splitlines()] if kept.exists() else []
    done = {line["number"]: line for line in lines if line["name"] == name and line["seed"] == seed}
    with kept.open("a") as file:
        for i in set(range(n)) - set(done):
            done[i] = dict(name=name, seed=seed, number=i, **one(kind, seed, i))
            file.write(json.dumps(done[i]) + "\n")
            file.flush()
    return [{k: x for k, x in done[i].items() if k not in ("name", "seed", "number")} for i in range(n)]


def report(name: str, kind: Kind, n: int, seed: int, kept: Path | None = None) -> None:
    """One line a kind."""
    rows = played(name, kind, n, seed, kept)
    m = {k: float(np.mean([r[k] for r in rows])) for k in rows[0]}
    e = {k: 100 * float(np.std([r[k] for r in rows])) / n**0.5 for k in ("within", "said", "habit")}
    print(
        f"{name:32s} n {n}: within worth {100 * m['within']:.1f} ± {e['within']:.1f}, odds said {100 * m['said']:.1f} ± {e['said']:.1f}, "
        f"habit {100 * m['habit']:.1f} ± {e['habit']:.1f}; loss {m['loss']:.2f} (said {m['said_loss']:.2f}); "
        f"best {100 * m['best']:.0f} (said {100 * m['said_best']:.0f}); cover {100 * m['cover']:.1f}, contrasts "
        f"{100 * m['contrasts_in'] / m['contrasts']:.1f}; settled {m['settled'] / m['contrasts'] * 100:.1f} in 100, "
        f"wrong {sum(r['wrong'] for r in rows):.0f} of {sum(r['settled'] for r in rows):.0f}; "
        f"CPU ms judge {1e3 * m['judge']:.0f}, choose {1e3 * m['choose']:.0f}", flush=True,
    )


def two_options(n: int, seed: int) -> None:
    """Publish today in two-option questions: right, and the regret beside "keep what looked better"."""
    for trials, tasters in ((12, 1), (12, 2), (24, 6)):
        kind = Kind(levels=(2,), trials=trials, tasters=tasters)
        space, rows = space_of(kind), []
        for i in range(n):
            kitchen, book = Kitchen(kind, seed, i), Book()
            while book.trials < trials:
                pair = np.array([0, 1, 1, 0] if book.loads % 2 else [1, 0, 0, 1])
                book.add(pair, kitchen.serve(pair))
            p = v.fit(space, book.scores())
            price = np.array([0.0, kind.worth])
            d = v.decide(p, kind.worth, price)
            net = kitchen.truth - price
            s = book.scores()
            kept = int(s.score[s.version == 1].mean() > s.score[s.version == 0].mean())
            c = v.contrast(p, space.contrast(0, 1, 0))
            out = v.outcome("worth it", c, kind.worth, kind.worth)
            rows.append((net[d.publish] >= net.max() - 1e-9, net.max() - net[d.publish], net.max() - net[kept], out != "not settled"))
        a = np.array(rows, dtype=float)
        print(
            f"two options, an extra to be earned, {trials} × {tasters}, n {n}: publish today right {100 * a[:, 0].mean():.1f} ± "
            f"{100 * a[:, 0].std() / n**0.5:.1f}; regret {a[:, 1].mean():.3f}, keep-what-looked-better {a[:, 2].mean():.3f}, "
            f"ratio {a[:, 1].mean() / a[:, 2].mean():.2f}; settled {100 * a[:, 3].mean():.0f}", flush=True,
        )


def check_needed(n: int, seed: int) -> None:
    """Studies told "about n more": how many settle once n more trials are cooked."""
    kind = Kind(levels=(2, 2), tasters=4, trials=8)
    space, w, told, settled, none, i = space_of(kind), None, 0, 0, 0, 0
    w = space.contrast(0, 1, 0)
    while told < n and i < 20 * n:
        kitchen, book = Kitchen(kind, seed, i), Book()
        i += 1
        every = np.arange(4)
        while book.trials < 8:
            book.add(every, kitchen.serve(every))
        p = v.fit(space, book.scores())
        more = v.needed(p, w, "best", kind.worth, 0.0, book.trials)
        if more == 0:
            continue
        if more is None:
            none += 1
            continue
        told += 1
        target = book.trials + more
        while book.trials < target:
            part = every[: min(4, target - book.trials)] if target - book.trials < 4 else every
            book.add(part, kitchen.serve(part))
        after = v.contrast(v.fit(space, book.scores()), w)
        settled += v.outcome("best", after, kind.worth) != "not settled"
    print(f"told about n more: {told}, settled with n {100 * settled / max(told, 1):.0f} in 100; told more than you'd cook: {none}", flush=True)


def main() -> None:
    """Reads the options and prints."""
    a = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    a.add_argument("--rows", action="store_true")
    a.add_argument("--odd", action="store_true")
    a.add_argument("--two", action="store_true")
    a.add_argument("--needed", action="store_true")
    a.add_argument("--kind", action="append", default=[])
    a.add_argument("--per-load", type=int)
    a.add_argument("--passes", type=int)
    a.add_argument("--n", type=int, default=100)
    a.add_argument("--seed", type=int, default=2024)
    a.add_argument("--kept", type=Path)
    o = a.parse_args()
    everything = {**ROWS, **ODD}
    names = [*(ROWS if o.rows else ()), *(ODD if o.odd else ()), *o.kind]
    for name in names:
        kind = everything[name]
        kind = changed(kind, per_load=o.per_load or kind.per_load, passes=o.passes or kind.passes)
        report(name + (f", loads of {o.per_load}" if o.per_load else "") + (f", tasted {o.passes}×" if o.passes else ""), kind, o.n, o.seed, o.kept)
    if o.two:
        two_options(o.n, o.seed)
    if o.needed:
        check_needed(o.n, o.seed)


if __name__ == "__main__":
    main()
