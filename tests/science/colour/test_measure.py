"""Known colours under several lamps, with a card, a plate or a chart, found or tapped."""

import numpy as np
import pytest
from scipy import ndimage

from proofpan.science.colour import ColourError, ciede2000, difference, join, measure, srgb_to_lab, swatch_strip
from proofpan.science.colour.decode import decode

from .table import BROWN, DARK, GOLDEN, LAMPS, Table, crackers, saved

LAB = ("lightness", "a", "b")


def found(reading):
    return [reading.readings[name].value for name in LAB]


@pytest.mark.parametrize("lamp", LAMPS)
@pytest.mark.parametrize("quality", [95, 75])
def test_a_grey_card_is_found_and_undoes_the_lamp(lamp, quality):
    data = saved(crackers().card(620, 250, 120, 90).shot(lamp, exposure=0.7), quality=quality)
    reading = measure(decode(data))
    assert reading.balances[0].kind == "grey card" and len(reading.pieces) == 4
    assert ciede2000(found(reading), GOLDEN) < 1.0


@pytest.mark.parametrize("lamp", LAMPS)
@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_a_chart_is_found_whichever_way_it_lies(lamp, turns):
    reading = measure(crackers().chart(560, 40, turns=turns).shot(lamp, exposure=0.8))
    assert reading.balances[0].kind == "24-patch chart" and len(reading.pieces) == 4
    assert ciede2000(found(reading), GOLDEN) < 0.5 and reading.balances[0].residual_de < 1


@pytest.mark.parametrize("degrees", [-20, 9, 33])
def test_a_crooked_chart_is_found(degrees):
    table = crackers(rows=900, columns=1200).chart(700, 300, patch=40, gap=7)
    for k in range(3):
        table.linear[..., k] = np.clip(ndimage.rotate(table.linear[..., k], degrees, reshape=False, order=1, mode="nearest"), 0, 1)
    reading = measure(table.shot("warm", exposure=0.8))
    assert reading.balances[0].kind == "24-patch chart"
    assert ciede2000(found(reading), GOLDEN) < 0.7


def test_a_tapped_chart_and_a_tapped_card_give_the_same():
    photo = crackers().chart(560, 40).shot("warm", exposure=0.8)
    first, step = (560 + 5 + 15, 40 + 5 + 15), 35
    corners = [first, (first[0] + 5 * step, first[1]), (first[0] + 5 * step, first[1] + 3 * step), (first[0], first[1] + 3 * step)]
    reading = measure(photo, reference="24-patch chart", reference_points=corners)
    assert ciede2000(found(reading), GOLDEN) < 0.5 and "by points" in reading.balances[0].says
    card = crackers().card(620, 250, 120, 90).shot("warm", exposure=0.7)
    assert ciede2000(found(measure(card, reference="grey card", reference_points=[(680, 290)])), GOLDEN) < 0.5


@pytest.mark.parametrize("lamp", LAMPS)
def test_food_on_a_white_plate_is_balanced_on_the_plate(lamp):
    table = Table(lab=(45.0, 3.0, 8.0)).disc(400, 300, 270, 0.80)
    for k, (x, y) in enumerate([(300, 220), (480, 230), (390, 400)]):
        table.piece(x, y, 70, GOLDEN, seed=k)
    reading = measure(table.shot(lamp, exposure=0.85))
    assert reading.balances[0].kind == "white plate" and len(reading.pieces) == 3
    assert ciede2000(found(reading), GOLDEN) < 1.0
    # an unknown plate is a poorer reference than a card, and the error says so
    assert reading.readings["lightness"].error_sd > 2


def test_without_a_reference_the_error_says_so():
    reading = measure(crackers().shot("warm"))
    assert reading.balances[0].kind == "none" and reading.readings["lightness"].error_sd >= 8
    assert any("only within one photograph" in w for w in reading.warnings)


def test_a_grey_tray_or_a_wooden_board_is_not_taken_for_a_reference():
    tray = Table(lab=(60.0, 1.0, 2.0)).piece(250, 300, 90, GOLDEN)
    assert measure(tray.shot(exposure=0.7)).balances[0].kind == "none"
    board = crackers()
    board.linear[480:580, 560:780] = (0.42, 0.24, 0.12)
    assert measure(board.shot()).balances[0].kind == "none"


def test_a_piece_that_the_frame_cuts_is_still_food():
    table = crackers().card(620, 250, 120, 90).piece(0, 300, 60, GOLDEN)
    assert len(measure(table.shot(exposure=0.7)).pieces) == 5


def test_a_gradient_of_the_light_is_warned_of():
    table = Table(lab=(45.0, 3.0, 8.0)).disc(400, 300, 270, 0.80).piece(390, 300, 70, GOLDEN)
    reading = measure(table.shot(exposure=0.8, gradient=0.6), reference="white plate")
    assert any("light falls off" in w for w in reading.warnings)


def test_clipped_highlights_are_left_out():
    table = crackers().card(620, 250, 120, 90)
    plain = measure(table.shot(exposure=0.7))
    for x, y in ((200, 180), (420, 170), (210, 420), (430, 430)):
        table.disc(x + 20, y - 10, 18, 3.0)  # a glaze that shines
    shiny = measure(table.shot(exposure=0.7))
    assert all(0.02 < p.clipped_share < 0.2 for p in shiny.pieces)
    assert found(shiny) == pytest.approx(found(plain), abs=0.5)
    assert any("Highlights" in w for w in shiny.warnings)


