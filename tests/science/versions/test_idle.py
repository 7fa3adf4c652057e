"""What a factor that does nothing by itself does in company: nothing."""

from dataclasses import replace

import numpy as np

from proofpan.science.versions import Prior, Spread, contrast, fit, make_scores, make_space
from proofpan.science.versions.design import make_design, pair_names, spread_names
from proofpan.science.versions.dryrun import Invented
from proofpan.science.versions.fit import Table

SPACE = make_space({"fat": ["butter", "oil"], "rest": ["none", "30 min"], "oven": ["170", "190"]})


def test_a_pair_is_idle_where_one_of_its_factors_is():
    design = make_design(SPACE, make_scores([0, 3, 5], [6.0, 7.0, 5.0]))
    prior = Prior()
    table = Table(design, prior, 1.0)
    sds = dict(zip(spread_names(SPACE), table.spreads(np.zeros((1, len(table.coords))), idle=np.array([[0.0, 1.0, 0.0]]))[0], strict=True))
    assert sds["main_1"] == prior.idle_sd
    assert {name: sds[name] < 0.1 for name in pair_names(SPACE)} == {"pair_0_1": True, "pair_0_2": False, "pair_1_2": True}


def test_invented_kitchens_keep_to_it():
    no_luck = replace(Prior(), nothing=0.0, adds_up=0.0, pairs_only=0.0, idle=1.0, surprise=Spread(1e-6, 0.1))
    assert np.ptp(Invented(SPACE, no_luck, 2, 1, seed=1, number=0).truth) < 0.5
    assert np.ptp(Invented(SPACE, replace(no_luck, idle=0.0), 2, 1, seed=1, number=0).truth) > 0.5


def test_a_step_without_effect_in_many_scores_takes_its_pairs_with_it():
    r = np.random.default_rng(3)
    version = np.tile(np.arange(8), 8)
    score = 6 + 1.2 * SPACE.levels[version, 0] + 0.8 * SPACE.levels[version, 2] + r.normal(0, 0.5, len(version))
    got = fit(SPACE, make_scores(version, score, trial=np.arange(len(version)), load=np.arange(len(version)) // 4))
    pair = {name: float(got.weights @ got.prior_variances[name]) for name in pair_names(SPACE)}
    assert got.idle_odds[1] > 3 * max(Prior().idle, got.idle_odds[0], got.idle_odds[2])   # thrice as likely as before any score
    assert pair["pair_0_1"] < 0.8 * pair["pair_0_2"] and pair["pair_1_2"] < 0.8 * pair["pair_0_2"]


def test_an_extra_that_must_earn_its_place_is_doubted_more():
    extra = make_space(dict(zip(SPACE.factors, SPACE.options, strict=True)), extras=["rest"])
    prior = Prior()
    assert prior.idle_chances(extra).tolist() == [prior.idle, prior.idle_extra, prior.idle]
    assert prior.idle_chances(make_space({"rest": ["none", "30 min"]}, extras=["rest"])).tolist() == [prior.idle_alone]
    r = np.random.default_rng(5)
    version = np.tile(np.arange(8), 2)
    score = 6 + 1.2 * SPACE.levels[version, 0] + r.normal(0, 0.6, len(version))
    rows = make_scores(version, score, trial=np.arange(len(version)), load=np.arange(len(version)) // 4)
    plain, doubted = (contrast(fit(space, rows), space.contrast(1, 1, 0)).odds_above(0.5) for space in (SPACE, extra))
    assert doubted < plain   # odds that the step earns half a point
    kitchens = [Invented(extra, replace(prior, idle=0.0, nothing=0.0, pairs_only=0.0), 2, 1, seed=2, number=i).truth for i in range(200)]
    idle = [abs(extra.contrast(1, 1, 0) @ truth) < 0.2 for truth in kitchens]
    assert 0.3 < np.mean(idle) < 0.7   # four in ten, and some that matter little
