"""What goes wrong in kitchens: a dead battery, a full disk, a notebook that something else holds."""

import multiprocessing
import os
import random
import signal
import sqlite3
import time
from contextlib import closing

import pytest

from proofpan.notebook import Busy, Notebook, NotebookError
from proofpan.notebook import connection as connection_module

FORK = multiprocessing.get_context("fork")


def keep_writing(where, name, acknowledged):
    """A writer that says each key after it was acknowledged, until it is killed."""
    with Notebook.open(where) as notebook:
        n = 0
        while True:
            notebook.append("dip", "ballot", {"n": n}, key=f"{name}-{n}")
            os.write(acknowledged, f"{name}-{n}\n".encode())
            n += 1


def killed_while_writing(where, name, rng):
    """Start a writer, kill it in the middle, and give the keys that it had acknowledged."""
    reading, writing = os.pipe()
    writer = FORK.Process(target=keep_writing, args=(where, name, writing))
    writer.start()
    os.close(writing)
    said = os.read(reading, 65536)  # it has begun
    time.sleep(rng.uniform(0, 0.03))
    os.kill(writer.pid, signal.SIGKILL)
    writer.join()
    while piece := os.read(reading, 65536):
        said += piece
    os.close(reading)
    return said.decode().split()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills forked writers")
def test_a_killed_writer_loses_no_acknowledged_event_and_doubles_none(where):
    rng = random.Random(11)
    with Notebook.open(where) as notebook:
        notebook.create("Dip", "text")
    acknowledged = [key for n in range(24) for key in killed_while_writing(where, str(n), rng)]
    with Notebook.open(where) as notebook:
        kept = [event.key for event in notebook.events("dip")]
        assert len(acknowledged) > 24 and set(acknowledged) <= set(kept)
        assert len(kept) == len(set(kept))
        # at most the one event a writer that was written but not yet acknowledged
        assert len(kept) - len(acknowledged) <= 24
        for key in kept:  # what a phone does that never heard back
            notebook.append("dip", "ballot", {"n": int(key.split("-")[1])}, key=key)
        assert len(notebook.events("dip")) == len(kept)


def write_some(where, name, count):
    with Notebook.open(where) as notebook:
        for n in range(count):
            notebook.append("dip", "ballot", {"n": n}, key=f"{name}-{n}")
            if n % 5 == 0:
                notebook.save("dip", f"{name} {n}", note=name)


