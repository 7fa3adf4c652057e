"""What is said before anything is cooked: an option tied to its turn in the fat, to its load, to its day; and nothing where it is crossed over."""

from datetime import datetime, timedelta
from types import SimpleNamespace

import pandas as pd
import pytest

import proofpan as pp
from proofpan.publish.day_html import day_html
from proofpan.publish.day_papers import run_sheet_pdf
from proofpan.steps.day_lists import day_lists
from proofpan.steps.day_order import before_cooking, tied_to_the_pot
from proofpan.steps.telling_apart import what_cant_be_told
from proofpan.study.day import DayTask
from proofpan.study.recipe import Step
from tests.publish.reading import words
from tests.steps.day_dishes import dish


@pytest.fixture(scope="module")
def fry():
    study = dish("fry")
    return SimpleNamespace(study=study, round=pp.next_round(study, seed=7))


def fried(fry, order):
    """The day's frying with each trial by itself, in an order of its coats: A flour, B starch."""
    of = {o: [t.trial for t in fry.round.trials if (t.version["coat"] == "flour only") == (o == "A")] for o in "AB"}
    start = datetime(2026, 6, 5, 11)
    step = Step(id="fry", do="Fry in the sunflower oil.", hob="high")
    tasks = [DayTask(task=f"fry {n}", what="Fry", start=start + timedelta(minutes=9 * n), end=start + timedelta(minutes=9 * n + 7), trials=(of[o].pop(),))
             for n, o in enumerate(order)]
    return tied_to_the_pot(fry.study, fry.round, tasks, {t.task: step for t in tasks})


@pytest.mark.parametrize(("order", "tied"), [("AABB", True), ("BBAA", True), ("ABBA", False), ("BAAB", False)])
def test_a_coat_tied_to_its_turn_in_the_fat_is_named_and_crossed_over_it_is_not(fry, order, tied):
    # |correlation| with a steady drift, by hand: AABB 2/sqrt(5) = 0.894, over 0.8; ABBA 0
    said = [s for s in fried(fry, order) if s.startswith("coat")]
    assert bool(said) == tied
    assert not said or ("A, B, B, A" in said[0] and "fresh fat" in said[0])


def test_page_and_paper_say_before_cooking_what_cannot_be_told_apart(fry):
    study = fry.study.with_round(fry.round)
    day = pp.plan_day(study, round=fry.round, start="2026-06-05T09:00")
    assert any(s.startswith("coat: ") and "in that order" in s for s in day.tied)
    paper, page = words(run_sheet_pdf(study, day)), day_html(study, day, day_lists(study, fry.round))
    for text in (paper, page):
        assert text.index("Before you cook") < text.index("go into the fat in that order") < text.index("Hands on from")


def test_a_loaf_a_day_in_aabb_is_named_before_the_last_is_cooked_and_abba_is_not():
    study = dish("loaf")
    one = pp.next_round(study, seed=7)
    versions = [str(t.version) for t in one.trials if t.version["flour"] == "with rye"]
    wheat = [str(t.version) for t in one.trials if t.version["flour"] != "with rye"]
    for order, tied in (((0, 0, 1, 1), True), ((0, 1, 1, 0), False)):
        rows = [{"round": n + 1, "trial": n + 1, "version": (versions, wheat)[o][n % 2], "load": 1, "day": n + 1} for n, o in enumerate(order)]

        said = what_cant_be_told(study.with_trials(pd.DataFrame(rows)))
        assert any(s.startswith("flour") and "(A, B, B, A)" in s for s in said) == tied


def test_safety_keeps_its_own_place(fry):
    assert not any("Follow your local" in s for s in before_cooking(fry.study, fry.round, (), {}))


def test_a_day_without_a_date_names_none(fry):
    study = fry.study.with_round(fry.round)
    day = pp.plan_day(study, round=fry.round)
    assert day.date_words == "" and any("day 1 (day 2 " in s for s in day.says)
    paper = words(run_sheet_pdf(study, day))
    assert "Day 1" in paper and "Day 8" in paper and "January" not in paper and "2000" not in paper
