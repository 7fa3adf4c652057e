"""Other kitchens and older trials in the verdict: a kitchen counts where it also made the control, an old trial as much as its weight."""

import numpy as np
import pandas as pd
import pytest

import proofpan as pp
from proofpan.steps.elsewhere import compared_elsewhere
from proofpan.study.elsewhere import Changed, KitchenMark, marks_of_row, weight_of_round
from proofpan.study.private import shareable
from tests.kitchens import judged_study, plain

BRIEF = {
    "title": "Oat biscuits", "question": "Which fat?", "tasters": ["Ada", "Ben"],
    "attributes": [{"name": "liking", "scale": [0, 10], "better": "more", "weight": 1, "worth": 0.5}],
    "factors": [{"name": "fat", "options": [{"name": "oil"}, {"name": "butter"}]}],
}
OIL, BUTTER = {"fat": "oil"}, {"fat": "butter"}


def study(rounds=(6.0, 6.0)):
    """Two rounds of two plates; each number is what butter scores there, beside a 6 for oil."""
    rows = [(n, 2 * n - 1 + k, ("oil", "butter")[k], who, score + 0.2 * (who == "Ben"))
            for n, butter in enumerate(rounds, 1) for k, score in enumerate((6.0, butter)) for who in ("Ada", "Ben")]
    frame = pd.DataFrame(rows, columns=["round", "trial", "fat", "taster", "score"]).assign(attribute="liking")
    frame["version"] = "fat=" + frame.pop("fat")
    trials = frame[["round", "trial", "version"]].drop_duplicates()
    return pp.Study.from_dict(BRIEF).with_trials(trials).with_ballots(frame.drop(columns="version"))


def gap(study):
    return next(r for r in pp.judge(study).effect_rows if {r.option, r.against} == {"oil", "butter"})


def towards_butter(row):
    sign = 1 if row.option == "butter" else -1
    ends = sorted((sign * row.low, sign * row.high))
    return sign * row.difference, ends[1] - ends[0]


def marks(study, pairs):
    found = []
    for i, (oil, butter) in enumerate(pairs):
        found += [KitchenMark(kitchen=f"home {i}", version=study.version(v), score=s) for v, s in ((OIL, oil), (BUTTER, butter)) if s is not None]
    return study.with_elsewhere(found)


def test_kitchens_that_made_both_move_the_verdict_and_their_level_cancels():
    base = study()
    level, width = towards_butter(gap(base))
    raised, _ = towards_butter(gap(marks(base, [(5, 7), (6, 8), (4, 6.5), (7, 9)])))
    _, narrower = towards_butter(gap(marks(base, [(5, 5), (6, 6.5), (4, 4), (7, 6.5)])))
    assert raised > level + 0.5 and narrower < width     # kitchens that agree with ours make the answer surer
    high, _ = towards_butter(gap(marks(base, [(7, 9), (8, 10 - 0.5), (6, 8.5), (5, 7)])))
    assert high == pytest.approx(raised, abs=0.25)     # two points higher all over is the kitchen's own


def test_a_kitchen_without_the_control_says_nothing_of_the_option():
    base = study()
    alone = marks(base, [(None, 9.5), (None, 9.0)])
    assert compared_elsewhere(alone) == () and towards_butter(gap(alone)) == towards_butter(gap(base))
    said = " ".join(pp.judge(alone).cautions)
    assert "2 other kitchens marked the recipe without the control" in said and "can't be put down to an option" in said


def test_the_order_in_which_kitchens_answer_changes_nothing():
    pairs = [(5, 7), (6, 8), (4, 6.5)]
    one = marks(study(), pairs)
    other = one.with_elsewhere(tuple(reversed(one.kitchen_marks)))
    assert towards_butter(gap(one)) == towards_butter(gap(other))


