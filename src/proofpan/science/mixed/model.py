"""How a model is stated, and how its columns become numbers: coding, missing rows, the fixed part's design matrix."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Codes = NDArray[np.intp]
INTERCEPT = "(intercept)"


class MixedError(ValueError):
    """A model, a column or a contrast that can't be used as stated; the text says which and what would be right."""


class TermRefused(MixedError):
    """A random term whose variance can't be told from something else; `term` is its group as stated."""

    def __init__(self, term: str, why: str) -> None:
        super().__init__(why)
        self.term = term


@dataclass(frozen=True)
class RandomSlopes:
    """Intercept and slopes that vary by group.

    Attributes:
        group: column, or `a:b` for each combination that occurs.
        terms: columns whose slope varies (numeric, or a factor of the fixed part).
        correlated: whether intercept and slopes share a full covariance matrix; else each has a variance of its own.
    """

    group: str
    terms: tuple[str, ...]
    correlated: bool = True


@dataclass(frozen=True)
class Model:
    """A linear mixed model in words: what is explained, by what, and what varies at random.

    Attributes:
        response: name of the column of numbers.
        fixed: terms in order; `a:b` is the interaction, main effects are listed when meant; the intercept is always in.
        levels: each factor of the fixed part with its levels in order.
        numeric: columns of the fixed part taken as numbers (not centred).
        coding: `treatment` (the first level is the reference) or `sum` (the last level is minus the sum of the others).
        random: a random intercept for each group named; `a:b` is a group for each combination that occurs.
        random_slopes: intercepts with slopes by group.
    """

    response: str
    fixed: tuple[str, ...] = ()
    levels: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    numeric: tuple[str, ...] = ()
    coding: str = "treatment"
    random: tuple[str, ...] = ()
    random_slopes: tuple[RandomSlopes, ...] = ()

    def __post_init__(self) -> None:
        if self.coding not in ("treatment", "sum"):
            raise MixedError(f"coding is {self.coding!r}; it is 'treatment' or 'sum'")
        for column in self.fixed_columns():
            if column not in self.numeric and column not in self.levels:
                raise MixedError(f"{column!r} stands in the fixed part; give its levels or list it as numeric")
        for factor, names in self.levels.items():
            if len(set(names)) != len(names):
                raise MixedError(f"{factor!r} has a level twice")
            if len(names) < 2 and factor in self.fixed_columns():
                raise MixedError(f"{factor!r} has fewer than two levels; leave it out")

    def fixed_columns(self) -> tuple[str, ...]:
        """Columns of the fixed part (and of the slopes), each once, in order."""
        terms = [*self.fixed, *(term for slopes in self.random_slopes for term in slopes.terms)]
        return tuple(dict.fromkeys(column for term in terms for column in term.split(":")))

    def factors(self) -> tuple[str, ...]:
        """Factors of the fixed part in order."""
        named = dict.fromkeys(column for term in self.fixed for column in term.split(":"))
        return tuple(column for column in named if column not in self.numeric)

    def groups(self) -> tuple[str, ...]:
        """Grouping terms of the random part in order."""
        return (*self.random, *(slopes.group for slopes in self.random_slopes))


@dataclass(frozen=True, eq=False)
class Rows:
    """The complete rows of a data set, as numbers.

    Attributes:
        y: shape (rows,), the response.
        columns: level codes of a factor or values of a numeric column, shape (rows,), by name.
        groups: code of each row's group, shape (rows,), by grouping term.
    """

    y: Array
    columns: Mapping[str, NDArray[Any]]
    groups: Mapping[str, Codes]


def missing(value: object) -> bool:
    """Whether a cell holds nothing: None, an empty field or not-a-number."""
    return value is None or value == "" or (isinstance(value, float) and math.isnan(value))


def numbers(values: Sequence[Any], column: str) -> Array:
    """A column as numbers; a missing cell becomes nan."""
    if isinstance(values, np.ndarray) and values.dtype.kind in "fiu":
        return values.astype(float)
    try:
        return np.array([math.nan if missing(value) else float(value) for value in values])
    except (TypeError, ValueError):
        wrong = next(value for value in values if not missing(value) and not _is_number(value))
        raise MixedError(f"column {column!r} holds {str(wrong)[:40]!r}, which is not a number") from None


def _is_number(value: Any) -> bool:
    try:
        float(value)
    except (TypeError, ValueError):
        return False
    return True


def codes_in_order(values: Sequence[Any]) -> Codes:
    """Codes of a grouping column in order of its sorted names; -1 where missing."""
    found = dict.fromkeys(values)
    names = sorted({str(value) for value in found if not missing(value)})
    rank = {name: i for i, name in enumerate(names)}
    lookup = {value: -1 if missing(value) else rank[str(value)] for value in found}
    return np.fromiter((lookup[value] for value in values), dtype=np.intp, count=len(values))


def codes_of_levels(values: Sequence[Any], levels: Sequence[str], column: str) -> Codes:
    """Codes of a factor in the order of its stated levels; -1 where missing."""
    rank = {name: i for i, name in enumerate(levels)}
    lookup: dict[Any, int] = {}
    for value in dict.fromkeys(values):
        if missing(value):
            lookup[value] = -1
        elif str(value) in rank:
            lookup[value] = rank[str(value)]
        else:
            known = ", ".join(levels)[:120]
            raise MixedError(f"column {column!r} holds {str(value)[:40]!r}, not one of its levels {known}")
    return np.fromiter((lookup[value] for value in values), dtype=np.intp, count=len(values))


