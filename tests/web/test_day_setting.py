"""What the day goes round with, typed on its page: kept in the study, planned with, refused by its field."""

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import crackers, planned

TYPED = {
    "people": "Ada, Bo", "breaks": "Ada 12:30-13:00\n\nBo 13:00-13:30", "skills": "Bo: hot fat, knife", "things": "4 bowls", "fridge_shelves": "2",
    "places_a_shelf": "3", "fridge_taken": "Friday 1", "serve_within": "12", "danger_zone": "United Kingdom", "keeping": "day 1\nfrom frozen, day 7",
    "presenter": "Ada", "minutes_a_shot": "8", "stand_in": "1",
}


@pytest.fixture
def study(lead):
    made = crackers(lead)
    planned(lead, made)
    lead.post(f"{made}/day", start="2026-06-05T09:00", eat="", once="a")
    return made


def brief_of(kitchen, study):
    return read_study(kitchen.book, study.split("/")[-1]).brief


def test_what_is_typed_is_kept_and_planned_with(kitchen, lead, study):
    hero = str(read_study(kitchen.book, study.split("/")[-1]).rounds[-1].trials[0].version)
    lead.post(f"{study}/day/setting", **TYPED, hero=hero, swap_outs="mix", once="b")
    brief = brief_of(kitchen, study)
    there = brief.kitchen
    assert (there.people, there.breaks, there.skills, there.things) == (
        ("Ada", "Bo"), ("Ada 12:30-13:00", "Bo 13:00-13:30"), ("Bo: hot fat, knife",), ("4 bowls",))
    assert (there.fridge_shelves, there.places_a_shelf, there.fridge_taken, there.danger_zone) == (2, 3, ("Friday 1",), "United Kingdom")
    assert (brief.rounds.keeping, brief.rounds.serve_within) == (("day 1", "from frozen, day 7"), 12)
    assert (brief.filming.presenter, brief.filming.swap_outs, brief.filming.stand_in, brief.filming.minutes_a_shot) == ("Ada", ("mix",), True, 8)
    page = lead.get(f"{study}/day").text
    assert "Hero batch" in page and "Taste what was kept" in page and "Filming sheet" in page


def test_what_is_emptied_is_gone(kitchen, lead, study):
    lead.post(f"{study}/day/setting", **TYPED, once="b")
    lead.post(f"{study}/day/setting", people="Ada, Bo", once="c")
    brief = brief_of(kitchen, study)
    assert (brief.kitchen.breaks, brief.kitchen.fridge_shelves, brief.rounds.keeping, brief.filming) == ((), None, (), None)


@pytest.mark.parametrize(("field", "typed", "says"), [
    ("breaks", "Ada at noon", "isn’t a break"), ("breaks", "Zoe 12:00-12:30", "isn’t one of the kitchen’s people"),
    ("fridge_taken", "someday 2", "isn’t a day and how many fridge shelves"), ("keeping", "day nought", "isn’t a keeping test"),
    ("hours", "mornings", "write them as 09:00-17:00"), ("fridge_shelves", "many", "isn’t a whole number"), ("skills", "Bo hot fat", "isn’t a skill"),
])
def test_what_cannot_be_read_is_said_and_stands_to_be_corrected(kitchen, lead, study, field, typed, says):
    before = brief_of(kitchen, study)
    answer = lead.post(f"{study}/day/setting", **{**TYPED, field: typed}, once="b")
    assert says in answer.text.replace("'", "’").replace("&#39;", "’") and typed in answer.text
    assert "<details open>" in answer.text
    assert brief_of(kitchen, study) == before


def test_it_can_be_taken_back(kitchen, lead, study):
    before = brief_of(kitchen, study)
    lead.post(f"{study}/day/setting", **TYPED, once="b")
    lead.post(f"{study}/undo", once="c")
    assert brief_of(kitchen, study).kitchen == before.kitchen


def test_a_day_without_a_recipe_leads_to_the_brief_and_one_without_a_round_to_the_rounds(kitchen, lead):
    from proofpan.notebook.shelf import keep_study
    from tests.kitchens import plain

    bare, unplanned = f"/study/{keep_study(kitchen.book, plain()).id}", crackers(lead)
    assert f'href="{bare}/brief">Paste a recipe' in lead.get(f"{bare}/day").text
    assert f'href="{unplanned}/rounds">Plan a round' in lead.get(f"{unplanned}/day").text


def test_whose_danger_zone_counts_is_chosen_by_its_degrees_and_the_country_s_is_named(lead):
    study = crackers(lead)
    planned(lead, study)
    page = lead.get(f"{study}/day")
    # the three authorities' degrees and hours, as science/daywork has them with their sources
    assert "The country’s: Australia and New Zealand, 5 to 60 °C, 4 h" in page.text
    for words in ("US Food Code, 5 to 57 °C, 4 h", "United Kingdom, 8 to 63 °C, 2 h"):
        assert words in page.text


def test_a_kitchen_without_hours_is_told_of_the_usual_ones_and_writes_its_own(kitchen, lead, study):
    lead.post(f"{study}/day/setting", people="Ada", hours="", once="b")
    page = lead.get(f"{study}/day").text
    assert "The kitchen gives no hours: cooks and tasters are there from 08:00 to 22:00" in page and "empty: 08:00-22:00" in page
    assert "08:00-22:00" in lead.get(f"{study}/brief").text
    lead.post(f"{study}/day/setting", people="Ada", hours="07:00-12:00, 13:00-19:00", once="c")
    assert brief_of(kitchen, study).kitchen.hours == ("07:00-12:00", "13:00-19:00")
    page = lead.get(f"{study}/day").text
    assert "gives no hours" not in page and 'value="07:00-12:00, 13:00-19:00"' in page
    lead.post(f"{study}/day/setting", people="Ada", once="d")       # a page opened before there was such a field
    assert brief_of(kitchen, study).kitchen.hours == ("07:00-12:00", "13:00-19:00")
