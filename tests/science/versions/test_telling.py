"""Rounds that tell the best from the rest: when they are chosen so, and what they look at."""

import numpy as np

from proofpan.science.versions import LoadPlan, choose, fit, make_scores, make_space
from proofpan.science.versions.lookahead import look_ahead
from proofpan.science.versions.telling import room_to_learn, telling

SPACE = make_space({"a": ["0", "1"], "b": ["0", "1", "2", "3"], "c": ["0", "1", "2", "3"], "d": ["0", "1"]})
ALL = np.ones(SPACE.size, dtype=bool)


def test_there_is_room_to_learn_in_long_studies_before_their_last_round():
    assert room_to_learn(SPACE, 24, 5) and room_to_learn(SPACE, 36, 2)
    assert not room_to_learn(SPACE, 24, 1) and not room_to_learn(SPACE, 12, 2)   # nine differences: eighteen trials at least


def scored(truth):
    which = np.arange(0, 64, 5)
    return make_scores(np.repeat(which, 6), np.repeat(truth[which], 6), taster=np.tile(np.arange(6), len(which)), trial=np.repeat(which, 6))


def test_what_cannot_be_the_best_is_left_alone():
    truth = 5.0 + 3.0 * (SPACE.levels[:, 0] == 1)
    scores = scored(truth)
    ahead = look_ahead(fit(SPACE, scores), scores, LoadPlan(), None, None, ALL, 0)
    rule = telling(ahead)
    assert rule is not None and (np.linalg.eigvalsh(rule.cov[0] - rule.cov[1]) > -1e-8).all()   # naming the best only takes doubt away
    chosen = choose(SPACE, scores, LoadPlan(rounds_left=4), seed=1).versions
    assert (SPACE.levels[chosen, 0] == 1).all()


def test_one_version_that_may_be_published_leaves_nothing_to_tell():
    scores = scored(np.full(64, 6.0))
    only = np.arange(64) == 3
    assert telling(look_ahead(fit(SPACE, scores), scores, LoadPlan(), None, only, ALL, 0)) is None
