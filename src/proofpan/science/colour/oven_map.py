"""A tray of sliced bread, toasted and photographed: which places of an oven brown more, each with its interval."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..reading import t_quantile
from .errors import ColourError
from .measure import ColourReading

MOST_PLACES = 6
LEVEL = 0.95


@dataclass(frozen=True)
class PlaceBrowning:
    """One place of a tray: row from the back, column from the left (0 first), slices on it, how much darker than the tray's mean they are.

    In L*, with a 95 % interval: unbounded where slices can't say how they differ.
    """

    row: int
    column: int
    slices: int
    darker: float
    low: float
    high: float


@dataclass(frozen=True)
class OvenMap:
    """A tray's places, back row first and left first.

    Attributes:
        rows, columns: how the places lie.
        places: what each does.
        spread, spread_low, spread_high: darkest less palest place, L*, with a 95 % interval that allows for having looked at all pairs.
        light_parted: whether the light across the photograph was told from the oven (by a photograph of the tray turned round).
        how: one sentence.
        warnings: sentences.
    """

    rows: int
    columns: int
    places: tuple[PlaceBrowning, ...]
    spread: float
    spread_low: float
    spread_high: float
    light_parted: bool
    how: str
    warnings: tuple[str, ...]

    @property
    def uneven(self) -> bool:
        """Whether places were told apart."""
        return self.spread_low > 0


def map_oven(bakes: Sequence[Sequence[tuple[ColourReading, bool]]], rows: int, columns: int) -> OvenMap:
    """Which places brown more, from photographs of trays covered with slices of one loaf.

    Parameters: bakes, of each tray of bread its photographs, door side at the bottom, and whether the tray was turned round (by half, on the table)
        before it was taken; rows, columns, how the places lie on the tray, 1 to 6 each.

    Raises: ColourError for a layout that can't be, a place without a slice, or photographs of one tray that don't show the same slices.

    Method: a slice's lightness is the mean over its tray's photographs; with the tray photographed both ways round, light that falls off to one side
        falls off to either and cancels. Slices by least squares on tray and place (effects that add up to nothing). Student's intervals; the
        spread's is Bonferroni's over all pairs of places (Dunn 1961, J. Am. Stat. Assoc. 56:52).
    """
    if not (1 <= rows <= MOST_PLACES and 1 <= columns <= MOST_PLACES) or rows * columns < 2:
        raise ColourError("Places lie in 1 to 6 rows and 1 to 6 columns, two places at least, such as 2x3.")
    if not bakes or not all(bakes):
        raise ColourError("Name a photograph of a tray of sliced bread.")
    slices = [_slices_of(photographs) for photographs in bakes]
    bake = np.repeat(np.arange(len(bakes)), [len(s) for s in slices])
    stood = np.concatenate(slices)
    row, column = (np.minimum((stood[:, i] * n).astype(np.int64), n - 1) for i, n in ((0, rows), (1, columns)))
    place, lightness = row * columns + column, stood[:, 2]
    counts = np.bincount(place, minlength=rows * columns)
    if not counts.all():
        empty = divmod(int(np.argmin(counts)), columns)
        raise ColourError(f"No slice lies in row {empty[0] + 1} from the back, column {empty[1] + 1} from the left: cover every place with bread, "
                          "or name fewer places.")
    effects, cov, df = _fit(bake, place, lightness, len(bakes), rows * columns)
    sd = np.sqrt(np.maximum(np.diag(cov), 0.0))
    reach = t_quantile(df) * sd if df else np.full(len(sd), math.inf)
    places = tuple(
        PlaceBrowning(*divmod(p, columns), int(counts[p]), -float(effects[p]), float(-effects[p] - reach[p]), float(-effects[p] + reach[p]))
        for p in range(rows * columns)
    )
    readings = [r for photographs in bakes for r, _ in photographs]
    parted = all(len({turned for _, turned in photographs}) == 2 for photographs in bakes)
    spread, low, high = _spread(effects, cov, df)
    how = f"{len(lightness)} slices, {len(readings)} photograph{'s' * (len(readings) > 1)}; {readings[0].balances[0].says}"
    return OvenMap(rows, columns, places, spread, low, high, parted, how, _warnings(readings, parted, df))


def _slices_of(photographs: Sequence[tuple[ColourReading, bool]]) -> NDArray[np.float64]:
    """Of each slice of one tray: share of the way from the back and from the left, and its lightness over all photographs."""
    first, *others = [_slices(reading, turned) for reading, turned in photographs]
    total = first[:, 2].copy()
    for other in others:
        apart = np.hypot(*(first[:, None, :2] - other[None, :, :2]).transpose(2, 0, 1))
        same = apart.argmin(1)
        if len(other) != len(first) or len(set(same.tolist())) != len(first):
            raise ColourError(f"The photographs of one tray don't show the same slices: {len(first)} in one, {len(other)} in the other. "
                              "Leave the slices as they lie, with all of the tray in the picture.")
        total += other[same, 2]
    return np.column_stack([first[:, :2], total / len(photographs)])


def _slices(reading: ColourReading, turned: bool) -> NDArray[np.float64]:
    from scipy import ndimage

    if reading.labels is None:
        raise ColourError("A map is made from photographs one at a time.")
    known = [p.label for p in reading.pieces]
    centres = np.array(ndimage.center_of_mass(reading.labels > 0, reading.labels, known))
    on = np.nonzero(np.isin(reading.labels, known))
    start, end = np.min(on, axis=1), np.max(on, axis=1)
    share = (centres - start) / np.maximum(end - start, 1)
    return np.column_stack([1.0 - share if turned else share, [p.lab[0] for p in reading.pieces]])


def _fit(
    bake: NDArray[np.int64], place: NDArray[np.int64], lightness: NDArray[np.float64], bakes: int, places: int,
) -> tuple[NDArray[np.float64], NDArray[np.float64], int]:
    """Effects of the places (adding up to nothing), their covariance, degrees of freedom (0: no covariance)."""
    onto = np.vstack([np.eye(places - 1), -np.ones((1, places - 1))])  # the last place is what makes the sum nothing
    x = np.hstack([np.eye(bakes)[bake], onto[place]])
    inverse = np.linalg.pinv(x.T @ x)
    beta = inverse @ x.T @ lightness
    df = max(len(lightness) - int(np.linalg.matrix_rank(x)), 0)
    variance = float(((lightness - x @ beta) ** 2).sum() / df) if df else 0.0
    mine = slice(bakes, bakes + places - 1)
    return onto @ beta[mine], variance * onto @ inverse[mine, mine] @ onto.T, df


def _spread(effects: NDArray[np.float64], cov: NDArray[np.float64], df: int) -> tuple[float, float, float]:
    pale, dark = int(np.argmax(effects)), int(np.argmin(effects))
    value = float(effects[pale] - effects[dark])
    if not df:
        return value, -math.inf, math.inf
    pairs = len(effects) * (len(effects) - 1) / 2
    sd = math.sqrt(max(float(cov[pale, pale] + cov[dark, dark] - 2 * cov[pale, dark]), 0.0))
    reach = t_quantile(df, 1 - (1 - LEVEL) / pairs) * sd
    return value, value - reach, value + reach


def _warnings(readings: Sequence[ColourReading], parted: bool, df: int) -> tuple[str, ...]:
    out = [w for r in readings for w in r.warnings if "piece" not in w.split(":")[0]]
    if not parted:
        out.append("The light across the photograph can't be told from the oven: turn the tray round on the table and photograph it again.")
    if not df:
        out.append("One slice a place can't say how slices differ: lay more slices on a place, or bake a second tray.")
    return tuple(dict.fromkeys(out))
