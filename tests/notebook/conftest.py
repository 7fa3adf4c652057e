"""Notebooks to test with: each test that takes `notebook` runs on SQLite and on a real PostgreSQL."""

import itertools
import shutil
from datetime import UTC, datetime, timedelta

import pytest

from proofpan.notebook import Notebook
from proofpan.notebook.tables import metadata

from .server import postgres_server, programs

KINDS = ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)]


class Clock:
    """Stands still until moved, so that times in tests are known."""

    def __init__(self):
        self.now = datetime(2026, 5, 3, 9, 14, tzinfo=UTC)

    def __call__(self):
        return self.now

    def move(self, **by):
        self.now += timedelta(**by)


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture(scope="session")
def server():
    if programs() is None:
        pytest.skip("PostgreSQL isn't installed")
    with postgres_server() as address:
        yield address


NUMBERS = itertools.count(1)


def database(server):
    """The address of a new database; it goes when the server goes."""
    import psycopg

    name = f"kitchen{next(NUMBERS)}"
    with psycopg.connect(server.format(name="postgres"), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return server.format(name=name)


@pytest.fixture
def empty_database(server):
    """A database without a table."""
    return database(server)


@pytest.fixture(scope="session")
def kitchen_database(server):
    address = database(server)
    Notebook.open(address).close()
    return address


@pytest.fixture
def new_database(kitchen_database):
    """A database that holds an empty notebook: emptied, which takes a tenth of the time of making one."""
    import psycopg

    with psycopg.connect(kitchen_database) as connection:
        for table in ["study_words", *reversed(metadata.sorted_tables)]:
            connection.execute(f"DELETE FROM {table}")
    return kitchen_database


@pytest.fixture(scope="session")
def blank_file(tmp_path_factory):
    """An empty notebook file to copy, since migrating one takes longer than most tests."""
    path = tmp_path_factory.mktemp("blank") / "notebook.sqlite"
    Notebook.open(path).close()
    return path


@pytest.fixture(params=KINDS)
def where(request, tmp_path, monkeypatch):
    """Where a new notebook may be made: a file, or a server's database."""
    monkeypatch.delenv("PROOFPAN_NOTEBOOK", raising=False)
    monkeypatch.delenv("PROOFPAN_MEDIA", raising=False)
    if request.param == "sqlite":
        (tmp_path / "kitchen").mkdir()
        return str(shutil.copy(request.getfixturevalue("blank_file"), tmp_path / "kitchen"))
    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "kitchen" / "media"))
    return request.getfixturevalue("new_database")


@pytest.fixture
def notebook(where, clock):
    with Notebook.open(where, clock=clock) as opened:
        yield opened


@pytest.fixture
def file(tmp_path, monkeypatch):
    """A path for a notebook file, for what concerns SQLite alone."""
    monkeypatch.delenv("PROOFPAN_MEDIA", raising=False)
    return tmp_path / "notebook.sqlite"
