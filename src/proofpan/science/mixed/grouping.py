"""Random terms as sums over small clusters: what the likelihood needs of the data, gathered once.

With the border B (random terms that cross the clusters), the fixed columns X and the response y gathered in F = [B X y],
the likelihood depends on the rows only through Z'Z and Z'F of each cluster and F'F. Clusters that are alike in all but
their responses (tasters who tasted the same plates) are kept once, with the sums and squares of their responses.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from proofpan.science.mixed.model import Array, Codes, MixedError, Model, Rows, TermRefused, term_columns


@dataclass(frozen=True, eq=False)
class RandomTerm:
    """A random term: effects of `names` for each level of a group, with one covariance matrix.

    Attributes:
        group: grouping term as stated.
        names: what varies, `(intercept)` first where it does.
        level: shape (rows,), the group of each row, from 0.
        values: shape (rows, effects), what each effect is multiplied by, each column of unit mean square.
        scale: shape (effects,), root mean square of the columns as given.
    """

    group: str
    names: tuple[str, ...]
    level: Codes
    values: Array
    scale: Array

    @property
    def size(self) -> int:
        """Number of effects at each level."""
        return self.values.shape[1]

    @property
    def levels(self) -> int:
        """Number of levels that occur."""
        return int(self.level.max()) + 1


@dataclass(frozen=True, eq=False)
class Batch:
    """Cluster types of about one size, padded to the same columns.

    Attributes:
        count: shape (types,), clusters of each type.
        ZZ: shape (types, q, q), Z'Z of one cluster.
        ZF: shape (types, q, f), √count times Z'F, with the clusters' mean for Z'y.
        scatter: shape (types, q, q), squares and products of Z'y about that mean, summed over the clusters.
        places: for each cluster term, shape (slots, effects), the columns of its levels.
        units: shape (parameters, q, q), ∂(block covariance)/∂(variance parameter).
    """

    count: Array
    ZZ: Array
    ZF: Array
    scatter: Array
    places: tuple[Codes, ...]
    units: Array


@dataclass(frozen=True, eq=False)
class Layout:
    """Sums that the likelihood needs.

    Attributes:
        inner: terms inside the clusters.
        outer: terms of the border.
        batches: cluster types.
        FF: shape (f, f), F'F for F = [B X y].
        places: for each border term, shape (levels, effects), its columns in B.
        units: shape (border parameters, border, border), ∂(border covariance)/∂(variance parameter).
        border, fixed: numbers of columns of B and X.
        rows: number of rows.
    """

    inner: tuple[RandomTerm, ...]
    outer: tuple[RandomTerm, ...]
    batches: tuple[Batch, ...]
    FF: Array
    places: tuple[Codes, ...]
    units: Array
    border: int
    fixed: int
    rows: int

    @property
    def inner_parameters(self) -> int:
        """Number of variance parameters of the terms in clusters."""
        return len(parameters(self.inner))


@dataclass(frozen=True)
class Parameter:
    """One variance or covariance, relative to the residual variance: element (a, b), a ≥ b, of a term's matrix."""

    term: int
    a: int
    b: int


def parameters(terms: Sequence[RandomTerm]) -> tuple[Parameter, ...]:
    """Lower triangles of the terms' matrices, term by term, row by row."""
    return tuple(Parameter(k, a, b) for k, term in enumerate(terms) for a in range(term.size) for b in range(a + 1))


def unit_matrices(terms: Sequence[RandomTerm], places: Sequence[Codes], size: int) -> Array:
    """∂(block covariance)/∂(variance parameter) over the columns of a batch or of the border."""
    found = parameters(terms)
    E = np.zeros((len(found), size, size))
    for each, p in zip(E, found, strict=True):
        where = places[p.term]
        each[where[:, p.a], where[:, p.b]] = 1.0
        each[where[:, p.b], where[:, p.a]] = 1.0
    return E


def spread(factors: Sequence[Array], places: Sequence[Codes], size: int) -> Array:
    """Block-diagonal Cholesky factor over the columns: each level of a term has its term's factor."""
    L = np.zeros((size, size))
    for factor, where in zip(factors, places, strict=True):
        for a in range(len(factor)):
            for b in range(a + 1):
                L[where[:, a], where[:, b]] = factor[a, b]
    return L


def random_terms(model: Model, rows: Rows) -> tuple[RandomTerm, ...]:
    """The random terms in the order stated; uncorrelated slopes are terms of their own."""
    n = len(rows.y)
    terms = [_term(group, ("(intercept)",), rows.groups[group], np.ones((n, 1))) for group in model.random]
    for slopes in model.random_slopes:
        columns, names = [np.ones((n, 1))], ["(intercept)"]
        for slope in slopes.terms:
            block, labels = term_columns(model, slope, rows.columns, n, model.coding)
            columns.append(block)
            names += labels
        values, level = np.hstack(columns), rows.groups[slopes.group]
        if slopes.correlated:
            terms.append(_term(slopes.group, tuple(names), level, values))
        else:
            terms += [_term(slopes.group, (name,), level, values[:, [j]]) for j, name in enumerate(names)]
    _check_told_apart(terms, n)
    return tuple(terms)


