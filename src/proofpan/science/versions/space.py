"""Which versions can be made, as level numbers a factor, and how alike two versions are expected to score."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class VersionsError(ValueError):
    """Input that the model of versions can't take; the sentence says what would be right."""


@dataclass(frozen=True, eq=False)
class VersionSpace:
    """All versions that can be made.

    Attributes:
        factors: what varies, in the study's order.
        options: the names of each factor's options.
        levels: shape (n_versions, n_factors), option numbers; -1 where a factor doesn't apply.
        values: for a factor with numeric, ordered options their values (neighbours are then expected to score alike), else None.
        changed: "batch", "load" or "tray" a factor.
        extras: whether a factor is an extra that must earn its place ("worth it"): such a one more often does nothing.
    """

    factors: tuple[str, ...]
    options: tuple[tuple[str, ...], ...]
    levels: Ints
    values: tuple[tuple[float, ...] | None, ...] = ()
    changed: tuple[str, ...] = ()
    extras: tuple[bool, ...] = ()

    def __post_init__(self) -> None:
        levels = np.ascontiguousarray(np.asarray(self.levels, dtype=np.int64).reshape(-1, len(self.factors)))
        if len(levels) == 0:
            raise VersionsError("No version can be made: every combination of options is ruled out.")
        sizes = np.array([len(o) for o in self.options], dtype=np.int64)
        if len(sizes) != len(self.factors) or (levels >= sizes).any() or (levels < -1).any():
            raise VersionsError("Level numbers must run from 0 to a factor's number of options less one, or be -1.")
        levels.setflags(write=False)
        object.__setattr__(self, "levels", levels)
        if not self.values:
            object.__setattr__(self, "values", (None,) * len(self.factors))
        if not self.changed:
            object.__setattr__(self, "changed", ("batch",) * len(self.factors))
        if not self.extras:
            object.__setattr__(self, "extras", (False,) * len(self.factors))

    @property
    def size(self) -> int:
        """The number of versions."""
        return len(self.levels)

    @cached_property
    def centred(self) -> tuple[Floats, ...]:
        """Per factor, shape (n_versions, n_options): rows whose inner products are the covariance of centred main effects."""
        return tuple(self._factor_rows(a) for a in range(len(self.factors)))

    def _factor_rows(self, a: int) -> Floats:
        size = len(self.options[a])
        root = np.eye(size) - 1.0 / size
        values = self.values[a]
        if values is not None and size > 2:
            root = _smooth_root(np.asarray(values, dtype=np.float64))
        rows = np.zeros((self.size, size))
        applies = self.levels[:, a] >= 0
        rows[applies] = root[self.levels[applies, a]]
        return rows

    def pair_rows(self, a: int, b: int) -> Floats:
        """Shape (n_versions, options of a × options of b): rows whose inner products are the covariance of pair effects."""
        one, two = self.centred[a], self.centred[b]
        return (one[:, :, None] * two[:, None, :]).reshape(self.size, -1)

    def rows_of(self, factors: tuple[int, ...]) -> Floats | None:
        """Rows of one factor's main effects or of two factors' pair effects; None where no factor is named."""
        if not factors:
            return None
        return self.centred[factors[0]] if len(factors) == 1 else self.pair_rows(factors[0], factors[1])

    @cached_property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Pairs of factors that both apply in some version."""
        on = self.levels >= 0
        k = len(self.factors)
        return tuple((a, b) for a in range(k) for b in range(a + 1, k) if (on[:, a] & on[:, b]).any())

    def contrast(self, factor: int, option: int, against: int) -> Floats:
        """Weights of `option` less `against`, averaged over the pairs of versions that differ only in this factor.

        Returns: shape (n_versions,); all zero where no such pair can be made.
        """
        rest = np.delete(self.levels, factor, axis=1)
        where = {(*map(int, r), int(lv)): i for i, (r, lv) in enumerate(zip(rest, self.levels[:, factor], strict=True))}
        weights = np.zeros(self.size)
        found = 0
        for i in np.flatnonzero(self.levels[:, factor] == option):
            j = where.get((*map(int, rest[i]), against))
            if j is not None:
                weights[i] += 1
                weights[j] -= 1
                found += 1
        return weights / max(found, 1)


def _smooth_root(values: Floats) -> Floats:
    """Square root of a centred covariance in which near values score alike (half smooth, half each for itself)."""
    size = len(values)
    spread = np.ptp(values)
    centre = np.eye(size) - 1.0 / size
    if spread <= 0:
        return centre
    apart = (values[:, None] - values[None, :]) / spread
    smooth = centre @ np.exp(-0.5 * (apart / 0.5) ** 2) @ centre
    smooth *= (size - 1) / max(np.trace(smooth), 1e-12)
    mixed = 0.7 * smooth + 0.3 * centre
    w, v = np.linalg.eigh(mixed)
    return (v * np.sqrt(np.maximum(w, 0))) @ v.T


def make_space(
    options: Mapping[str, Sequence[str]],
    *,
    when: Mapping[str, Mapping[str, Sequence[str]]] | None = None,
    never: Sequence[Mapping[str, str]] = (),
    values: Mapping[str, Sequence[float]] | None = None,
    changed: Mapping[str, str] | None = None,
    extras: Collection[str] = (),
) -> VersionSpace:
    """The versions that can be made, last factor fastest.

    Parameters:
        options: factor → names of its options, in order.
        when: factor → {other factor: its options under which this one applies}.
        never: combinations that can't or shan't be made; a line that names a factor which doesn't apply doesn't match.
        values: factor → numeric values of its options.
        changed: factor → "batch", "load" or "tray".
        extras: the factors that must earn their place.

    Raises: VersionsError when an unknown factor or option is named or nothing is left.
    """
    names = tuple(options)
    when, values, changed = when or {}, values or {}, changed or {}
    for line in [*never, *({o: v for o, vs in w.items() for v in vs} for w in when.values())]:
        for f, o in line.items():
            if f not in options or str(o) not in map(str, options[f]):
                raise VersionsError(f'"{f}: {o}" is not a factor and one of its options.')
    rows, seen = [], set()
    for combo in product(*[range(len(options[f])) for f in names]):
        row = _reduced(names, options, when, combo)
        if row in seen:
            continue
        seen.add(row)
        chosen = {f: str(options[f][lv]) for f, lv in zip(names, row, strict=True) if lv >= 0}
        if not any(n and all(chosen.get(f) == str(o) for f, o in n.items()) for n in never):
            rows.append(row)
    return VersionSpace(
        names,
        tuple(tuple(map(str, options[f])) for f in names),
        np.array(rows, dtype=np.int64).reshape(-1, len(names)),
        tuple(tuple(map(float, values[f])) if f in values else None for f in names),
        tuple(changed.get(f, "batch") for f in names),
        tuple(f in extras for f in names),
    )


def _reduced(
    names: tuple[str, ...],
    options: Mapping[str, Sequence[str]],
    when: Mapping[str, Mapping[str, Sequence[str]]],
    combo: tuple[int, ...],
) -> tuple[int, ...]:
    """A combination with -1 where a factor doesn't apply (also because the factor it hangs on doesn't)."""
    row = dict(zip(names, combo, strict=True))
    for _ in names:
        for f, needs in when.items():
            for other, allowed in needs.items():
                lv = row[other]
                if lv < 0 or str(options[other][lv]) not in map(str, allowed):
                    row[f] = -1
    return tuple(row[f] for f in names)
