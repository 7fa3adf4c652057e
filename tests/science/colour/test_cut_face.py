"""Crumbs drawn with known pores."""

import numpy as np
import pytest
from scipy import ndimage

from proofpan.science.colour import ColourError, Scale, cut_face, scale_from_marker
from proofpan.science.colour.spaces import srgb_from_linear

from .table import linear_of

PX = 20.0
SCALE = Scale(PX, 0.1, "made so")


def crumb(diameters_mm, seed=0, size=700, touching=False, light=0.0, noise=0.01):
    """Round dark pores that don't touch (or just do, in pairs) in a pale crumb; returns the picture and its true porosity."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[:size, :size]
    pore = np.zeros((size, size), bool)
    taken = []
    for d in diameters_mm:
        r = d * PX / 2
        for _ in range(400):
            cx, cy = rng.uniform(r + 4, size - r - 4, 2)
            if all(np.hypot(cx - a, cy - b) > r + q + 5 for a, b, q in taken):
                taken.append((cx, cy, r))
                pore |= np.hypot(x - cx, y - cy) < r
                break
    linear = np.where(pore[..., None], linear_of((35.0, 5.0, 15.0)), linear_of((80.0, 2.0, 20.0)))
    linear = linear * (1 + light * (x / size - 0.5))[..., None]
    linear = ndimage.gaussian_filter(linear, (0.8, 0.8, 0)) + rng.normal(0, noise, linear.shape) * linear
    picture = np.rint(np.clip(srgb_from_linear(np.clip(linear, 0, 1)), 0, 1) * 255).astype(np.uint8)
    return picture, 100 * pore.mean(), len(taken)


@pytest.mark.parametrize("light", [0.0, 0.8])
def test_porosity_number_and_size_of_known_pores(light):
    picture, porosity, count = crumb([1.5] * 40 + [3.0] * 10, light=light)
    face = cut_face(picture, SCALE)
    assert face.readings["porosity_percent"].value == pytest.approx(porosity, rel=0.05)
    assert face.readings["porosity_percent"].low < porosity < face.readings["porosity_percent"].high
    assert len(face.diameters_mm) == count
    mean = (40 * 1.5 + 10 * 3.0) / 50
    assert face.readings["cell_diameter_mm"].value == pytest.approx(mean, rel=0.05)
    assert face.readings["cells_per_cm2"].value == pytest.approx(count / 3.5**2, rel=0.05)


def test_two_pores_that_touch_are_two_cells():
    y, x = np.mgrid[:400, :400]
    pore = (np.hypot(x - 150, y - 200) < 55) | (np.hypot(x - 250, y - 200) < 55)
    linear = np.where(pore[..., None], linear_of((35.0, 5.0, 15.0)), linear_of((80.0, 2.0, 20.0)))
    picture = np.rint(srgb_from_linear(linear) * 255).astype(np.uint8)
    face = cut_face(picture, SCALE)
    assert len(face.diameters_mm) == 2
    assert face.diameters_mm == pytest.approx([110 / PX] * 2, rel=0.05)


def test_the_scale_comes_from_two_taps_with_its_error():
    scale = scale_from_marker((100, 100), (100, 700), 30.0)
    assert scale.px_per_mm == 20 and scale.error_sd == pytest.approx(np.sqrt(2) * 1.5 / 30)
    wide = Scale(PX, 2.0, "a careless tap")
    picture, _, _ = crumb([2.0] * 24)
    fine, rough = (cut_face(picture, s).readings["cell_diameter_mm"].error_sd for s in (SCALE, wide))
    assert rough > 5 * fine
    with pytest.raises(ColourError, match="further apart"):
        scale_from_marker((0, 0), (5, 0), 10)
    with pytest.raises(ColourError, match="positive"):
        scale_from_marker((0, 0), (500, 0), 0)


def test_pores_cut_by_the_edge_count_for_porosity_not_for_size():
    picture, _, count = crumb([3.0] * 20, seed=3)
    cropped = cut_face(picture, SCALE, crop=(0, 0, 350, 350))
    assert len(cropped.diameters_mm) < count and cropped.readings["porosity_percent"].value > 0


def test_a_face_without_pores_and_a_wrong_crop_are_refused():
    with pytest.raises(ColourError, match="No pore"):
        cut_face(np.full((200, 200, 3), 200, np.uint8), SCALE)
    with pytest.raises(ColourError, match="crop"):
        cut_face(np.full((200, 200, 3), 200, np.uint8), SCALE, crop=(0, 0, 500, 100))


def test_one_face_is_said_to_speak_for_its_piece():
    picture, _, _ = crumb([2.0] * 24)
    assert any("speaks for its piece" in w for w in cut_face(picture, SCALE).warnings)