def _check_told_apart(terms: Sequence[RandomTerm], n: int) -> None:
    """Raise MixedError for a term whose variance can't be told from another's or from the residual."""
    for i, term in enumerate(terms):
        if any(term.group == other.group and set(term.names) & set(other.names) for other in terms[:i]):
            raise TermRefused(term.group, f"the random part has {term.group!r} twice")
        if term.levels < 2:
            raise TermRefused(term.group, f"{term.group!r} has only one group: its variance can't be told; leave it out")
        if term.levels * term.size >= n and term.names == ("(intercept)",):
            raise TermRefused(term.group, f"{term.group!r} has a group for each row: it can't be told from the residual; leave it out")
        for other in terms[:i]:
            same = term.levels == other.levels and term.names == other.names and _nested(term.level, other.level)
            if same and np.array_equal(term.values, other.values):
                raise TermRefused(term.group, f"the groups of {other.group!r} and {term.group!r} are the same; leave one out")


def _check_beyond_fixed(terms: Sequence[RandomTerm], Q: Array) -> None:
    """Raise MixedError for a term whose groups the fixed part tells apart already (a trial for each version)."""
    for term in terms:
        explained = sum(
            float(np.sum(np.bincount(term.level, value * column, term.levels) ** 2)) for value in term.values.T for column in Q.T
        )
        if explained > term.values.size * (1.0 - 1e-9):
            raise TermRefused(
                term.group,
                f"each group of {term.group!r} has one setting of the fixed part to itself, so the two can't be told "
                "apart; leave it out, or make something twice",
            )


def _term(group: str, names: tuple[str, ...], level: Codes, values: Array) -> RandomTerm:
    scale = np.sqrt(np.mean(values**2, axis=0))
    if not np.all(scale > 0):
        raise MixedError(f"a slope by {group!r} is zero in every row")
    return RandomTerm(group, names, level, values / scale, scale)


def clusters_of(terms: Sequence[RandomTerm], rows: int) -> Codes:
    """Code of each row's cluster: rows joined by a shared level of any of the terms."""
    label = terms[0].level.astype(np.intp)
    while True:
        before = label
        for term in terms:
            least = np.full(term.levels, rows, dtype=np.intp)
            np.minimum.at(least, term.level, label)
            label = least[term.level]
        if np.array_equal(label, before):
            return np.unique(label, return_inverse=True)[1].astype(np.intp)


def _work(inner: Sequence[RandomTerm], outer: Sequence[RandomTerm], mark: Array) -> tuple[float, Codes]:
    """Rough cost of a likelihood with these terms in clusters and the rest as border, and the clusters.

    Clusters whose rows have the same marks in sum are taken to be alike, so that they are worked out once.
    """
    rows, border = len(mark), sum(term.levels * term.size for term in outer)
    if not inner:
        return float(border) ** 3, np.zeros(rows, dtype=np.intp)
    for term in outer:
        mark = mark + np.sqrt(np.arange(2.0, term.levels + 2.0))[term.level]
    cluster = clusters_of(inner, rows)
    total = int(cluster.max()) + 1
    size = np.zeros(total)
    for term in inner:
        owner = np.zeros(term.levels, dtype=np.intp)
        owner[term.level] = cluster
        size += np.bincount(owner, minlength=total) * term.size
    kinds = np.unique(np.column_stack([size, np.round(np.bincount(cluster, mark, total), 6)]), axis=0)[:, 0]
    return float(border) ** 3 + float(np.sum(kinds**3 + kinds**2 * border)), cluster


def _split(terms: tuple[RandomTerm, ...], X: Array) -> tuple[tuple[RandomTerm, ...], tuple[RandomTerm, ...], Codes]:
    """Which terms go into clusters and which into the border, by the least work."""
    number = range(len(terms))
    if len(terms) <= 4:
        choices = [set(c) for size in range(len(terms) + 1) for c in combinations(number, size)]
    else:
        choices = [set(number)] + [{j for j in number if _nested(terms[j].level, terms[i].level)} for i in number]
    mark = X @ np.sqrt(np.arange(2.0, X.shape[1] + 2.0))
    best: tuple[float, set[int], Codes] | None = None
    for chosen in choices:
        work, cluster = _work([terms[i] for i in chosen], [terms[i] for i in number if i not in chosen], mark)
        if best is None or work < best[0]:
            best = work, chosen, cluster
    assert best is not None
    return (
        tuple(terms[i] for i in number if i in best[1]),
        tuple(terms[i] for i in number if i not in best[1]),
        best[2],
    )


