"""The solver: order of convergence, heat and water accounted for, and fronts that behave."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from proofpan.science import heat
from proofpan.science.heat import march
from proofpan.science.heat.conduction import step
from proofpan.science.heat.piece import axis_of
from proofpan.science.heat.stages import surroundings
from proofpan.science.heat.surface import crossing

START_C, AROUND_C, TRANSFER = 20.0, 100.0, 300.0
PLAIN = heat.constant_material(0.5, 1050.0, 3600.0)
MEAT = heat.food_material({"water": 0.72, "protein": 0.21, "fat": 0.06, "ash": 0.01})


def exact_core(piece, seconds):
    half = piece.half_sizes_m[0]
    fourier, biot = PLAIN.diffusivity_m2_s * seconds / half**2, TRANSFER * half / 0.5
    return AROUND_C + (START_C - AROUND_C) * heat.theta(piece.shape, fourier, biot)


@pytest.fixture
def stepped(monkeypatch):
    """Linear cases too are stepped, as all others are, instead of being taken by modes (test_modes)."""
    monkeypatch.setattr(march, "is_plain", lambda material, stage: False)


@pytest.mark.parametrize("shape", ["slab", "cylinder", "sphere"])
def test_the_error_falls_with_the_square_of_the_cells(shape, stepped):
    piece, seconds = heat.piece_of(shape, 4), 500.0
    errors = [abs(heat.cook(piece, PLAIN, [heat.Stage("bath", seconds / 60, AROUND_C, TRANSFER)], START_C, tolerance_c=1e-5, cells=n).core_c[-1]
                  - exact_core(piece, seconds)) for n in (16, 32, 64)]
    rates = np.log2(np.array(errors[:-1]) / errors[1:])
    assert (rates > 1.8).all()


def test_the_error_in_time_falls_with_the_square_of_the_step():
    axis = axis_of("slab", np.array([0.02]), 16)
    around = surroundings(heat.Stage("bath", 1, AROUND_C, TRANSFER), 0.0)

    def core(steps):
        t = np.full((16, 1, 1), START_C)
        for _ in range(steps):
            t = step(axis, t, 960.0 / steps, PLAIN, (around,) * 3, None, 1e-6).temperature_c
        return t[0, 0, 0]

    finest = core(1024)
    errors = np.array([abs(core(n) - finest) for n in (8, 16, 32, 64)])
    assert (np.log2(errors[:-1] / errors[1:]) > 1.8).all()


@pytest.mark.parametrize(("shape", "sizes"), [("slab", (4,)), ("cylinder", (4,)), ("sphere", (4,)), ("finite cylinder", (4, 4)), ("cube", (4,))])
@pytest.mark.parametrize("transfer", [25.0, 1000.0])
@pytest.mark.parametrize("way", ["stepped", "modes"])
def test_linear_cases_stay_within_a_tenth_of_a_degree_of_the_series(shape, sizes, transfer, way, request):
    if way == "stepped":
        request.getfixturevalue("stepped")
    piece = heat.piece_of(shape, *sizes)
    got = heat.cook(piece, PLAIN, [heat.Stage("bath", 14, AROUND_C, transfer)], START_C)
    t = got.times_s
    if shape == "cube":
        want = heat.brick_temperature_c(piece.half_sizes_m, (0, 0, 0), 0.5, 1050, 3600, transfer, START_C, AROUND_C, t)
    elif shape == "finite cylinder":
        want = heat.finite_cylinder_temperature_c(*piece.half_sizes_m, 0, 0, 0.5, 1050, 3600, transfer, START_C, AROUND_C, t)
    else:
        half = piece.half_sizes_m[0]
        want = AROUND_C + (START_C - AROUND_C) * heat.theta(shape, PLAIN.diffusivity_m2_s * t / half**2, transfer * half / 0.5)
    assert np.abs(got.core_c - want).max() < 0.1
    assert got.balance_error < 1e-9


def test_two_baths_in_sequence_agree_with_another_solver():
    # scipy's method of lines (LSODA) on an even grid of 200 cells, made here
    half, n = 0.02, 200
    dx = half / n

    def slope(t, y):
        around = 100.0 if t < 300 else 10.0
        q = np.zeros(n + 1)
        q[1:-1] = 0.5 * np.diff(y) / dx
        q[-1] = (around - y[-1]) / (1 / TRANSFER + dx / 2 / 0.5)
        return np.diff(q) / dx / (1050 * 3600)

    first = solve_ivp(slope, (0, 300), np.full(n, 20.0), "LSODA", rtol=1e-8, atol=1e-6, t_eval=[300], lband=1, uband=1)
    after = solve_ivp(slope, (300.0001, 900), first.y[:, -1], "LSODA", rtol=1e-8, atol=1e-6, t_eval=[600, 900], lband=1, uband=1)
    got = heat.cook(heat.piece_of("slab", 4), PLAIN, [heat.Stage("hot", 5, 100.0, TRANSFER), heat.Stage("cold", 10, 10.0, TRANSFER)], 20.0)
    assert got.core_at([300, 600, 900]) == pytest.approx([first.y[0, -1], *after.y[0]], abs=0.05)


def test_heat_and_water_are_accounted_for_in_an_oven_and_a_rest():
    got = heat.cook(heat.piece_of("slab", 3), MEAT, [heat.stage("fan oven", 25, 200), heat.stage("rest", 10)], 8.0, cells=24, tolerance_c=0.01)
    assert got.balance_error < 1e-3    # 0.1 %
    vapour_j_kg = got.latent_j_m3 / (got.lost_fraction[-1] * MEAT.density_kg_m3)
    assert 2.2e6 < vapour_j_kg < 2.5e6    # heat of vaporisation between 20 and 100 °C, steam tables
    # mass: the vapour that the latent heat paid for is the water that is gone, and the crust is where it was
    assert got.lost_fraction[-1] * MEAT.density_kg_m3 == pytest.approx(MEAT.water_kg_m3 * got.crust_m[-1] / 0.015, rel=1e-6)
    assert (np.diff(got.lost_fraction) >= 0).all() and (np.diff(got.crust_m) >= -1e-12).all()
    peak = got.core_c.argmax()
    assert got.times_s[peak] > got.ends_s[0]    # the middle goes on warming while it rests


def test_a_wet_surface_without_conduction_comes_to_the_wet_bulb():
    # psychrometer, e = e_w − 6.62e-4·p·(T − T_w) (WMO No. 8, annex 4.B): air of 60 °C with 1.2 kPa of vapour has T_w = 26.5 °C
    around = surroundings(heat.Stage("drier", 1, 60.0, 40.0, 60.0, 0.0, True), 0.0)
    one = np.array([[1.0]])
    got = crossing(around, 30.0 * one, 1e-9 * one, one, 0.0 * one, 1.0)
    assert got.surface_c[0, 0] == pytest.approx(26.5, abs=1.5)
    assert got.latent_w_m2[0, 0] == pytest.approx(40 * (60 - got.surface_c[0, 0]), rel=1e-6)


def test_the_front_stays_at_boiling_while_the_crust_grows_hotter():
    got = heat.cook(heat.piece_of("slab", 4), MEAT, [heat.stage("fan oven", 60, 220)], 8.0, cells=24, tolerance_c=0.01)
    assert got.surface_c[-1] > 140 and got.core_c.max() < 100.5 and 0.003 < got.crust_m[-1] < 0.01
    assert 0.1 < got.lost_fraction[-1] < 0.25    # roasts lose 15–25 % (common practice, no source)


@pytest.mark.parametrize(("shape", "sizes"), [("cube", (3,)), ("finite cylinder", (6, 3))])
def test_heat_is_accounted_for_and_steps_stay_few_where_several_faces_dry(shape, sizes):
    got = heat.cook(heat.piece_of(shape, *sizes), MEAT, [heat.stage("fan oven", 25, 200)], 8.0, cells=8)
    assert got.balance_error < 1e-3 and got.steps < 400
    assert got.lost_fraction[-1] * MEAT.density_kg_m3 < MEAT.water_kg_m3 and (np.diff(got.lost_fraction) >= 0).all()


def test_a_drying_slab_comes_closer_with_cells_and_with_tolerance():
    def cooked(cells, tolerance_c):
        got = heat.cook(heat.piece_of("slab", 3), MEAT, [heat.stage("fan oven", 15, 200)], 8.0, cells=cells, tolerance_c=tolerance_c)
        return np.array([got.core_c[-1], 100 * got.lost_fraction[-1]])

    finest = cooked(64, 2e-3)
    coarse, fine = (np.abs(cooked(n, 1e-2) - finest) for n in (8, 32))
    assert fine[1] < coarse[1] / 2 and (fine < 0.2).all() and coarse[0] < 0.2    # core °C; loss in % of mass, first order in the cells
    assert abs(cooked(32, 1e-2)[0] - cooked(32, 2e-3)[0]) < 0.15


def test_a_wet_piece_in_warm_air_makes_for_the_wet_bulb():
    # as the psychrometer below: 26.5 °C; at first, before a crust holds the vapour back
    wet = heat.constant_material(5.0, 1000.0, 4000.0, water_fraction=0.8)
    air = heat.Stage("drier", 0.3, 60.0, 40.0, 60.0, 0.0, True)
    warmer, cooler, there = (heat.cook(heat.piece_of("slab", 1), wet, [air], t, cells=6) for t in (20.0, 35.0, 26.5))
    assert warmer.mean_c[-1] > 20.1 and cooler.mean_c[-1] < 34.9 and there.mean_c[-1] == pytest.approx(26.5, abs=0.1)
    per_s = there.lost_fraction[-1] * 1000 * 0.005 / 18
    assert per_s * 2.44e6 == pytest.approx(40 * (60 - 26.5), rel=0.1)    # all heat goes into evaporation; 2.44 MJ/kg, steam tables


def test_all_stages_run_in_sequence_and_each_does_what_it_is_for():
    root = heat.food_material({"water": 0.79, "protein": 0.02, "carbohydrate": 0.17, "fibre": 0.02})
    kinds = [("soak", 10, 20), ("boil", 6, None), ("drain", 3, None), ("rest", 3, None), ("oven", 8, 200), ("fan oven", 8, 200), ("grill", 3, None),
             ("sear", 1, 220), ("hold", 10, 65), ("cool", 20, None), ("fridge", 60, None)]
    got = heat.cook(heat.piece_of("slab", 3), root, [heat.stage(k, m, t) for k, m, t in kinds], 15.0, cells=20, tolerance_c=0.01)
    surface = dict(zip([k for k, _, _ in kinds], got.surface_at(got.ends_s), strict=True))
    lost = dict(zip([k for k, _, _ in kinds], np.interp(got.ends_s, got.times_s, got.lost_fraction), strict=True))
    assert surface["boil"] > 95 and surface["drain"] < surface["boil"] - 20    # steaming off cools at once
    assert lost["boil"] == 0 and 0 < lost["drain"] < 0.03 and surface["grill"] > surface["fan oven"] > 90
    assert got.core_c[-1] < 35 and lost["fridge"] == lost["cool"] and got.balance_error < 1e-3 and len(got.ends_s) == len(kinds)


@pytest.mark.parametrize(("kind", "degrees"), [("soak", 180), ("boil", 130), ("fridge", 60), ("oven", 900), ("grill", 20), ("soak", -20), ("hold", 300)])
def test_a_stage_out_of_reach_is_refused_in_a_sentence(kind, degrees):
    with pytest.raises(heat.HeatError, match="°C"):
        heat.stage(kind, 5, degrees)


def test_a_frozen_slab_waits_at_its_melting():
    got = heat.cook(heat.piece_of("slab", 3), MEAT, [heat.stage("fridge", 900)], -18.0)
    times = got.times_s / 3600
    thawing = np.interp(-1.0, got.core_c, times) - np.interp(-5.0, got.core_c, times)
    assert thawing > 0.4 * np.interp(-1.0, got.core_c, times) and got.balance_error < 1e-3


ROOT = heat.food_material({"water": 0.7925, "protein": 0.0205, "fat": 0.0009, "carbohydrate": 0.1537, "fibre": 0.0221, "ash": 0.0103})


@pytest.mark.parametrize("side_cm", [3, 3.5])
def test_cubes_of_a_starchy_root_are_tender_when_cooks_say(side_cm):
    # common practice, no source: chunks of 3–3.5 cm are knife-tender after 10–15 min in boiling water
    got = heat.cook(heat.piece_of("cube", side_cm), ROOT, [heat.stage("boil", 25)], 15.0, cells=12)
    assert 10 <= heat.window(got, heat.wanted_targets(("tender",))).from_min[0] <= 15


def test_a_larger_cube_s_core_is_at_80_to_85_when_conduction_sums_say():
    # independent conduction sums, no source: 4.5 cm, 17–20 min; the series with one term and α = 1.45e-7 m²/s: 16.4–18.8 from 20 °C
    got = heat.cook(heat.piece_of("cube", 4.5), ROOT, [heat.stage("boil", 25)], 15.0, cells=12)
    at_80, at_85 = np.interp([80, 85], got.core_c, got.times_s / 60)
    assert 16 <= at_80 <= 20 and 17 <= at_85 <= 20


def test_what_makes_no_sense_is_refused():
    with pytest.raises(heat.HeatError, match="stage known here"):
        heat.stage("toast", 3)
    with pytest.raises(heat.HeatError, match="one shape"):
        heat.cook([heat.piece_of("slab", 2), heat.piece_of("sphere", 2)], PLAIN, [heat.stage("boil", 3)])
    with pytest.raises(heat.HeatError, match="one size"):
        heat.piece_of("cube", 2, 3)
    with pytest.raises(heat.HeatError, match="3 sizes: side, side, side; 1 came"):
        heat.piece_of("brick", 3)
    with pytest.raises(heat.HeatError, match="under 200 cm"):
        heat.piece_of("sphere", 1e9)
    with pytest.raises(heat.HeatError, match="An oven at 9999"):
        heat.stage("oven", 5, 9999)
