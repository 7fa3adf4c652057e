"""A tray of sliced bread: places that brown more are found through uneven light, and nothing is found where nothing differs."""

import math

import numpy as np
import pytest

from proofpan.science import colour
from proofpan.science.colour.oven_map import _fit, _spread
from tests.science.colour.table import Table

BREAD = (62.0, 6.0, 26.0)


def shot_of(darker, *, turned=False, gradient=0.0, slices=(4, 6), seed=0, spread=1.2):
    """A photograph of slices (rows × columns), each paler or darker by its place; `darker` is an array (rows, columns) of L*."""
    table = Table(rows=350, columns=500, lab=(30.0, 0.5, -1.0)).card(5, 5, 60, 25)
    rng = np.random.default_rng(seed)
    deep, wide = slices
    darker = np.asarray(darker, dtype=float)
    for i in range(deep):
        for j in range(wide):
            place = darker[int(i / deep * darker.shape[0]), int(j / wide * darker.shape[1])]
            y, x = 75 + 240 * i / (deep - 1), 50 + 400 * j / (wide - 1)
            if turned:
                x, y = 500 - x, 390 - y
            table.piece(x, y, 26, (BREAD[0] - place + rng.normal(0, spread), *BREAD[1:]), seed=100 * seed + 10 * i + j)
    return table.shot(gradient=gradient, seed=seed)


def tray(darker, **options):
    """The same, measured."""
    return colour.measure(shot_of(darker, **options), reference="grey card")


def both_ways(darker, **options):
    """The same tray of bread, photographed both ways round."""
    return [(tray(darker, **options), False), (tray(darker, turned=True, **options), True)]


HOT_BACK_LEFT = [[6.0, 0.0, -2.0], [0.0, -2.0, -2.0]]


def test_a_hot_corner_is_found_with_its_size():
    found = colour.map_oven([both_ways(HOT_BACK_LEFT)], 2, 3)
    by_place = {(p.row, p.column): p for p in found.places}
    hottest = max(found.places, key=lambda p: p.darker)
    assert (hottest.row, hottest.column) == (0, 0)
    assert found.uneven
    truth = np.asarray(HOT_BACK_LEFT)
    inside = sum(p.low <= truth[p.row, p.column] - truth.mean() <= p.high for p in by_place.values())
    assert inside >= 5
    assert found.spread_low <= 8.0 <= found.spread_high


def test_light_that_falls_off_is_not_taken_for_the_oven_once_the_tray_is_turned():
    even = [[0.0, 0.0, 0.0]]
    one = colour.map_oven([[(tray(even, gradient=0.35), False)]], 1, 3)
    both = colour.map_oven([both_ways(even, gradient=0.35)], 1, 3)
    assert one.uneven and any("turn the tray round" in w for w in one.warnings)
    assert not both.uneven and both.light_parted
    assert not any("turn the tray round" in w for w in both.warnings)


def test_an_even_oven_has_no_hot_place():
    assert not colour.map_oven([both_ways(np.zeros((2, 3)))], 2, 3).uneven


def test_an_even_oven_is_called_uneven_no_oftener_than_promised():
    rng, place = np.random.default_rng(5), np.repeat(np.arange(6), 4)
    found = [_spread(*_fit(np.zeros(24, int), place, rng.normal(60, 2, 24), 1, 6))[1] > 0 for _ in range(600)]
    assert np.mean(found) < 0.06


def test_one_slice_a_place_says_that_it_cannot_tell():
    found = colour.map_oven([[(tray([[4.0, 0.0, 0.0]], slices=(2, 3)), False)]], 2, 3)
    assert all(math.isinf(p.high) for p in found.places)
    assert not found.uneven
    assert any("One slice a place" in w for w in found.warnings)


def test_a_place_without_bread_and_a_layout_that_cannot_be_are_said():
    with pytest.raises(colour.ColourError, match="cover every place with bread"):
        colour.map_oven([[(tray(np.zeros((1, 2)), slices=(2, 3)), False)]], 6, 3)
    with pytest.raises(colour.ColourError, match="such as 2x3"):
        colour.map_oven([[(tray(np.zeros((1, 2)), slices=(2, 3)), False)]], 0, 3)


def test_a_second_tray_of_bread_narrows_the_interval_and_other_slices_are_refused():
    one = colour.map_oven([both_ways(HOT_BACK_LEFT)], 2, 3)
    two = colour.map_oven([both_ways(HOT_BACK_LEFT), both_ways(HOT_BACK_LEFT, seed=3)], 2, 3)
    assert two.spread_high - two.spread_low < one.spread_high - one.spread_low
    with pytest.raises(colour.ColourError, match="don't show the same slices"):
        colour.map_oven([[(tray(HOT_BACK_LEFT), False), (tray(HOT_BACK_LEFT, slices=(2, 6), turned=True), True)]], 2, 3)
