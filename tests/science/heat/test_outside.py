"""Sums that are not linear against another solver (`by_lines`): changing properties, radiation, melting, and a crust that goes inwards."""

from functools import lru_cache

import numpy as np
import pytest

from proofpan.science import heat
from proofpan.science.heat import material, surface
from tests.science.heat import by_lines

MEAT = {"water": 0.72, "protein": 0.21, "fat": 0.06, "ash": 0.01}
ROOT = {"water": 0.7925, "protein": 0.0205, "fat": 0.0009, "carbohydrate": 0.1537, "fibre": 0.0221, "ash": 0.0103}
POWER = {"slab": 0, "cylinder": 1, "sphere": 2}


def air_of(stage):
    return by_lines.Air(*(float(np.asarray(x)) for x in (stage.ambient_c, stage.heat_transfer_w_m2k, stage.walls_c, stage.emissivity, stage.vapour_kpa)))


def test_properties_of_both_are_the_same():
    grid = np.array([1.0, 20.0, 60.0, 99.0, 150.0, 220.0])
    for parts in (MEAT, ROOT):
        ours, theirs = heat.food_material(parts), by_lines.Food(parts)
        assert ours.conductivity(grid) == pytest.approx(theirs.conductivity(grid), rel=1e-5)
        assert ours.heat_and_capacity(grid)[0] == pytest.approx(theirs.content(grid), rel=1e-4)
        assert (ours.water_kg_m3, ours.water_share) == pytest.approx((theirs.water, theirs.share), rel=1e-5)
    assert by_lines.saturation_kpa(np.array([20.0, 99.0])) == pytest.approx(heat.saturation_pressure_kpa([20.0, 99.0]), rel=5e-4)


@pytest.mark.parametrize("shape", ["slab", "cylinder", "sphere"])
@pytest.mark.parametrize("parts", [MEAT, ROOT])
def test_food_that_changes_as_it_warms_stays_within_a_tenth_of_a_degree(shape, parts):
    # radiation and convection together, covered so that nothing evaporates: h = 25, ε = 0.9, 180 °C
    stage, times = heat.Stage("oven", 40, 180.0, 25.0, 180.0, 0.9, False), np.arange(300.0, 2401.0, 300.0)
    theirs = by_lines.warmed(by_lines.Food(parts), air_of(stage), 0.025, POWER[shape], 8.0, times, 150)
    got = heat.cook(heat.piece_of(shape, 5), heat.food_material(parts), [stage], 8.0)
    assert np.abs(got.core_at(times) - theirs).max() < 0.1
    assert got.balance_error < 1e-6


def test_the_error_falls_with_the_square_of_the_cells_where_properties_change():
    stage, times = heat.Stage("oven", 20, 180.0, 25.0, 180.0, 0.9, False), np.array([600.0, 1200.0])
    theirs = by_lines.warmed(by_lines.Food(MEAT), air_of(stage), 0.02, 0, 8.0, times, 200)
    errors = [np.abs(heat.cook(heat.piece_of("slab", 4), heat.food_material(MEAT), [stage], 8.0, tolerance_c=1e-4, cells=n).core_at(times) - theirs).max()
              for n in (4, 8, 16)]
    assert (np.log2(np.array(errors[:-1]) / errors[1:]) > 1.7).all()


def test_a_frozen_slab_thaws_as_another_solver_says():
    stage, times = heat.Stage("thaw", 90, 20.0, 60.0, 20.0, 0.0, False), np.arange(900.0, 5401.0, 900.0)
    theirs = by_lines.warmed(by_lines.Food(MEAT, -1.0), air_of(stage), 0.01, 0, -18.0, times, 20)
    got = heat.cook(heat.piece_of("slab", 2), heat.food_material(MEAT, initial_freezing_c=-1.0), [stage], -18.0)
    assert np.abs(got.core_at(times) - theirs).max() < 0.1
    assert got.balance_error < 1e-3


DRYING_S = np.arange(2.0, 31.0, 2.0) * 60


@lru_cache
def drying_by_lines():
    stage = heat.stage("fan oven", 30, 200)
    return by_lines.dried(by_lines.Food(MEAT), air_of(stage), 0.015, 8.0, DRYING_S, 40, 20, material.CRUST_CONDUCTIVITY_W_MK, surface.CRUST_VAPOUR_M2_S,
                          0.98, surface.AIR_J_M3K * surface.LEWIS ** (2 / 3))


def drying(**more):
    return heat.cook(heat.piece_of("slab", 3), heat.food_material(MEAT), [heat.stage("fan oven", 30, 200)], 8.0, **more)


def test_a_slab_that_dries_stays_within_a_tenth_of_a_degree_of_a_sharp_front():
    theirs, got = drying_by_lines(), drying()
    assert np.abs(got.core_at(DRYING_S) - theirs.core_c).max() < 0.1
    assert got.surface_at(DRYING_S) == pytest.approx(theirs.surface_c, abs=4.0)    # it goes up in steps as a cell gives its last water
    crust = np.interp(DRYING_S, got.times_s, got.crust_m)
    assert crust[-1] == pytest.approx(theirs.crust_m[-1], rel=0.03)
    # mass: the piece's loss is the water of what has dried, in both; heat: as much as latent heat and warming took
    assert got.lost_fraction[-1] * by_lines.Food(MEAT).density * 0.015 == pytest.approx(by_lines.Food(MEAT).water * crust[-1], rel=1e-3)
    assert got.balance_error < 1e-3
    spent_j_kg = got.latent_j_m3 / (got.lost_fraction[-1] * by_lines.Food(MEAT).density)
    assert 1e3 * (2501 - 2.44 * theirs.front_c.max()) < spent_j_kg < 1e3 * (2501 - 2.44 * theirs.front_c.min())


def test_the_crust_s_error_falls_with_the_cells():
    theirs = drying_by_lines().crust_m[-1]
    errors = np.array([abs(drying(cells=n, tolerance_c=0.01).crust_m[-1] - theirs) for n in (6, 12, 24)])
    assert (np.log2(errors[:-1] / errors[1:]) > 0.7).all()    # first order: where in its cell a front is isn't known
