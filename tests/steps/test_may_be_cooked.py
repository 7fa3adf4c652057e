"""What a round doesn't propose: what breaks the brief, what nobody may eat, what failed and isn't worth another make."""

import proofpan as pp
from proofpan.study.study import Study
from tests.steps.test_trade_jobs import SHORTBREAD, SLICE
from tests.steps.trade_jobs import marks, plain, trials

VEGAN = SLICE.replace("diet: [vegetarian]", "diet: [vegan]").replace("60 g honey", "60 g golden syrup").replace("and honey", "and golden syrup").replace(
    "{name: fat, options: [{name: butter}, {name: lard, edits: [{swap: unsalted butter, for: 130 g lard}]}]}",
    "{name: fat, asks: good enough, options: [{name: butter}, {name: oil, edits: [{swap: unsalted butter, for: 120 g sunflower oil}]}]}")
MERINGUE = "  - {name: sugar, options: [{name: 240 g}, {name: 200 g}, {name: 160 g}]}"


def options(round_, factor):
    return {t.version[factor] for t in round_.trials}


def test_what_breaks_the_diet_isnt_proposed_and_is_said():
    for seed in range(3):
        round_ = pp.next_round(Study.from_text(SLICE), seed=seed)
        assert options(round_, "fat") == {"butter"} and options(round_, "top") == {"none", "ganache"}
    assert "Nothing with lard is proposed: it breaks a limit of the brief (not vegetarian: lard)." in round_.cautions


def test_what_a_substitute_is_judged_against_is_cooked_though_it_isnt_printed():
    round_ = pp.next_round(Study.from_text(VEGAN), seed=1)
    assert options(round_, "fat") == {"butter", "oil"}
    assert any(c.startswith("Butter is cooked only to judge what stands in for it: it breaks a limit (not vegan: unsalted butter)") for c in round_.cautions)


def test_a_single_version_left_is_no_choice():
    study = Study.from_text(SLICE.replace("diet: [vegetarian]", "ingredients: 3, diet: [vegetarian]"))
    round_ = pp.next_round(study, seed=1)
    assert options(round_, "fat") == {"butter"} and options(round_, "top") == {"none"}
    assert any(c.startswith("Only butter, no top is left, so this round can't choose") for c in round_.cautions)


def test_where_nothing_keeps_to_the_limits_none_is_proposed_and_the_limit_is_named():
    study = Study.from_text(SLICE.replace("diet: [vegetarian]", "ingredients: 2"))
    round_ = pp.next_round(study, seed=1)
    assert round_.trials == () and round_.cautions[0].startswith("Every version breaks a limit of the brief (3 ingredients where 2 are allowed)")
    assert pp.judge(study).next.why == round_.cautions[0]


def test_what_nobody_may_eat_isnt_proposed_unless_somebody_may():
    round_ = pp.next_round(Study.from_text(SHORTBREAD), seed=1)
    assert options(round_, "flour") == {"rice", "maize"}
    assert any(c.startswith("Nothing with wheat is proposed: nobody at this table may eat it (gluten)") for c in round_.cautions)
    nothing = pp.next_round(Study.from_text(SHORTBREAD.replace("no: [gluten]", "no: [dairy]")), seed=1)
    assert nothing.trials == () and nothing.cautions[0].startswith("Nobody at this table may eat any version")
    both = Study.from_text(SHORTBREAD.replace("tasters: [", "tasters: [Bo, ").replace("places: 2", "places: 3"))
    assert options(pp.next_round(both, seed=1), "flour") == {"wheat", "rice", "maize"}


def test_trials_that_the_cook_planned_stand_whatever_the_limits_say():
    study = Study.from_text(SLICE).with_trials(trials([{"fat": "lard", "top": "none"}, {"fat": "butter", "top": "none"}], 2))
    assert len(study.trial_records) == 2 and options(pp.next_round(study, seed=1), "fat") == {"butter"}


def meringue(failed):
    versions = [{"sugar": o} for o in ("240 g", "200 g", "160 g", "160 g", "200 g", "240 g", "160 g", "200 g")]
    truth = {"240 g": 5.0, "200 g": 6.5, "160 g": 8.5}
    made = trials(versions, 4, failed=["wept" if i + 1 in failed else "" for i in range(8)])
    return Study.from_text(plain("Meringue", MERINGUE, ["Ada", "Bo"])).with_trials(made).with_ballots(
        marks(versions, 4, ["Ada", "Bo"], lambda v: truth[v["sugar"]], 4, skip=failed))


# the best by 2 points wept: it is made again, and the trial says why; the worst by 1.5 wept: it isn't, and that is said
def test_a_failed_make_is_repeated_where_that_pays():
    best, worst = pp.next_round(meringue([7]), seed=1), pp.next_round(meringue([6]), seed=1)
    again = next(t for t in best.trials if t.version["sugar"] == "160 g")
    assert again.why == "Made again: it failed when last made (trial 7: wept), and isn't printed until a make comes out."
    assert not any("failed when last made" in c for c in best.cautions)
    assert "240 g" not in options(worst, "sugar")
    assert any(c.startswith("240 g sugar (trial 6: wept) failed when last made and isn't in this round") for c in worst.cautions)
    verdict = pp.judge(meringue([7]))
    assert verdict.next.why.startswith("Make 160 g sugar again") and "160 g" in options(verdict.next.round, "sugar")


# two made and marked, the third only ever wept: it is the one that is open, so it is made again
def test_what_only_ever_failed_is_made_again():
    versions = [{"sugar": o} for o in ("240 g", "200 g", "160 g", "160 g")]
    study = Study.from_text(plain("Meringue", MERINGUE, ["Ada", "Bo"])).with_trials(trials(versions, 4, failed=["", "", "wept", "wept"])).with_ballots(
        marks(versions, 4, ["Ada", "Bo"], lambda v: 6.0, 4, skip=[3, 4]))
    assert any(t.version["sugar"] == "160 g" and "isn't printed until" in t.why for t in pp.next_round(study, seed=1).trials)
