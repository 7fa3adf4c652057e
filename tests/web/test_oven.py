"""The oven page: what to do when nothing is known, a tray of bread brought in, its map kept, and wrong files said by their field."""

import pytest

from proofpan.notebook.shelf import keep_study, read_study
from tests.kitchens import crackers, plain
from tests.science.colour.table import saved
from tests.science.colour.test_oven_map import HOT_BACK_LEFT, shot_of


@pytest.fixture
def study_id(kitchen):
    return keep_study(kitchen.book, crackers()).id


def tray(turned):
    return (f"tray-{turned}.png", saved(shot_of(HOT_BACK_LEFT, turned=turned), "PNG"), "image/png")


def test_before_any_bread_the_page_says_how(lead, study_id):
    page = lead.get(f"/study/{study_id}/oven")
    assert page.status == 200
    assert "A tray of sliced bread says so" in page.headline
    assert "golden, not brown" in page.text


def test_a_kitchen_without_an_oven_is_sent_to_the_brief(lead, kitchen):
    page = lead.get(f"/study/{keep_study(kitchen.book, plain()).id}/oven")
    assert "names no oven yet" in page.headline and "/brief" in page.text


def test_a_tray_is_read_kept_with_the_oven_and_can_be_undone(lead, kitchen, study_id):
    page = lead.post(f"/study/{study_id}/oven", oven="main", places="2x3", files=[("photograph", tray(False)), ("turned", tray(True))])
    assert page.status in (200, 303)
    bread = read_study(kitchen.book, study_id).brief.kitchen.ovens[0].bread
    assert bread is not None and bread.told > 2
    page = lead.get(f"/study/{study_id}/oven")
    assert page.headline.startswith("Back left browns most")
    assert page.text.count("<rect") >= 6 and "Back left</th>" in page.text
    assert "Back left" not in lead.get(f"/study/{study_id}/brief").wrong


@pytest.mark.parametrize(("fields", "files", "says"), [
    ({"places": "many"}, [("photograph", "tray")], "such as 2x3"),
    ({"places": "2x3"}, [("photograph", "text")], "photograph"),
    ({"places": "6x6"}, [("photograph", "tray")], "cover every place with bread"),
])
def test_what_cannot_be_read_is_said_and_nothing_is_kept(lead, kitchen, study_id, fields, files, says):
    kinds = {"tray": tray(False), "text": ("notes.txt", b"no picture", "text/plain")}
    page = lead.post(f"/study/{study_id}/oven", oven="main", **fields, files=[(name, kinds[kind]) for name, kind in files])
    assert page.status == 422 and says in page.wrong
    assert read_study(kitchen.book, study_id).brief.kitchen.ovens[0].bread is None


def test_a_whole_sentence_by_its_field_bears_no_name_of_the_forms_own(lead, study_id):
    page = lead.post(f"/study/{study_id}/oven", oven="main", places="many", files=[("photograph", tray(False))])
    assert page.wrong.startswith("Places are rows by columns")
