"""Pieces of food → CIELAB, browning, evenness, over-browned share, with intervals; and the difference of two trials."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ..reading import Reading, mean_reading
from .balance import Balance, Point, grey_card, no_balance, patch_chart, white_plate
from .difference import ciede2000, ciede2000_terms
from .errors import ColourError
from .indices import BROWNING_VARIANT, browning_index
from .photograph import Photograph, Scene, scene
from .segment import segment
from .spaces import lab_from_linear, lab_to_srgb_8bit

OVER_BROWNED_LIGHTNESS = 42.0  # common practice, no source: a dark brown crust; set it by your own picture of "too dark"
ACRYLAMIDE_CAUTION = (
    "Dark browning of starchy food raises acrylamide: aim for golden, not brown, and don't serve the dark parts; follow your "
    "local food-safety authority."
)


@dataclass(frozen=True)
class Piece:
    """One piece of food.

    Attributes:
        label: its number in the labels.
        area_share: of the photograph.
        lab: mean L*, a*, b*.
        browning_index: of the mean.
        evenness_de: mean ΔE00 of its pixels from its mean; 0 is perfectly even.
        over_browned_share: 0–1, pixels darker than the limit.
        clipped_share: 0–1, pixels left out since they ran into white.
    """

    label: int
    area_share: float
    lab: tuple[float, float, float]
    browning_index: float
    evenness_de: float
    over_browned_share: float
    clipped_share: float


@dataclass(frozen=True, eq=False)
class ColourReading:
    """One trial's colour, D65 and the 2° observer.

    Attributes:
        readings: by name: lightness, a, b, chroma, browning_index, evenness_de, between_pieces_de, over_browned_percent; each a
            mean over pieces with a 95 % interval and error_sd (the reference's own error is in it).
        pieces: in order.
        labels: shape (rows, columns) of the scene, 0 = not food; none where several photographs were joined.
        balances: how each photograph was balanced.
        how: one sentence.
        warnings: sentences.
        caution: on acrylamide, where any of it is over-browned; else empty.
    """

    readings: Mapping[str, Reading]
    pieces: tuple[Piece, ...]
    labels: NDArray[np.int32] | None
    balances: tuple[Balance, ...]
    how: str
    warnings: tuple[str, ...]
    caution: str


def find_balance(
    of: Scene, reference: str | None = None, points: Sequence[Point] | None = None, reflectance: float | None = None
) -> Balance:
    """Balance a scene on what is named, or on the best thing found: chart, then grey card, then plate, then none.

    Parameters: reference, "24-patch chart", "grey card", "white plate", "none" or None; points, taps on it.
    Raises: ColourError, where the named reference isn't found.
    """
    how = {} if reflectance is None else {"reflectance": reflectance}
    if reference == "24-patch chart":
        return patch_chart(of, points)
    if reference == "grey card":
        return grey_card(of, points, **how)
    if reference == "white plate":
        return white_plate(of, points, **how)
    if reference == "none":
        return no_balance(of)
    if reference is not None:
        raise ColourError(f"{reference!r} isn't a reference; use grey card, white plate, 24-patch chart or none.")
    for attempt in (patch_chart, grey_card, white_plate):
        try:
            return attempt(of)
        except ColourError:
            continue
    return no_balance(of)


def _pieces(lab: NDArray[np.floating], of: Scene, labels: NDArray[np.int32], limit: float) -> list[Piece]:
    from scipy import ndimage

    inner = ndimage.binary_erosion(labels > 0, iterations=2)  # edges hold shadow and tray
    found = []
    for k in range(1, int(labels.max()) + 1):
        whole = labels == k
        here = whole & inner
        here = here if here.any() else whole
        usable = here & ~of.clipped
        clipped = 1 - usable.sum() / here.sum()
        if clipped > 0.9:
            continue
        pixels = lab[usable].astype(float)
        mean = pixels.mean(axis=0)
        thinned = pixels[:: max(len(pixels) // 20000, 1)]
        found.append(
            Piece(
                label=k,
                area_share=float(whole.mean()),
                lab=(float(mean[0]), float(mean[1]), float(mean[2])),
                browning_index=float(browning_index(mean)),
                evenness_de=float(ciede2000(thinned, mean).mean()),
                over_browned_share=float((pixels[:, 0] < limit).mean()),
                clipped_share=float(clipped),
            )
        )
    return found


def measure(
    photograph: Photograph | NDArray[np.uint8],
    *,
    reference: str | None = None,
    reference_points: Sequence[Point] | None = None,
    reflectance: float | None = None,
    include: Sequence[Point] = (),
    exclude: Sequence[Point] = (),
    split_touching: bool = False,
    over_browned_below: float = OVER_BROWNED_LIGHTNESS,
) -> ColourReading:
    """Measure the colour of the pieces in one photograph.

    Parameters:
        reference: see `find_balance`; reference_points, taps on it (for a chart its four corners).
        include, exclude, split_touching: see `segment`.
        over_browned_below: L* under which a pixel is over-browned.
    Raises: ColourError, where no reference that was named or no food is found.
    Source: docs/method/colour.md.
    """
    of = scene(photograph)
    balance = find_balance(of, reference, reference_points, reflectance)
    lab = lab_from_linear(balance.apply(of.linear))
    labels = segment(of, balance, lab, include=include, exclude=exclude, split_touching=split_touching)
    pieces = _pieces(lab, of, labels, over_browned_below)
    if not pieces:
        raise ColourError("All of the food ran into white; take the photograph again, darker.")
    notes = photograph.notes if isinstance(photograph, Photograph) else ()
    return _reading(pieces, labels, (balance,), over_browned_below, notes)


def join(readings: Sequence[ColourReading], over_browned_below: float = OVER_BROWNED_LIGHTNESS) -> ColourReading:
    """One trial from several photographs: all their pieces, each photograph's reference error shared by its pieces."""
    if not readings:
        raise ColourError("There is no photograph of this trial.")
    pieces = [p for r in readings for p in r.pieces]
    balances = tuple(b for r in readings for b in r.balances)
    kept = tuple(w for r in readings for w in r.warnings if "piece" not in w.split(":")[0])
    return _reading(pieces, None, balances, over_browned_below, kept)


def _reading(
    pieces: Sequence[Piece],
    labels: NDArray[np.int32] | None,
    balances: tuple[Balance, ...],
    limit: float,
    notes: Sequence[str],
) -> ColourReading:
    lab = np.array([p.lab for p in pieces])
    # independent references average out; one reference doesn't
    sd = np.sqrt(np.mean([np.square(b.lab_sd) for b in balances], axis=0) / len(balances))
    centre = lab.mean(axis=0)
    steps = np.eye(3) * 0.01
    slope = [(browning_index(centre + s) - browning_index(centre - s)) / 0.02 for s in steps]
    browning_sd = math.sqrt(float(np.nansum((np.array(slope) * sd) ** 2)))
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    observer = f"CIELAB, D65, 2° observer; {balances[0].says}"
    figures = {
        "lightness": (lab[:, 0], "", observer, sd[0]),
        "a": (lab[:, 1], "", observer, sd[1]),
        "b": (lab[:, 2], "", observer, sd[2]),
        "chroma": (chroma, "", observer, float(np.hypot(sd[1], sd[2]) / math.sqrt(2))),
        "browning_index": ([p.browning_index for p in pieces], "", f"{BROWNING_VARIANT}; {observer}", browning_sd),
        "evenness_de": ([p.evenness_de for p in pieces], "ΔE00", "mean ΔE00 of a piece's pixels from its mean", 0.0),
        "between_pieces_de": (ciede2000(lab, centre), "ΔE00", "mean ΔE00 of the pieces from their common mean", 0.0),
        "over_browned_percent": (
            [100 * p.over_browned_share for p in pieces], "%", f"pixels with L* under {limit:g}; {observer}", 0.0,
        ),
    }  # fmt: skip
    readings = {
        name: mean_reading(name, list(values), unit=unit, how=how, instrument_sd=float(extra))
        for name, (values, unit, how, extra) in figures.items()
        if not (name == "between_pieces_de" and len(pieces) < 2)
    }
    warnings = [*notes, *(w for b in balances for w in b.warnings)]
    if len(pieces) < 3:
        warnings.append(f"{len(pieces)} piece{'s' * (len(pieces) > 1)}: take at least three a trial; the interval says so.")
    shiny = sum(p.clipped_share > 0.02 for p in pieces)
    if shiny:
        warnings.append(f"Highlights that ran into white were left out of {shiny} of {len(pieces)} pieces.")
    dark = any(p.over_browned_share > 0.01 for p in pieces)
    how = f"{len(pieces)} pieces; {observer}"
    return ColourReading(
        MappingProxyType(readings),
        tuple(pieces),
        labels,
        balances,
        how,
        tuple(dict.fromkeys(warnings)),
        ACRYLAMIDE_CAUTION if dark else "",
    )


def difference(one: ColourReading, two: ColourReading, *, same_light: bool = False) -> Reading:
    """ΔE00 between two trials' mean colours, with a 95 % interval over pieces.

    A distance can't be negative, so noise alone makes it positive: the interval is that of the non-centrality of F, and
    starts at 0 where the trials can't be told apart.
    Parameters: same_light, both in one photograph, so that the reference's error is shared and cancels.
    Source: pieces' differences linearised about the common mean (Sharma et al. 2005, terms of ΔE00); quadratic form matched
        by a scaled F after Box 1954, Annals of Mathematical Statistics 25:290–302; non-central F inverted (scipy.special).
    """
    from scipy.special import ncfdtr

    lab_1, lab_2 = np.array([p.lab for p in one.pieces]), np.array([p.lab for p in two.pieces])
    mean_1, mean_2 = lab_1.mean(axis=0), lab_2.mean(axis=0)
    value = float(ciede2000(mean_1, mean_2))
    n1, n2 = len(lab_1), len(lab_2)
    df = n1 + n2 - 2
    how = f"ΔE00 (kL = kC = kH = 1) of the mean colours of {n1} and {n2} pieces"
    if df < 1:
        note = f"{how}; one piece each speaks for those pieces: take three a trial"
        return Reading("colour difference", value, 0.0, math.inf, math.inf, "ΔE00", n1 + n2, note)
    middle = (mean_1 + mean_2) / 2
    terms, rotation = ciede2000_terms(middle, np.vstack([lab_1, lab_2]))
    # l² + c² + h² + R·c·h as a length: R is that of the common mean
    metric = np.eye(3)
    metric[1, 2] = metric[2, 1] = float(np.mean(rotation)) / 2
    places = terms @ np.linalg.cholesky(metric)
    inner = np.vstack([places[:n1] - places[:n1].mean(axis=0), places[n1:] - places[n1:].mean(axis=0)])
    spread = inner.T @ inner / df * (1 / n1 + 1 / n2)
    if not same_light:
        shared = np.mean([np.square(b.lab_sd) for r in (one, two) for b in r.balances], axis=0)
        moved, _ = ciede2000_terms(middle, middle + np.diag(np.sqrt(shared * (1 / len(one.balances) + 1 / len(two.balances)))))
        root = moved @ np.linalg.cholesky(metric)
        spread = spread + root.T @ root
    total = float(np.trace(spread))
    if total <= 0:
        return Reading("colour difference", value, value, value, 0.0, "ΔE00", n1 + n2, how)
    dimensions = total**2 / float(np.trace(spread @ spread))
    statistic = value**2 / total
    low, high = (_non_centrality(p, dimensions, dimensions * df, statistic, ncfdtr) for p in (0.975, 0.025))
    unit = math.sqrt(total / dimensions)
    return Reading("colour difference", value, unit * math.sqrt(low), unit * math.sqrt(high), unit, "ΔE00", n1 + n2, how)


def _non_centrality(p: float, df_1: float, df_2: float, statistic: float, cdf: object) -> float:
    """The non-centrality at which an F as small as this has probability p; 0 where even the central one has less."""
    from scipy.optimize import brentq

    assert callable(cdf)
    if cdf(df_1, df_2, 0.0, statistic) <= p:
        return 0.0
    top = 10.0 + 4 * df_1 * statistic
    while cdf(df_1, df_2, top, statistic) > p and top < 1e7:
        top *= 2
    return float(brentq(lambda nc: cdf(df_1, df_2, nc, statistic) - p, 0.0, top, xtol=1e-6))


def swatch_strip(colours: Sequence[Sequence[float]], *, height: int = 80, width: int = 120) -> NDArray[np.uint8]:
    """A strip of flat colours in sRGB, one a CIELAB triple, left to right; shape (height, width · n, 3)."""
    if not len(colours):
        raise ColourError("A swatch strip needs at least one colour.")
    cells = lab_to_srgb_8bit(np.asarray(colours, dtype=float))
    return np.repeat(np.repeat(cells[None], width, axis=1), height, axis=0)
