"""Tins and pans: how much more or less batter another one takes at equal depth.

Source: areas of a circle and a rectangle.
"""

import math
from collections.abc import Mapping

from proofpan.science.measures.errors import QuantityError


def base_area_cm2(pan: Mapping[str, float | str]) -> float:
    """Area of the base.

    Args:
        pan: {shape: round, diameter_cm}, {shape: rectangle, length_cm, width_cm} or {shape: square, side_cm}.

    Raises:
        QuantityError: for another shape, or a size that is missing or not above zero.
    """
    sides = {"round": ("diameter_cm",), "rectangle": ("length_cm", "width_cm"), "square": ("side_cm",)}
    shape = str(pan.get("shape"))
    if shape not in sides:
        raise QuantityError(f'A tin of shape "{shape}" is unknown: it would be round, square or rectangle.')
    lengths = [pan.get(side) for side in sides[shape]]
    if not all(isinstance(x, (int, float)) and x > 0 for x in lengths):
        raise QuantityError(f"A {shape} tin needs {' and '.join(sides[shape])} above zero.")
    numbers = [float(x) for x in lengths if x is not None]
    return math.pi * numbers[0] ** 2 / 4 if shape == "round" else numbers[0] * numbers[-1]


def pan_area_factor(old: Mapping[str, float | str], new: Mapping[str, float | str]) -> float:
    """New base area over old: what to multiply a recipe by for the same depth."""
    return base_area_cm2(new) / base_area_cm2(old)


def pan_volume_factor(old: Mapping[str, float | str], new: Mapping[str, float | str]) -> float:
    """New volume over old, both with depth_cm: for filling to the same fraction."""
    depths = [pan.get("depth_cm") for pan in (old, new)]
    if not all(isinstance(x, (int, float)) and x > 0 for x in depths):
        raise QuantityError("Both tins need depth_cm above zero.")
    return pan_area_factor(old, new) * float(depths[1] or 0) / float(depths[0] or 1)
