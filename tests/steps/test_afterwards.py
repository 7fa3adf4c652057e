"""After publishing: texts that come back, readers' questions, complaints, what the notebook knows."""

import pytest

import proofpan as pp
from proofpan.steps.evidence import pooled_evidence
from proofpan.steps.making import recipe_of
from proofpan.steps.proofreading import text_changes
from proofpan.steps.questions import replies, sort_complaint
from proofpan.study.afterwards import Question
from proofpan.study.edition import Edition
from tests.kitchens import CRACKERS, crackers, judged_study, plain

GOOD = """Oat crackers
Makes 30 crackers
250 g plain flour
60 g unsalted butter
4 g fine salt
110 g water
1. Rub the butter into the plain flour and fine salt, add the water.
2. Bake on a lined tray.
"""


@pytest.fixture
def edition():
    study = crackers()
    version = study.versions()[0]
    return Edition(number=1, title="Oat crackers", version=version, recipe=recipe_of(study, version), country="AU")


def kinds(edition, text):
    return {c.kind for c in text_changes(edition, text) if c.line != "makes" and c.line != "title"}


def test_a_text_that_came_back_whole_shows_nothing(edition):
    assert kinds(edition, GOOD) == set()


@pytest.mark.parametrize("old, new, kind", [
    ("60 g unsalted", "600 g unsalted", "number"), ("110 g water", "110 mL water", "unit"), ("4 g fine salt\n", "", "lost"),
    ("250 g plain flour\n60 g unsalted butter\n", "60 g unsalted butter\n250 g plain flour\n", "order"),
    ("110 g water\n", "110 g water\n1 pinch of saffron threads\n", "added"),
])
def test_every_change_is_shown(old, new, kind, edition):
    assert kind in kinds(edition, GOOD.replace(old, new))


def test_a_correction_makes_the_next_edition_with_what_changed(edition):
    second = edition.correct([{"set": "fine salt", "to": "5 g"}], why="a slip", safety=False)
    assert (second.number, second.changes) == (2, (("ingredient fine salt", "4 g fine salt", "5 g fine salt"),))
    third = second.correct([{"add": "1 g sesame seeds"}], why="sesame was missing", safety=True)
    assert third.number == 3 and third.warning.startswith("Corrected for safety")
    assert edition.recipe.ingredients[2].text == "4 g fine salt"
    for edits, why in (([], "nothing"), ([{"set": "fine salt", "to": "5 g"}], " "), ([{"set": "salted", "to": "1 g"}], "x")):
        with pytest.raises(pp.StudyError):
            edition.correct(edits, why=why)


def test_three_questions_of_one_kind_offer_a_test():
    study = judged_study(crackers())
    asked = [Question(kind="freeze", words="can I freeze it?")] * 3 + [Question(kind="swap", words="with olive oil?"),
                                                                         Question(kind="halve", words="half?")]
    found = {r.kind: r for r in replies(study, asked)}
    assert found["freeze"].offer_test and found["freeze"].answer == "don't know"
    assert found["swap"].answer == "cooked" and found["halve"].answer == "worked out"


@pytest.mark.parametrize("words, cause", [
    ("I used margarine instead of butter", "swap"), ("mine came out burnt", "oven"), ("it doesn't say how thick", "text"), ("not nice", "us")])
def test_a_complaint_is_sorted(words, cause):
    assert sort_complaint(words).cause == cause


def test_an_option_is_pooled_over_studies():
    studies = [judged_study(plain(title=f"Dip {i}"), score=lambda v: 6 + (v["salt"] == "much"), times=3, seed=i) for i in range(3)]
    found = pooled_evidence(studies, "Much")
    assert len(found.studies) == 3 and found.low < found.estimate < found.high
    assert found.estimate == pytest.approx(1, abs=0.6)
    assert "No study" in pooled_evidence(studies, "nutmeg").says[0]
    assert len(pooled_evidence(studies[:1], "much").studies) == 1


def test_an_option_is_found_by_the_words_it_is_said_with_but_never_guessed_among_several():
    study = judged_study(plain(), score=lambda v: 6 + (v["salt"] == "much"), times=2)
    (found,) = pooled_evidence([study], "1 h rest").studies
    assert found.option == "1 h" and pooled_evidence([study], "rest").studies == (found,)
    assert pooled_evidence([study], "res").studies == ()


def test_a_change_far_into_a_long_step_is_shown_where_it_is(edition):
    long = "Rub the butter into the plain flour and fine salt, add the water."
    found = next(c for c in text_changes(edition, GOOD.replace("add the water", "add 3 the water")) if c.kind == "number")
    assert found.before.startswith(long) and "add 3 the" in found.says and "Rub the butter" not in found.says


def test_readers_have_an_edition_under_embargo_from_the_day_it_ends(edition):
    from datetime import date

    from proofpan.steps.edition_text import edition_jsonld, edition_recipe

    held = edition.model_copy(update={"published": date(2026, 5, 1), "embargo": date(2026, 6, 1), "modified": date(2026, 5, 20)})
    data = edition_jsonld(edition_recipe(crackers(), held), held)
    assert data["datePublished"] == "2026-06-01" and "dateModified" not in data and data["creativeWorkStatus"] == "Draft"
    assert edition.public_from is None


def test_an_edition_keeps_its_declared_allergens_in_any_regions_measures():
    from datetime import date

    from proofpan.steps.edition_text import edition_recipe

    study = pp.Study.from_text(CRACKERS.replace("edits: [{swap: unsalted butter, for: 50 g olive oil}]}",
                                                "contains: [lupin], edits: [{swap: unsalted butter, for: 50 g olive oil}]}"))
    waived = {k: "tests" for k in ("cross-test", "audit", "full size", "two good makes")}
    made = pp.publish(study, "fat=olive oil; rest=none; oven=170", waive=waived, on=date(2026, 5, 1), house="US")
    out = edition_recipe(study, made)
    assert out.style == "US" and out.text() == edition_recipe(crackers(), made).text()      # frozen: the study may say otherwise by now
    for region in ("AU", "UK", "metric"):
        assert "lupin" in out.to(region).allergens and out.to(region).region == region
