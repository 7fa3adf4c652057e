"""Outcomes, trials needed, ties, failures, health, tie-breaks, overall scores and closed forms."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.versions import (
    LoadPlan,
    Prior,
    VersionsError,
    aliases,
    choose,
    contrast,
    dry_run,
    failure_odds,
    fit,
    gaussian,
    make_scores,
    make_space,
    needed,
    outcome,
    overall_score,
    overall_worth,
    palates,
    rescaled,
    smallest_difference,
    taster_health,
    tie_break_odds,
)
from proofpan.science.versions.closed_form import (
    expected_max_of_lines,
    expected_maximum,
    knowledge_gradient,
    known_odds,
    sample_value,
)


@pytest.mark.parametrize("asks, mean, sd, said", [   # normal distribution, 1.96 two-sided, 1.645 one-sided
    ("best", 1.0, 0.5, "better"), ("best", -1.0, 0.5, "better"), ("best", 0.9, 0.5, "not settled"),
    ("best", 0.2, 0.1, "no difference that matters"),   # tried first, although the interval lies beyond zero
    ("worth it", 0.9, 0.24, "worth it"), ("worth it", 0.9, 0.25, "not settled"), ("worth it", 0.0, 0.3, "not worth it"),
    ("good enough", 0.0, 0.3, "good enough"), ("good enough", -1.0, 0.3, "not good enough"), ("good enough", -0.4, 0.3, "not settled"),
])
def test_outcomes_at_95_in_100(asks, mean, sd, said):
    assert outcome(asks, gaussian(mean, sd), 0.5, 0.5) == said


def test_another_question_is_refused():
    with pytest.raises(VersionsError, match="asks"):
        outcome("cheapest", gaussian(0, 1), 0.5)


@settings(deadline=None, max_examples=60)
@given(st.floats(-3, 3), st.floats(0.05, 2))
def test_the_side_asked_about_changes_no_two_sided_answer(mean, sd):
    assert outcome("best", gaussian(mean, sd), 0.5) == outcome("best", gaussian(-mean, sd), 0.5)


def pairs(seed, trials, effect, tasters=2, noise=1.1):
    r = np.random.default_rng(seed)
    space = make_space({"salt": ["plain", "salted"]})
    rows = [(i % 2, i, t, 6 + effect * (i % 2) + r.normal(0, noise)) for i in range(trials) for t in range(tasters)]
    v, trial, taster, score = np.array(rows).T
    return space, make_scores(v.astype(int), score, taster=taster.astype(int), trial=trial.astype(int), load=trial.astype(int) // 4)


def test_more_data_needs_fewer_further_trials():
    space, few = pairs(4, 8, 0.7, tasters=12)
    _, many = pairs(4, 16, 0.7, tasters=12)
    w = space.contrast(0, 1, 0)
    a, b = (needed(fit(space, s), w, "best", 0.5, 0.0, n) for s, n in ((few, 8), (many, 16)))
    assert a and (b == 0 or b < a)


def test_what_two_tasters_own_liking_hides_no_trial_shows():   # floor: 2 × 0.5² / 2 tasters, so 1.96·0.5 points can't be told from nothing
    space, scores = pairs(4, 12, 0.5)
    assert needed(fit(space, scores), space.contrast(0, 1, 0), "best", 0.1, 0.0, 12) is None


def test_a_settled_difference_needs_no_more():
    space, scores = pairs(2, 40, 2.5, tasters=6)
    assert needed(fit(space, scores), space.contrast(0, 1, 0), "best", 0.5, 0.0, 40) == 0


SPACE = make_space({"fat": ["butter", "oil"], "rest": ["none", "30 min"]})


def whats(versions, **where):
    return {(a.factor, a.what) for a in aliases(make_space({"fat": ["butter", "oil"]}), versions, **where)}


def test_an_option_tied_to_a_tray_a_lot_or_a_day_is_named():
    assert whats([0, 0, 1, 1], tray=[0, 0, 1, 1]) == {("fat", "tray")}
    assert whats([0, 1], lot=[0, 1]) == {("fat", "lot")}
    assert whats([0, 0, 1, 1], day=[0, 1, 2, 3]) == {("fat", "day")}
    assert whats([0, 0, 1, 1], load=[0, 0, 1, 1]) == {("fat", "load")}


def test_crossed_trials_are_tied_to_nothing():
    assert whats([0, 1, 0, 1], tray=[0, 0, 1, 1]) == set()
    assert whats([0, 1, 1, 0], day=[0, 1, 2, 3]) == set()      # ABBA
    assert whats([0, 1, 0, 1], day=[0, 1, 2, 3]) == set()      # ABAB: nearly
    assert whats([0, 1, 0, 1], load=[0, 1, 2, 3]) == set()     # two loads each
    assert whats([0, 1, 0, 1], lot=[0, 1, 2, 3]) == set()      # two fruits each
    assert whats([0, 0, 1, 1], tray=[-1] * 4, day=[-1] * 4) == set()


def test_trays_that_chain_options_together_are_not_a_tie():   # a–b on one tray, b–c on the other: a and c are told apart through b
    space = make_space({"fat": ["a", "b", "c"]})
    assert aliases(space, [0, 1, 1, 2], tray=[0, 0, 1, 1]) == ()


def test_failures_raise_the_odds_most_for_the_version_that_failed():
    f = failure_odds(SPACE, [0, 0, 3], [True, True, False])
    assert f.odds[0] == max(f.odds) == pytest.approx(2.25 / 4.5) and f.odds[3] < f.odds[1]
    assert (f.low < f.odds).all() and (f.odds < f.high).all()
    nothing = failure_odds(SPACE, [], [])
    assert nothing.odds == pytest.approx(0.1)


def test_a_taster_who_scores_everything_alike_is_reported():
    space, scores = pairs(3, 12, 1.5, tasters=4)
    flat = scores.score.copy()
    flat[scores.taster == 2] = 7.0
    from dataclasses import replace

    s = replace(scores, score=flat)
    health = {h.taster: h for h in taster_health(s, fit(space, s))}
    assert not health[2].informative and health[2].note == "same score for everything"
    assert health[0].agreement is not None and health[0].use_of_scale > 0


def test_opposite_palates_are_named_and_like_ones_are_not():
    r = np.random.default_rng(6)
    space = make_space({"salt": ["plain", "salted"]})
    for signs, opposite in (((1, -1), True), ((1, 1), False)):
        rows = [(i % 2, i, t, 6 + 2.0 * signs[t] * (i % 2) + r.normal(0, 0.8)) for i in range(16) for t in (0, 1)]
        v, trial, taster, score = np.array(rows).T
        s = make_scores(v.astype(int), score, taster=taster.astype(int), trial=trial.astype(int), load=trial.astype(int) // 4)
        got = palates(space, s, fit(space, s), 0, 1, 0)
        assert got.opposite is opposite and len(got.difference) == 2


def test_repeatability_is_the_spread_of_the_same_plate():   # sd of pairs (5, 6), (7, 7): √((0.5 + 0) / 2)
    s = make_scores([0, 0, 1, 1], [5.0, 6.0, 7.0, 7.0], trial=[0, 0, 1, 1], load=[0] * 4, repeat=[0, 1, 0, 1])
    h = taster_health(s, fit(make_space({"a": ["x", "y"]}), s))[0]
    assert h.repeatability == pytest.approx(0.5)
    assert h.agreement is None


def test_with_nothing_known_one_vote_is_right_by_the_arcsine():   # Sheppard 1899: ½ + asin(ρ)/π
    from tests.science.versions.test_posterior import KNOWN

    space = make_space({"salt": ["plain", "salted"]})
    p = fit(space, None, KNOWN, points=4)
    t = tie_break_odds(p, 0, 1)
    truth = 2 * 0.6**2
    own = 2 * (0.4**2 + 0.3**2)
    rho = np.sqrt(truth / (truth + own))
    assert t.now == pytest.approx(0.5, abs=1e-6)
    assert t.after == pytest.approx(0.5 + np.arcsin(rho) / np.pi, abs=2e-3)
    assert t.after + t.after_other == pytest.approx(1, abs=1e-6)


def test_a_tie_break_of_one_version_with_itself_is_refused():
    with pytest.raises(VersionsError, match="two different"):
        tie_break_odds(fit(SPACE), 1, 1)


def test_overall_scores_by_the_written_formula():
    assert rescaled(4.0, (0, 10), {"target": 6}) == pytest.approx(10 * (1 - 2 / 6))
    assert rescaled(3.0, (1, 9), "less") == pytest.approx(7.5)
    assert overall_score([(0, 10), (1, 9)], ["more", "more"], [2, 1], [7.0, 6.0]) == pytest.approx((2 * 7 + 6.25) / 3)
    assert overall_worth([(0, 10), (1, 9)], ["more", "more"], [2, 1], [0.5, 0.4]) == pytest.approx((1.0 + 0.5) / 3)
    assert overall_score([(1, 9)], ["more"], [3], [6.5]) == 6.5
    with pytest.raises(VersionsError):
        rescaled(1, (0, 10), "redder")


def test_expected_maxima_of_normals():   # Harter 1961, from memory: 0.56419, 0.84628, 1.02938, 1.16296
    assert [expected_maximum(k) for k in (2, 3, 4, 5)] == pytest.approx([0.56419, 0.84628, 1.02938, 1.16296], abs=1e-5)


def test_odds_of_equal_versions_are_equal_and_losses_match_the_expected_maximum():
    o = known_odds([6.0] * 5, np.eye(5), 0.5)
    assert o.odds_best == pytest.approx([0.2] * 5, abs=2e-4)
    assert o.expected_loss == pytest.approx([expected_maximum(5)] * 5, abs=2e-4)


def test_the_knowledge_gradient_of_two_is_the_value_of_one_sample():   # Gupta & Miescke 1996
    value, _ = knowledge_gradient([6.0, 5.7], [[0.0, 0.0], [0.0, 0.4]], 0.5)
    assert value[1] == pytest.approx(sample_value(0.3, np.sqrt(0.4), 0.5)[0], abs=1e-12)


def test_the_envelope_agrees_with_quadrature():
    r = np.random.default_rng(0)
    a, b = r.normal(size=12), r.normal(size=12)
    z = np.linspace(-9, 9, 200001)
    by_sum = ((a[:, None] + b[:, None] * z).max(0) * np.exp(-z * z / 2)).sum() * (z[1] - z[0]) / np.sqrt(2 * np.pi)
    assert expected_max_of_lines(a, b) == pytest.approx(by_sum, abs=1e-6)


def test_a_dry_run_beats_the_habit_and_parts_add_up():
    space = make_space({"a": ["0", "1"], "b": list("wxyz"), "c": list("wxyz"), "d": ["0", "1"]})
    whole = dry_run(space, LoadPlan(), 3, 6, kitchens=120, seed=2)
    tool, habit = whole.plans[0], whole.plans[1]
    assert tool.within_worth > habit.within_worth and tool.expected_loss < habit.expected_loss
    parts = [dry_run(space, LoadPlan(), 3, 6, kitchens=60, seed=2, first=f).plans[0].within_worth for f in (0, 60)]
    assert np.mean(parts) == pytest.approx(tool.within_worth, abs=1e-12)


def test_what_a_kitchen_can_see_shrinks_with_trials_and_tasters():   # (1.960 + 0.842)·√(4·1.55/12): one taster, twelve trials
    assert smallest_difference(Prior(), 12, 1) == pytest.approx(2.802 * np.sqrt(4 * (0.09 + 0.25 + 1.21) / 12), abs=2e-3)
    assert smallest_difference(Prior(), 48, 1) == pytest.approx(smallest_difference(Prior(), 12, 1) / 2)


def test_contrast_weights_of_a_pair_that_can_not_be_made_are_nothing():
    space = make_space({"fry": ["once", "twice"], "second": ["180", "190"]}, when={"second": {"fry": ["twice"]}})
    assert not space.contrast(0, 1, 0).any()
    assert choose(space, None, LoadPlan(tasters=1)).versions.max() < 3
    assert contrast(fit(space), space.contrast(1, 1, 0)).mean == pytest.approx(0, abs=1e-9)