def test_an_overexposed_card_is_refused_rather_than_used():
    with pytest.raises(ColourError, match="overexposed"):
        measure(crackers().card(620, 250, 120, 90, 0.9).shot(exposure=2.0), reference="grey card", reference_points=[(680, 290)])


def test_taps_take_in_and_leave_out():
    table = crackers().card(620, 250, 120, 90)
    table.piece(660, 480, 60, (88.0, 0.0, 3.0))  # a meringue: neutral, so it has to be tapped
    photo = table.shot(exposure=0.7)
    assert len(measure(photo).pieces) == 4
    assert len(measure(photo, include=[(660, 480)]).pieces) == 5
    assert len(measure(photo, exclude=[(200, 180)]).pieces) == 3
    with pytest.raises(ColourError, match="outside the photograph"):
        measure(photo, include=[(5000, 10)])


def test_touching_pieces_are_parted_on_request():
    table = Table().card(620, 50, 120, 90).piece(250, 300, 90, GOLDEN).piece(415, 300, 90, GOLDEN, seed=2)
    photo = table.shot(exposure=0.7)
    assert len(measure(photo).pieces) == 1
    parted = measure(photo, split_touching=True)
    assert len(parted.pieces) == 2
    assert parted.pieces[0].area_share == pytest.approx(parted.pieces[1].area_share, rel=0.1)


def test_over_browned_share_comes_with_the_caution():
    table = crackers().card(620, 250, 120, 90)
    assert measure(table.shot(exposure=0.7)).caution == ""
    table.disc(200, 180, 40, np.array([0.09, 0.055, 0.03]))
    reading = measure(table.shot(exposure=0.7))
    assert reading.pieces[0].over_browned_share == pytest.approx(0.25, abs=0.03)  # (40/80)²
    assert "acrylamide" in reading.caution and "local food-safety authority" in reading.caution


def test_evenness_grows_with_the_spread():
    even = crackers().card(620, 250, 120, 90)
    uneven = Table().card(620, 250, 120, 90)
    for k, (x, y) in enumerate([(200, 180), (420, 170), (210, 420), (430, 430)]):
        uneven.piece(x, y, 80, GOLDEN, spread=8.0, seed=k)
    low, high = (measure(t.shot(exposure=0.7)).readings["evenness_de"] for t in (even, uneven))
    assert high.low > low.high


def trial(lab, seed, sd=1.0, n=4):
    rng = np.random.default_rng(seed)
    table = Table(rows=300 * 1, columns=200 + 130 * n).card(40, 90, 110, 100)
    for k in range(n):
        table.piece(240 + 130 * k, 150, 50, np.array(lab) + rng.normal(0, sd, 3), spread=1.0, seed=seed * 10 + k)
    return measure(table.shot(exposure=0.7, seed=seed))


def test_two_trials_differ_by_the_right_amount():
    reading = difference(trial(GOLDEN, 1), trial(BROWN, 2), same_light=True)
    truth = float(ciede2000(GOLDEN, BROWN))
    assert reading.low < truth < reading.high and reading.low > 5 and reading.unit == "ΔE00"


def test_two_trials_of_one_colour_cannot_be_told_apart():
    assert difference(trial(GOLDEN, 3), trial(GOLDEN, 4), same_light=True).low == 0.0


def test_single_pieces_have_no_interval():
    one, two = trial(GOLDEN, 5, n=1), trial(BROWN, 6, n=1)
    reading = difference(one, two)
    assert reading.high == np.inf and "three a trial" in reading.how
    assert one.readings["lightness"].high == np.inf


def test_the_interval_of_a_difference_covers_the_truth():
    """Pieces drawn about two known means, 600 times; 95 % ± 3 standard errors, the method being approximate."""
    from dataclasses import replace

    base = trial(GOLDEN, 7)
    rng = np.random.default_rng(8)
    for truth in ((0.0, 0.0, 0.0), (3.0, 1.0, 2.0)):
        hits = 0
        far = float(ciede2000(GOLDEN, np.array(GOLDEN) - truth))
        for _ in range(600):
            made = []
            for lab in (np.array(GOLDEN), np.array(GOLDEN) - truth):
                draws = rng.normal(lab, (2.0, 0.7, 1.2), (4, 3))
                pieces = tuple(replace(base.pieces[0], lab=tuple(map(float, d))) for d in draws)
                made.append(replace(base, pieces=pieces))
            reading = difference(*made, same_light=True)
            hits += reading.low <= far <= reading.high
        assert hits / 600 > 0.92


def test_photographs_of_one_trial_are_joined():
    joined = join([trial(GOLDEN, 11, n=2), trial(GOLDEN, 12, n=2)])
    assert len(joined.pieces) == 4 and len(joined.balances) == 2 and joined.readings["lightness"].n == 4


def test_the_swatch_strip_shows_the_colours():
    strip = swatch_strip([GOLDEN, DARK], height=10, width=20)
    assert strip.shape == (10, 40, 3) and strip[0, 0].tolist() != strip[0, 39].tolist()
    assert ciede2000(GOLDEN, srgb_to_lab(strip[0, 0])) < 0.5


def test_an_empty_tray_holds_no_food():
    with pytest.raises(ColourError, match="No food"):
        measure(Table().card(620, 250, 120, 90).shot(exposure=0.7))
