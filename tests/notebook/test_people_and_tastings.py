import hashlib
import sqlite3
from contextlib import closing

import pytest

from proofpan.notebook import Conflict, Notebook, NotebookError, NotFound


@pytest.fixture
def dip(notebook):
    return notebook.create("Dip", "text").id


def test_facts_about_a_person_are_kept_and_replaced(notebook, dip):
    notebook.keep_person(dip, "Bo", {"contact": "bo@larkspur.example"})
    notebook.keep_person(dip, "Ada", {"no": ["sesame"]})
    notebook.keep_person(dip, "Bo", {"no": []})
    assert [(p.name, p.facts, p.changed) for p in notebook.people(dip)] == [
        ("Ada", {"no": ["sesame"]}, "2026-05-03T09:14:00.000Z"),
        ("Bo", {"no": []}, "2026-05-03T09:14:00.000Z"),
    ]


def test_removing_a_person_removes_facts_private_words_and_tokens_and_nothing_else(notebook, dip):
    notebook.keep_person(dip, "Ada", {"no": ["sesame"]})
    notebook.keep_person(dip, "Bo", {})
    tokens = notebook.open_tasting(dip, 1, ["Ada", "Bo"])
    notebook.append(dip, "words", {"words": "too salty"}, key="a", person="Ada")
    ballot = notebook.append(dip, "ballot", {"taster": 1}, key="b")
    words = notebook.append(dip, "words", {"words": "fine"}, key="c", person="Bo")
    assert notebook.remove_person(dip, "Ada") == 3
    assert [p.name for p in notebook.people(dip)] == ["Bo"]
    assert notebook.events(dip) == (ballot, words)
    assert notebook.find_token(tokens["Ada"]) is None and notebook.find_token(tokens["Bo"]).taster == "Bo"
    assert notebook.append(dip, "ballot", {}, key="d").id > words.id
    assert notebook.remove_person(dip, "Ada") == 0


def test_a_deleted_study_lets_people_go_too(notebook, dip):
    notebook.keep_person(dip, "Ada", {})
    notebook.delete(dip)
    assert notebook.remove_person(dip, "Ada") == 1


def test_a_removed_persons_facts_are_not_left_in_the_file(file):
    secret = b"ada.lane@larkspur.example"
    with Notebook.open(file) as notebook:
        notebook.create("Dip", "text")
        notebook.keep_person("dip", "Ada", {"contact": secret.decode()})
        assert any(secret in path.read_bytes() for path in file.parent.iterdir() if path.is_file())
        notebook.remove_person("dip", "Ada")
        assert not any(secret in path.read_bytes() for path in file.parent.iterdir() if path.is_file())


def test_a_token_leads_to_its_taster(notebook, dip):
    tokens = notebook.open_tasting(dip, 3, ["Bo", "Ada"])
    assert list(tokens) == ["Bo", "Ada"] and len(set(tokens.values())) == 2
    study_id, round_number, taster = notebook.find_token(tokens["Ada"])
    assert (study_id, round_number, taster) == (dip, 3, "Ada")
    assert notebook.find_token("nobody's") is None and notebook.find_token("\ud83d") is None
    (tasting,) = notebook.tastings(dip)
    assert (tasting.round, tasting.tasters, tasting.opened, tasting.closed) == (
        3,
        ("Bo", "Ada"),
        "2026-05-03T09:14:00.000Z",
        None,
    )


def test_tokens_at_rest_are_only_hashes(file):
    with Notebook.open(file) as notebook:
        notebook.create("Dip", "text")
        token = notebook.open_tasting("dip", 1, ["Ada"])["Ada"]
        assert len(token) == 32  # 24 bytes, so 192 random bits
        assert not any(token.encode() in path.read_bytes() for path in file.parent.iterdir() if path.is_file())
        with closing(sqlite3.connect(file)) as connection:
            kept = connection.execute("SELECT token_digest FROM seat").fetchone()[0]
    assert kept == hashlib.sha256(token.encode()).hexdigest()


def test_a_closed_tasting_stays_closed(notebook, dip, clock):
    tokens = notebook.open_tasting(dip, 1, ["Ada"])
    with pytest.raises(Conflict, match="round 1 is open already"):
        notebook.open_tasting(dip, 1, ["Ada", "Bo"])
    clock.move(hours=1)
    closed = notebook.close_tasting(dip, 1)
    clock.move(hours=1)
    assert closed.closed == "2026-05-03T10:14:00.000Z" and notebook.close_tasting(dip, 1) == closed
    with pytest.raises(Conflict, match="round 1 was closed on 2026-05-03 and stays so"):
        notebook.open_tasting(dip, 1, ["Ada"])
    with pytest.raises(Conflict, match="closed, so nobody can be let in"):
        notebook.admit(dip, 1, "Bo")
    assert notebook.find_token(tokens["Ada"]) is None
    assert notebook.find_token(tokens["Ada"], even_closed=True) == (dip, 1, "Ada")
    notebook.open_tasting(dip, 2, ["Ada"])


def test_an_answer_after_the_close_is_refused_but_one_sent_again_is_acknowledged(notebook, dip):
    notebook.open_tasting(dip, 1, ["Ada"])
    first = notebook.append(dip, "ballot", {"score": 7}, key="1", while_open=1)
    notebook.close_tasting(dip, 1)
    assert notebook.append(dip, "ballot", {"score": 7}, key="1", while_open=1) == first
    with pytest.raises(Conflict, match="round 1 is closed, so this answer came too late"):
        notebook.append(dip, "ballot", {"score": 8}, key="2", while_open=1)
    with pytest.raises(NotFound, match="no tasting of round 2"):
        notebook.append(dip, "ballot", {"score": 8}, key="2", while_open=2)
    assert notebook.events(dip) == (first,)


def test_a_late_taster_is_let_in_and_a_lost_token_replaced(notebook, dip):
    tokens = notebook.open_tasting(dip, 1, ["Ada", "Bo"])
    late = notebook.admit(dip, 1, "Cleo")
    new = notebook.admit(dip, 1, "Ada")
    assert notebook.find_token(late).taster == "Cleo" and notebook.find_token(new).taster == "Ada"
    assert notebook.find_token(tokens["Ada"]) is None and notebook.find_token(tokens["Bo"]).taster == "Bo"
    assert notebook.tastings(dip)[0].tasters == ("Ada", "Bo", "Cleo")


def test_short_codes_that_meet_are_drawn_again(notebook, dip):
    words = iter(["plum", "plum", "dill"])
    assert notebook.open_tasting(dip, 1, ["Ada", "Bo"], make_token=lambda: next(words)) == {"Ada": "plum", "Bo": "dill"}
    with pytest.raises(NotebookError, match="no free codes left"):
        notebook.admit(dip, 1, "Cleo", make_token=lambda: "plum")
    assert notebook.tastings(dip)[0].tasters == ("Ada", "Bo")


@pytest.mark.parametrize("tasters, why", [([], "at least one"), (["Ada", "Ada"], '"Ada" is named twice'), ([" "], "blank")])
def test_a_tasting_that_makes_no_sense_is_refused_whole(notebook, dip, tasters, why):
    with pytest.raises(NotebookError, match=why):
        notebook.open_tasting(dip, 1, tasters)
    assert notebook.tastings(dip) == ()


def test_a_token_of_a_deleted_study_is_nobodys(notebook, dip):
    token = notebook.open_tasting(dip, 1, ["Ada"])["Ada"]
    notebook.delete(dip)
    assert notebook.find_token(token) is None
    notebook.restore(dip)
    assert notebook.find_token(token).taster == "Ada"
