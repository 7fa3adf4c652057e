"""Swaps of other kitchens reach the card's “if you change…”, counted apart; an edition freezes them."""

import pandas as pd

import proofpan as pp
from proofpan.publish.card import recipe_card_html
from proofpan.steps.edition_text import edition_recipe
from proofpan.steps.making import recipe_of
from proofpan.steps.recipe import recipe
from proofpan.steps.swaps import MOST, swap_notes
from tests.kitchens import crackers, judged_study

WAIVED = {k: "tests" for k in ("cross-test", "audit", "full size", "two good makes")}


def reported(rows):
    study = crackers()
    frame = pd.DataFrame([(f"home {i}", worked, swap) for i, (swap, worked) in enumerate(rows)], columns=["tester", "worked", "swaps"])
    return pp.cross_test(recipe_of(study, study.versions()[0]), frame)


def test_swaps_are_counted_whatever_their_case_and_the_commonest_stands_first():
    found = swap_notes(reported([("Margarine for butter", "yes"), ("lard for butter", "no"), ("margarine for  butter.", "no"), ("", "yes")]))
    assert found == (
        ("Margarine for butter.", "2 other kitchens did so, and it worked 1 of 2 times. Not tasted beside the recipe."),
        ("Lard for butter.", "One other kitchen did so, and it failed; one run shows little. Not tasted beside the recipe."),
    )
    assert len(swap_notes(reported([(f"swap {i}", "yes") for i in range(9)]))) == MOST and swap_notes(None) == ()


def test_a_swap_stands_on_the_card_in_the_text_and_in_the_frozen_edition():
    study = judged_study(crackers())
    version = pp.judge(study).publish.version
    tests = reported([("margarine for butter", "yes"), ("", "yes")])
    worked = recipe(study, version, cross_tests=tests)
    assert "Margarine for butter." in recipe_card_html(worked) and "If you change it: Margarine for butter. One other kitchen" in worked.text()
    frozen = edition_recipe(study, pp.publish(study, version, tests, waive=WAIVED))
    assert frozen.swapped == worked.swapped and recipe(study, version).swapped == ()
