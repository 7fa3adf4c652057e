"""A paper that can't be set as meant is a fault, never a page with holes."""

from importlib.resources import files

import pytest

from proofpan.publish.typesetting import SettingError, _set, png, writable


def test_a_sign_that_our_fonts_lack_is_an_error():
    data = {"title": "x", "paper": "a4", "study": "\u4e2d", "round": "1", "rows": [], "foot": ""}
    with pytest.raises(SettingError, match="Latin, Greek or Cyrillic"):
        _set("reveal", data, None, "pdf", None)


@pytest.mark.parametrize("name", ["Łukasz Dvořák", "Ștefan Ōe", "Nguyễn Đức", "Ελένη Παπαδοπούλου", "Ирина Щукина", "⅓ cup, ⅛ tsp, 20 ≤ x"])
def test_names_of_europe_and_vietnam_stand_as_they_are_written(name):
    assert writable(name) == name
    data = {"title": name, "below": name, "note": "", "width": 1920, "height": 1080}
    assert png("chart", data, {"chart.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"></svg>'}, ppi=18)


def test_a_fraction_that_no_font_holds_is_spelt_out():
    assert writable(["⅖ cup", {"by": "crème brûlée"}]) == ["2/5 cup", {"by": "crème brûlée"}]


def test_the_signs_said_to_be_held_are_those_of_the_fonts():
    ttlib = pytest.importorskip("fontTools.ttLib")
    folder = files("proofpan.publish") / "fonts"
    held = set()
    for name in ("AtkinsonNext-400", "Vollkorn-400"):
        held |= set(ttlib.TTFont(str(folder / f"{name}.ttf")).getBestCmap())
    said = (folder / "signs.txt").read_text(encoding="utf-8").removesuffix("\n")
    assert {c for c in said if ord(c) not in held} == set()
