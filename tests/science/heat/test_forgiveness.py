"""How forgiving a time is."""

import numpy as np
import pytest

from proofpan.science import heat
from proofpan.science.heat.forgiveness import Chunk, draws_of, run_chunk

ROOT = heat.food_material({"water": 0.79, "protein": 0.02, "carbohydrate": 0.17, "fibre": 0.02})
DISH = heat.Dish(heat.piece_of("sphere", 4), ROOT, "boil", None, (heat.core_target(80, 92),), 15.0)
MEAT = heat.food_material({"water": 0.72, "protein": 0.21, "fat": 0.06, "ash": 0.01})


@pytest.fixture(scope="module")
def boiled():
    return heat.forgiveness(DISH, n=64)


def test_the_window_is_the_written_kitchen_s_own(boiled):
    cooked = heat.cook(DISH.piece, ROOT, [heat.stage("boil", 30)], 15.0)
    want = np.interp([80, 92], cooked.core_c, cooked.times_s / 60)
    assert boiled.window_min == pytest.approx(tuple(want), abs=0.1)
    assert boiled.start_looking_min <= boiled.window_min[0]
    assert boiled.probability_low < boiled.probability < boiled.probability_high


def test_in_boiling_water_size_matters_most_and_the_oven_not_at_all(boiled):
    shares = {name: share for name, share, _ in boiled.matters}
    assert boiled.matters[0][0] == "size" and shares["size"] > 0.9 and shares["oven"] < 0.01 and shares["fan"] < 0.01


def test_time_grows_with_the_square_of_the_size_where_the_inside_decides(boiled):
    # large Biot number: time ∝ L² (Incropera et al. §5.5)
    small, own, large = boiled.sizes
    assert large[1] / own[1] == pytest.approx(1.25**2, rel=0.03) and small[1] / own[1] == pytest.approx(0.75**2, rel=0.03)


def test_a_kitchen_that_never_differs_always_lands():
    same = heat.Kitchens(oven_error_c=0, fan_unknown=False, size_share=1e-6, altitude_m=0, trays=1, start_error_c=0)
    assert heat.forgiveness(DISH, same, n=32).probability == 1.0


def test_the_kitchen_as_written_has_an_altitude_of_its_own():
    from dataclasses import replace

    sea, high = (heat.forgiveness(replace(DISH, altitude_m=a, targets=(heat.core_target(80),)), n=32) for a in (0.0, 1500.0))
    assert high.own_min[0] > sea.own_min[0] + 0.3
    assert high.from_min == pytest.approx(sea.from_min, abs=0.05)    # readers live where they live


def test_more_size_spread_makes_a_landing_rarer():
    narrow, wide = (heat.forgiveness(DISH, heat.Kitchens(size_share=s), n=64).probability for s in (0.1, 0.4))
    assert narrow > wide + 0.1


def test_an_oven_dish_without_an_upper_end_says_until_when_nine_of_ten_are_done():
    dish = heat.Dish(heat.piece_of("slab", 2.5), MEAT, "oven", 200.0, (heat.core_target(74),), 8.0)
    f = heat.forgiveness(dish, n=32)
    shares = {name: share for name, share, _ in f.matters}
    assert f.window_min[1] == pytest.approx(np.quantile(f.from_min, 0.9)) and shares["oven"] > 0.05
    assert any("local food-safety authority" in c for c in f.cautions)


def test_chunks_are_cooked_alike_wherever_they_run(boiled):
    def backwards(work, parts):
        return [work(p) for p in list(parts)[::-1]][::-1]

    again = heat.forgiveness(DISH, n=64, run=backwards)
    assert (again.from_min == boiled.from_min).all() and again.probability == boiled.probability
    assert run_chunk.__module__ == "proofpan.science.heat.forgiveness"    # found by name on a cluster's workers


def test_kitchens_win_over_the_model(boiled):
    few, agrees, said = heat.with_out_times(boiled, [30, 31])
    assert few.window_min == boiled.window_min and not agrees and "differ" in said
    many, agrees, said = heat.with_out_times(boiled, [20, 24, 22])
    assert many.window_min == (20, 24) and many.start_looking_min == 18 and "kitchens win" in said
    assert many.probability < boiled.probability
    with pytest.raises(heat.HeatError, match="above zero"):
        heat.with_out_times(boiled, [0])


def test_kitchens_never_bring_a_safe_temperature_forward(boiled):
    from dataclasses import replace

    poultry = replace(boiled, cautions=(heat.CAUTION,))
    joined, agrees, said = heat.with_out_times(poultry, [1, 2, 3])
    assert not agrees and joined.window_min[0] == poultry.window_min[0] and "probe decides" in said


def test_sentences_name_size_minutes_and_what_matters(boiled):
    first, second, third, fourth = heat.sentences(boiled, 4, "Pieces", "until tender")
    assert first.startswith("Pieces of 4 cm, until tender: ") and "start looking at" in first
    assert second.startswith("At 5 cm add") and "readers' kitchens" in third and "size" in fourth


def test_draws_fill_their_range_evenly():
    x = draws_of(256, 1)
    assert np.abs(x.mean(0)).max() < 0.05 and x.std(0) == pytest.approx(1 / np.sqrt(3), rel=0.05)


def test_what_can_never_be_done_is_said():
    with pytest.raises(heat.HeatError, match="never hold"):
        heat.forgiveness(heat.Dish(heat.piece_of("slab", 1), ROOT, "boil", None, (heat.core_target(120),)))


def test_what_is_done_from_the_start_says_no_more_than_that():
    f = heat.forgiveness(heat.Dish(heat.piece_of("slab", 2), ROOT, "boil", None, (heat.core_target(60),), start_c=80.0), n=32)
    said = " ".join(heat.sentences(f, 2.0))
    assert "0 min" in said and "add" not in said and "matters" not in said


def test_an_oven_with_more_steam_is_quicker():
    meat = heat.food_material({"water": 0.74, "protein": 0.22, "fat": 0.03, "ash": 0.01})
    dish = heat.Dish(heat.piece_of("slab", 2), meat, "oven", 180.0, (heat.core_target(70),), start_c=5.0)
    rows = tuple((0.0, -1.0, 0.0, -1.0, -1.0, 0.0, 0.0, steam) for steam in (-1.0, 0.0, 1.0))
    dry, usual, steamy = run_chunk(Chunk(dish, heat.Kitchens(), rows, 120.0))[0]
    assert dry > 1.1 * usual and usual > 1.1 * steamy
