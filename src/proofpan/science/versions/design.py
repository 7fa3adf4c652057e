"""What a study's scores can speak to: trials, tasters and serving positions, and how trials resemble each other."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csr_matrix

from .observations import Scores
from .space import Floats, Ints, VersionSpace

TRIAL_TERMS = ("load", "trial", "lot", "tray", "day", "drift")
LATENT_TERMS = ("position", "taster")
SCORE_TERMS = ("noise", "taster_version")
OTHER_TERMS = ("surprise", *TRIAL_TERMS, *LATENT_TERMS, *SCORE_TERMS)
FOLD_FROM = 40   # trials of one score each, from which what they share is carried instead of the trials


def spread_names(space: VersionSpace) -> tuple[str, ...]:
    """The columns in which spreads travel: a factor each, then everything else."""
    mains = tuple(f"main_{a}" for a in range(len(space.factors)))
    return (*mains, *pair_names(space), *OTHER_TERMS)


def pair_names(space: VersionSpace) -> tuple[str, ...]:
    """The columns of the pairs: one each, since a pair is idle where one of its factors is."""
    return tuple(f"pair_{a}_{b}" for a, b in space.pairs)


def factors_of(name: str) -> tuple[int, ...]:
    """The factors that a column of spreads belongs to: one of a main effect, two of a pair, none of anything else."""
    kind, _, numbers = name.partition("_")
    return tuple(int(n) for n in numbers.split("_")) if kind in ("main", "pair") else ()


@dataclass(frozen=True, eq=False)
class Design:
    """A study's scores taken apart once, so that each setting of the spreads costs only small matrices.

    Attributes:
        space, scores: what was judged (scores in canonical order).
        trial_version: shape (t,), version of each trial; shape (v,), the versions cooked, where `shared` stands in for the trials.
        trial_of, taster_of: shape (m,), running numbers of trials and tasters that occur.
        trials, tasters: the numbers they came with.
        covariates: shape (m, 2), first plate or not and place in the order.
        kernels: name → shape (t, t), covariance between trials for a spread of one.
        across: name → shape (n, t), covariance between versions and trials for a spread of one.
        with_trial, without: sparse maps from scores to the entries of the information matrix.
        many: shape (m,), whether the same taster scored the same version more than once.
        together: sparse, those scores × cells of a taster and a version.
        gather_trial, gather_other: sparse maps from those scores to sums by latent quantity and cell.
        active: names of the spreads that the data can speak to.
        shared: where each of many trials has a single score, the versions, loads, lots … that it shares with others; a trial's own
            deviation is then part of its score's noise. None: the trials themselves are carried.
    """

    space: VersionSpace
    scores: Scores
    trial_version: Ints
    trial_of: Ints
    taster_of: Ints
    trials: Ints
    tasters: Ints
    covariates: Floats
    kernels: dict[str, Floats]
    across: dict[str, Floats]
    with_trial: csr_matrix
    without: csr_matrix
    many: NDArray[np.bool_]
    together: csr_matrix
    gather_trial: csr_matrix
    gather_other: csr_matrix
    active: frozenset[str]
    shared: "Shared | None" = None

    @property
    def latent(self) -> int:
        """Latent quantities of what was cooked: trials, or what they share."""
        return len(self.trials) if self.shared is None else self.shared.size

    @property
    def size(self) -> int:
        """Latent quantities: what was cooked, tasters and two of serving order."""
        return self.latent + len(self.tasters) + 2


@dataclass(frozen=True, eq=False)
class Shared:
    """What trials of one score each share.

    Attributes:
        columns: shape (m, q), how much of each latent quantity a score holds: versions cooked, then `terms`, tasters, serving order.
        terms: (name of the spread, how many columns), after the versions.
        size: columns before the tasters.
    """

    columns: Floats
    terms: tuple[tuple[str, int], ...]
    size: int


def make_design(space: VersionSpace, scores: Scores, *, fold_from: int = FOLD_FROM) -> Design:
    """Takes scores apart; their order doesn't matter. fold_from: from how many trials of one score each `shared` stands in for them."""
    s = scores.canonical()
    trials, first, trial_of = np.unique(s.trial, return_index=True, return_inverse=True)
    tasters, taster_of = np.unique(s.taster, return_inverse=True)
    t = len(trials)
    version = s.version[first]
    covariates = _serving_order(s)
    known = {n: getattr(s, n)[first] for n in ("load", "lot", "tray", "day")}
    active = _active(space, s, t, tasters, known, covariates)
    shared = None
    if t == len(s) and t >= fold_from:
        shared = _shared(s, trial_of.reshape(-1), taster_of.reshape(-1), len(tasters), first, version, active, covariates)
    if shared is not None:
        version = np.unique(version)
    kernels, across = _kernels(space, s, first, version) if shared is None else ({}, _across(space, version))
    with_trial, without = _entries(trial_of, taster_of, covariates, t, len(tasters))
    cells, cell_of, counts = np.unique(
        taster_of * space.size + s.version, return_inverse=True, return_counts=True
    )
    many = counts[cell_of] > 1
    number = (np.cumsum(counts > 1) - 1)[cell_of[many]]
    held = int((counts > 1).sum())
    together = csr_matrix((np.ones(len(number)), (np.arange(len(number)), number)), shape=(len(number), held))
    gather_trial, gather_other = _gathers(trial_of[many], taster_of[many], covariates[many], number, t, len(tasters), held)
    return Design(
        space, s, version, trial_of.reshape(-1), taster_of.reshape(-1), trials, tasters, covariates, kernels, across,
        with_trial, without, many, together, gather_trial, gather_other, active, shared,
    )


