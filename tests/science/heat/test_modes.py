"""Stages taken by modes against the exact series, against steps, and accounted for."""

import pickle

import numpy as np
import pytest

from proofpan.science import heat
from proofpan.science.heat import march

PLAIN = heat.constant_material(0.5, 1050.0, 3600.0)
MOIST = heat.constant_material(0.5, 1050.0, 3600.0, water_fraction=0.7)
SHAPES = [("slab", (4,)), ("cylinder", (4,)), ("sphere", (4,)), ("finite cylinder", (4, 3)), ("brick", (3, 4, 5)), ("cube", (3,))]
BATHS = [heat.Stage("soak", 6, 40.0, 100.0), heat.Stage("boil", 9, 100.0, 900.0), heat.Stage("cold", 12, 5.0, 60.0)]


def by_steps(monkeypatch, *args, **more):
    with monkeypatch.context() as m:
        m.setattr(march, "is_plain", lambda material, stage: False)
        return heat.cook(*args, **more)


@pytest.mark.parametrize(("shape", "sizes"), SHAPES)
def test_baths_in_sequence_agree_with_steps_on_the_same_cells(monkeypatch, shape, sizes):
    piece = heat.piece_of(shape, *sizes)
    stepped = by_steps(monkeypatch, piece, PLAIN, BATHS, 12.0, cells=8, tolerance_c=0.003)
    taken = heat.cook(piece, PLAIN, BATHS, 12.0, cells=8, tolerance_c=1.0)
    at = np.searchsorted(taken.times_s, taken.ends_s)
    for name in ("core_c", "surface_c", "mean_c"):
        assert getattr(taken, name)[at] == pytest.approx(np.interp(taken.ends_s, stepped.times_s, getattr(stepped, name)), abs=0.1), name
    assert taken.core_at(taken.times_s) == pytest.approx(taken.core_c, abs=1e-9)
    assert taken.heat_j_m3 == pytest.approx(stepped.heat_j_m3, abs=1e-3 * 3.78e6)
    assert taken.balance_error < 1e-9 and stepped.balance_error < 1e-6 and (taken.steps, len(taken.ends_s)) == (3, 3)


@pytest.mark.parametrize(("shape", "sizes"), SHAPES)
def test_the_cells_error_goes_with_their_fourth_power_where_it_is_taken_off(shape, sizes):
    piece, seconds, h = heat.piece_of(shape, *sizes), np.array([240.0, 480.0, 840.0]), 300.0
    halves = piece.half_sizes_m
    want = 100.0 - 80.0 * np.prod([heat.theta(kind, PLAIN.diffusivity_m2_s * seconds / a**2, h * a / 0.5) for kind, a in zip(piece.axes, halves, strict=True)],
                                  axis=0)
    errors = []
    for cells in (12, 24):
        got = heat.cook(piece, PLAIN, [heat.Stage("bath", 14, 100.0, h)], 20.0, cells=cells)
        errors.append(np.abs(got.core_at(seconds) - want).max())
    assert errors[1] < errors[0] / 8 and errors[1] < 0.02
    # what was taken off, one part in four of the plain error at half the cells, is reported
    plain = heat.cook(piece, PLAIN, [heat.Stage("bath", 14, 100.0, h)], 20.0, cells=24, tolerance_c=1.0)
    assert np.abs(plain.core_at(seconds) - want).max() < 1.5 * got.error_c and plain.error_c == 0


def test_a_piece_that_soaks_boils_and_then_steams_off_hands_over_without_a_jump(monkeypatch):
    stages = [*BATHS[:2], heat.stage("drain", 5)]
    piece = heat.piece_of("finite cylinder", 4, 3)
    stepped = by_steps(monkeypatch, piece, MOIST, stages, 12.0, cells=10, tolerance_c=0.003)
    mixed = heat.cook(piece, MOIST, stages, 12.0, cells=10, tolerance_c=0.003)
    assert mixed.core_at(mixed.ends_s) == pytest.approx(stepped.core_at(mixed.ends_s), abs=0.1)
    assert mixed.surface_at(mixed.ends_s) == pytest.approx(stepped.surface_at(mixed.ends_s), abs=0.3)
    assert mixed.lost_fraction[-1] == pytest.approx(stepped.lost_fraction[-1], rel=0.02) and mixed.lost_fraction[-1] > 0
    assert mixed.balance_error < 1e-6


def test_pieces_side_by_side_have_sizes_starts_and_baths_of_their_own():
    pieces = [heat.piece_of("cube", s) for s in (2, 3, 4)]
    baths = heat.Stage("bath", 8, np.array([100.0, 95.0, 90.0]), np.array([1500.0, 800.0, 300.0]))
    together = heat.cook(pieces, PLAIN, [baths], np.array([5.0, 15.0, 25.0]), cells=12)
    for i, (p, a, h, s) in enumerate(zip(pieces, (100.0, 95.0, 90.0), (1500.0, 800.0, 300.0), (5.0, 15.0, 25.0), strict=True)):
        alone = heat.cook(p, PLAIN, [heat.Stage("bath", 8, a, h)], s, cells=12)
        assert together.core_c[:, i] == pytest.approx(alone.core_c, abs=1e-9)
    assert together.core_at([60.0, 300.0]).shape == (2, 3)


def test_what_was_not_asked_for_is_found_when_it_is_also_after_a_journey_to_another_process():
    got = heat.cook(heat.piece_of("slab", 4), PLAIN, BATHS, 12.0, cells=16)
    there = pickle.loads(pickle.dumps(got))
    assert "core_c" not in vars(got) and there.core_at(600.0) == got.core_at(600.0)
    assert there.core_c == pytest.approx(got.core_c) and there.balance_error == got.balance_error < 1e-9
    with pytest.raises(AttributeError, match="colour"):
        there.colour  # noqa: B018
