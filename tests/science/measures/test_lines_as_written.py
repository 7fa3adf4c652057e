"""Some 550 ingredient lines as real writers set them down, each with what a cook reads in it."""

from pathlib import Path

import pytest

from proofpan.science.measures import parse_line

ROWS = [r.split("|") for r in (Path(__file__).parent / "lines_as_written.txt").read_text(encoding="utf-8").splitlines()
        if r and not r.startswith("# ")]


def test_each_line_is_read_as_a_cook_reads_it():
    wrong = []
    for text, country, low, high, unit, item, prep, grams, ml, doubt in ROWS:
        r = parse_line(text, country)
        got = (_number(r.low), _number(r.high), r.unit or "", r.item, r.prep or "", _pair(r.mass_g), _pair(r.volume_ml))
        if got != (low, high, unit, item, prep, grams, ml) or bool(r.flags) != (doubt == "doubt"):
            wrong.append((text, got, r.flags))
    assert len(ROWS) > 520 and wrong == []


@pytest.mark.parametrize("text, low, high", [("750 g–1 kg mussels", 750, 1000), ("12 oz to 1 lb leeks", 12, 16), ("900 ml-1 l stock", 900, 1000)])
def test_a_range_may_change_its_unit(text, low, high):
    r = parse_line(text, "UK")
    assert (r.low, r.high) == (low, high)


@pytest.mark.parametrize("text, low, high", [("just under 1 cup milk", 0.8 * 250, 250), ("a little over 1 cup milk", 250, 1.25 * 250)])
def test_just_under_and_over_carry_an_interval(text, low, high):      # scant and generous, common practice, no source
    assert parse_line(text, "AU").volume_ml == pytest.approx((low, high))


def _number(value):
    return "" if value is None else f"{value:.6g}"


def _pair(value):
    return "" if value is None else f"{value[0]:.6g}-{value[1]:.6g}"
