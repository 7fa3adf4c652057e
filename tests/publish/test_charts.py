"""Charts are well-formed SVG (W3C SVG 1.1) with title and description, and keep every name whole."""

from xml.etree import ElementTree as Tree

import pytest

from proofpan.publish import charts
from proofpan.study.verdict import VersionRow
from proofpan.study.versions import Version
from proofpan.study.words import version_words

SVG = "{http://www.w3.org/2000/svg}"


def factors(study):
    return [(f.name, [o.name for o in f.options]) for f in study.factors]


def said(svg):
    return " ".join(t.text for t in Tree.fromstring(svg).iter(f"{SVG}text"))


@pytest.mark.parametrize("width", [640, 340])
def test_every_picture_is_well_formed_and_says_what_it_shows(made, width):
    drawn = [charts.difference(a, width=width) for a in made.verdict.answers]
    drawn += [charts.score_lines(made.verdict.rows, width=width), charts.hundred(0.2, 0.5),
              charts.versions_grid(made.verdict.rows, factors(made.study), trays="oven", width=width)]
    for svg in drawn:
        root = Tree.fromstring(svg)
        assert root.get("role") == "img"
        assert root.find(f"{SVG}title").text
        assert root.find(f"{SVG}desc").text


@pytest.mark.parametrize("width", [640, 340])
def test_score_lines_keep_whole_names(made, width):
    shown = sorted((r for r in made.verdict.rows if not r.benchmark), key=lambda r: -(r.odds_publish or 0))[:12]
    text = said(charts.score_lines(made.verdict.rows, width=width))
    assert all(version_words(r.version) in text for r in shown)
    assert "…" not in text


def test_the_grid_has_a_place_for_every_version_and_rings_what_is_next(made):
    svg = charts.versions_grid(made.verdict.rows, factors(made.study), trays="oven", coming=[made.verdict.rows[0].version])
    root = Tree.fromstring(svg)
    assert len(list(root.iter(f"{SVG}circle"))) == len([r for r in made.verdict.rows if not r.benchmark]) == 24
    assert len(list(root.iter(f"{SVG}rect"))) == 1


def test_beyond_36_versions_twelve_are_drawn_and_the_rest_told_together():
    rows = [VersionRow(version=Version({"dose": str(i)}), score=5, low=4, high=6, odds_publish=0.06 if i < 12 else 0.28 / 28) for i in range(40)]
    text = said(charts.versions_grid(rows, [("dose", [str(i) for i in range(40)])]))
    assert "the other 28 together: 28 in 100" in text
