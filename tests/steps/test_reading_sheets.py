"""One scale for all pictures of a sheet, from two marks or a plate."""

import io

import numpy as np
import pytest
from PIL import Image

from proofpan.steps.reading_sheets import Shot, composed, whole_and_cut


def square(side, size=(600, 400)):
    """A brown square of a known side on grey, as PNG."""
    a = np.full((size[1], size[0], 3), 90, np.uint8)
    a[100 : 100 + side, 100 : 100 + side] = (170, 110, 50)
    out = io.BytesIO()
    Image.fromarray(a).save(out, "PNG")
    return out.getvalue()


def brown(row):
    return int(((row[:, 0].astype(int) - row[:, 2]) > 40).sum())


def test_a_square_of_one_size_is_one_size_on_the_sheet_whatever_the_distance():
    # 40 mm is 100 pixels in the first and 200 in the second: a ruler of 100 mm spans as many tenths of each width
    shots = [[Shot(data=square(100), marks=((0.1, 0.9), (0.1 + 250 / 599, 0.9)), mm=100)],
             [Shot(data=square(200), marks=((0.1, 0.9), (0.1 + 500 / 599, 0.9)), mm=100)]]
    png, warnings, scale = composed(shots, None)
    sheet = np.asarray(Image.open(io.BytesIO(png)))
    assert scale is not None and not any("scale" in w for w in warnings)
    left, right = sheet[:, : sheet.shape[1] // 2], sheet[:, sheet.shape[1] // 2 :]
    widths = [max(brown(row) for row in half) for half in (left, right)]
    assert widths[0] == pytest.approx(widths[1], abs=4) and widths[0] == pytest.approx(40 * scale, abs=4)


def test_without_a_ruler_in_every_picture_it_says_so():
    _, warnings, scale = composed([[Shot(data=square(100))]], None)
    assert scale is None and any("Not at one scale" in w for w in warnings)


def test_the_whole_one_comes_first_then_the_cut_one_and_the_last_of_each_counts():
    a, b, c = (Shot(data=bytes([k]), view=v) for k, v in ((1, "cut"), (2, "whole"), (3, "cut")))
    assert whole_and_cut([a, b, c]) == [b, c]
    assert [s.data for s in whole_and_cut([b"x", b"y", b"z"])] == [b"x", b"y"]
