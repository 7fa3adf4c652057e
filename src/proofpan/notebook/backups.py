"""Copies: before a migration, of everything into one zip and back, and as open files for any other program."""

import json
import os
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from . import finding, originals, schema
from .connection import Store, in_words, make_engine
from .errors import NoRoom, NotebookError
from .place import Place
from .tables import media, metadata

ABOUT = "about.json"
FILE = "notebook.sqlite"
ROWS = "rows.jsonl"
AT_ONCE = 500
SPARE_BYTES = 50_000_000  # left free on the disk by a restore
LONGEST_ROW = 64_000_000


def _free(path: Path) -> Path:
    """The path itself, or with -2, -3, … where it is taken."""
    number, tried = 2, path
    while tried.exists():
        tried = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return tried


@contextmanager
def _claimed(path: Path) -> Iterator[Path]:
    """A name nobody else has, held by an empty file from the start: two programs may open an old notebook at once."""
    while True:
        path = _free(path)
        try:
            path.touch(exist_ok=False)
        except FileExistsError:
            continue
        break
    try:
        yield path
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def _for_name(at: str) -> str:
    return at[:19].replace(":", "-") + "Z"


def keep_copy(place: Place, version: str, at: str) -> Path:
    """A copy of an older notebook, beside it: a file of the same kind, or a server's rows in a zip."""
    name = f"before-migration-from-{version}-{_for_name(at)}"
    with in_words(place):
        if place.file:
            with _claimed(place.file.with_name(f"{place.file.stem}-{name}.sqlite")) as target:
                _vacuum_into(place.file, target)
            return target
        folder = place.media.parent
        folder.mkdir(parents=True, exist_ok=True)
        engine = make_engine(place, migrating=True)
        try:
            with (
                _claimed(folder / f"notebook-{name}.zip") as target,
                _one_moment(engine) as connection,
                _new_zip(target) as out,
            ):
                _write_rows(out, connection, version, at)
        finally:
            engine.dispose()
        return target


def _vacuum_into(file: Path, target: Path) -> None:
    # a plain copy of a file with a write-ahead log leaves out what is still in the log
    with closing(sqlite3.connect(file, timeout=5)) as connection:
        connection.execute("VACUUM INTO ?", (str(target),))


@contextmanager
def _one_moment(engine: sa.Engine) -> Iterator[Connection]:
    """A transaction that sees one moment through all its statements."""
    with engine.connect() as connection:
        if connection.dialect.name == "postgresql":
            connection = connection.execution_options(isolation_level="REPEATABLE READ")
        with connection.begin():
            yield connection


@contextmanager
def _new_zip(target: Path) -> Iterator[zipfile.ZipFile]:
    """A zip that is there whole and on disk, or not at all."""
    handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".writing-", suffix=".zip")
    try:
        with os.fdopen(handle, "wb") as raw:
            with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as out:
                yield out
            raw.flush()
            os.fsync(raw.fileno())
        os.replace(temporary, target)
    finally:
        if os.path.exists(temporary):
            os.unlink(temporary)


def _member(name: str, at: str, method: int = zipfile.ZIP_DEFLATED) -> zipfile.ZipInfo:
    """What a zip says of a member: the backup's own time in UTC, so that the same notebook at the same moment is the same bytes."""
    made = zipfile.ZipInfo(name, (int(at[:4]), int(at[5:7]), int(at[8:10]), int(at[11:13]), int(at[14:16]), int(at[17:19])))
    made.compress_type, made.external_attr = method, 0o600 << 16
    return made


def _pack(out: zipfile.ZipFile, file: Path, member: zipfile.ZipInfo) -> None:
    member.file_size = file.stat().st_size
    with file.open("rb") as read, out.open(member, "w") as written:
        shutil.copyfileobj(read, written)


def _write_about(out: zipfile.ZipFile, version: str, at: str) -> None:
    out.writestr(_member(ABOUT, at), json.dumps({"proofpan_backup": 1, "schema": version, "at": at}))


