"""Kitchens as draws, packs and answers, prices of limits, re-tests, editions for readers, copies, what the notebook knows."""

import json
import math
import re
from datetime import date

import numpy as np
import pandas as pd
import pytest

import proofpan as pp
from proofpan.steps.copies import copies_to_mend, warning_on
from proofpan.steps.edition_text import edition_jsonld, edition_recipe
from proofpan.steps.kitchens import against_control, between_kitchens
from proofpan.steps.knowing import what_we_know
from proofpan.steps.retest import retest_round, reweighed
from proofpan.steps.tester_pack import answers_of, in_celsius, row_of, tester_pack
from proofpan.study.edition import Copy
from proofpan.study.elsewhere import Changed
from tests.kitchens import crackers, judged_study
from tests.schema_org import faults

WAIVED = {k: "tests" for k in ("cross-test", "audit", "full size", "two good makes")}


@pytest.fixture(scope="module")
def study():
    return judged_study(crackers())


@pytest.fixture(scope="module")
def editions(study):
    first = pp.publish(study, pp.judge(study).publish.version, waive=WAIVED, on="2026-05-01")
    second = first.correct([{"set": "fine salt", "to": "5 g"}], why="A slip.", on="2026-06-01")
    return first, second, second.correct([{"add": "1 g sesame seeds"}], why="Sesame was missing.", safety=True, on="2026-07-01")


def test_the_next_kitchens_range_is_the_prediction_interval_of_a_new_draw():
    # five kitchens once each: mean ± t(0.95; 4)·s·√(1 + 1/5), the textbook interval for a further value (Hahn & Meeker 1991, 4.7)
    found = between_kitchens({k: [x] for k, x in zip("abcde", (22, 25, 24, 27, 24), strict=True)})
    s = float(np.std([22, 25, 24, 27, 24], ddof=1))
    half = 2.1318468 * s * math.sqrt(1.2)
    assert (found.next_low, found.next_high) == pytest.approx((24.4 - half, 24.4 + half), abs=1e-4)
    assert between_kitchens({"a": [1], "b": [2]}) is None


def test_kitchens_that_repeat_give_the_spreads_that_reml_gives():
    # balanced one-way layout: analysis of variance equals REML where it isn't negative (Searle, Casella & McCulloch 1992, 3.8)
    import statsmodels.api as sm

    rows = {"a": [22.0, 23.0], "b": [27.0, 26.0], "c": [30.0, 31.5], "d": [24.0, 24.5]}
    found = between_kitchens(rows)
    frame = pd.DataFrame([(k, x) for k, v in rows.items() for x in v], columns=["kitchen", "minutes"])
    peer = sm.MixedLM(frame.minutes, np.ones(len(frame)), groups=frame.kitchen).fit(reml=True)
    assert found.between_sd == pytest.approx(math.sqrt(float(peer.cov_re.iloc[0, 0])), rel=0.01)
    assert found.within_sd == pytest.approx(math.sqrt(float(peer.scale)), rel=0.01)


def test_a_difference_belongs_to_the_option_only_where_each_kitchen_made_the_control():
    frame = pd.DataFrame({"tester": list("abc"), "worked": "yes", "score": [7, 8, 6], "control": [6, 6, 5]})
    done = pp.cross_test(crackers().brief.base, frame)
    assert done.against_control.difference == pytest.approx(4 / 3) and done.against_control.kitchens == 3
    assert not any("can't be put down" in s for s in done.says)
    # paired differences 1, 2, 1: mean ± t(0.975; 2)·s/√3
    s = float(np.std([1, 2, 1], ddof=1))
    assert done.against_control.high == pytest.approx(4 / 3 + 4.3026527 * s / math.sqrt(3), abs=1e-4)
    assert against_control({"a": (7, 6)}).low is None and against_control({}) is None


def test_a_kitchen_that_cooks_twice_is_said():
    frame = pd.DataFrame({"tester": ["a", "a", "b"], "worked": "yes", "out_min": [20, 21, 25]})
    assert any("2 kitchens" in s for s in pp.cross_test(crackers().brief.base, frame).says)


@pytest.mark.parametrize("column, value", [("score", "11"), ("times", "bake soon"), ("oven_c", "hot"), ("words", "nowhere: what?")])
def test_an_answer_that_cant_be_read_names_its_field(column, value):
    with pytest.raises(pp.StudyError) as error:
        pp.cross_test(crackers().brief.base, pd.DataFrame([{"tester": "a", "worked": "yes", "score": "", "control": "1", column: value}]))
    assert error.value.field == column


def test_a_pack_holds_the_very_lines_that_are_printed_in_the_testers_measures(study):
    version = study.versions()[0]
    for measures in ("metric", "US", "UK"):
        pack = tester_pack(study, version, measures=measures)
        printed = pp.recipe(study, version).to(measures)
        assert [x.text for x in pack.lines] == [*printed.ingredients, *(s.text for s in printed.method)]
    assert tester_pack(study, version).main_step == "bake" and not tester_pack(study, version, measures="US").celsius


