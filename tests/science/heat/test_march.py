"""The marching solver against the exact series (Carslaw & Jaeger 1959, ch. 3, 7, 9: computed here by `series`, itself checked outside)."""

import numpy as np
import pytest

from proofpan.science.heat import HeatError, brick_temperature_c, cylinder_theta, slab_theta, sphere_theta
from proofpan.science.heat.march import cook
from proofpan.science.heat.material import constant_material
from proofpan.science.heat.piece import piece_of
from proofpan.science.heat.stages import Stage

CONDUCTIVITY, DENSITY, SPECIFIC_HEAT = 0.5, 1050.0, 3600.0
MATERIAL = constant_material(CONDUCTIVITY, DENSITY, SPECIFIC_HEAT)
START_C, AROUND_C, TRANSFER, MINUTES = 5.0, 95.0, 120.0, 40.0


@pytest.mark.parametrize(("shape", "size_cm", "theta"), [("slab", 4, slab_theta), ("cylinder", 5, cylinder_theta), ("sphere", 5, sphere_theta)])
def test_the_core_follows_the_exact_series(shape, size_cm, theta):
    cooked = cook(piece_of(shape, size_cm), MATERIAL, [Stage("boil", MINUTES, AROUND_C, TRANSFER)], START_C)
    half_m = size_cm / 200
    times_s = np.array([600.0, 1200.0, MINUTES * 60])
    fourier = MATERIAL.diffusivity_m2_s * times_s / half_m**2
    exact = AROUND_C - (AROUND_C - START_C) * theta(fourier, TRANSFER * half_m / CONDUCTIVITY)
    assert cooked.core_at(times_s) == pytest.approx(exact, abs=0.1)


def test_a_brick_follows_the_product_of_slabs():
    cooked = cook(piece_of("brick", 4, 5, 6), MATERIAL, [Stage("boil", MINUTES, AROUND_C, TRANSFER)], START_C)
    exact = brick_temperature_c(
        (0.02, 0.025, 0.03), (0.0, 0.0, 0.0), CONDUCTIVITY, DENSITY, SPECIFIC_HEAT, TRANSFER, START_C, AROUND_C, MINUTES * 60
    )
    assert cooked.core_c[-1] == pytest.approx(float(exact), abs=0.1)


def test_what_crosses_the_surface_is_what_the_piece_gains():
    cooked = cook(piece_of("sphere", 5), MATERIAL, [Stage("boil", 20, AROUND_C, TRANSFER), Stage("cool", 60, 20.0, 10.0)], START_C)
    assert cooked.balance_error < 1e-6 and len(cooked.ends_s) == 2
    assert cooked.surface_c[-1] < cooked.core_c[-1] < AROUND_C


def test_pieces_side_by_side_are_each_what_they_are_alone():
    pieces = [piece_of("slab", 2), piece_of("slab", 4)]
    together = cook(pieces, MATERIAL, [Stage("boil", 15, AROUND_C, TRANSFER)], START_C)
    alone = [cook(p, MATERIAL, [Stage("boil", 15, AROUND_C, TRANSFER)], START_C).core_c[-1] for p in pieces]
    assert together.core_c[-1] == pytest.approx(alone, abs=0.05)


def test_what_makes_no_sense_is_refused_in_a_sentence():
    with pytest.raises(HeatError, match="must last some"):
        cook(piece_of("slab", 2), MATERIAL, [Stage("boil", 0, 95.0, 100.0)], 5.0)
    with pytest.raises(HeatError, match="not a shape"):
        piece_of("pyramid", 2)
    with pytest.raises(HeatError, match="start temperature"):
        cook(piece_of("slab", 2), MATERIAL, [Stage("boil", 5, 95.0, 100.0)], 500.0)
