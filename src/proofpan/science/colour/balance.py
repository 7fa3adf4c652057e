"""White balance and exposure from a grey card, a white plate or a 24-patch chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .chart import EDITION, chart_linear
from .difference import ciede2000
from .errors import ColourError
from .find_chart import chart_points, chart_region, corner_points, grid_step
from .flat import Flat, flat_regions
from .photograph import Scene
from .spaces import lab_from_linear

GREY_REFLECTANCE = 0.18
PLATE_REFLECTANCE = 0.80
# range of ln R, ln G, ln B that a phone's own balance leaves on a neutral under a warm lamp; a wooden board has 0.9 and more
FARTHEST_FROM_NEUTRAL = 0.8
Point = tuple[float, float]
# What a reference can be wrong by, as standard deviations of L*, a*, b*: common practice, no source. A sold card keeps its
# grey to about one unit; an unknown plate's white may be ivory or blue, and anything from 70 to 90 % bright.
_CARD_SD = (1.0, 0.7, 0.7)
_PLATE_SD = (2.5, 1.5, 2.5)
_NONE_SD = (8.0, 6.0, 8.0)


@dataclass(frozen=True, eq=False)
class Balance:
    """A correction of linear RGB.

    Attributes:
        matrix: shape (3, 3); corrected = matrix · linear.
        kind: "grey card", "white plate", "24-patch chart" or "none".
        found: "automatically", "by points", or "" for none.
        region: shape (rows, columns) of the scene, true where the reference lies, so that it isn't taken for food.
        lab_sd: what the reference can be wrong by: standard deviations of L*, a*, b*, shared by all pieces of the photograph.
        residual_de: mean ΔE00 that a chart leaves after the correction; not a number otherwise.
        says: one sentence.
        warnings: sentences.
    """

    matrix: NDArray[np.floating]
    kind: str
    found: str
    region: NDArray[np.bool_]
    lab_sd: tuple[float, float, float]
    residual_de: float
    says: str
    warnings: tuple[str, ...] = ()

    def apply(self, linear: NDArray[np.floating]) -> NDArray[np.floating]:
        """Corrected linear RGB, shape kept; negative values are cut at 0."""
        return np.maximum(linear @ self.matrix.T.astype(linear.dtype), 0)


def no_balance(scene: Scene) -> Balance:
    """The photograph as the phone made it: its colours compare within one photograph only."""
    says = "no reference in the photograph: colours as the phone balanced them"
    warning = "Without a grey card, white plate or chart, colours compare only within one photograph."
    return Balance(np.eye(3), "none", "", np.zeros(scene.clipped.shape, bool), _NONE_SD, float("nan"), says, (warning,))


def _disc(scene: Scene, points: Sequence[Point], radius: int = 3) -> NDArray[np.bool_]:
    """Scene pixels within a few of each point."""
    region = np.zeros(scene.clipped.shape, dtype=bool)
    for r, c in scene.at(points):
        region[max(r - radius, 0) : r + radius + 1, max(c - radius, 0) : c + radius + 1] = True
    return region


def _neutral(scene: Scene, region: NDArray[np.bool_], reflectance: float, kind: str, found: str) -> Balance:
    usable = region & ~scene.clipped
    share = 1 - usable.sum() / max(region.sum(), 1)
    if share > 0.5:
        raise ColourError(f"The {kind} is overexposed: {share:.0%} of it ran into white. Take the photograph again, darker.")
    mean = scene.linear[usable].mean(axis=0)
    if mean.min() < 0.002:
        raise ColourError(f"The {kind} is too dark to balance by; take the photograph in better light.")
    # the plain mean of a big plate is its middle brightness; a card is flat
    matrix = np.diag(reflectance / mean.astype(float))
    uneven = np.quantile(scene.linear[usable].mean(axis=1), [0.1, 0.9])
    warnings = []
    if uneven[1] > 1.25 * uneven[0]:
        warnings.append(f"The light falls off by {1 - uneven[0] / uneven[1]:.0%} across the {kind}: lightness varies with place.")
    if share > 0.02:
        warnings.append(f"{share:.0%} of the {kind} ran into white and was left out.")
    sd = _CARD_SD if kind == "grey card" else _PLATE_SD
    says = f"balanced on the {kind} ({found}), taken as {reflectance:.0%} reflecting and neutral; compare under one lamp"
    return Balance(matrix, kind, found, region, sd, float("nan"), says, tuple(warnings))


def _mask(scene: Scene, flat: Flat) -> NDArray[np.bool_]:
    region = np.zeros(scene.clipped.shape, dtype=bool)
    region[flat.mask_rows, flat.mask_columns] = True
    return region


def grey_card(scene: Scene, points: Sequence[Point] | None = None, reflectance: float = GREY_REFLECTANCE) -> Balance:
    """Balance on a grey card, tapped at `points` (x, y in the photograph's pixels) or found.

    Found is the flat rectangle of 0.5–15 % of the picture nearest to neutral, neither white nor black.
    Raises: ColourError, where none is found or it is overexposed.
    """
    if points:
        return _neutral(scene, _disc(scene, points), reflectance, "grey card", "by points")
    whole = scene.clipped.size
    fit = []
    for flat in flat_regions(scene, smallest=int(0.005 * whole)):
        if flat.area > 0.15 * whole or flat.clipped_share > 0.1 or not 0.01 < flat.linear.mean() < 0.6:
            continue
        if flat.saturation < FARTHEST_FROM_NEUTRAL and flat.rectangularity() > 0.86:
            fit.append(flat)
    if not fit:
        raise ColourError("No grey card was found in the photograph; tap it.")
    return _neutral(scene, _mask(scene, min(fit, key=lambda f: f.saturation)), reflectance, "grey card", "automatically")


def white_plate(scene: Scene, points: Sequence[Point] | None = None, reflectance: float = PLATE_REFLECTANCE) -> Balance:
    """Balance on a white plate, tapped or found: the brightest nearly neutral flat region of at least 2 % of the picture.

    Raises: ColourError, where none is found or it is overexposed.
    """
    if points:
        return _neutral(scene, _disc(scene, points), reflectance, "white plate", "by points")
    # a grey tray is neutral too, but not bright
    usual = float(np.quantile(scene.linear[::4, ::4].mean(axis=2), 0.5))
    fit = [
        flat
        for flat in flat_regions(scene, smallest=int(0.02 * scene.clipped.size))
        if flat.clipped_share > 0.5 or (flat.saturation < FARTHEST_FROM_NEUTRAL and flat.linear.mean() > max(0.25, usual))
    ]
    if not fit:
        raise ColourError("No white plate was found in the photograph; tap it.")
    # brightness in the weakest channel: under any lamp a white is brighter there than a colour is
    best = max(fit, key=lambda f: 1.0 if f.clipped_share > 0.5 else float(f.linear.min()))
    return _neutral(scene, _mask(scene, best), reflectance, "white plate", "automatically")


def patch_chart(scene: Scene, corners: Sequence[Point] | None = None, edition: str = EDITION) -> Balance:
    """Balance on a 24-patch chart, found, or with the centres of its corner patches tapped.

    Parameters: corners, (x, y) of dark skin, bluish green, black and white, in this order, clockwise.
    Returns: a 3 × 3 correction by least squares over the patches, relative to each patch's brightness.
    Raises: ColourError, where no chart is found, or what was found doesn't look like one (mean ΔE00 over 8 after the fit).
    Source: linear colour correction from a chart: common practice, no source; patches: chart_24_patch.csv.
    """
    found = "by points" if corners else "automatically"
    points = corner_points(scene.at(corners)) if corners else chart_points(scene)
    if points is None:
        raise ColourError("No 24-patch chart was found in the photograph; tap its four corner patches.")
    reach = max(int(0.22 * grid_step(points)), 1)
    measured, usable = np.empty((24, 3)), np.ones(24, dtype=bool)
    for i, (r, c) in enumerate(np.rint(points).astype(int)):
        part = np.s_[max(r - reach, 0) : r + reach + 1, max(c - reach, 0) : c + reach + 1]
        if scene.clipped[part].size == 0:
            raise ColourError("A patch of the chart lies outside the photograph; take it again with the whole chart.")
        measured[i] = scene.linear[part].reshape(-1, 3).mean(axis=0)
        usable[i] = not scene.clipped[part].any()
    region = chart_region(points, scene.clipped.shape)
    if usable.sum() < 12:
        raise ColourError("Most of the chart ran into white; take the photograph again, darker.")
    reference = chart_linear(edition)
    weight = 1 / (reference.mean(axis=1, keepdims=True) + 0.03)
    matrix = np.linalg.lstsq((measured * weight)[usable], (reference * weight)[usable], rcond=None)[0].T
    want = lab_from_linear(np.maximum(reference, 0))[usable]
    got = lab_from_linear(np.maximum(measured @ matrix.T, 0))[usable]
    residual = ciede2000(want, got)
    if residual.mean() > 8:
        raise ColourError("What looks like a chart doesn't have the 24 patches' colours; tap its four corner patches in order.")
    sd = np.sqrt(((want - got) ** 2).mean(axis=0))
    says = f"balanced on the 24-patch chart ({edition}; {found}); it is left with ΔE00 {residual.mean():.1f} on average"
    return Balance(matrix, "24-patch chart", found, region, (float(sd[0]), float(sd[1]), float(sd[2])), float(residual.mean()), says)
