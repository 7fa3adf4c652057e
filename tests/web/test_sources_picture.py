"""The two bars of a source: lengths hold the multiple, marks stand at each multiple, words are escaped."""

import re

import pytest

from proofpan.web.pages.sources.bars import bars


def widths(svg):
    return [float(w) for w in re.findall(r'<rect [^>]* width="([\d.]+)"', str(svg))]


@pytest.mark.parametrize("multiple, low, high, marks", [(3.5, 3.3, 3.7, 3), (0.4, 0.3, 0.5, 0), (1.02, 1.0, 1.04, 1), (120, 100, 140, 0)])
def test_the_bars_are_as_many_times_as_long_as_the_sum_says(multiple, low, high, marks):
    svg = bars(multiple, low, high, "4.56 g per 100 g", "16 g per 100 g", "h")
    theirs, ours = widths(svg)
    assert ours / theirs == pytest.approx(multiple, rel=0.06) and max(theirs, ours) <= 440.5
    assert len(re.findall(r'stroke-width="3" class="s-ink"', str(svg))) == marks


def test_words_of_the_kitchen_are_escaped():
    assert "<b>" not in str(bars(2, 2, 2, "<b>1 g</b>", "2 g", "h"))
