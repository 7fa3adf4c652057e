"""Sizes in words: what stands beside a bar can be told from it."""

import pytest

from proofpan.study.words import bar, signed_range


@pytest.mark.parametrize(("price", "low", "high", "said"), [
    (0.54, 0.51, 2.0, "0.54; 0.51 to 2.0"),   # not "must earn 0.5" beside a range that begins above it
    (0.54, 0.1, 2.0, "0.5; 0.1 to 2.0"),
    (0.5, 0.51, 2.0, "0.5; 0.51 to 2.0"),
    (0.5, -0.3, 0.46, "0.5; 0.3 worse to 0.46 better"),
])  # fmt: skip
def test_a_bar_has_the_figures_of_what_comes_near_it(price, low, high, said):
    assert f"{bar(price, low, high)}; {signed_range(low, high, price)}" == said
