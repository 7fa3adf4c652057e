"""Backup and restore on a page: one tap each, what was replaced kept aside, and one tap to undo."""

import io
import zipfile

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import codes_of, crackers, marks, opened, planned
from .test_browser import at_the_desk, browser, served  # noqa: F401 - fixtures

CRACKERS = "seeded-oat-crackers"


def titles(kitchen):
    return [s.title for s in kitchen.book.studies()]


def backed_up(lead):
    answer = lead.client.post("/backup", data={"csrf": lead.csrf})
    assert answer.status_code == 200 and answer.headers["content-type"] == "application/zip"
    return answer.content


def brought(lead, data, name="june.zip"):
    return lead.post("/backups/restore", files={"file": (name, data, "application/zip")})


@pytest.fixture
def played(kitchen, lead):
    """A study with marks, backed up; then more happened: another study, and the brief changed."""
    study = crackers(lead)
    planned(lead, study)
    phones = opened(lead, study)
    ada = kitchen.stranger()
    ada.client.post(phones["Ada"] + "/marks", json={"code": codes_of(ada.get(phones["Ada"]))[0], **marks(7)})
    lead.post(f"{study}/tasting", what="close")
    saved = backed_up(lead)
    lead.post("/quick", option=["salted", "not salted"], who="1", mode="marks", turns="1", dont_eat="")
    lead.post(f"{study}/cook", what="sheet", trial="1", note="ran hot", once="a")
    return study, saved


def test_a_backup_comes_back_in_one_tap_and_says_what_it_replaced(kitchen, lead, played):
    study, saved = played
    newer = titles(kitchen)
    lead.get(f"{study}/verdict")  # what was read before the restore mustn't be shown after it
    page = brought(lead, saved)
    assert page.status == 200 and page.url == "/backups"
    assert "The notebook is the backup june.zip: 1 study." in page.text
    assert f"Not in it, but in what it replaced: {(set(newer) - set(titles(kitchen))).pop()}." in page.text
    found = read_study(kitchen.book, CRACKERS)
    assert not found.trial(1) or not found.trial(1).note
    assert len(found.ballot_records) == 5 and kitchen.app.state.kitchen.shelf.standing(CRACKERS).study.ballot_records == found.ballot_records
    undone = lead.post("/backups/aside", name=page.all(r'name="name" value="([^"]+)"')[0])
    assert undone.status == 200 and titles(kitchen) == newer
    assert read_study(kitchen.book, CRACKERS).trial(1).note == "ran hot"
    assert len(kitchen.book.kept_aside()) == 2  # the undo, too, keeps what it replaced


def test_marks_that_come_after_a_restore_are_kept_by_the_notebook_that_is_there(kitchen, lead, played):
    study, saved = played
    for seed in (4, 5):  # the same numbers of events and changes come to stand for other things
        lead.post(f"{study}/cook", what="sheet", trial="2", note=f"before {seed}", once=f"b{seed}")
    lead.get(f"{study}/cook?trial=2")
    brought(lead, saved)
    lead.post(f"{study}/cook", what="sheet", trial="2", note="after", once="c")
    assert kitchen.app.state.kitchen.shelf.standing(CRACKERS).study.trial(2).note == "after"
    assert "before 5" not in lead.get(f"{study}/cook?trial=2").text


def zip_of(**files):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, data in files.items():
            made.writestr(name.replace("__", "."), data)
    return out.getvalue()


@pytest.mark.parametrize("data", [b"not a zip", zip_of(note__txt=b"hello"), zip_of(about__json=b'{"schema": "0001"}', notebook__sqlite=b"junk"), b""])
def test_a_file_that_is_no_backup_changes_nothing_and_is_said_in_words(kitchen, lead, played, data):
    before = [(s.id, s.revision, s.changed) for s in kitchen.book.studies()]
    page = brought(lead, data, "holiday.zip")
    assert page.status == 422 and "holiday.zip isn't a backup" in page.wrong and "/" not in page.wrong
    assert [(s.id, s.revision, s.changed) for s in kitchen.book.studies()] == before


def test_while_a_tasting_is_open_nothing_is_replaced(kitchen, lead):
    study = crackers(lead)
    planned(lead, study)
    saved = backed_up(lead)
    opened(lead, study)
    assert "close it before" in lead.get("/backups").text
    assert "close it first" in brought(lead, saved).wrong and not kitchen.book.kept_aside()


def test_a_stranger_or_a_form_of_another_page_restores_nothing(kitchen, lead, played):
    _, saved = played
    assert brought(kitchen.stranger(), saved).status == 403
    token, lead.csrf = lead.csrf, "x"
    assert brought(lead, saved).status == 403
    lead.csrf = token
    assert lead.post("/backups/aside", name="../notebook.sqlite").status == 422


def test_an_empty_notebook_takes_a_backup_from_the_first_page(kitchen, lead):
    assert 'href="/backups"' in lead.get("/").text and lead.get("/backups").status == 200


@pytest.mark.browser
def test_a_lead_backs_up_and_brings_it_back_in_a_browser(browser, served, tmp_path):  # noqa: F811
    page = at_the_desk(browser, served)
    served.book.create("Cucumber dip", "title: Cucumber dip\n")
    page.goto(served.address + "/backups")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Back up the notebook").click()  # the one tap
    file = tmp_path / "june.zip"
    saved.value.save_as(file)
    assert zipfile.ZipFile(file).testzip() is None and saved.value.suggested_filename.startswith("proofpan-notebook-")
    served.book.create("Oat crackers", "title: Oat crackers\n")
    page.set_input_files("#backup", file)
    page.get_by_role("button", name="Replace the notebook by this backup").click()
    page.wait_for_selector("text=The notebook is the backup june.zip: 1 study.")
    assert titles(served) == ["Cucumber dip"] and "Not in it, but in what it replaced: Oat crackers." in page.inner_text("main")
    page.get_by_role("button", name="Undo: put back what stood before").click()
    page.wait_for_selector("text=what was kept aside")
    assert sorted(titles(served)) == ["Cucumber dip", "Oat crackers"]
    assert page.wrong == []


def test_what_the_page_gave_the_command_takes_and_the_other_way_round(kitchen, lead, played, tmp_path, capsys):
    from proofpan.cli import main

    _, saved = played
    (tmp_path / "page.zip").write_bytes(saved)
    elsewhere = tmp_path / "elsewhere.sqlite"
    assert main(["restore", str(tmp_path / "page.zip"), "--notebook", str(elsewhere)]) == 0
    assert main(["backup", str(tmp_path / "command.zip"), "--notebook", str(elsewhere)]) == 0
    capsys.readouterr()
    page = brought(lead, (tmp_path / "command.zip").read_bytes(), "command.zip")
    assert page.status == 200 and "The notebook is the backup command.zip: 1 study." in page.text
    assert len(read_study(kitchen.book, CRACKERS).ballot_records) == 5
