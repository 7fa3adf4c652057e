"""Versions that failed when last made: what a round may gain by making them again, and which aren't made again."""

import numpy as np
import pytest

from proofpan.science.versions import LoadPlan, choose, make_scores, make_space

THREE = make_space({"sugar": ["240", "200", "160"]})


def marks(truth, times=4):
    """Each version made `times` times, marked by two tasters exactly."""
    made = list(range(3)) * times
    version = np.repeat(made, 2)
    return make_scores(version, [truth[v] for v in version], taster=[0, 1] * len(made), trial=np.repeat(range(len(made)), 2),
                       load=np.repeat(np.arange(len(made)) // 3, 2), step=0.5)


def held(version, chance=0.8):
    return np.where(np.arange(3) == version, chance, np.nan)


def test_a_favourite_that_failed_is_made_again_and_what_that_earns_is_its_lead_times_its_chance():
    scores = marks([5.0, 6.0, 8.0])
    chosen = choose(THREE, scores, LoadPlan(tasters=2), comes_out=held(2))
    without = choose(THREE, scores, LoadPlan(tasters=2))
    assert 2 in chosen.versions and without.gain < 0.05
    makes = int((chosen.versions == 2).sum())
    comes_out_once = 1 - 0.2**makes                     # independent makes (our sums)
    assert chosen.gain == pytest.approx(2.0 * comes_out_once, abs=0.25)


def test_a_version_that_could_earn_nothing_isnt_made_again():
    chosen = choose(THREE, marks([5.0, 6.0, 8.0]), LoadPlan(tasters=2), comes_out=held(0))
    assert 0 not in chosen.versions


def test_what_was_never_tasted_is_made_again():
    made = [0, 1, 1, 0]
    scores = make_scores(np.repeat(made, 2), [6.0] * 8, taster=[0, 1] * 4, trial=np.repeat(range(4), 2), step=0.5)
    assert 2 in choose(THREE, scores, LoadPlan(tasters=2), comes_out=held(2)).versions


def test_where_everything_failed_any_of_it_may_be_made_again():
    chosen = choose(THREE, marks([5.0, 6.0, 8.0]), LoadPlan(tasters=2), comes_out=np.full(3, 0.5))
    assert 2 in chosen.versions and 0.0 <= chosen.gain < 5.0


def test_none_that_failed_changes_nothing():
    scores = marks([5.0, 6.0, 8.0])
    one, other = choose(THREE, scores, LoadPlan(tasters=2)), choose(THREE, scores, LoadPlan(tasters=2), comes_out=np.full(3, np.nan))
    assert (one.versions == other.versions).all() and one.gain == other.gain
