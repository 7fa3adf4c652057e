"""The posterior against closed forms, and what must never change it."""

import time

import numpy as np
import pytest

from proofpan.science.versions import (
    Prior,
    Spread,
    VersionsError,
    contrast,
    decide,
    fit,
    make_scores,
    make_space,
    outcome,
    sample_scores,
)
from proofpan.science.versions.closed_form import known_posterior


def sure(x):
    return Spread(x, 1e-4)


KNOWN = Prior(
    mean=6.0, mean_sd=1.0, main=sure(0.6), own=1e-4, pair=sure(0.45), surprise=sure(1e-6), noise=sure(0.3), taster=sure(1e-4),
    taster_version=sure(1e-4), load=sure(0.3), trial=sure(0.4), lot=sure(1e-4), tray=sure(1e-4), day=sure(1e-4), drift=sure(1e-6),
    position=sure(1e-4), taster_noise=1e-3, idle=0.0, adds_up=0.0, pairs_only=0.0, nothing=0.0, dud=0.0, spoilt=0.0, stray=1e-12,
)


def kitchen(seed, levels=(2, 3, 2), loads=3, tasters=3, mean=6.0, truth_sd=0.8):
    r = np.random.default_rng(seed)
    space = make_space({f"f{a}": [str(o) for o in range(n)] for a, n in enumerate(levels)})
    truth = mean + truth_sd * r.normal(size=space.size)
    rows = []
    for load in range(loads):
        for place, version in enumerate(r.permutation(space.size)[:4]):
            trial = r.normal(0, 0.3)
            for taster in range(tasters):
                score = truth[version] + trial + 0.5 * (taster - 1) + r.normal(0, 1)
                rows.append((version, round(2 * score) / 2, taster, 4 * load + place, load, place // 2, place))
    v, s, t, trial, load, tray, position = np.array(rows).T
    scores = make_scores(v.astype(int), np.clip(s, 0, 10), taster=t.astype(int), trial=trial.astype(int), load=load.astype(int),
                         tray=tray.astype(int), position=position.astype(int), day=load.astype(int), step=0.5)
    return space, truth, scores


def test_with_known_spreads_it_is_the_textbook_posterior():   # Rasmussen & Williams 2006, eq. 2.22–2.24, by a separate dense implementation
    space = make_space({"a": ["0", "1"], "b": ["0", "1", "2"]})
    values = [(0, 6.8, 0), (1, 7.4, 0), (4, 5.9, 1), (5, 6.6, 1)]
    scores = make_scores([v for v, _, _ in values], [y for _, y, _ in values], load=[load for _, _, load in values])
    got = fit(space, scores, KNOWN, points=8)
    want = known_posterior(
        (2, 3), [dict(version=space.levels[v], value=y, noise_sd=np.hypot(0.3, 0.4), load=load) for v, y, load in values],
        mean=6.0, mean_sd=1.0, main_sd=0.6, pair_sd=0.45, load_sd=0.3,
    )
    assert got.mean == pytest.approx(want.mean, abs=3e-3)
    cov = got.weights @ got.cov_by.reshape(len(got.weights), -1)
    assert cov == pytest.approx(want.cov.reshape(-1), abs=3e-3)


def test_the_order_of_rows_changes_no_bit():
    space, _, scores = kitchen(3)
    shuffled = scores.rows(np.random.default_rng(0).permutation(len(scores)))
    a, b = fit(space, scores), fit(space, shuffled)
    assert (a.mean == b.mean).all() and all((x == y).all() for x, y in zip(a.interval(), b.interval(), strict=True))


def test_a_dropped_taster_was_never_asked():
    space, _, scores = kitchen(4)
    without = scores.rows(scores.taster != 1)
    again = make_scores(
        without.version, without.score, taster=np.where(without.taster == 2, 1, 0), trial=without.trial, load=without.load,
        tray=without.tray, position=without.position, day=without.day, step=0.5,
    )
    assert (fit(space, without).mean == fit(space, again).mean).all()


def test_no_score_gives_the_prior():
    space, _, _ = kitchen(1)
    p = fit(space)
    assert np.ptp(p.mean) < 1e-9
    d = decide(p, 0.5)
    assert d.odds_best.sum() == pytest.approx(1)


def test_contrasts_are_exact_on_the_mixture():
    space, _, scores = kitchen(5)
    p = fit(space, scores)
    w = space.contrast(1, 2, 0)
    c = contrast(p, w)
    draws = w @ sample_scores(p, 40000)
    assert c.mean == pytest.approx(draws.mean(), abs=0.02)
    assert c.odds_above(0.3) == pytest.approx((draws > 0.3).mean(), abs=0.015)
    assert c.interval() == pytest.approx(np.quantile(draws, [0.025, 0.975]), abs=0.06)


def test_odds_are_joint_and_add_up():
    space, _, scores = kitchen(6)
    d = decide(fit(space, scores), 0.5, prices=np.linspace(0, 0.4, space.size), eligible=np.arange(space.size) % 3 > 0)
    assert d.odds_best.sum() == pytest.approx(1, abs=1e-9) and d.odds_publish.sum() == pytest.approx(1, abs=1e-9)
    assert (d.odds_within_worth >= d.odds_best - 1e-9).all() and d.odds_publish[0] == 0 and d.publish % 3 > 0


def test_joint_draws_of_very_many_versions_agree_with_the_direct_ones():
    space, _, scores = kitchen(7, levels=(3, 3, 2))
    p = fit(space, scores)
    from proofpan.science.versions.decision import _sample_large, allot

    counts = allot(p.weights, 20000)
    draws = _sample_large(p, counts, np.random.default_rng(1), np.empty((space.size, 20000)))
    about = draws - draws.mean(0)
    assert about.std(1) == pytest.approx(sample_scores(p, 20000).std(1) * 0 + p.sd, rel=0.06)
    assert draws.mean(1) == pytest.approx(p.mean, abs=0.06)


def test_two_thousand_versions_take_under_a_second_of_work():
    space = make_space({"a": [str(i) for i in range(10)], "b": [str(i) for i in range(10)], "c": [str(i) for i in range(20)]})
    r = np.random.default_rng(0)
    v = r.permutation(space.size)[:24]
    scores = make_scores(np.repeat(v, 2), r.normal(6, 1, 48).round(), taster=np.tile([0, 1], 24), trial=np.repeat(np.arange(24), 2),
                         load=np.repeat(np.arange(6), 8))
    start = time.process_time()
    p = fit(space, scores)
    low, high = p.interval()
    assert time.process_time() - start < 1.5 and (high > low).all()


def bread(order, seed):
    r = np.random.default_rng(seed)
    space = make_space({"flour": ["white", "wholemeal"]})
    score = [np.clip(round(2 * (5 + 0.5 * i + r.normal(0, 0.3))) / 2, 0, 10) for i in range(len(order))]
    return space, make_scores(order, score, trial=range(len(order)), load=range(len(order)), day=range(len(order)), step=0.5)


def test_a_drift_over_days_is_not_taken_for_the_flour():
    space, scores = bread([0, 0, 1, 1], 2)
    c = contrast(fit(space, scores), space.contrast(0, 1, 0))
    low, high = c.interval()
    assert low < 0 < high and outcome("best", c, 0.5) == "not settled"


def scones(order, seed):
    r = np.random.default_rng(seed)
    space = make_space({"fat": ["butter", "cream"]})
    rows = [(v, i, t, 6 + 1.2 * (i % 4 < 2) + r.normal(0, 0.5)) for i, v in enumerate(order) for t in (0, 1)]
    v, trial, taster, score = np.array(rows).T
    return space, make_scores(v.astype(int), score, taster=taster.astype(int), trial=trial.astype(int), load=trial.astype(int) // 4,
                              tray=(trial.astype(int) % 4) // 2, day=trial.astype(int) // 4)


def test_a_shelf_is_not_taken_for_the_fat_however_often_it_was_tied():
    space, scores = scones([0, 0, 1, 1] * 4, 5)
    c = contrast(fit(space, scores), space.contrast(0, 0, 1))
    low, high = c.interval()
    assert low < 0 < high and outcome("best", c, 0.5) == "not settled"


def test_crossed_over_shelves_the_fat_shows_nothing():
    space, scores = scones([0, 0, 1, 1, 1, 1, 0, 0] * 2, 9)
    c = contrast(fit(space, scores), space.contrast(0, 0, 1))
    assert abs(c.mean) < 0.4 and c.interval()[0] < 0 < c.interval()[1]


def squash(fruits, seed=9):
    r = np.random.default_rng(8)
    fruit = r.normal(0, 0.8, 16)
    noise = np.random.default_rng(seed)
    rows = [(i % 8, i, t, 6 + fruit[i] + noise.normal(0, 0.6)) for i in range(8 * fruits) for t in (0, 1)]
    v, trial, taster, score = np.array(rows).T
    space = make_space({"variety": list("abcdefgh")})
    return space, make_scores(v.astype(int), score, taster=taster.astype(int), trial=trial.astype(int), load=trial.astype(int) // 4,
                              lot=trial.astype(int), day=trial.astype(int) // 8)


def test_one_fruit_each_settles_nothing_and_two_are_narrower():
    widths = []
    for fruits in (1, 2):
        space, scores = squash(fruits)
        p = fit(space, scores)
        low, high = p.interval()
        widths.append((high - low).mean())
        if fruits == 1:
            said = [outcome("best", contrast(p, space.contrast(0, a, b)), 0.5) for a in range(8) for b in range(a)]
            assert "better" not in said
    assert widths[1] < widths[0]


def test_a_dud_taster_is_noticed_and_costs_little():
    r = np.random.default_rng(1)
    space = make_space({"a": list("wxyz"), "b": list("pq")})
    truth = 5.5 + np.arange(8) * 0.6
    plates = [(rep, v, t) for rep in range(3) for v in range(8) for t in range(5)]
    rows = [(v, 8 * rep + v, t, truth[v] + r.normal(0, 0.7) if t else 6 + r.normal(0, 1.5)) for rep, v, t in plates]
    v, trial, taster, score = np.array(rows).T
    p = fit(space, make_scores(v.astype(int), np.clip(score, 0, 10), taster=taster.astype(int), trial=trial.astype(int),
                               load=trial.astype(int) // 4))
    odds = [t.dud_odds for t in p.tasters]
    assert odds[0] > 0.9 and max(odds[1:]) < 0.2
    assert decide(p, 0.5).best in (6, 7)


def test_scores_on_the_end_of_the_scale_are_read_as_at_least():
    space = make_space({"a": ["plain", "good"]})
    r = np.random.default_rng(2)
    v = np.tile([0, 1], 10)
    raw = np.where(v == 0, 8.8, 10.6) + r.normal(0, 0.8, 20)
    free = fit(space, make_scores(v, raw, trial=range(20), load=np.arange(20) // 4, high=20.0, low=0.0), Prior(mean=4.5))
    cut = fit(space, make_scores(v, np.clip(np.round(2 * raw) / 2, 0, 10), trial=range(20), load=np.arange(20) // 4, step=0.5))
    plain = np.clip(raw, 0, 10)
    shown = plain[v == 1].mean() - plain[v == 0].mean()
    assert contrast(cut, space.contrast(0, 1, 0)).mean > 0.8 * shown
    assert contrast(cut, space.contrast(0, 1, 0)).sd > 0 and len(free.weights)


def test_a_slip_of_the_pen_moves_little():
    space, _, scores = kitchen(12, levels=(2, 2), loads=6, tasters=4)
    before = fit(space, scores).mean
    bad = scores.score.copy()
    bad[5] = 0.0
    from dataclasses import replace

    after = fit(space, replace(scores, score=bad)).mean
    assert np.abs(after - before).max() < 0.25


def test_readers_are_less_sure_than_the_tasters():
    space, _, scores = kitchen(8)
    p = fit(space, scores)
    assert (p.readers().sd > p.sd).all()
    w = space.contrast(0, 1, 0)
    assert contrast(p.readers(), w).sd > contrast(p, w).sd
    widened = p.readers().sd ** 2 - p.sd**2
    assert widened == pytest.approx(widened.mean()) and widened.mean() < p.weights @ p.settings["taster_version"] ** 2 / p.palates


def test_a_version_that_is_not_there_is_refused():
    with pytest.raises(VersionsError, match="isn't among"):
        fit(make_space({"a": ["x", "y"]}), make_scores([5], [6.0]))


@pytest.mark.parametrize("tasters", [1, 4])
def test_many_trials_of_one_score_each_give_the_same_in_a_fraction_of_the_work(tasters):
    """What trials share, carried in place of the trials, is the same sum written otherwise: held against the long way."""
    from importlib import import_module

    parts = import_module("proofpan.science.versions.fit")
    r, n = np.random.default_rng(3), 90
    which = r.integers(12, size=n)
    s = make_scores(
        which, np.round(2 * (6 + r.normal(0, 1, 12)[which] + r.normal(0, 1, n))) / 2, trial=np.arange(n), taster=r.integers(tasters, size=n),
        load=r.integers(9, size=n), lot=r.integers(4, size=n), day=r.integers(5, size=n), position=r.integers(4, size=n), step=0.5,
    )
    space = make_space({"a": ["0", "1", "2"], "b": ["1", "2", "3", "4"]})
    short, long = (parts.Table(parts.make_design(space, s, fold_from=f), Prior(), 1.0) for f in (40, 10**9))
    assert short.design.size < 0.5 * long.design.size
    z = r.normal(size=(3, len(short.coords))) * short.free
    marks = {"dud": np.zeros((3, tasters)), "spoilt": np.zeros((3, n))}
    marks["dud"][1, 0] = marks["spoilt"][2, 5] = 1
    assert short.log_evidence(z, **marks) == pytest.approx(long.log_evidence(z, **marks), abs=1e-3)
    for one, other in zip(parts._pull_of_trials(short, z[0]), parts._pull_of_trials(long, z[0]), strict=True):
        assert one == pytest.approx(other, abs=1e-4)


# three tasters who agree to half a point on one that is 0.7 better in 16 makes: once in 160 settings all three were drawn as duds, and by that one nothing was
# known (0.06, −1.8 to 1.8 at a level of 6; 0.49, −0.4 to 1.4 at a level of 5)
def test_that_all_three_tasters_are_duds_never_carries_the_answer():
    space = make_space({"lemon": ["fresh", "bottled"]})
    rng = np.random.default_rng(4)
    made = np.array([0, 1, 1, 0] * 4)
    marks = np.round(2 * (np.repeat(0.9 * made, 3) + rng.normal(0, 0.3, 48))) / 2
    found = []
    for level in (4.0, 5.0, 6.0):
        scores = make_scores(np.repeat(made, 3), level + marks, taster=np.tile(range(3), 16), trial=np.repeat(range(16), 3),
                             load=np.repeat(range(4), 12), step=0.5)
        found.append(contrast(fit(space, scores), np.array([-1.0, 1.0])))
    assert all(0.3 < c.mean < 1.2 and c.interval(0.95)[1] - c.interval(0.95)[0] < 2.5 for c in found)
    assert max(c.mean for c in found) - min(c.mean for c in found) < 0.1
