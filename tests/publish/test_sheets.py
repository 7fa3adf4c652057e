"""The kitchen's papers: pages counted and text read back by poppler; what must stay hidden is looked for by name."""

import pytest

from proofpan.publish import sheets
from proofpan.publish.sheets import (
    labels_pdf,
    paper_ballots_pdf,
    prep_list_pdf,
    reveal_sheet_pdf,
    shopping_list_pdf,
    test_sheets_pdf,
    tray_map_pdf,
)
from proofpan.study.day import ListLine
from proofpan.study.reader_recipe import RecipeLine
from proofpan.study.words import option_words, version_words

from .reading import pages, words


def hidden(study):
    """Every word that would tell a taster what a plate is."""
    said = [option_words(f.name, o.name) for f in study.factors for o in f.options]
    said += [o.name for f in study.factors for o in f.options if len(o.name) > 3]
    return {s.casefold() for s in said}


@pytest.mark.parametrize("make", [paper_ballots_pdf, lambda s, r: labels_pdf(r)], ids=["ballots", "labels"])
def test_no_option_and_no_version_is_named_where_tasters_look(made, make):
    text = words(make(made.study, made.round)).casefold()
    assert {w for w in hidden(made.study) if w in text} == set()


def test_a_ballot_bears_every_code_of_its_taster(made):
    text = words(paper_ballots_pdf(made.study, made.round))
    assert all(code in text for codes in made.round.orders.values() for code in codes)


def test_a_test_sheet_a_trial_is_one_page_each(made):
    assert pages(test_sheets_pdf(made.study, made.round)) == len(made.round.trials)


def test_the_sheet_says_what_to_weigh_when_a_recipe_is_given(made):
    worked = {t.trial: made.worked for t in made.round.trials}
    text = words(test_sheets_pdf(made.study, made.round, worked=worked))
    assert all(line.item.split(",")[0] in text for line in made.worked.lines)


def test_the_sheet_asks_for_the_kitchens_own_degrees(made):
    brief = made.study.brief
    american = made.study.model_copy(update={"brief": brief.model_copy(update={"kitchen": brief.kitchen.model_copy(update={"country": "US"})})})
    assert "core temperature, °C" in words(test_sheets_pdf(made.study, made.round))
    assert "core temperature, °F" in words(test_sheets_pdf(american, made.round))


def test_the_reveal_names_each_trial_and_says_that_it_is_sealed(made):
    text = words(reveal_sheet_pdf(made.study, made.round))
    assert "SEALED" in text
    assert all(version_words(t.version).split(",")[0] in text for t in made.round.trials)


@pytest.mark.parametrize("make", [test_sheets_pdf, paper_ballots_pdf, reveal_sheet_pdf, lambda s, r: labels_pdf(r)])
def test_the_same_round_gives_the_same_bytes(made, make):
    assert make(made.study, made.round) == make(made.study, made.round)


def test_a_filled_test_sheet_in_test_batch_amounts_still_is_a_page_a_trial(made):
    from proofpan.cli.commands.demo import one_trial_each

    worked = one_trial_each(made.study, made.round)
    data = test_sheets_pdf(made.study, made.round, worked=worked)
    assert set(worked) == {t.trial for t in made.round.trials}
    assert pages(data) == len(made.round.trials)
    assert "50 g" in words(data)  # a third of the study's 150 g of flour: 10 crackers of 30


def test_the_tray_map_bears_all_codes_and_names_no_version(made):
    text = words(tray_map_pdf(made.study, made.round))
    assert all(p.code in text for p in made.round.plates)
    assert {w for w in hidden(made.study) if w in text.casefold().replace("seen from the oven's door", "")} == set()


@pytest.mark.parametrize("make", [shopping_list_pdf, prep_list_pdf])
def test_a_list_holds_what_how_much_and_its_section(made, make):
    lines = [ListLine(what="rolled oats", amount="267 g", section="grain"), ListLine(what="fine salt", amount="⅓ tsp", section="salt")]
    text = words(make(made.study, lines))
    assert all(w in text for w in ("rolled oats", "267 g", "Grain", "⅓ tsp"))


def test_a_test_sheet_weighs_to_the_gram_as_the_prep_list_does():
    line = RecipeLine(text="330 g bread flour", item="bread flour", grams=(1000 / 3, 1000 / 3))
    assert sheets._amount(line) == "333 g"
    assert sheets._amount(line.model_copy(update={"text": "5.3 g bread flour", "grams": (16 / 3, 16 / 3)})) == "5.3 g"
    assert sheets._amount(line.model_copy(update={"text": "1 large egg", "item": "large egg", "grams": (46.0, 54.0)})) == "1"
