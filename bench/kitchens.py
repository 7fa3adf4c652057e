"""Invented kitchens with a known truth, for measuring how often a study ends within `worth` of the best version.

Scores are truth (mains, pairs, and where asked a three-way term) plus taster, taster×version, oven load, batch, serving position and noise;
all sizes are invented, of the order that textbooks on tasting panels report. Everything is drawn from (seed, number), so that two ways of
working meet the same kitchens.
"""

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np


@dataclass(frozen=True)
class Kind:
    """A kind of kitchen; spreads in points on a 0–10 scale."""

    levels: tuple[int, ...] = (2, 4, 4, 2)
    trials: int = 12
    tasters: int = 6
    per_load: int = 4
    passes: int = 1
    mean: float = 6.0
    main: float = 0.6
    pair: float = 0.45
    three: float = 0.0
    idle: int = 0            # factors that do nothing
    taster: float = 0.9
    taster_version: float = 0.5
    load: float = 0.3
    batch: float = 0.3
    noise: float = 1.1
    tail: float = 0.0        # degrees of freedom of the noise, 0 = normal
    spoilt: float = 0.0      # chance that a trial comes out 2.5 lower
    duds: int = 0
    missing: float = 0.0
    leaver: bool = False
    drift: float = 0.0       # change a load to the next
    stretch: float = 0.0     # log sd of how widely tasters use the scale
    position: tuple[float, ...] = (0.25, 0.0, -0.05, -0.1, -0.15, -0.2)
    worth: float = 0.5


ROWS = {
    "12 trials × 1": Kind(tasters=1),
    "12 trials × 2": Kind(tasters=2),
    "12 trials × 6": Kind(),
    "24 trials × 6": Kind(trials=24),
    "36 trials × 12": Kind(trials=36, tasters=12),
}
ODD = {
    "no interaction": Kind(pair=0.0),
    "strong interaction": Kind(main=0.5, pair=0.8),
    "interaction without mains": Kind(main=0.0, pair=0.7),
    "no effect at all": Kind(main=0.0, pair=0.0),
    "small effects": Kind(main=0.3, pair=0.2),
    "large effects": Kind(main=1.1, pair=0.6),
    "two idle factors": Kind(idle=2),
    "three-way surprise": Kind(three=0.5, trials=24),
    "heavy tails": Kind(tail=3.0, noise=0.9),
    "spoilt batches": Kind(spoilt=0.08, trials=24),
    "one dud of six": Kind(duds=1),
    "one dud of three": Kind(tasters=3, duds=1),
    "ballots missing, one leaves": Kind(trials=24, missing=0.15, leaver=True),
    "load shifts": Kind(load=0.9, trials=24),
    "drift": Kind(drift=0.25, trials=24),
    "near the top": Kind(mean=8.6),
    "tasters stretch the scale": Kind(stretch=0.35),
    "noisy": Kind(noise=2.0, taster_version=0.9),
    "quiet": Kind(noise=0.5, taster_version=0.2),
    "3 × 3 × 2": Kind(levels=(3, 3, 2)),
    "six of two": Kind(levels=(2,) * 6),
    "nine options": Kind(levels=(9,), tasters=2),
    "two options": Kind(levels=(2,), tasters=2),
    "5 × 5 × 4": Kind(levels=(5, 5, 4), trials=24),
}


class Kitchen:
    """One kitchen; `truth` is for the judge only."""

    def __init__(self, kind: Kind, seed: int, number: int) -> None:
        self.kind, self.round = kind, 0
        r = np.random.default_rng([seed, number, 1])
        n, k = kind.levels, len(kind.levels)
        truth = np.full(n, float(kind.mean))
        idle = set(r.permutation(k)[: kind.idle].tolist())
        for order, sd in ((1, kind.main), (2, kind.pair), (3, kind.three)):
            for group in combinations(range(k), order):
                e = r.normal(0, 1, [n[a] if a in group else 1 for a in range(k)])
                for a in group:
                    e = e - e.mean(a, keepdims=True)
                truth = truth + (0.0 if idle & set(group) else sd) * e
        self.truth = truth.reshape(-1)
        self.level = r.normal(0, kind.taster, kind.tasters)
        self.liking = r.normal(0, kind.taster_version, (kind.tasters, truth.size))
        self.gain = np.exp(r.normal(0, kind.stretch, kind.tasters))
        self.duds = set(r.permutation(kind.tasters)[: kind.duds].tolist())
        self.leaves = int(r.integers(kind.tasters)) if kind.leaver else -1
        self._r = np.random.default_rng([seed, number, 2])

    def serve(self, versions: np.ndarray) -> list[tuple[int, int, int, int, float]]:
        """One load, tasted by all: rows of (place in load, taster, pass, position, score)."""
        kind, r = self.kind, self._r
        v = np.asarray(versions)
        value = self.truth[v] + r.normal(0, kind.load) + r.normal(0, kind.batch, len(v)) + kind.drift * self.round
        value = value - 2.5 * (r.random(len(v)) < kind.spoilt)
        rows = []
        for p in range(kind.passes):
            for t in range(kind.tasters):
                order = np.argsort(r.random(len(v)))
                noise = r.normal(0, 1, len(v)) if not kind.tail else r.standard_t(kind.tail, len(v))
                gone = r.random(len(v)) < kind.missing
                for i in range(len(v)):
                    place = int(order[i])
                    s = kind.mean + self.gain[t] * (value[i] + self.liking[t, v[i]] - kind.mean)
                    s = kind.mean + 1.5 * noise[i] if t in self.duds else s + kind.noise * noise[i]
                    s += self.level[t] + kind.position[min(place, len(kind.position) - 1)]
                    if not gone[i] and not (t == self.leaves and self.round >= 2):
                        rows.append((i, t, p, place, float(np.clip(np.round(2 * s) / 2, 0, 10))))
        self.round += 1
        return rows

    def loss(self, version: int) -> float:
        """Points below the best version."""
        return float(self.truth.max() - self.truth[version])


def habit(kitchen: Kitchen) -> int:
    """One factor at a time, the winner kept; spare trials repeat every trial. Returns the version it ends at."""
    kind = kitchen.kind
    repeats, now = max(1, kind.trials // sum(kind.levels)), [0] * len(kind.levels)
    for a, options in enumerate(kind.levels):
        line = [int(np.ravel_multi_index([o if b == a else now[b] for b in range(len(now))], kind.levels)) for o in range(options)]
        total, count = np.zeros(options), np.zeros(options)
        todo = list(range(options)) * repeats
        for at in range(0, len(todo), kind.per_load):
            part = todo[at : at + kind.per_load]
            for i, _, _, _, score in kitchen.serve(np.array(line)[part]):
                total[part[i]] += score
                count[part[i]] += 1
        now[a] = int(np.argmax(np.where(count > 0, total / np.maximum(count, 1), -1)))
    return int(np.ravel_multi_index(now, kind.levels))


def changed(kind: Kind, **changes: object) -> Kind:
    """The same kind with changes."""
    return replace(kind, **changes)  # type: ignore[arg-type]
