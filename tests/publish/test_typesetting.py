"""A paper that can't be set as meant is a fault, never a page with holes."""

from importlib.resources import files

import pytest

from proofpan.publish.typesetting import SettingError, _set, writable


def test_a_sign_that_our_fonts_lack_is_an_error():
    data = {"title": "x", "paper": "a4", "study": "\u4e2d", "round": "1", "rows": [], "foot": ""}
    with pytest.raises(SettingError, match="Latin"):
        _set("reveal", data, None, "pdf", None)


def test_fractions_are_spelt_out_and_accents_that_are_not_held_dropped():
    assert writable(["⅓ cup", "crème brûlée", {"by": "Dvo\u0159\u00e1k"}]) == ["1/3 cup", "crème brûlée", {"by": "Dvorák"}]


def test_the_signs_said_to_be_held_are_those_of_the_fonts():
    ttlib = pytest.importorskip("fontTools.ttLib")
    folder = files("proofpan.publish") / "fonts"
    held = set()
    for name in ("AtkinsonNext-400", "Vollkorn-400"):
        held |= set(ttlib.TTFont(str(folder / f"{name}.ttf")).getBestCmap())
    said = (folder / "signs.txt").read_text(encoding="utf-8").removesuffix("\n")
    assert {c for c in said if ord(c) not in held} == set()
