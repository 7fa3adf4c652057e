"""The 24-patch chart: what its patches are, under D50 as published and under D65 as this room works."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from .errors import ColourError
from .spaces import WHITE_D50, adapt_d50_to_d65_xyz, linear_from_xyz, xyz_from_lab

EDITION = "after November 2014"


@cache
def _rows() -> tuple[dict[str, str], ...]:
    text = (files(__package__) / "chart_24_patch.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def patch_names(edition: str = EDITION) -> tuple[str, ...]:
    """The 24 patches in reading order: four rows of six, dark skin first, black last."""
    return tuple(row["patch"] for row in _rows() if row["edition"] == edition)


def chart_patch_lab(patch: str, edition: str = EDITION) -> NDArray[np.floating]:
    """Published CIELAB of one patch under D50, 2° observer.

    Raises: ColourError, when the patch or the edition isn't in the table.
    Source: chart_24_patch.csv.
    """
    edition = edition.removeprefix("24-patch, ")
    for row in _rows():
        if row["edition"] == edition and row["patch"] == patch:
            return np.array([float(row[key]) for key in ("l_d50", "a_d50", "b_d50")])
    raise ColourError(f"The 24-patch chart ({edition}) has no patch {patch!r}; try 'dark skin' or 'red'.")


@cache
def _chart_linear(edition: str) -> NDArray[np.floating]:
    lab = np.array([chart_patch_lab(name, edition) for name in patch_names(edition)])
    linear = linear_from_xyz(adapt_d50_to_d65_xyz(xyz_from_lab(lab, WHITE_D50)))
    linear.setflags(write=False)
    return linear


def chart_linear(edition: str = EDITION) -> NDArray[np.floating]:
    """Linear sRGB (D65) of the 24 patches, shape (24, 3), in reading order; cyan lies just outside the gamut."""
    return _chart_linear(edition)
