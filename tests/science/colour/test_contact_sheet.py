"""One picture of all versions, at one scale and one white."""

import numpy as np
import pytest

from proofpan.science.colour import ColourError, Photograph, Shot, ciede2000, contact_sheet, grey_card, scene, srgb_to_lab

from .table import GOLDEN, Table


def shot(lamp, px_per_mm, radius_mm=20.0):
    size = int(120 * px_per_mm)
    table = Table(rows=size, columns=size).card(5, 5, int(25 * px_per_mm), int(20 * px_per_mm))
    table.piece(size // 2, int(size * 0.6), radius_mm * px_per_mm, GOLDEN, spread=0.5)
    photo = Photograph(table.shot(lamp, exposure=0.7))
    return Shot(photo, grey_card(scene(photo), [(10 * px_per_mm, 8 * px_per_mm)]), px_per_mm)


def golden_width(sheet, left, right):
    part = srgb_to_lab(sheet[:, left:right])
    return int((ciede2000(part, GOLDEN) < 6).any(axis=0).sum())


def test_one_scale_and_one_white_for_all():
    sheet = contact_sheet([[shot("warm", 4.0)], [shot("cool", 6.0)]], width_px=1000)
    assert sheet.same_scale and sheet.same_balance and not sheet.warnings
    one, two = golden_width(sheet.srgb, 0, 500), golden_width(sheet.srgb, 500, 1000)
    assert one == pytest.approx(two, abs=4) and one == pytest.approx(40 * sheet.px_per_mm, abs=6)


def test_no_label_is_drawn_while_blind_and_one_is_after():
    rows = [[shot("warm", 4.0)], [shot("cool", 6.0)]]
    blind, open_sheet = contact_sheet(rows, width_px=600), contact_sheet(rows, labels=["butter", "olive oil"], width_px=600)
    assert open_sheet.srgb.shape[0] > blind.srgb.shape[0]
    cell = (600 - 12) // 2 - 12
    assert (open_sheet.srgb[12 + cell : -12] < 128).any()  # ink
    assert (blind.srgb[12 + cell :] == 255).all()


def test_whole_and_cut_stand_side_by_side():
    sheet = contact_sheet([[shot("warm", 4.0), shot("warm", 4.0, 10.0)]] * 3, width_px=1200, columns=2)
    assert sheet.srgb.shape[1] == 1200 and sheet.srgb.shape[0] > 500


def test_a_missing_ruler_or_card_is_said():
    plain = Shot(Photograph(np.full((50, 80, 3), 120, np.uint8)))
    sheet = contact_sheet([[plain]], width_px=300)
    assert not sheet.same_scale and not sheet.same_balance and len(sheet.warnings) == 2


def test_wrong_labels_and_crops_are_refused():
    plain = Shot(Photograph(np.full((50, 80, 3), 120, np.uint8)), crop=(0, 0, 500, 20))
    with pytest.raises(ColourError, match="crop"):
        contact_sheet([[plain]])
    with pytest.raises(ColourError, match="labels"):
        contact_sheet([[plain]], labels=["a", "b"])
    with pytest.raises(ColourError, match="at least one"):
        contact_sheet([])