def _shared(
    s: Scores, trial_of: Ints, taster_of: Ints, tasters: int, first: Ints, version: Ints, active: frozenset[str], covariates: Floats
) -> Shared | None:
    """Columns of what trials share; None where that isn't clearly less than the trials themselves."""
    parts = [_indicators(version)]
    terms: list[tuple[str, int]] = []
    for name in ("load", "lot", "tray", "day"):
        which = getattr(s, name)[first]
        if name in active and (which >= 0).any():
            parts.append(_indicators(which))
            terms.append((name, parts[-1].shape[1]))
    if "drift" in active:
        parts.append(_lateness(s.day[first])[:, None])
        terms.append(("drift", 1))
    size = sum(p.shape[1] for p in parts)
    if size > 0.7 * len(version):
        return None
    who = np.zeros((len(taster_of), tasters))
    who[np.arange(len(taster_of)), taster_of] = 1.0
    return Shared(np.concatenate([np.concatenate(parts, axis=1)[trial_of], who, covariates], axis=1), tuple(terms), size)


def _indicators(which: Ints) -> Floats:
    """A column for each number that occurs, -1 apart."""
    return (which[:, None] == np.unique(which[which >= 0])[None, :]).astype(np.float64)


def _serving_order(s: Scores) -> Floats:
    known = s.position >= 0
    slope = np.where(known, np.minimum(s.position, 8) / 4.0, 0.0)
    first = np.where(known & (s.position == 0), 1.0, 0.0)
    return np.column_stack([first, slope])


def _same(a: Ints, b: Ints) -> Floats:
    return ((a[:, None] == b[None, :]) & (a[:, None] >= 0)).astype(np.float64)


def _kernels(
    space: VersionSpace, s: Scores, first: Ints, version: Ints
) -> tuple[dict[str, Floats], dict[str, Floats]]:
    across = _across(space, version)
    kernels = {name: k[version] for name, k in across.items()}
    kernels["trial"] = np.eye(len(version))
    for name in ("load", "lot", "tray", "day"):
        which = getattr(s, name)[first]
        kernels[name] = _same(which, which)
    late = _lateness(s.day[first])
    kernels["drift"] = np.outer(late, late)
    return kernels, across


def _across(space: VersionSpace, version: Ints) -> dict[str, Floats]:
    across = {f"main_{a}": rows @ rows[version].T for a, rows in enumerate(space.centred)}
    for name, (a, b) in zip(pair_names(space), space.pairs, strict=True):
        across[name] = across[f"main_{a}"] * across[f"main_{b}"]
    across["surprise"] = (np.arange(space.size)[:, None] == version[None, :]).astype(np.float64)
    return across


def _lateness(day: Ints) -> Floats:
    """Days after the middle one, 0 where unknown."""
    known = day >= 0
    return np.where(known, day - (day[known].mean() if known.any() else 0.0), 0.0)


def _active(space: VersionSpace, s: Scores, t: int, tasters: Ints, known: dict[str, Ints], cov: Floats) -> frozenset[str]:
    on = {f"main_{a}" for a in range(len(space.factors))} | {"noise", "taster"}
    on |= set(pair_names(space))
    if len(space.factors) > 1:
        on.add("surprise")
    on |= {"trial", "taster_version"}
    for name in ("load", "tray", "lot"):
        if (known[name] >= 0).any():
            on.add(name)
    days: dict[int, set[int]] = {int(d): set() for d in known["day"] if d >= 0}
    for d, load in zip(known["day"], known["load"], strict=True):
        if d >= 0:
            days[int(d)].add(int(load))
    if len(days) > 1:
        on.add("drift")
        if any(len(loads) > 1 for loads in days.values()):
            on.add("day")
    if cov.any():
        on.add("position")
    return frozenset(on)


def _entries(trial: Ints, taster: Ints, cov: Floats, t: int, j: int) -> tuple[csr_matrix, csr_matrix]:
    """Maps from a weight a score to Σ weight·x·x′, apart for entries that involve a trial."""
    m, q = len(trial), t + j + 2
    rows = np.arange(m)
    columns = [(trial, np.ones(m)), (t + taster, np.ones(m)), (np.full(m, t + j), cov[:, 0]), (np.full(m, t + j + 1), cov[:, 1])]
    parts: dict[bool, list[tuple[Ints, Ints, Floats]]] = {True: [], False: []}
    for a, (ca, va) in enumerate(columns):
        for b, (cb, vb) in enumerate(columns):
            parts[a == 0 or b == 0].append((ca * q + cb, rows, va * vb))
    out = []
    for side in (True, False):
        entry, row, value = (np.concatenate(x) for x in zip(*parts[side], strict=True))
        out.append(coo_matrix((value, (entry, row)), shape=(q * q, m)).tocsr())
    return out[0], out[1]


def _gathers(
    trial: Ints, taster: Ints, cov: Floats, cell: Ints, t: int, j: int, held: int
) -> tuple[csr_matrix, csr_matrix]:
    """Maps from a weight a score to Σ weight·x by latent quantity (row) and cell, the trials' part apart."""
    rows, shape = np.arange(len(cell)), ((t + j + 2) * held, len(cell))
    of_trial = csr_matrix((np.ones(len(cell)), (trial * held + cell, rows)), shape=shape)
    entry = np.concatenate([(t + taster) * held + cell, (t + j) * held + cell, (t + j + 1) * held + cell])
    value = np.concatenate([np.ones(len(cell)), cov[:, 0], cov[:, 1]])
    return of_trial, csr_matrix((value, (entry, np.tile(rows, 3))), shape=shape)