def test_answers_are_read_from_the_file_and_fahrenheit_is_turned():
    row = row_of({"tester": " Ł. ", "worked": "yes", "time-bake": "20", "words-mix": "how; fine?", "swaps": "None."})
    assert row == {"tester": "Ł.", "worked": "yes", "times": "bake 20", "unclear": "mix", "words": "mix: how, fine?"}
    assert in_celsius({"oven_c": "350 F", "tester": "a"}, "US")["oven_c"] == "177"
    held = {"form": "proofpan cross-test", "format": 1, "measures": "US", "answers": {"tester": "a", "worked": "no", "oven_c": 375}}
    assert answers_of(json.dumps(held))["row"]["oven_c"] == "191"


def test_weights_and_re_tests_refuse_what_makes_no_sense(study, editions):
    with pytest.raises(pp.StudyError, match="between 0"):
        reweighed(study, Changed(what="x", why="", since_round=2, weight=1.5))
    with pytest.raises(pp.StudyError, match="Nothing was tasted before"):
        reweighed(study, Changed(what="x", why="", since_round=1, weight=0.5))
    with pytest.raises(pp.StudyError, match="beside"):
        retest_round(study, editions[0], [editions[0].version], seed=1)
    other = next(v for v in study.versions() if v != editions[0].version)
    made = retest_round(study, editions[0], [other], seed=1)
    assert made == retest_round(study, editions[0], [other], seed=1) and made.trials[0].version == editions[0].version
    assert pp.judge(study.with_round(made)).publish.version == pp.judge(study).publish.version


def test_the_price_of_a_limit_is_said_with_its_range(study):
    brief = study.brief
    limited = study.model_copy(update={"brief": brief.model_copy(update={"limits": brief.limits.model_copy(update={"must_use": ("60 g unsalted butter",)})})})
    verdict, free = pp.judge(limited), pp.judge(study)
    assert pp.judge(study).limits == ()
    if free.publish.version["fat"] != "butter":
        assert any("the 60 g unsalted butter" in s.lower() and re.search(r"\(.*\d\.\d.*\)", s) for s in verdict.limits)
        assert verdict.limits[0] in verdict.says


def test_an_edition_is_worked_out_from_its_own_frozen_text(study, editions):
    first, second, third = editions
    out = edition_recipe(study, second)
    changed = next(x for x in out.lines if x.item == "fine salt")
    assert (changed.text, changed.status) == ("5 g fine salt", "worked out")
    assert "sesame" in edition_recipe(study, third).allergens and "sesame" not in edition_recipe(study, first).allergens
    assert len({e.digest for e in editions}) == 3 and third.published == date(2026, 5, 1)
    assert first.approved("Ada", date(2026, 5, 2)).digest == first.digest                     # the seal is of the text


def test_an_editions_structured_data_is_schema_orgs(study, editions):
    for edition in editions:
        data = edition_jsonld(edition_recipe(study, edition), edition, date(2026, 8, 1))
        assert faults(data) == []                                                             # schema.org, release 30.0
        assert all(re.fullmatch(r"P(\d+D)?(T(\d+H)?(\d+M)?)?", data[k]) for k in ("totalTime", "prepTime", "cookTime") if k in data)   # ISO 8601-1, 5.5.2
        assert date.fromisoformat(data["datePublished"]) == date(2026, 5, 1)
        assert data["creativeWorkStatus"] == "Draft" and all(s["@type"] == "HowToStep" and s["text"] for s in data["recipeInstructions"])
        assert json.loads(json.dumps(data)) == data
    assert edition_jsonld(edition_recipe(study, editions[0]), editions[0].approved("Ada"), date(2026, 8, 1))["creativeWorkStatus"] == "Published"


def test_a_copy_that_lacks_a_safety_correction_stands_first(editions):
    copies = [Copy(where="card", edition=3, id="a"), Copy(where="site", edition=2, id="b"), Copy(where="caption", edition=1, id="c")]
    found = copies_to_mend(editions, copies)
    assert [(c.copy_.where, c.urgent, c.current) for c in found] == [("caption", True, False), ("site", True, False), ("card", False, True)]
    assert found[0].lacks[0].startswith("Urgent: edition 3")
    assert "edition 3" in warning_on(editions[0], editions) and "edition" not in warning_on(editions[2], editions)


def test_what_the_notebook_knows_of_an_ingredient(study):
    found = what_we_know({"a": study}, "Unsalted Butter")
    assert found.says[0] == "1 study uses Unsalted Butter." and any(not u.as_option for u in found.uses)
    assert any("milk" in f for f in found.facts)
    assert what_we_know({"a": study}, "moonrock").says == ("No study of the notebook uses moonrock.",)
