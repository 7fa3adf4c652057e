"""A PostgreSQL server for the tests, started from Debian's own programs and thrown away afterwards."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

DEBIAN = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


def programs() -> Path | None:
    """The folder that holds initdb and pg_ctl, if PostgreSQL is installed."""
    if DEBIAN:
        return DEBIAN[-1].parent
    found = shutil.which("initdb")
    return Path(found).resolve().parent if found else None


@contextmanager
def postgres_server(*, durable: bool = False) -> Iterator[str]:
    """A running server; gives its address without a database's name, as in `postgresql://postgres@/{name}?host=…`.

    The tests kill programs, never the machine, so their server need not wait for the disk; a measurement asks for it.
    """
    where = programs()
    assert where is not None
    # short, since the socket's path may have 107 characters at most
    folder = Path(tempfile.mkdtemp(prefix="pg", dir="/tmp"))
    as_owner: list[str] = []
    if os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres")
        as_owner = ["runuser", "-u", "postgres", "--"]

    def run(*words: str) -> None:
        subprocess.run([*as_owner, *words], check=True, cwd=folder, stdout=subprocess.DEVNULL, timeout=60)

    try:
        data = str(folder / "d")
        run(str(where / "initdb"), "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        options = f"-k {folder} -c listen_addresses='' -c max_connections=100"
        if not durable:
            options += " -c fsync=off -c full_page_writes=off -c synchronous_commit=off"
        run(str(where / "pg_ctl"), "-D", data, "-w", "-l", str(folder / "log"), "-o", options, "start")
        try:
            yield "postgresql://postgres@/{name}?host=" + str(folder)
        finally:
            run(str(where / "pg_ctl"), "-D", data, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
