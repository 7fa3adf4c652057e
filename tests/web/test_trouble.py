"""What goes wrong under the pages: a full disk, a held notebook, a clock that is set. A clear sentence each time, and nothing lost."""

import errno
import sqlite3
from contextlib import closing, contextmanager, suppress

import pytest
import sqlalchemy as sa

from proofpan.notebook import NoRoom, connection
from proofpan.notebook.shelf import read_study

from .conftest import codes_of, crackers, marks, opened, planned


@pytest.fixture
def study(lead):
    made = crackers(lead)
    planned(lead, made)
    return made


@pytest.fixture
def phones(lead, study):
    return opened(lead, study)


def limit(kitchen, pages):
    """Let the notebook's file grow no further (or again): as SQLite sees a full disk."""
    engine = kitchen.book._store.engine
    for listener in getattr(kitchen, "limits", []):
        sa.event.remove(engine, "connect", listener)
    kitchen.limits = [] if pages is None else [lambda raw, _: raw.execute(f"PRAGMA max_page_count = {pages}")]
    for listener in kitchen.limits:
        sa.event.listen(engine, "connect", listener)
    engine.dispose()


def send(person, address, code, words="w " * 290):
    return person.client.post(address + "/marks", json={"code": code, **marks(6), "words": words, "at": "2026-11-25T12:01"})


def kept(kitchen, study):
    return {(b.taster, b.trial, b.attribute): b.score for b in read_study(kitchen.book, study.split("/")[-1]).ballot_records}


def test_a_full_disk_is_said_to_the_phone_and_the_marks_go_across_once_there_is_room(kitchen, study, phones):
    waiting = [(kitchen.stranger(), a, code) for a in phones.values() for code in codes_of(kitchen.stranger().get(a))]
    limit(kitchen, 1)
    answers = [send(*one) for one in waiting]
    full = [(one, a) for one, a in zip(waiting, answers, strict=True) if a.status_code != 200]
    assert full and {(a.status_code, a.json()["answer"]) for _, a in full} == {(507, "full")}
    assert len({len(a.content) for a in answers}) == 1
    acknowledged = len(answers) - len(full)
    assert len(kept(kitchen, study)) == 5 * acknowledged  # what was acknowledged is there, what wasn't isn't there by half
    limit(kitchen, None)
    assert {send(*one).json()["answer"] for one in waiting} == {"kept"}  # all of them again, as phones do
    assert len(kept(kitchen, study)) == 5 * len(waiting)


def test_a_full_disk_is_said_on_a_phone_without_script_and_on_the_kitchens_pages(kitchen, lead, study, phones):
    limit(kitchen, 1)
    note = "the oven ran hot at the back " * 60
    pages = [lead.post(f"{study}/cook", what="sheet", trial="1", note=f"{note}{n}", once=f"a{n}") for n in range(6)]
    full = [p for p in pages if p.status == 507]
    assert full and "is full" in full[-1].wrong and "notebook.sqlite" in full[-1].wrong
    assert "/" not in full[-1].wrong  # which folder it lies in is nobody's business on a page
    assert note.strip() in full[-1].text  # what was typed is still there
    said = [kitchen.stranger().post(phones["Ada"] + "/marks", code=c, **marks(6), words="w " * 290) for c in codes_of(kitchen.stranger().get(phones["Ada"]))]
    assert any(p.status == 507 and "no room left on its disk" in p.text and "send your marks again" in p.text for p in said)


def test_a_disk_that_fills_up_while_a_file_comes_in_is_said_in_words(lead, monkeypatch):
    def no_room(self, data):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("tempfile.SpooledTemporaryFile.write", no_room)
    page = lead.post("/import", files={"file": ("study.yaml", b"title: Dip", "application/yaml")})
    assert page.status == 507 and "no room left on its disk" in page.text and "Traceback" not in page.text


