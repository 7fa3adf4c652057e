"""Where a notebook is kept: a SQLite file in the user's data folder unless told otherwise, or a PostgreSQL server."""

import os
import re
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from .errors import NotebookError

SERVER = re.compile(r"postgres(ql)?(\+psycopg)?://")


@dataclass(frozen=True)
class Place:
    """A notebook's place: `file` (SQLite) or `server` (PostgreSQL's address), and the folder of its originals."""

    file: Path | None
    server: str | None
    media: Path

    def __str__(self) -> str:
        """The place in words, without a password."""
        if self.file:
            return str(self.file)
        from sqlalchemy.engine import make_url

        address = make_url(self.server or "")
        shown = {name: value for name, value in address.query.items() if name != "password"}
        return address.set(drivername="postgresql", query=shown).render_as_string(hide_password=True)


def find_place(where: str | Path | None = None) -> Place:
    """Turn what the cook typed into a place.

    Args:
        where: a file, a folder (its notebook.sqlite is meant) or a postgresql:// address; None for what the environment
            variable PROOFPAN_NOTEBOOK says, else the user's data folder.

    Raises:
        NotebookError: for an address of another kind of server.
    """
    asked = where if where is not None else os.environ.get("PROOFPAN_NOTEBOOK") or None
    folder_of_media = os.environ.get("PROOFPAN_MEDIA")
    if isinstance(asked, str) and "://" in asked:
        if not SERVER.match(asked):
            kind = asked.split("://")[0]
            raise NotebookError(f"A notebook is a file or a postgresql:// address, not {kind}://.")
        server = SERVER.sub("postgresql+psycopg://", asked, count=1)
        return Place(None, server, Path(folder_of_media or _data_folder() / "media"))
    file = Path(asked).expanduser() if asked is not None else _data_folder() / "notebook.sqlite"
    if file.is_dir():
        file = file / "notebook.sqlite"
    file = file.absolute()
    return Place(file, None, Path(folder_of_media).absolute() if folder_of_media else file.parent / "media")


def _data_folder() -> Path:
    return platformdirs.user_data_path("proofpan", appauthor=False)
