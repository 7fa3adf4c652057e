"""The one place that opens connections, begins transactions and puts a database's complaints into words."""

import re
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.exc import DatabaseError, DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from .errors import Busy, NoRoom, NotebookError
from .place import Place

BUSY_MS = 5000
MIGRATING_MS = 60_000  # a second program that starts meanwhile waits for the first to be through


def make_engine(place: Place, *, migrating: bool = False) -> Engine:
    """An engine for a place.

    Args:
        place: where the notebook is.
        migrating: foreign keys off (rebuilding a table would delete its children) and no pool.
    """
    pool: dict[str, Any] = {"poolclass": sa.NullPool} if migrating else {"pool_size": 8, "max_overflow": 8}
    if place.server:
        engine = sa.create_engine(place.server, pool_pre_ping=not migrating, **pool)
        event.listen(engine, "connect", lambda raw, _: _set_up_server(raw, MIGRATING_MS if migrating else BUSY_MS))
        return engine
    # the path goes in as a value, since ? or % in an address would mean something else
    engine = sa.create_engine("sqlite+pysqlite://", creator=lambda: _open_file(place, migrating), **_file_pool(pool))
    event.listen(engine, "begin", _begin_file)
    return engine


def _file_pool(pool: dict[str, Any]) -> dict[str, Any]:
    # an address without a path makes SQLAlchemy think of a database in memory and choose one shared connection
    return {"poolclass": sa.QueuePool, **pool}


def _open_file(place: Place, migrating: bool) -> sqlite3.Connection:
    assert place.file is not None
    connection = sqlite3.connect(place.file, isolation_level=None, check_same_thread=False)
    try:
        connection.execute(f"PRAGMA busy_timeout = {MIGRATING_MS if migrating else BUSY_MS}")
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA secure_delete = ON")  # what a person asked to have removed is overwritten
        connection.execute(f"PRAGMA foreign_keys = {'OFF' if migrating else 'ON'}")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _begin_file(connection: Connection) -> None:
    # a transaction that reads first and writes later fails at once when another writes, whatever the timeout;
    # so a writer says so from the start
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _set_up_server(connection: Any, patience_ms: int) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SET synchronous_commit = on")
        cursor.execute(f"SET lock_timeout = {patience_ms}")
        cursor.execute("SET TIME ZONE 'UTC'")
    connection.commit()


class Store:
    """Connections of one notebook: `reading()` and `writing()` are the only ways in."""

    def __init__(self, place: Place):
        self.place = place
        self.engine = make_engine(place)
        # threads of one process queue here in order; SQLite's own waiting is a lottery with sleeps of up to 100 ms
        self._turn: Any = threading.Lock() if place.file else nullcontext()

    @property
    def on_server(self) -> bool:
        """Whether this is PostgreSQL."""
        return self.place.server is not None

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads: one moment's view."""
        with in_words(self.place), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that writes: all of it is on disk when the block has been left, or none of it is."""
        with in_words(self.place), self._turn, self.engine.connect() as connection:
            connection = connection.execution_options(writes=True)
            with connection.begin():
                yield connection

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()


@contextmanager
def in_words(place: Place) -> Iterator[None]:
    """Turn a database's or the file system's complaint into one sentence.

    Raises:
        Busy: another program holds the notebook.
        NotebookError: anything else that the database or the disk says.
    """
    try:
        yield
    except PoolTimeout as error:
        raise Busy(f"The notebook {place} has too much to do at once; try again in a moment.") from error
    except DBAPIError as error:
        raise sentence(place, error.orig or error) from error
    except (sqlite3.Error, DatabaseError) as error:
        raise sentence(place, error) from error
    except OSError as error:
        raise file_sentence(place, error) from error


def sentence(place: Place, error: BaseException) -> NotebookError:
    """What a database's own error means to the cook."""
    said = str(error).strip().splitlines()[0] if str(error).strip() else type(error).__name__
    if place.server:
        return _server_sentence(place, error, said)
    low = said.lower()
    if "locked" in low or "busy" in low:
        return Busy(
            f"The notebook {place} is held by another program that didn't let go within {BUSY_MS // 1000} seconds; "
            "nothing was written, try again in a moment."
        )
    if "disk is full" in low:
        return NoRoom(
            f"The disk that holds the notebook {place} is full, so this wasn't written; all before it is safe. "
            "Free some space and try again."
        )
    if "readonly" in low or "read-only" in low:
        return NotebookError(f"The notebook {place} can't be written: its file or folder is read-only.")
    if "unable to open" in low:
        return NotebookError(f"The notebook {place} can't be opened: its folder is missing, read-only or not yours.")
    if "not a database" in low:
        return NotebookError(f"{place} isn't a notebook.")
    if "malformed" in low:
        return NotebookError(f"The notebook {place} is damaged; restore the latest backup.")
    if "disk i/o error" in low:
        return NotebookError(f"The disk that holds the notebook {place} failed, so this wasn't written; check it.")
    return NotebookError(f"The notebook {place} couldn't do this: {said}.")


def _server_sentence(place: Place, error: BaseException, said: str) -> NotebookError:
    state = getattr(error, "sqlstate", None)
    if state in ("55P03", "40P01", "40001", "57014"):
        return Busy(f"The notebook {place} is held by another program; nothing was written, try again in a moment.")
    if state == "53100":
        return NoRoom(f"The disk of the notebook {place} is full, so this wasn't written; all before is safe.")
    if state is None or state.startswith(("08", "57P", "28", "3D")):
        reason = re.sub(r"password=\S+", "", said).rstrip(".")
        return NotebookError(f"The notebook's server {place} can't be reached: {reason}.")
    return NotebookError(f"The notebook {place} couldn't do this: {said.rstrip('.')}.")


def file_sentence(place: Place, error: OSError) -> NotebookError:
    """What the file system's own error means to the cook."""
    import errno

    name = error.filename or place
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return NoRoom(f"The disk is full, so {name} wasn't written; free some space and try again.")
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return NotebookError(f"{name} can't be used: it is read-only or not yours.")
    return NotebookError(f"{name} can't be used: {(error.strerror or str(error)).lower()}.")