def _write_rows(out: zipfile.ZipFile, connection: Connection, version: str, at: str) -> None:
    """All rows of all tables, in an order in which they can be put back, whatever the schema's version."""
    there = sa.MetaData()
    there.reflect(connection, only=lambda name, _: name != schema.VERSION_TABLE and not name.startswith("study_words"))
    with out.open(_member(ROWS, at), "w", force_zip64=True) as lines:
        for table in there.sorted_tables:
            for row in connection.execute(sa.select(table).order_by(*table.primary_key.columns)):
                line = json.dumps({"table": table.name, "row": row._asdict()}, ensure_ascii=False, sort_keys=True)
                lines.write(line.encode() + b"\n")
    _write_about(out, version, at)


def backup(store: Store, to: Path, at: str) -> Path:
    """Everything in one zip: the database (or a server's rows) and the originals."""
    place = store.place
    with in_words(place):
        target = _free(to / f"proofpan-notebook-{_for_name(at)}.zip") if to.is_dir() else to
        if target.exists():
            raise NotebookError(f"{target} is there already; a backup never overwrites a file.")
        target.parent.mkdir(parents=True, exist_ok=True)
        with _new_zip(target) as out:
            if place.file:
                digests = _write_file(out, place.file, target.parent, at)
            else:
                with _one_moment(store.engine) as connection:
                    _write_rows(out, connection, schema.known_versions()[-1], at)
                    digests = list(connection.scalars(sa.select(media.c.digest).order_by(media.c.digest)))
            for digest in digests:
                original = originals.lies_at(place.media, digest)
                if original.is_file():  # one that went missing mustn't keep the rest from being saved
                    _pack(out, original, _member(f"media/{digest}", at, zipfile.ZIP_STORED))
    return target


def _write_file(out: zipfile.ZipFile, file: Path, folder: Path, at: str) -> list[str]:
    with tempfile.TemporaryDirectory(dir=folder, prefix=".writing-") as room:
        copy = Path(room) / FILE
        _vacuum_into(file, copy)
        _pack(out, copy, _member(FILE, at))
        _write_about(out, schema.known_versions()[-1], at)
        with closing(sqlite3.connect(copy)) as connection:
            return [row[0] for row in connection.execute("SELECT digest FROM media ORDER BY digest")]


def restore(store: Store, path: Path, at: str) -> Path:
    """Make the notebook what a backup holds, after a backup of what it was; gives that one's path."""
    place = store.place
    folder = place.file.parent if place.file else place.media.parent
    with in_words(place):
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".restoring-") as room, _opened(path, folder) as source:
            staged = _stage(source, path, Path(room))
            before = backup(store, _free(folder / f"before-restore-{_for_name(at)}.zip"), at)
            _take_originals(source, place.media, Path(room))
            engine = make_engine(staged, migrating=True)
            try:
                with engine.connect() as old, old.begin(), store.writing() as connection:
                    _replace_rows(old, connection)
            finally:
                engine.dispose()
    return before


def kept_aside(store: Store) -> tuple[Path, ...]:
    """The backups that restores made of what they replaced, the newest first."""
    place = store.place
    with in_words(place):
        found = [p for p in (place.file.parent if place.file else place.media.parent).glob("before-restore-*.zip") if p.is_file()]
        return tuple(sorted(found, key=lambda p: (p.stat().st_mtime_ns, p.name), reverse=True))


def _damaged(path: Path) -> NotebookError:
    return NotebookError(f"{path} isn't a backup of a notebook, or it is damaged; nothing was changed.")


@contextmanager
def _opened(path: Path, folder: Path) -> Iterator[zipfile.ZipFile]:
    """A backup that is whole, after a look at how large it says it is unpacked: a small file may hold more than any disk."""
    try:
        source = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, EOFError, NotImplementedError, OverflowError):
        raise _damaged(path) from None
    with source:
        unpacked, free = sum(member.file_size for member in source.infolist()), shutil.disk_usage(folder).free
        if unpacked > free - SPARE_BYTES:
            raise NoRoom(
                f"{path} would need {unpacked / 1e9:,.1f} GB unpacked, and {free / 1e9:,.1f} GB are free where the notebook lies; nothing was changed."
            )
        try:
            broken = source.testzip()  # reads no more of a member than it says it is
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError):
            raise _damaged(path) from None
        if broken is not None:
            raise _damaged(path)
        yield source


