"""What many threads bring at once goes into one transaction, and a fault of one touches nobody else."""

import threading

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


def soon(together, *requests):
    """What each is told by the notebook's own thread, once all have heard."""
    heard = {r: [] for r in requests}
    last = threading.Semaphore(0)

    def hear(request):
        def told(fault):
            heard[request].append(fault)
            last.release()

        return told

    for request in requests:
        request.told = hear(request)
        together.soon(request)
    for _ in requests:
        assert last.acquire(timeout=20)
    return [type(fault) for (fault,) in heard.values()]


def test_who_does_not_wait_is_told_once_when_it_is_on_disk(notebook, together):
    requests = [asking("dip", str(n)) for n in range(250)]
    assert set(soon(together, *requests)) == {type(None)}
    assert {e.key for e in notebook.events("dip")} == {"taken", *map(str, range(250))}
    together.close()


def test_what_is_sent_again_in_the_same_moment_is_kept_once_and_a_fault_touches_nobody_else(notebook, together):
    again, other = asking("dip", "1", "2"), asking("dip", "taken")
    said = soon(together, asking("dip", "1", "2"), again, other, asking("nowhere", "1"), asking("dip", "3", while_open=1), asking("soup", "4"))
    assert said == [type(None), type(None), Conflict, NotFound, NotFound, NotFound]
    assert [e.key for e in notebook.events("dip")] == ["taken", "1", "2"]


def test_a_fault_that_nobody_foresaw_leaves_nobody_waiting_and_the_next_is_kept(notebook, together, monkeypatch):
    real = together._in_one_transaction

    def broken(batch):
        raise ZeroDivisionError

    monkeypatch.setattr(threading, "excepthook", lambda _: None)
    monkeypatch.setattr(together, "_in_one_transaction", broken)
    assert soon(together, asking("dip", "1")) == [NotebookError]
    monkeypatch.setattr(together, "_in_one_transaction", real)
    assert soon(together, asking("dip", "1")) == [type(None)]
    assert {e.key for e in notebook.events("dip")} == {"taken", "1"}
    together.close()


def test_new_entries_are_written_without_a_look_at_what_stands(notebook, together, monkeypatch):
    monkeypatch.setattr("proofpan.notebook.events._standing", None)
    assert soon(together, asking("dip", "1")) == [type(None)]


def test_the_last_of_a_closing_notebook_is_written(notebook, together):
    told = []
    requests = [asking("dip", str(n)) for n in range(30)]
    for request in requests:
        request.told = told.append
        together.soon(request)
    together.close()
    assert told == [None] * 30 and len(notebook.events("dip")) == 31