def test_two_programs_that_write_at_once_lose_and_double_nothing(where):
    with Notebook.open(where) as notebook:
        notebook.create("Dip", "text")
    writers = [FORK.Process(target=write_some, args=(where, name, 40)) for name in ("tablet", "laptop")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert [writer.exitcode for writer in writers] == [0, 0]
    with Notebook.open(where) as notebook:
        keys = [event.key for event in notebook.events("dip")]
        assert len(keys) == 80 == len(set(keys))
        assert [r.revision for r in notebook.history("dip")] == list(range(1, 18))


def test_a_held_notebook_is_said_and_nothing_is_lost(file, monkeypatch):
    monkeypatch.setattr(connection_module, "BUSY_MS", 100)
    with Notebook.open(file) as notebook:
        notebook.create("Dip", "text")
        with closing(sqlite3.connect(file)) as other:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(Busy, match="held by another program .* try again"):
                notebook.append("dip", "ballot", {}, key="1")
            assert notebook.document("dip").text == "text"  # reading goes on meanwhile
        notebook.append("dip", "ballot", {}, key="1")
        assert len(notebook.events("dip")) == 1


@pytest.mark.postgres
def test_a_held_study_on_a_server_is_said(new_database, monkeypatch):
    import psycopg

    monkeypatch.setattr(connection_module, "BUSY_MS", 100)
    with Notebook.open(new_database) as notebook:
        notebook.create("Dip", "text")
        notebook.create("Crackers", "text")
        with psycopg.connect(new_database) as other:
            other.execute("SELECT * FROM study WHERE id = 'dip' FOR UPDATE")
            with pytest.raises(Busy, match="try again"):
                notebook.append("dip", "ballot", {}, key="1")
            notebook.append("crackers", "ballot", {}, key="1")  # another study isn't held up


@pytest.mark.postgres
def test_a_server_that_went_away_and_came_back_is_used_again(new_database):
    import psycopg

    with Notebook.open(new_database) as notebook:
        notebook.create("Dip", "text")
        with psycopg.connect(new_database, autocommit=True) as other:
            other.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid()")
        assert notebook.append("dip", "ballot", {}, key="1").key == "1"


def test_a_full_disk_is_said_and_what_was_written_is_safe(file):
    with Notebook.open(file) as notebook:
        notebook.create("Dip", "text")
        kept = notebook.append("dip", "ballot", {"n": 0}, key="0")
        with notebook._store.engine.connect() as connection:  # the pool gives this one connection to all calls below
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
            connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(NotebookError, match="disk .* is full, so this wasn't written; all before it is safe"):
            notebook.append("dip", "ballot", {"words": "x" * 100_000}, key="1")
        assert notebook.events("dip") == (kept,)


def as_nobody(task):
    """Run a task without root's rights; gives what it said."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.geteuid() == 0:
                os.setgid(65534)
                os.setuid(65534)
            task()
            os.write(writing, b"no error")
        except NotebookError as error:
            os.write(writing, str(error).encode())
        finally:
            os._exit(0)
    os.close(writing)
    os.waitpid(child, 0)
    said = os.read(reading, 4096).decode()
    os.close(reading)
    return said


@pytest.fixture
def shelf(tmp_path):
    """A folder that everyone can walk to."""
    for folder in [f for f in (tmp_path, *tmp_path.parents) if "pytest-of" in str(f)]:
        folder.chmod(0o755)
    return tmp_path


def test_a_read_only_folder_is_said(shelf):
    folder = shelf / "kitchen"
    folder.mkdir()
    folder.chmod(0o555)
    for where in (folder / "notebook.sqlite", folder / "deeper" / "notebook.sqlite"):
        said = as_nobody(lambda where=where: Notebook.open(where))
        assert str(folder) in said and "read-only" in said, said


def test_a_read_only_notebook_is_said(shelf):
    file = shelf / "notebook.sqlite"
    with Notebook.open(file) as notebook:
        notebook.create("Dip", "text")
    file.chmod(0o444)
    shelf.chmod(0o555)

    def write():
        with Notebook.open(file) as notebook:
            notebook.create("Dip", "text")

    said = as_nobody(write)
    assert "notebook.sqlite can't be" in said and "read-only" in said, said


@pytest.mark.parametrize("content", [b"title: Oat crackers\n", b"SQLite format 3\0 but not really" * 99, b"PK\x03\x04 a zip"])
def test_a_file_that_is_not_a_notebook_is_refused_and_left_as_it_was(file, content):
    file.write_bytes(content)
    with pytest.raises(NotebookError, match="isn't a notebook"):
        Notebook.open(file)
    assert file.read_bytes() == content


def test_another_programs_database_is_refused_and_left_as_it_was(file):
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("CREATE TABLE study (x)")
    before = file.read_bytes()
    with pytest.raises(NotebookError, match="database of another program, not a notebook"):
        Notebook.open(file)
    assert file.read_bytes() == before


def test_an_empty_file_becomes_a_notebook(file):
    file.touch()
    with Notebook.open(file) as notebook:
        assert notebook.studies() == ()


def test_a_damaged_notebook_is_said(file):
    with Notebook.open(file) as notebook:
        for n in range(50):
            notebook.create(f"Dip {n}", "text " * 500)
    data = bytearray(file.read_bytes())
    data[4096:] = bytes(len(data) - 4096)
    file.write_bytes(data)
    with pytest.raises(NotebookError, match="is damaged; restore the latest backup"), Notebook.open(file) as notebook:
        notebook.studies()


def test_the_errors_can_be_had_without_the_database_library():
    import subprocess
    import sys

    asked = "import sys; from proofpan.notebook import NotebookError; sys.exit('sqlalchemy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", asked]).returncode == 0
