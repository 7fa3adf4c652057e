"""What many threads bring at once goes into one transaction, and a fault of one touches nobody else."""

import pytest

from proofpan.notebook import Busy, Conflict, NewEvent, NotebookError, NotFound
from proofpan.notebook.events import checked_events
from proofpan.notebook.together import Request, Together


@pytest.fixture
def together(notebook):
    notebook.create("Dip", "text")
    notebook.append("dip", "ballot", {"a": 1}, key="taken")
    return Together(notebook._store)


def asking(study_id, *keys, while_open=None):
    rows = checked_events([NewEvent("ballot", {"a": 2}, key) for key in keys], "2026-05-03T09:14:00.000Z")
    return Request(study_id, rows, while_open)


def test_each_hears_of_their_own(notebook, together):
    requests = [
        asking("dip", "1"),
        asking("soup", "2"),
        asking("dip", "3", "taken"),
        asking("dip", "taken"),
        asking("dip", "4", "5"),
        asking("dip", "6", while_open=1),
    ]
    together._waiting.extend(requests)
    assert [e.key for e in together.add(asking("dip", "7"))] == ["7"]
    assert [type(r.fault) for r in requests] == [type(None), NotFound, Conflict, Conflict, type(None), NotFound]
    assert [[e.key for e in r.added] for r in requests] == [["1"], [], [], [], ["4", "5"], []]
    assert {e.key for e in notebook.events("dip")} == {"taken", "1", "4", "5", "7"}


def test_what_the_database_refuses_for_one_is_kept_for_the_others(notebook, together):
    bad = asking("dip", "bad")
    bad.rows[0]["kind"] = None
    together._waiting.extend([asking("dip", "1"), bad])
    together.add(asking("dip", "2"))
    assert isinstance(bad.fault, NotebookError) and bad.done
    assert {e.key for e in notebook.events("dip")} == {"taken", "1", "2"}


def test_a_held_notebook_is_busy_for_all_who_wait(together, monkeypatch):
    def held(_):
        raise Busy("held")

    monkeypatch.setattr(together, "_in_one_transaction", held)
    other = asking("dip", "1")
    together._waiting.append(other)
    with pytest.raises(Busy, match="held"):
        together.add(asking("dip", "2"))
    assert isinstance(other.fault, Busy) and other.done