def _stage(source: zipfile.ZipFile, path: Path, room: Path) -> Place:
    """The backup as a notebook file of its own, brought up to date."""
    names = set(source.namelist())
    if ABOUT not in names or not names & {FILE, ROWS}:
        raise _damaged(path)
    try:
        version = str(json.loads(source.read(ABOUT))["schema"])
    except (ValueError, KeyError, TypeError):
        raise _damaged(path) from None
    if version not in schema.known_versions():
        raise NotebookError(f"{path} was made by a newer proofpan; update proofpan to restore it. Nothing was changed.")
    staged = Place(room / FILE, None, room / "media")
    if FILE in names:
        with source.open(FILE) as packed, (room / FILE).open("wb") as out:
            shutil.copyfileobj(packed, out)
    else:
        schema.prepare(staged, _no_copy, target=version)
        try:
            _load_rows(source, staged)
        except (ValueError, KeyError, TypeError, sa.exc.SQLAlchemyError):
            raise _damaged(path) from None
    try:
        schema.prepare(staged, _no_copy)
    except NoRoom:
        raise
    except NotebookError:  # what is said of the staged file would name a place that nobody knows
        raise _damaged(path) from None
    return staged


def _no_copy(place: Place, _version: str) -> Path:
    return place.file or place.media  # what is staged is a copy itself


def _load_rows(source: zipfile.ZipFile, staged: Place) -> None:
    engine = make_engine(staged, migrating=True)
    there = sa.MetaData()
    try:
        with engine.connect() as connection, connection.begin(), source.open(ROWS) as lines:
            there.reflect(connection)
            while line := lines.readline(LONGEST_ROW + 1):
                if len(line) > LONGEST_ROW:
                    raise ValueError("no row is as long")
                item = json.loads(line)
                table = there.tables[item["table"]]
                connection.execute(table.insert().values({table.c[name]: value for name, value in item["row"].items()}))
    finally:
        engine.dispose()


def _take_originals(source: zipfile.ZipFile, folder: Path, room: Path) -> None:
    for name in source.namelist():
        if not name.startswith("media/"):
            continue
        digest = name.removeprefix("media/")
        target = originals.lies_at(folder, digest)  # refuses anything that isn't a digest
        unpacked = room / "original"
        with source.open(name) as packed, unpacked.open("wb") as out:
            shutil.copyfileobj(packed, out)
        found, _ = originals.put(folder, unpacked)
        if found != digest:
            raise NotebookError(f"The backup's file {target.name} is damaged; nothing was changed in the notebook.")


def _replace_rows(old: Connection, connection: Connection) -> None:
    finding.clear(connection)
    for table in reversed(metadata.sorted_tables):
        connection.execute(table.delete())
    for table in metadata.sorted_tables:
        rows = old.execute(sa.select(table).execution_options(yield_per=AT_ONCE))
        for some in rows.mappings().partitions(AT_ONCE):
            connection.execute(table.insert(), [dict(row) for row in some])
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(
            "SELECT setval(pg_get_serial_sequence('event', 'id'), (SELECT coalesce(max(id), 0) + 1 FROM event), false)"
        )
    finding.index_all(connection)


def export_all(store: Store, folder: Path, with_people: bool) -> Path:
    """Every study as open files; the same notebook gives the same bytes."""
    from .exports import write_all

    with in_words(store.place):
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise NotebookError(f"{folder} isn't empty; an export goes into a new or empty folder.")
        folder.mkdir(parents=True, exist_ok=True)
        with _one_moment(store.engine) as connection:
            write_all(connection, folder, store.place.media, with_people)
    return folder


def forget_log(store: Store) -> None:
    """Empty the write-ahead log, so that what was removed isn't kept there either; another reader may delay it."""
    file: Any = store.place.file
    if file is None:
        return
    with in_words(store.place), closing(sqlite3.connect(file, timeout=5)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
