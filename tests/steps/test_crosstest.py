"""Reading what other kitchens report."""

import pandas as pd
import pytest

import proofpan as pp
from proofpan.steps.crosstest import fails_at_most, look_at
from proofpan.steps.making import recipe_of
from proofpan.steps.tester_pack import tester_pack
from proofpan.study.errors import StudyError
from tests.kitchens import crackers


def frame(**changes):
    return pd.DataFrame({
        "tester": [f"home {i}" for i in range(1, 7)], "worked": ["yes"] * 6, "out_min": [22, 25, 24, 31, 27, 24], "oven_c": 170,
        "tin": "tray", "swaps": ["", "", "", "margarine for butter", "", ""], "unclear": ["mix", "", "mix", "", "bake", ""],
        "makes": 30, "again": ["yes"] * 6, "note": "", **changes,
    })


def test_the_bound_is_the_one_sided_clopper_pearson_limit():
    # 1 - 0.05^(1/n): Clopper & Pearson 1934; the "rule of three" in Hanley & Lippman-Hand, JAMA 249 (1983) 1743
    for runs, percent in ((1, 95), (3, 63), (5, 45), (6, 39), (10, 26)):
        assert round(100 * fails_at_most(0, runs)) == percent
    assert fails_at_most(0, 60) == pytest.approx(3 / 60, abs=0.002)


def test_it_worked_five_of_five_and_the_swap_stands_apart():
    recipe = recipe_of(crackers(), crackers().versions()[0])
    found = pp.cross_test(recipe, frame())
    assert found.worked == (5, 5) and found.out_min == (22, 27) and found.look_at == 20
    assert found.unclear == {"mix": 2, "bake": 1}
    assert found.swapped[0][:2] == ("home 4", "margarine for butter")
    assert any("Rewrite mix" in s for s in found.says) and any("Ask the one tester" in s for s in found.says)


def test_look_at_is_the_earliest_less_a_tenth():
    assert [look_at(x) for x in (20, 22, 30)] == [18, 20, 27]


def test_an_unknown_step_names_the_nearest():
    recipe = recipe_of(crackers(), crackers().versions()[0])
    with pytest.raises(pp.StudyError, match="Did you mean “mix”"):
        pp.cross_test(recipe, frame(unclear=["mixx"] + [""] * 5))


def test_a_kitchen_asked_for_the_control_is_told_what_it_does_otherwise_and_what_it_contains():
    from proofpan.publish.tester import control_lines, tester_form_html

    one, other = "fat=olive oil; rest=30 min; oven=190", "fat=butter; rest=none; oven=170"
    pack = tester_pack(crackers(), one, control=other)
    assert control_lines(pack) == [
        "60 g unsalted butter instead of 50 g olive oil", "Step 1 instead: Rub the butter into the plain flour and fine salt, add the water. 8 minutes.",
        "Step 3 instead: Bake on a lined tray. Oven at 170 °C fan, 18 minutes, until deep gold.", "Leave out step 2."]
    assert pack.control_contains == ("milk",) and "the control also milk" in tester_form_html(pack)
    back = control_lines(tester_pack(crackers(), other, control=one))
    assert back[2] == "After step 1, also: Rest, covered. 30 minutes." and not any("Leave out" in line for line in back)
    with pytest.raises(StudyError, match="another version"):
        tester_pack(crackers(), one, control=one)
