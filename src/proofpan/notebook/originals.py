"""Original files (photographs, recordings, probe logs) by the SHA-256 of their bytes; written once, never altered."""

import hashlib
import os
import re
import tempfile
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Connection, Row

from .connection import Store, in_words
from .entries import MediaEntry
from .errors import NotebookError, NotFound
from .tables import media
from .texts import checked

DIGEST = re.compile(r"[0-9a-f]{64}")
PIECE = 1 << 20


def lies_at(folder: Path, digest: str) -> Path:
    """Where a file with this digest lies in a folder of originals.

    Raises:
        NotFound: that isn't a digest (so no path can be smuggled in).
    """
    if not DIGEST.fullmatch(digest):
        raise NotFound(f'"{digest[:80]}" isn\'t the digest of a file.')
    return folder / digest[:2] / digest


def keep(store: Store, data: bytes | str | Path, name: str, media_type: str, at: str) -> MediaEntry:
    """Keep a file: first its bytes on disk, then its row."""
    checked(name, "name of a file")
    checked(media_type, "media type of a file")
    with in_words(store.place):
        digest, size = put(store.place.media, data)
    row = {"digest": digest, "name": Path(name.replace("\\", "/")).name or "file", "media_type": media_type}
    with store.writing() as connection:
        dialect: Any = postgresql if store.on_server else sqlite
        connection.execute(dialect.insert(media).values(**row, size=size, at=at).on_conflict_do_nothing())
        return entry(connection, digest)


def put(folder: Path, data: bytes | str | Path) -> tuple[str, int]:
    """Write bytes under their digest, durably, unless they are there whole; gives digest and size."""
    folder.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=folder, prefix="incoming-")
    try:
        with os.fdopen(handle, "wb") as out:
            if isinstance(data, bytes):
                out.write(data)
                digest = hashlib.sha256(data)
            else:
                digest = hashlib.sha256()
                with Path(data).open("rb") as source:
                    while piece := source.read(PIECE):
                        digest.update(piece)
                        out.write(piece)
            size = out.tell()
            out.flush()
            os.fsync(out.fileno())
        target = lies_at(folder, digest.hexdigest())
        target.parent.mkdir(exist_ok=True)
        if not (target.exists() and target.stat().st_size == size):
            os.chmod(temporary, 0o444)
            os.replace(temporary, target)
            _sync_folder(target.parent)
        return digest.hexdigest(), size
    finally:
        if os.path.exists(temporary):
            os.unlink(temporary)


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":  # Windows can't open a folder
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def read(store: Store, digest: str) -> bytes:
    """A file's bytes.

    Raises:
        NotFound: it isn't there.
        NotebookError: its bytes have changed since.
    """
    file = path(store, digest)
    with in_words(store.place):
        data = file.read_bytes()
    if hashlib.sha256(data).hexdigest() != digest:
        raise NotebookError(f"The file {file} has been altered since it was kept; restore it from a backup.")
    return data


def path(store: Store, digest: str) -> Path:
    """Where a file lies.

    Raises:
        NotFound: it isn't there.
    """
    file = lies_at(store.place.media, digest)
    with store.reading() as connection:
        known = entry(connection, digest)
    if not file.is_file():
        raise NotFound(f'The file "{known.name}" is missing from {store.place.media}; restore it from a backup.')
    return file


def entry(connection: Connection, digest: str) -> MediaEntry:
    """What is known of a file.

    Raises:
        NotFound: it was never kept.
    """
    row = connection.execute(sa.select(media).where(media.c.digest == digest)).first()
    if row is None:
        raise NotFound(f"The notebook keeps no file {digest[:80]}.")
    return _entry(row)


def _entry(row: Row[Any]) -> MediaEntry:
    return MediaEntry(row.digest, row.name, row.media_type, row.size, row.at)


def listing(connection: Connection) -> tuple[MediaEntry, ...]:
    """All files, oldest first."""
    return tuple(_entry(row) for row in connection.execute(sa.select(media).order_by(media.c.at, media.c.digest)))