def test_older_trials_count_less_in_the_verdict_itself_and_it_is_said():
    both = study((8.0, 6.0))
    found = {w: towards_butter(gap(both.with_elsewhere(changes=[Changed(what="another ingredient", why="new flour", since_round=2, weight=w)])))
             for w in (1.0, 0.5, 0.0)}
    assert found[1.0] == towards_butter(gap(both))
    assert found[1.0][0] > found[0.5][0] > found[0.0][0]
    agree = study((7.2, 7.0)).with_elsewhere(changes=[Changed(what="another season", since_round=2, weight=0.3)])
    assert towards_butter(gap(agree))[1] > towards_butter(gap(study((7.2, 7.0))))[1]
    only_new = study((8.0, 6.0)).model_copy(update={"ballot_records": tuple(b for b in both.ballot_records if b.round == 2)})
    assert found[0.0][0] == pytest.approx(towards_butter(gap(only_new))[0], abs=0.1)
    told = pp.judge(both.with_elsewhere(changes=[Changed(what="another ingredient", why="new flour", since_round=2, weight=0.5)])).cautions
    assert any("Another ingredient since round 2 (new flour): trials before it count 50 in 100 in these figures" in s for s in told)


def test_of_a_kind_of_change_the_newest_stands_and_kinds_multiply():
    changes = [Changed(what="a", since_round=3, weight=0.2), Changed(what="b", since_round=2, weight=0.5), Changed(what="a", since_round=3, weight=0.8)]
    assert [weight_of_round(changes, n) for n in (1, 2, 3)] == pytest.approx([0.4, 0.8, 1.0])
    with pytest.raises(pp.StudyError, match="between 0"):
        Changed(what="a", since_round=3, weight=1.5)


def test_a_reports_marks_are_of_the_recipe_and_the_control_and_a_swap_has_none():
    s = study()
    row = {"tester": "Wren", "worked": "yes", "score": "7,5", "control": "6"}
    assert [(m.kitchen, str(m.version), m.score) for m in marks_of_row(s, s.version(BUTTER), row)] == [("wren", "fat=butter", 7.5), ("wren", "fat=oil", 6.0)]
    assert marks_of_row(s, s.version(BUTTER), {**row, "swaps": "lard"}) == () and len(marks_of_row(s, s.version(OIL), row)) == 1
    assert marks_of_row(s, s.version(OIL), row, "fat=butter")[1].version == s.version(BUTTER)
    assert marks_of_row(s, s.version(OIL), row, "fat=lard")[1:] == ()


def test_marks_and_changes_travel_with_the_study_without_testers_names():
    s = marks(study(), [(5, 7)]).with_elsewhere(changes=[Changed(what="another season", since_round=2, weight=0.7)])
    back = pp.Study.from_text(s.to_yaml())
    assert back.kitchen_marks == s.kitchen_marks and back.changes == s.changes
    assert {m.kitchen for m in shareable(s).kitchen_marks} == {"kitchen 1"} and "home 0" not in shareable(s).to_yaml()
    assert np.isclose(pp.judge(back).rows[0].score, pp.judge(s).rows[0].score)


def test_the_second_analysis_says_what_of_the_verdicts_data_it_leaves_aside():
    from proofpan.steps.confirming import confirm

    base = judged_study(plain(), score=lambda v: 6 + (v["salt"] == "much"), times=2)
    versions = base.versions()
    held = [KitchenMark(kitchen=f"home {i}", version=v, score=s) for i in range(2) for v, s in ((versions[0], 5), (versions[-1], 7))]
    both = base.with_elsewhere(held, (Changed(what="another season", since_round=2, weight=0.7),))
    assert not any("second analysis, though" in s or "counts every trial" in s for s in confirm(base, pp.judge(base)).says)
    said = " ".join(confirm(both, pp.judge(both)).says)
    assert "The marks of 2 other kitchens aren't in this second analysis" in said and "counts every trial in full" in said


def test_marks_of_other_kitchens_are_said_not_to_be_blind_where_they_enter_the_verdict():
    verdict = pp.judge(marks(study(), [(5, 7), (6, 8)]))
    assert any("2 other kitchens" in c and "aren't blind" in c for c in verdict.cautions)
