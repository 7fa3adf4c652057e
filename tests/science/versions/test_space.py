"""Which versions can be made, and how the prior makes them alike."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.versions import VersionsError, make_space


def test_a_factor_that_does_not_apply_makes_no_further_versions():   # counted by hand: 3 batters × (once, twice at 180, twice at 190)
    space = make_space(
        {"batter": ["beer", "tempura", "buttermilk"], "fry": ["once", "twice"], "second fry": ["180", "190"]},
        when={"second fry": {"fry": ["twice"]}},
    )
    assert space.size == 9
    assert space.levels[0].tolist() == [0, 0, -1]


def test_a_factor_hanging_on_one_that_does_not_apply_does_not_apply():   # no soak; soak 8 or 16 h, in water or in brine weak or strong
    space = make_space(
        {"soak": ["no", "yes"], "brine": ["no", "yes"], "strength": ["weak", "strong"]},
        when={"brine": {"soak": ["yes"]}, "strength": {"brine": ["yes"]}},
    )
    assert space.size == 1 + 1 + 2


def test_a_never_line_leaves_its_versions_out():
    assert make_space({"fat": ["butter", "oil"], "oven": ["170", "190"]}, never=[{"fat": "oil", "oven": "190"}]).size == 3


def test_an_unknown_option_is_named():
    with pytest.raises(VersionsError, match="lard"):
        make_space({"fat": ["butter", "oil"]}, never=[{"fat": "lard"}])


def test_nothing_left_to_make_is_refused():
    with pytest.raises(VersionsError, match="ruled out"):
        make_space({"fat": ["butter"]}, never=[{"fat": "butter"}])


@settings(deadline=None, max_examples=30)
@given(st.lists(st.integers(2, 4), min_size=1, max_size=3))
def test_main_and_pair_effects_add_up_to_nothing_over_each_factor(sizes):
    space = make_space({f"f{i}": [str(o) for o in range(n)] for i, n in enumerate(sizes)})
    for rows in space.centred:
        assert np.abs(rows.sum(0)).max() < 1e-9
    for a, b in space.pairs:
        for level in range(sizes[a]):
            assert np.abs(space.pair_rows(a, b)[space.levels[:, a] == level].sum(0)).max() < 1e-9


def test_near_numbers_are_more_alike_than_far_ones():
    rows = make_space({"oven": ["150", "160", "190", "200"]}, values={"oven": [150, 160, 190, 200]}).centred[0]
    cov = rows @ rows.T
    assert cov[0, 1] > cov[0, 2] > cov[0, 3]


def test_a_contrast_averages_over_pairs_that_differ_only_in_the_factor():
    space = make_space({"fat": ["butter", "oil"], "oven": ["170", "190"]}, never=[{"fat": "oil", "oven": "190"}])
    w = space.contrast(0, 1, 0)   # only at 170 can both be made
    assert w.tolist() == [-1.0, 0.0, 1.0]