def _nested(inside: Codes, outside: Codes) -> bool:
    first = np.zeros(int(inside.max()) + 1, dtype=np.intp)
    first[inside] = outside
    return bool(np.all(first[inside] == outside))


def _places(terms: Sequence[RandomTerm], slots: Sequence[int]) -> tuple[tuple[Codes, ...], int]:
    places, used = [], 0
    for term, count in zip(terms, slots, strict=True):
        places.append((used + np.arange(count * term.size)).reshape(count, term.size))
        used += count * term.size
    return tuple(places), used


def lay_out(terms: tuple[RandomTerm, ...], X: Array, y: Array) -> Layout:
    """Gather the sums: cluster types for the inner terms, F'F for border, fixed columns and response.

    Parameters: terms, the random terms; X, shape (rows, fixed), orthonormal columns; y, shape (rows,).
    Raises: MixedError when the fixed part says all that a term could.
    """
    rows = len(y)
    _check_beyond_fixed(terms, X)
    inner, outer, cluster = _split(terms, X)
    places, border = _places(outer, [term.levels for term in outer])
    F = np.zeros((rows, border + X.shape[1] + 1))
    for term, where in zip(outer, places, strict=True):
        for effect in range(term.size):
            F[np.arange(rows), where[term.level, effect]] = term.values[:, effect]
    F[:, border:-1], F[:, -1] = X, y
    batches = _batches(inner, cluster, F) if inner else ()
    units = unit_matrices(outer, places, border)
    return Layout(inner, outer, batches, F.T @ F, places, units, border, X.shape[1], rows)


def _batches(terms: tuple[RandomTerm, ...], cluster: Codes, F: Array) -> tuple[Batch, ...]:
    total = int(cluster.max()) + 1
    ranks, held = [], []
    for term in terms:
        owner = np.zeros(term.levels, dtype=np.intp)
        owner[term.level] = cluster
        in_each = np.bincount(owner, minlength=total)
        order = np.argsort(owner, kind="stable")
        rank = np.empty(term.levels, dtype=np.intp)
        rank[order] = np.arange(term.levels) - np.repeat(np.cumsum(in_each) - in_each, in_each)
        ranks.append(rank)
        held.append(in_each)
    width = np.sum([count * term.size for count, term in zip(held, terms, strict=True)], axis=0)
    bucket = np.ceil(np.log2(np.maximum(width, 4))).astype(int)  # padding then costs at most a factor of two
    return tuple(
        _batch(terms, ranks, [int(count[bucket == b].max()) for count in held], cluster, bucket == b, F) for b in np.unique(bucket)
    )


def _batch(terms: tuple[RandomTerm, ...], ranks: list[Codes], slots: list[int], cluster: Codes, mine: Array, F: Array) -> Batch:
    places, q = _places(terms, slots)
    row = np.flatnonzero(mine[cluster])
    index = np.cumsum(mine) - 1
    own, clusters = index[cluster[row]].astype(np.intp), int(mine.sum())
    columns = [
        (where[rank[term.level[row]], effect], term.values[row, effect])
        for term, rank, where in zip(terms, ranks, places, strict=True)
        for effect in range(term.size)
    ]
    ZZ, ZF = np.zeros((clusters, q, q)), np.zeros((clusters, q, F.shape[1]))
    for at, value in columns:
        for at2, value2 in columns:
            flat = (own * q + at) * q + at2
            ZZ += np.bincount(flat, value * value2, clusters * q * q).reshape(clusters, q, q)
        flat = own * q + at
        for j in range(F.shape[1]):
            ZF[:, :, j] += np.bincount(flat, value * F[row, j], clusters * q).reshape(clusters, q)
    key = np.round(np.concatenate([ZZ.reshape(clusters, -1), ZF[:, :, :-1].reshape(clusters, -1)], axis=1), 8) + 0.0
    seen: dict[bytes, int] = {}
    kind = np.array([seen.setdefault(line.tobytes(), len(seen)) for line in key], dtype=np.intp)
    first = np.unique(kind, return_index=True)[1]
    count = np.bincount(kind).astype(float)
    mean = np.zeros((len(seen), q))
    np.add.at(mean, kind, ZF[:, :, -1])
    mean /= count[:, None]
    about = ZF[:, :, -1] - mean[kind]
    scatter = np.zeros((len(seen), q, q))
    if len(seen) == 1:
        scatter[0] = about.T @ about
    elif len(seen) < clusters:
        np.add.at(scatter, kind, about[:, :, None] * about[:, None, :])
    alike = ZF[first]
    alike[:, :, -1] = mean
    alike *= np.sqrt(count)[:, None, None]
    return Batch(count, ZZ[first], alike, scatter, places, unit_matrices(terms, places, q))
