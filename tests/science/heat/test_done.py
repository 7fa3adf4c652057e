"""Targets, and the minutes in which they hold."""

import numpy as np
import pytest

from proofpan.science import heat

ROOT = heat.food_material({"water": 0.79, "protein": 0.02, "carbohydrate": 0.17, "fibre": 0.02})


UNSUITED = """baked custard; crème brûlée; flan; lemon curd; cheesecake; quiche; omelette; scrambled eggs; hollandaise; béchamel; gravy; risotto, stirred;
polenta; mashed potatoes; stir-fried beef; curry; stew; soup; batter in oil; tempura; french fries; doughnuts; bread crust; sourdough loaf; pizza; seeded oat
crackers; shortbread; apple pie; sponge cake; muffins; soufflé; pavlova; caramel sauce; strawberry jam; rice; pasta; dal; lasagne; popcorn; granola;
pork crackling"""
SUITED = """potato; roast potatoes; carrot; beetroot; celeriac; chicken breast; chicken thigh; salmon fillet; cod; pork loin; roast beef; leg of lamb;
meatballs; meat loaf; fish cakes; burger; sausages; tofu; bean curd; boiled egg; pumpkin; parsnips; breadfruit; veal sweetbreads"""


@pytest.mark.parametrize("dish", [d.strip() for d in UNSUITED.split(";")])
def test_no_figure_for_what_the_model_does_not_describe(dish):
    with pytest.raises(heat.HeatError, match="No sum for this; cross-test it"):
        heat.refuse_unsuited(dish)


def test_pieces_that_conduct_are_not_refused_for_a_word():
    heat.refuse_unsuited(*(d.strip() for d in SUITED.split(";")))


def test_targets_that_keep_people_safe_carry_the_caution_and_start_at_the_authority_s_figure():
    for name, food in (("poultry leg", "poultry"), ("fish", "fish"), ("minced meat", "minced meat"), ("reheated", "reheating for hot holding")):
        t = heat.target(name)
        assert heat.CAUTION in t.cautions and t.least >= heat.safe_temperature_c(food).temperature_c


def test_browning_carries_the_acrylamide_caution():
    assert any("acrylamide" in c for c in heat.target("browning").cautions)


def test_a_window_runs_from_the_last_least_to_the_first_most():
    cooked = heat.cook(heat.piece_of("sphere", 4), ROOT, [heat.stage("boil", 30)], 20.0)
    wide = heat.window(cooked, (heat.core_target(80, 95),))
    narrow = heat.window(cooked, (heat.core_target(80, 95), heat.core_target(85, 90)))
    at = np.interp([80, 85, 90, 95], cooked.core_c, cooked.times_s / 60)
    assert (wide.from_min[0], wide.to_min[0]) == pytest.approx((at[0], at[3]), abs=0.01)
    assert (narrow.from_min[0], narrow.to_min[0]) == pytest.approx((at[1], at[2]), abs=0.01)
    never = heat.window(cooked, (heat.core_target(95), heat.core_target(50, 60)))
    assert np.isnan(never.from_min[0])


def test_softening_follows_the_published_rate():
    # Zhang & Kubota 1993: dx/dt = 4.912e8·exp(−1.500e4/(1.987·T))·(1 − x) a minute; nine tenths in 3.8 min at 95 °C
    rate = 4.912e8 * np.exp(-1.5e4 / (1.987 * (np.array([85.0, 95.0, 99.0]) + 273.15)))
    t = heat.target("potato softened")
    minutes = t.least * 10 ** ((t.reference_c - np.array([85.0, 95.0, 99.0])) / t.z_c)
    assert 1 - np.exp(-rate * minutes) == pytest.approx([0.9, 0.9, 0.9], abs=0.01)


def test_tender_is_starch_swollen_and_softened():
    swollen, softened = heat.wanted_targets(("tender", "potato softened"))
    assert (swollen.name, softened.name) == ("starch swollen", "potato softened") and swollen.most is None


def test_a_steady_hold_gives_the_logs_of_the_poultry_table():    # USDA FSIS: 25.2 min at 60 °C, 7 log10
    log = heat.equivalent_minutes(np.array([0.0, 25.2 * 60]), np.array([60.0, 60.0]), 60.0, 5.6) / (25.2 / 7)
    assert log[-1] == pytest.approx(7.0)
    t = heat.target("salmonella")
    assert (t.least, t.reference_c, t.unit) == (7.0, 60.0, "log10")


def test_a_degrees_of_your_own_is_read_from_words():
    assert (heat.target("80-85 C").least, heat.target("80–85").most, heat.target("74").most) == (80.0, 85.0, None)
    with pytest.raises(heat.HeatError, match="above the lower"):
        heat.target("85-80")
    with pytest.raises(heat.HeatError, match="use one of"):
        heat.target("delicious")
