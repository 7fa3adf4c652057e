"""How far a yes or no was expected before anyone tasted stands beside what is said now; the tastings must have added something to say “probably”."""

import numpy as np
import pytest

import proofpan as pp
from proofpan.science import versions as v
from proofpan.steps.leaning import lean_words, with_before
from tests.steps.trade_jobs import cooked, plain

PUDDING = plain("Rice pudding", """  - {name: vanilla, asks: worth it, options: [{name: none}, {name: vanilla}]}
  - {name: rice, options: [{name: short}, {name: long}]}
  - {name: milk, asks: good enough, options: [{name: dairy}, {name: oat}, {name: soya}]}""", ["Ada"])
MADE = [{"vanilla": a, "rice": b, "milk": c} for a, b, c in (
    ("none", "short", "dairy"), ("vanilla", "long", "dairy"), ("vanilla", "short", "oat"), ("none", "long", "oat"))]


def judged(gain: float):
    return pp.judge(cooked(PUDDING, MADE, 4, lambda x: 6 + gain * (x["vanilla"] == "vanilla"), 1))


def row_of(verdict, factor: str, option: str = ""):
    return next(r for r in verdict.effect_rows if r.factor == factor and option in r.option)


def test_what_was_expected_is_the_model_without_a_mark_and_stands_beside_the_odds():
    verdict = judged(0.9)
    row, answer = row_of(verdict, "vanilla"), next(a for a in verdict.answers if a.row.factor == "vanilla")
    space = v.make_space({"vanilla": ["none", "vanilla"], "rice": ["short", "long"], "milk": ["dairy", "oat", "soya"]}, extras=["vanilla"])
    weights = np.where(space.levels[:, 0] == 1, 1.0, -1.0) / (space.size / 2)
    without_a_mark = v.contrast(v.fit(space), weights)
    assert row.odds_over_worth_before == pytest.approx(without_a_mark.odds_above(0.5), abs=1e-9)
    assert row.odds_over_worth > row.odds_over_worth_before      # vanilla was liked
    assert f"({round(100 * (1 - row.odds_over_worth_before))} before anyone tasted)" in answer.more


# of two options that stand alike, and of what nobody tasted, nothing is learned by such a figure
def test_a_question_of_the_best_and_an_untasted_option_carry_none():
    verdict = judged(0.9)
    assert row_of(verdict, "rice").odds_over_worth_before is None
    assert row_of(verdict, "milk", "soya").odds_over_worth_before is None
    assert 0.5 < row_of(verdict, "milk", "oat").odds_over_worth_before < 0.9
    assert all("before anyone tasted" not in a.more for a in verdict.answers if a.row.factor == "rice" or a.row.option == "soya")


def test_probably_is_said_only_where_the_tastings_point_the_same_way():
    against, slightly_for = judged(-1.0), judged(0.45)
    said = "Vanilla probably isn't worth it."
    assert row_of(slightly_for, "vanilla").odds_over_worth < 0.2 and said not in slightly_for.publish.says
    assert "“Vanilla is worth it”" in slightly_for.publish.dont_say
    assert row_of(against, "vanilla").odds_over_worth < row_of(against, "vanilla").odds_over_worth_before and said in against.publish.says


@pytest.mark.parametrize(("before", "said"), [
    (None, "Leans to no, 84 in 100."), (0.8349, "Leans to no, 84 in 100 (83 before anyone tasted)."),
    (0.9999, "Leans to no, 84 in 100 (99 before anyone tasted)."),
])
def test_a_lean_says_what_it_was(before, said):
    assert lean_words("no", 0.84, before=before) == said


def test_just_under_the_bar_is_not_rounded_onto_it():
    assert lean_words("no", 0.9472) == "Leans to no, just under 95 in 100."
    assert lean_words("no", 0.944) == "Leans to no, 94 in 100."
    assert lean_words("no", 0.5) == "It leans neither way."
    assert lean_words("yes", 0.9496, before=0.2) == "Leans to yes, just under 95 in 100 (20 before anyone tasted)."
    assert with_before("96 in 100", 0.001) == "96 in 100 (1 before anyone tasted)"
