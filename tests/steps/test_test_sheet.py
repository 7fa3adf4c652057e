"""The recipe as a trial's sheet has it: a third of an egg isn't a whole one, and a step says what this version leaves out."""

import pytest

import proofpan as pp
from proofpan.publish.sheets import test_sheets_pdf as sheets_pdf
from proofpan.steps.recipe import recipe
from proofpan.steps.test_sheet import for_the_bench
from tests.publish.reading import words
from tests.steps.day_dishes import dish


def bench(name, version):
    study = dish(name)
    worked = recipe(study, version)
    return study, for_the_bench(worked.scaled(makes=study.brief.base.trial_makes), study.brief.base)


def test_a_third_of_an_egg_is_weighed_out():
    # USDA SR Legacy, NDB 01123: a large egg without its shell is 50 g; a third is 17
    study, worked = bench("fry", "fry=once")
    egg = next(line for line in worked.lines if line.item == "egg")
    assert egg.text == "17 g egg, beaten and weighed out"
    round_ = pp.next_round(study, seed=7)
    assert "egg 17 g" in words(sheets_pdf(study.with_round(round_), round_, worked={t.trial: worked for t in round_.trials}))


@pytest.mark.parametrize(("by", "text"), [(1, "1 egg"), (2, "2 eggs"), (0.5, "26 g egg, beaten and weighed out")])
def test_whole_eggs_stay_whole(by, text):
    # a British medium to large egg is 51 g without its shell, as the pantry has it; half of one is 25.5
    study = dish("fry")
    worked = recipe(study, "fry=once")
    made = for_the_bench(worked if by == 1 else worked.scaled(by=by), study.brief.base)
    assert next(line.text for line in made.lines if "egg" in line.text) == text


@pytest.mark.parametrize(("version", "left_out"), [("mustard=none", True), ("mustard=with seed", False)])
def test_a_step_says_what_the_version_leaves_out(version, left_out):
    _, worked = bench("jar", version)
    boil = next(s.text for s in worked.method if s.id == "boil")
    assert boil.endswith("(no yellow mustard seed here)") == left_out and "vinegar" in boil
    assert not any("here)" in s.text for s in worked.method if s.id != "boil")


def test_what_is_swapped_for_a_thing_of_the_same_last_word_is_not_said_to_be_left_out():
    text = ("title: Batter\nquestion: Which water?\nkitchen: {people: [Ada]}\ntasters: [Ada]\nattributes: [{name: crispness}]\n"
            "base: {title: Batter, ingredients: [100 g plain flour, 100 mL still water], "
            "method: [{id: whisk, do: Whisk the flour and the still water., minutes: 3}]}\n"
            "factors: [{name: water, options: [{name: still}, {name: sparkling, edits: [{swap: still water, for: 100 mL sparkling water}]}]}]\n")
    study = pp.Study.from_text(text)
    step = for_the_bench(recipe(study, "water=sparkling"), study.brief.base).method[0].text
    assert "sparkling water" in step and "here)" not in step
