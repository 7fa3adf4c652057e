"""Which trials are proposed."""

import numpy as np
import pytest

from proofpan.science.versions import LoadPlan, VersionsError, choose, make_scores, make_space, no_scores

FOUR = ((0, 0), (0, 1), (1, 0), (1, 1))


def oats():
    return make_space({"fat": ["butter", "oil"], "flour": list("abcd"), "salt": list("wxyz"), "rest": ["none", "30 min"]})


def test_a_first_load_shows_each_option_as_often_as_the_others():
    space = oats()
    levels = space.levels[choose(space, None, LoadPlan(tasters=2)).versions]
    assert len(np.unique(levels, axis=0)) == 4
    for a, n in enumerate((2, 4, 4, 2)):
        assert np.bincount(levels[:, a], minlength=n).tolist() == [4 // n] * n


def test_the_same_seed_gives_the_same_round():
    space = oats()
    a, b = (choose(space, None, LoadPlan(tasters=2), seed=3) for _ in range(2))
    assert (a.versions == b.versions).all() and a.gain == b.gain


def test_both_options_stand_on_both_trays():
    space = make_space({"fat": ["butter", "cream"]}, changed={"fat": "tray"})
    c = choose(space, None, LoadPlan(places=FOUR, tasters=2))
    for option in (0, 1):
        assert set(c.tray[c.versions == option]) == {0, 1}


def test_two_loads_of_four_show_all_eight_kinds():
    space = make_space({"variety": list("abcdefgh")}, changed={"variety": "tray"})
    c = choose(space, None, LoadPlan(loads=2, places=FOUR, tasters=2))
    assert sorted(c.versions.tolist()) == list(range(8)) and c.load.tolist() == [0] * 4 + [1] * 4


def test_a_factor_changed_by_the_load_is_the_same_within_a_load_and_differs_between():
    space = make_space({"fat": ["b", "o", "s"], "rest": ["0", "30"], "oven": ["170", "190"]}, changed={"oven": "load"})
    c = choose(space, None, LoadPlan(loads=2, places=FOUR, tasters=2))
    oven = space.levels[c.versions, 2].reshape(2, 4)
    assert (oven == oven[:, :1]).all() and oven[0, 0] != oven[1, 0]


def one_a_day(seed):
    space, order = make_space({"flour": ["white", "wholemeal"]}), []
    for day in range(4):
        known = make_scores(order, [6.0] * day, trial=range(day), load=range(day), day=range(day), step=0.5) if order else no_scores()
        c = choose(space, known, LoadPlan(places=((0, 0),), tasters=1, day=day), seed=seed + day)
        order.append(int(c.versions[0]))
    return order


@pytest.mark.parametrize("seed", [0, 3, 11])
def test_one_loaf_a_day_does_not_tie_the_flour_to_the_days(seed):
    order = one_a_day(seed)
    assert order in ([0, 1, 1, 0], [1, 0, 0, 1])   # a steady change over the days then falls on neither


def scored(space, versions, truth, seed, tasters=2):
    r = np.random.default_rng(seed)
    rows = [(v, i, t, truth[v] + r.normal(0, 0.8)) for i, v in enumerate(versions) for t in range(tasters)]
    v, trial, taster, score = np.array(rows).T
    return make_scores(v.astype(int), score, taster=taster.astype(int), trial=trial.astype(int), load=trial.astype(int) // 4)


def test_after_two_loads_of_nine_apples_the_third_goes_back_to_likely_ones():
    space = make_space({"apple": list("abcdefghi")})
    truth = np.random.default_rng(5).normal(6, 0.6, 9)
    first = choose(space, None, LoadPlan(tasters=1)).versions.tolist()
    second = choose(space, scored(space, first, truth, 1, 1), LoadPlan(tasters=1)).versions.tolist()
    assert len({*first, *second}) >= 6
    from proofpan.science.versions import fit

    known = scored(space, first + second, truth, 1, 1)
    third = choose(space, known, LoadPlan(tasters=1)).versions.tolist()
    assert set(np.argsort(-fit(space, known).mean)[:3]) & set(third)


def test_trials_that_may_not_be_cooked_are_not_proposed():
    space = oats()
    may = space.levels[:, 0] == 1
    c = choose(space, None, LoadPlan(tasters=2), candidates=may)
    assert may[c.versions].all()
    with pytest.raises(VersionsError, match="left out"):
        choose(space, None, LoadPlan(), candidates=~np.ones(64, dtype=bool))


def test_a_trial_on_its_way_is_not_proposed_again():
    space = make_space({"apple": list("abcdefgh")})
    c = choose(space, None, LoadPlan(tasters=2), planned=(0, 1, 2, 3))
    assert not set(c.versions.tolist()) & {0, 1, 2, 3}


def test_a_late_option_is_crossed_with_the_likeliest():
    space = make_space({"fat": ["butter", "oil", "ghee"], "flour": list("abcd")})
    truth = np.add.outer([0.0, 0.3, 0.0], [5.0, 6.2, 6.0, 5.2]).reshape(-1)
    known = scored(space, [i for i in range(8)] * 2, truth, 4, 4)   # ghee, versions 8 to 11, came in late
    c = choose(space, known, LoadPlan(tasters=4))
    late = [v for v in c.versions.tolist() if v >= 8]
    assert {int(space.levels[v, 1]) for v in late} >= {1, 2}


def test_every_trial_says_why():
    space = oats()
    truth = np.random.default_rng(1).normal(6, 0.8, 64)
    known = scored(space, [0, 13, 26, 39], truth, 2)
    c = choose(space, known, LoadPlan(tasters=2))
    assert all(w in ("likely best", "repeat", "control", "spread") or w.startswith("tells ") for w in c.why) and c.gain > 0


def test_a_round_of_no_place_is_refused():
    with pytest.raises(VersionsError, match="place"):
        choose(oats(), None, LoadPlan(places=()))


@pytest.mark.parametrize("seed", [0, 6, 34])   # with nothing to be earned, these rounds had a version two or three times in a load
def test_the_same_again_stands_beside_itself_only_where_it_clearly_tells_more(seed):
    space = make_space({"fat": ["butter", "oil", "ghee"], "rest": ["none", "30 min"], "malt": ["none", "10 g"]})
    r = np.random.default_rng(seed)
    cooked = r.permutation(space.size)
    score = 6 + 1.0 * (space.levels[cooked, 0] == 1) + 0.3 * space.levels[cooked, 2] + r.normal(0, 0.5, len(cooked))
    known = make_scores(cooked, score, trial=range(len(cooked)), load=np.arange(len(cooked)) // 4)
    loads = choose(space, known, LoadPlan(loads=2, places=FOUR, tasters=2)).versions.reshape(2, 4)
    assert [len(set(load)) for load in loads] == [4, 4]


def test_where_no_trial_would_change_the_choice_different_ones_are_cooked():
    space = make_space({"fat": ["butter", "oil"], "rest": ["none", "30 min"], "malt": ["none", "10 g"]})
    cooked = np.tile(np.arange(space.size), 3)
    score = np.where(space.levels[cooked, 0] == 1, 9.0, 2.0)
    known = make_scores(cooked, score, trial=range(len(cooked)), load=np.arange(len(cooked)) // 4)
    only = np.arange(space.size) == 7   # one version alone may be published: nothing is to be gained
    c = choose(space, known, LoadPlan(places=FOUR, tasters=2), eligible=only)
    assert c.gain == 0 and len(set(c.versions.tolist())) == 4