def combined(codes: Sequence[Codes]) -> Codes:
    """One code for each combination of codes that occurs, in order of the first column, then the next."""
    joint = codes[0]
    for more in codes[1:]:
        joint = joint * (int(more.max(initial=0)) + 1) + more
    return np.unique(joint, return_inverse=True)[1].astype(np.intp)


def plain(values: Any) -> Any:
    """A column as a list or a numeric array, whatever sequence it came as."""
    if isinstance(values, np.ndarray) and values.dtype.kind in "fiu":
        return values
    return values.tolist() if hasattr(values, "tolist") else list(values)


def complete_rows(data: Mapping[str, Sequence[Any]], model: Model) -> Rows:
    """Leave out rows that miss the response or anything in the model, and code what remains.

    Parameters: data, columns of equal length by name; model, which columns are used and how.
    Raises: MixedError, naming the column that is absent, not numeric or holds an unknown level.
    """
    grouping = tuple(dict.fromkeys(part for group in model.groups() for part in group.split(":")))
    for column in (model.response, *model.fixed_columns(), *grouping):
        if column not in data:
            raise MixedError(f"there is no column {column!r}; the columns are {', '.join(map(str, data))[:150]}")
    y = numbers(plain(data[model.response]), model.response)
    columns: dict[str, NDArray[Any]] = {}
    for column in model.fixed_columns():
        values = plain(data[column])
        columns[column] = numbers(values, column) if column in model.numeric else codes_of_levels(values, model.levels[column], column)
    parts = {column: codes_in_order(list(plain(data[column]))) for column in grouping}
    keep = np.isfinite(y)
    for column, coded in {**parts, **columns}.items():
        if len(coded) != len(y):
            raise MixedError(f"column {column!r} has {len(coded)} rows, {model.response!r} has {len(y)}")
        keep &= np.isfinite(coded) if coded.dtype.kind == "f" else coded >= 0
    if not keep.any():
        raise MixedError("no row has the response and everything in the model")
    groups = {g: combined([parts[part][keep] for part in g.split(":")]) for g in dict.fromkeys(model.groups())}
    return Rows(y[keep], {name: coded[keep] for name, coded in columns.items()}, groups)


def contrast_matrix(levels: int, coding: str) -> Array:
    """Coding of a factor, shape (levels, columns): `treatment`, `sum` or `full` (an indicator for each level)."""
    eye = np.eye(levels)
    if coding == "full":
        return eye
    if coding == "treatment":
        return eye[:, 1:]
    coded = eye[:, :-1].copy()
    coded[-1] = -1.0
    return coded


def term_columns(model: Model, term: str, columns: Mapping[str, NDArray[Any]], rows: int, coding: str) -> tuple[Array, list[str]]:
    """Columns and names of one term of the fixed part.

    A factor of an interaction is coded by contrasts where the term without it is in the model, else by an indicator
    for each level, so that the interaction spans what its missing margin would (Chambers & Hastie 1992, sec. 2.4.1).
    """
    present: set[frozenset[str]] = {frozenset(other.split(":")) for other in model.fixed} | {frozenset()}
    parts = term.split(":")
    matrix, names = np.ones((rows, 1)), [""]
    for column in parts:
        if column in model.numeric:
            block, labels = np.asarray(columns[column], float)[:, None], [column]
        else:
            levels = model.levels[column]
            kind = coding if frozenset(parts) - {column} in present else "full"
            block = contrast_matrix(len(levels), kind)[columns[column]]
            shown = {"full": levels, "treatment": levels[1:], "sum": levels[:-1]}[kind]
            labels = [f"{column}[{level}]" for level in shown]
        matrix = (block[:, :, None] * matrix[:, None, :]).reshape(rows, -1)
        names = [f"{old}:{label}" if old else label for label in labels for old in names]
    return matrix, names


def design(model: Model, columns: Mapping[str, NDArray[Any]], rows: int, coding: str | None = None) -> tuple[Array, list[str], list[int]]:
    """The fixed part's design matrix, its column names, and the term each column belongs to (-1 the intercept)."""
    blocks, names, owner = [np.ones((rows, 1))], [INTERCEPT], [-1]
    for i, term in enumerate(model.fixed):
        block, labels = term_columns(model, term, columns, rows, coding or model.coding)
        blocks.append(block)
        names += labels
        owner += [i] * len(labels)
    return np.hstack(blocks), names, owner


def independent_columns(X: Array, tolerance: float = 1e-7) -> list[int]:
    """Columns of X that aren't linear combinations of earlier ones, in order (modified Gram–Schmidt)."""
    kept: list[int] = []
    basis = np.empty((X.shape[0], 0))
    for j in range(X.shape[1]):
        column = X[:, j]
        size = math.sqrt(column @ column)
        if size == 0.0:
            continue
        left = column / size
        for _ in range(2):
            left = left - basis @ (basis.T @ left)
        remains = math.sqrt(left @ left)
        if remains > tolerance:
            basis = np.column_stack([basis, left / remains])
            kept.append(j)
    return kept