def test_a_held_notebook_is_said_as_busy_and_nothing_is_lost(kitchen, lead, study, phones, monkeypatch):
    monkeypatch.setattr(connection, "BUSY_MS", 150)
    kitchen.book._store.engine.dispose()
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    with closing(sqlite3.connect(kitchen.book.place.file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        answer = send(ada, phones["Ada"], code)
        page = lead.post(f"{study}/cook", what="sheet", trial="1", note="ran hot", once="a")
        other.execute("ROLLBACK")
    assert (answer.status_code, answer.json()["answer"]) == (503, "busy")
    assert page.status == 503 and "held by another program" in page.wrong and "ran hot" in page.text
    assert not kept(kitchen, study)
    assert send(ada, phones["Ada"], code).json()["answer"] == "kept"


@pytest.mark.parametrize("hours", [-3, 3])
def test_a_clock_that_jumps_loses_no_mark_and_the_board_says_who_is_there(kitchen, lead, study, phones, hours):
    ada, bo = kitchen.stranger(), kitchen.stranger()
    mine = codes_of(ada.get(phones["Ada"]))
    send(ada, phones["Ada"], mine[0])
    send(bo, phones["Bo"], codes_of(bo.get(phones["Bo"]))[0])
    ada.client.post(phones["Ada"] + "/here", json={"place": 2})
    kitchen.clock.move(hours=hours)
    kitchen.clock.move(seconds=50)
    ada.client.post(phones["Ada"] + "/here", json={"place": 2})
    assert send(ada, phones["Ada"], mine[1]).json()["answer"] == "kept"
    board = lead.get(f"{study}/tasting/board").text
    assert "Tasting plate 3" in board  # Ada, heard of a moment ago by the new clock
    assert ("Not heard from since the clock was set back" if hours < 0 else "Not heard from since 1") in board  # Bo
    lead.post(f"{study}/tasting", what="close")
    assert len(kept(kitchen, study)) == 15


def test_a_plate_that_was_taken_back_is_told_to_a_phone_that_was_away(kitchen, lead, study, phones):
    round_ = read_study(kitchen.book, study.split("/")[-1]).rounds[-1]
    ada, bo = kitchen.stranger(), kitchen.stranger()
    mine = codes_of(ada.get(phones["Ada"]))
    before = ada.client.post(phones["Ada"] + "/here", json={"place": 1})
    number = round_.plate("Ada", mine[1]).trial
    theirs = next(p.code for p in round_.plates if p.taster == "Bo" and p.trial == number)
    lead.post(f"{study}/cook", what="sheet", trial=str(number), failed="not safe to taste", once="a")
    answers = [ada.client.post(phones["Ada"] + "/here", json={"place": 1}), send(ada, phones["Ada"], mine[0])]
    assert [a.json()["why"] for a in (before, *answers)] == ["", mine[1], mine[1]]
    assert len({len(a.content) for a in (before, *answers)}) == 1  # nobody who listens hears it by the length
    assert bo.client.post(phones["Bo"] + "/here", json={"place": 1}).json()["why"] == theirs  # each in their own codes
    refused = ada.client.post(phones["Ada"] + "/choice", json={"choice": mine[1]})
    assert refused.status_code == 422 and "taken that plate back" in refused.json()["why"]


@contextmanager
def held(kitchen, monkeypatch):
    """Another program holds the notebook meanwhile."""
    monkeypatch.setattr(connection, "BUSY_MS", 100)
    kitchen.book._store.engine.dispose()
    with closing(sqlite3.connect(kitchen.book.place.file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


@contextmanager
def full(kitchen, monkeypatch):
    """The disk takes nothing more, of the notebook or of originals."""
    big = "y " * 3000
    limit(kitchen, 1)
    with suppress(NoRoom):  # what is free within the file's last pages is used up first
        for n in range(40):
            kitchen.book.append(kitchen.book.studies()[0].id, "filler", {"n": big}, key=f"filler {n}")
    with monkeypatch.context() as patch:
        patch.setattr("proofpan.notebook.originals.os.fsync", _no_room)
        yield
    limit(kitchen, None)


def _no_room(handle):
    raise OSError(errno.ENOSPC, "No space left on device")


FORMS = {
    "a change of the brief": ("brief", {"what": "about", "title": "Seeded oat crackers", "question": "Which fat snaps best? " + "w " * 2000}),
    "a note on a test sheet": ("cook", {"what": "sheet", "trial": "1", "note": "ran hot " * 400, "once": "a"}),
    "a weight": ("reading", {"kind": "weights", "trial": "1", "raw": "60.1 59.8 60.4", "cooked": "51.2 50.9 51.6", "once": "b"}),
    "closing a tasting": ("tasting", {"what": "close"}),
}


HELD, FULL = (held, 503, "held by another program"), (full, 507, "full")
# a full disk still takes what fits into the pages of the file that are there
TROUBLES = {f"{name}, {how[0].__name__}": (*form, *how) for name, form in FORMS.items() for how in (HELD, FULL) if how is HELD or len(str(form)) > 1000}


@pytest.mark.parametrize("path, form, trouble, status, words", TROUBLES.values(), ids=TROUBLES)
def test_every_kind_of_entry_is_refused_in_words_keeps_what_was_typed_and_is_taken_afterwards(
    kitchen, lead, study, phones, monkeypatch, path, form, trouble, status, words
):
    def state():
        entry = kitchen.book.studies()[0]
        events = [e for e in kitchen.book.events(entry.id) if e.kind != "filler"]
        return entry.revision, events, kitchen.book.tastings(entry.id)

    before = state()
    with trouble(kitchen, monkeypatch):
        page = lead.post(f"{study}/{path}", **form)
        assert page.status == status and words in (page.wrong or page.text) and "Traceback" not in page.text
        assert not [w for w in form.values() if len(w) > 20 and w.strip() not in page.text]  # what was typed still stands in the form
    assert state() == before
    assert lead.post(f"{study}/{path}", **form).status == 200
    assert state() != before
