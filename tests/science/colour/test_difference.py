"""CIELAB and colour differences against published pairs, the standard and general libraries."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science import colour

# Sharma, Wu & Dalal 2005, table 1, all 34 pairs (read from the colour-science library's test, which leaves pair 14 to platforms)
with open(Path(__file__).parent / "sharma_2005_table_1.csv", encoding="utf-8") as file:
    PAIRS = [tuple(map(float, row)) for row in list(csv.reader(file))[1:]]

triple = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


def test_all_thirty_four_published_pairs_are_here():
    assert [row[0] for row in PAIRS] == list(range(1, 35))


@pytest.mark.parametrize("row", PAIRS, ids=lambda r: f"pair {r[0]:.0f}")
def test_ciede2000_gives_the_published_difference_both_ways(row):
    assert colour.ciede2000(row[1:4], row[4:7]) == pytest.approx(row[7], abs=5.1e-5)
    assert colour.ciede2000(row[4:7], row[1:4]) == pytest.approx(row[7], abs=5.1e-5)


def test_the_pairs_in_one_array_are_the_pairs_one_by_one():
    pairs = np.array(PAIRS)
    whole = colour.ciede2000(pairs[:, 1:4], pairs[:, 4:7])
    assert whole == pytest.approx([float(colour.ciede2000(p[1:4], p[4:7])) for p in pairs], abs=1e-12)


@given(triple, triple)
@settings(deadline=None, max_examples=60)
def test_ciede2000_agrees_with_scikit_image(one, two):
    from skimage.color import deltaE_ciede2000

    apart = abs(abs(np.degrees(np.arctan2(one[2], one[1]) - np.arctan2(two[2], two[1]))) - 180)
    if apart > 1e-3:  # on the branch itself libraries differ by the last bit (pair 14)
        assert colour.ciede2000(one, two) == pytest.approx(float(deltaE_ciede2000(one, two)), abs=1e-6)


@given(st.tuples(*[st.integers(0, 255)] * 3))
@settings(deadline=None, max_examples=60)
def test_srgb_goes_to_lab_as_in_scikit_image_and_comes_back(rgb):
    from skimage.color import rgb2lab

    ours = colour.srgb_to_lab(rgb)
    assert ours == pytest.approx(rgb2lab(np.array(rgb) / 255.0), abs=0.03)
    assert colour.lab_to_srgb(ours) == pytest.approx(rgb, abs=1e-6)


def test_browning_and_whiteness_by_hand():
    # x = (5 + 122.5)/(395.15 + 5 − 90.36) = 0.411569; (x − 0.31)/0.17 = 59.746 (Palou et al. 1999)
    assert colour.browning_index([70, 5, 30]) == pytest.approx(59.7465, abs=1e-4)
    assert colour.browning_index([70, 5, 30], divisor=0.172) == pytest.approx(59.7465 * 0.17 / 0.172, abs=1e-3)
    assert np.isnan(colour.browning_index([5, 0, 60]))
    assert colour.whiteness_index([95, 0, 2]) == pytest.approx(94.6148, abs=1e-4)
    assert "0.17" in colour.BROWNING_VARIANT


def test_hue_runs_from_0_to_360():
    assert float(colour.chroma_hue(1, -1)[1]) == pytest.approx(315)


def test_every_patch_has_a_source_and_unknown_ones_are_refused():
    from importlib.resources import files

    rows = list(csv.DictReader((files("proofpan.science.colour") / "chart_24_patch.csv").read_text("utf-8").splitlines()))
    assert len(rows) == 48 and all(row["source"] and row["confidence"] for row in rows)
    with pytest.raises(colour.ColourError, match="no patch"):
        colour.chart_patch_lab("puce")
