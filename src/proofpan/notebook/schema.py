"""Brings a notebook's tables up to date, with a copy of the old ones first, or refuses with a sentence."""

import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from importlib.resources import files
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from .connection import in_words, make_engine
from .errors import NotebookError
from .place import Place

# stands in the file's header, so that a notebook can be told from any other SQLite file ("PPNB")
APPLICATION_ID = 0x50504E42
VERSION_TABLE = "proofpan_version"
# Alembic's script context is one for the whole process
ALONE = threading.Lock()
MIGRATIONS = Path(str(files("proofpan.notebook") / "migrations"))


def known_versions() -> tuple[str, ...]:
    """The schema versions that this proofpan knows, oldest first (from the file names, so that Alembic loads later)."""
    return tuple(sorted(path.name[1:5] for path in (MIGRATIONS / "versions").glob("v[0-9][0-9][0-9][0-9]_*.py")))


def version_of(connection: Connection) -> str | None:
    """The schema version that stands in a database; None where there is none yet."""
    if not sa.inspect(connection).has_table(VERSION_TABLE):
        return None
    return connection.exec_driver_sql(f"SELECT version_num FROM {VERSION_TABLE}").scalar()


def prepare(place: Place, keep_copy: Callable[[Place, str], Path], *, target: str | None = None) -> None:
    """Create or migrate the notebook at a place; returns at once when it is up to date.

    Args:
        place: where it is.
        keep_copy: makes the copy of an older notebook before it is migrated, given the place and the version there.
        target: the version to go to, for tests; None for the newest.

    Raises:
        NotebookError: the file isn't a notebook, comes from a newer proofpan, can't be written, or a migration failed
            (then all is as it was).
    """
    target = target or known_versions()[-1]
    if place.file:
        _check_file(place)
    engine = make_engine(place, migrating=True)
    try:
        with in_words(place):
            with engine.connect() as connection:
                version = version_of(connection)
            if version == target:
                return
            if version is not None and version not in known_versions():
                raise NotebookError(
                    f"The notebook {place} was written by a newer proofpan (its schema is {version}, this one knows up "
                    f"to {known_versions()[-1]}); update proofpan to open it."
                )
            if version is not None:
                kept = keep_copy(place, version)
                _migrate(place, engine, target, f"the notebook is as it was, and a copy of it is {kept}")
            else:
                _migrate(place, engine, target, "nothing was made")
    finally:
        engine.dispose()


def _check_file(place: Place) -> None:
    file = place.file
    assert file is not None
    with in_words(place):
        file.parent.mkdir(parents=True, exist_ok=True)
        if not file.exists() or file.stat().st_size == 0:
            return
        with file.open("rb") as handle:
            if handle.read(16) != b"SQLite format 3\0":
                raise NotebookError(f"{place} isn't a notebook.")
        with closing(sqlite3.connect(file, timeout=5)) as connection:
            mark = connection.execute("PRAGMA application_id").fetchone()[0]
            tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if mark != APPLICATION_ID and (tables or mark):
            raise NotebookError(f"{place} is a database of another program, not a notebook.")


def _migrate(place: Place, engine: sa.Engine, target: str, otherwise: str) -> None:
    from alembic import command
    from alembic.config import Config
    from alembic.util.exc import CommandError

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with ALONE, engine.connect() as connection:
        connection = connection.execution_options(writes=True)
        with connection.begin():
            if place.server:
                # two workers that start together: the second waits here, then finds nothing to do
                connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({APPLICATION_ID})")
            else:
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
            config.attributes["connection"] = connection
            try:
                command.upgrade(config, target)
                _check_children(place, connection)
            except (sa.exc.SQLAlchemyError, CommandError) as error:
                reason = str(getattr(error, "orig", None) or error).splitlines()[0].rstrip(".")
                failed = f"The notebook {place} couldn't be brought up to date"
                raise NotebookError(f"{failed} ({reason}); {otherwise}.") from error


def _check_children(place: Place, connection: Connection) -> None:
    if place.file is None:
        return
    orphan = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if orphan is not None:
        raise sa.exc.InvalidRequestError(f"a row of the table {orphan[0]} would lose the study that it belongs to")
