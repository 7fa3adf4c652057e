"""Rounds: filled to their places, the same for the same seed, and honest about what they can't tell apart."""

import pandas as pd
import pytest

import proofpan as pp
from tests.kitchens import crackers, plain


def test_the_same_study_and_seed_give_the_same_round():
    assert pp.next_round(crackers(), seed=3) == pp.next_round(crackers(), seed=3)
    assert pp.next_round(crackers(), seed=3).codes != pp.next_round(crackers(), seed=4).codes


def test_a_round_fills_its_places_with_its_own_codes():
    round_ = pp.next_round(crackers(), seed=1, loads=2, passes=2)
    assert len(round_.trials) == 8
    assert len(round_.codes) == len(set(round_.codes.values())) == 8 * 2 * 2
    everywhere = {(load, tray, place) for load in (1, 2) for tray in (1, 2) for place in (1, 2)}
    assert {(t.load, t.tray, t.place) for t in round_.trials} == everywhere
    for taster, order in round_.orders.items():
        assert sorted(order) == sorted(c for (t, *_), c in round_.codes.items() if t == taster)


def test_it_stops_proposing_when_the_plans_rounds_are_made():
    study = crackers()
    for _ in range(3):
        study = study.with_round(pp.next_round(study))
    last = pp.next_round(study)
    assert last.trials == () and "at_most" in last.cautions[0]


def test_trial_numbers_run_over_the_study():
    study = crackers()
    study = study.with_round(pp.next_round(study))
    assert [t.trial for t in pp.next_round(study).trials] == [5, 6, 7, 8]


def test_a_factor_changed_per_load_stays_the_same_within_a_load():
    study = pp.Study.from_text(crackers().to_yaml().replace("- name: oven\n", "- name: oven\n  changed: load\n"))
    round_ = pp.next_round(study, loads=2)
    for load in (1, 2):
        assert len({t.version["oven"] for t in round_.trials if t.load == load}) == 1
    assert any("can't be told apart" in c for c in pp.next_round(study, loads=1).cautions)


def test_a_plate_that_a_taster_cannot_have_leaves_their_order():
    study = pp.Study.from_text(crackers().to_yaml().replace("tasters: [Ada, Bo]", "tasters: [Ada, {name: Bo, no: [olive oil]}]"))
    round_ = pp.next_round(study)
    oily = {t.trial for t in round_.trials if t.version["fat"] == "olive oil"}
    assert oily
    assert not any(taster == "Bo" and trial in oily for taster, trial, _ in round_.codes)
    assert any("Bo gets no plate" in c for c in round_.cautions)


def test_what_shows_is_said_before_tasting():
    study = plain(factors=[{"name": "skin", "visible": True, "options": [{"name": "red"}, {"name": "green"}]}])
    assert any("Codes don't blind" in c for c in pp.next_round(study).cautions)


def test_versions_ruled_out_are_never_proposed():
    study = pp.Study.from_text(crackers().to_yaml() + "never: [{fat: olive oil, oven: '190'}]\n")
    for seed in range(4):
        assert not any(t.version["fat"] == "olive oil" and t.version["oven"] == "190" for t in pp.next_round(study, seed=seed).trials)


@pytest.mark.parametrize("loads, passes", [(0, 1), (1, 9), (99, 1)])
def test_a_round_that_cannot_be_is_refused(loads, passes):
    with pytest.raises(pp.StudyError):
        pp.next_round(crackers(), loads=loads, passes=passes)


def test_a_tie_break_moves_the_odds_towards_the_one_picked():
    from tests.kitchens import judged_study

    study = judged_study(plain(), score=lambda v: 6 + 0.3 * (v["salt"] == "much"))
    one, other = study.versions()[0], study.versions()[2]
    tie = pp.tie_break(study, [one, other], seed=4)
    for version in (str(one), str(other)):
        assert tie.odds_now[version] < tie.odds_after[version] < 1
    assert sum(tie.odds_now.values()) == pytest.approx(1)
    assert len(tie.codes) == 4 and {len(o) for o in tie.orders} == {2}
    assert len(study.with_round(tie.round).trials) == len(study.trials) + 2
    with pytest.raises(pp.StudyError):
        pp.tie_break(study, [one, one])


def test_a_quick_comparison_needs_no_recipe_and_no_kitchen():
    study = pp.compare(["salted", "not salted"], tasters=1)
    round_ = pp.next_round(study, seed=5)
    rows = [{"round": 1, "taster": "Taster 1", "code": c, "attribute": "liking", "score": s}
            for c, s in zip(round_.codes.values(), (6, 7), strict=True)]
    verdict = pp.judge(study.with_round(round_).with_ballots(pd.DataFrame(rows)))
    assert "your palate" in " ".join(verdict.says).lower()
    assert verdict.effects().iloc[0].outcome == "not settled"
    for wrong in (["one"], ["a"] * 2, list("abcdefg")):
        with pytest.raises(pp.StudyError):
            pp.compare(wrong)


def test_a_dry_run_says_what_this_kitchen_can_see_and_is_the_same_for_the_same_seed():
    one, two = (pp.dry_run(crackers(), kitchens=40, seed=2) for _ in range(2))
    assert one == two
    assert 0 < one.within_worth <= 1 and 0.3 < one.smallest_difference < 4
    assert {"this plan", "one factor at a time"} <= set(one.table().plan)
    more = pp.dry_run(pp.Study.from_text(crackers().to_yaml().replace("[Ada, Bo]", "12")), kitchens=40, seed=2)
    assert more.smallest_difference < one.smallest_difference
