"""Starting the server: the lead's link is printed, the browser opened, and phones let in only when the kitchen asks."""

from __future__ import annotations

import gc
import os
import socket
import threading
import time
import webbrowser
from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from proofpan.web.access import link_word, new_secret

if TYPE_CHECKING:
    from fastapi import FastAPI

LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"
NOTEBOOK, SECRET, KITCHEN, ADDRESS = "PROOFPAN_WEB_NOTEBOOK", "PROOFPAN_WEB_SECRET", "PROOFPAN_WEB_KITCHEN", "PROOFPAN_WEB_ADDRESS"
WORKERS = "PROOFPAN_WEB_WORKERS"


def serve(
    notebook: str | None = None,
    *,
    kitchen: bool = False,
    port: int = 8765,
    browse: bool = False,
    workers: int = 1,
    say: Callable[[str], None] = print,
) -> None:
    """Serve the pages until stopped.

    Parameters: notebook, where it is kept (none: the user's own); kitchen, whether to listen on the kitchen's own network as well; port;
        browse, open the browser; workers, server processes; say, prints a line.

    Raises: NotebookError when the notebook can't be opened; OSError when the port is taken.
    """
    import uvicorn

    from proofpan.notebook import Notebook

    with Notebook.open(notebook) as book:
        place = str(book.place)
    secret = new_secret()
    host = EVERYWHERE if kitchen else LOOPBACK
    _check_port(host, port)
    address = f"http://{kitchen_address() if kitchen else LOOPBACK}:{port}"
    link = f"http://{LOOPBACK}:{port}/in/{link_word(secret)}"
    say(f"The notebook is {place}. Opening the pages…")
    lines = _where_to_go(link, address, link_word(secret), kitchen)

    def open_for_business() -> None:
        for line in lines:
            say(line)
        if browse:
            webbrowser.open(link)

    threading.Thread(target=_once_listening, args=(port, open_for_business), daemon=True).start()
    os.environ.update({SECRET: secret, KITCHEN: "1" if kitchen else "", ADDRESS: address, NOTEBOOK: notebook or "", WORKERS: str(workers)})
    uvicorn.run(
        "proofpan.web.serving:worker",
        factory=True,
        host=host,
        port=port,
        workers=workers,
        log_level="warning",
        access_log=False,
        server_header=False,
        date_header=True,
        proxy_headers=False,
    )


def _where_to_go(link: str, address: str, word: str, kitchen: bool) -> list[str]:
    out = [f"Your own link (keep it to yourself): {link}"]
    if kitchen:
        out += [
            f"On the kitchen's network, on a tablet: {address}/in/{word}",
            f"Tasters go to {address}/t. Anyone on this network can reach that page; everything else needs your link. Nothing goes further.",
        ]
    else:
        out.append("Only this machine can reach it. For phones: proofpan serve --kitchen.")
    return [*out, "Stop it with Ctrl+C; everything that was acknowledged is kept."]


def _once_listening(port: int, then: Callable[[], None]) -> None:
    """A link that is followed before anyone listens is refused, so it is given out only afterwards."""
    while True:
        with socket.socket() as tried:
            if tried.connect_ex((LOOPBACK, port)) == 0:
                break
        time.sleep(0.1)
    then()


def worker() -> FastAPI:
    """One worker's app, as the environment says."""
    from proofpan.notebook import Notebook
    from proofpan.web.app import create_app

    book = Notebook.open(os.environ.get(NOTEBOOK) or None)
    _warm()
    app = create_app(
        book,
        clock=lambda: datetime.now(UTC),
        secret=os.environ[SECRET],
        kitchen=bool(os.environ.get(KITCHEN)),
        address=os.environ.get(ADDRESS, ""),
        workers=int(os.environ.get(WORKERS) or 1),
    )
    _lay_tables(app)
    gc.collect()
    gc.freeze()  # what was read at the start stays: looking through it again and again would make phones wait
    return app


def _lay_tables(app: FastAPI) -> None:
    """Read the studies whose tastings are open, so that after a restart the first phone waits no longer than the last."""
    from proofpan.notebook import NotebookError
    from proofpan.study.errors import ProofpanError

    kitchen = app.state.kitchen
    for entry in kitchen.book.studies():
        try:
            if any(t.closed is None for t in kitchen.book.tastings(entry.id)):
                kitchen.shelf.serving(entry.id)
                kitchen.kept.of(entry.id)
        except (ProofpanError, NotebookError):
            continue  # its own page says what is wrong with it


def _warm() -> None:
    """Import what the first page would otherwise wait for, before any phone asks."""
    from importlib import import_module

    for name in ("pandas", "proofpan.study.study", "proofpan.steps.rounds", "proofpan.steps.verdict", "proofpan.science.panels"):
        import_module(name)


def _check_port(host: str, port: int) -> None:
    """Say at once that a port is taken, before the link is printed.

    Raises: OSError.
    """
    with socket.socket() as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((host, port))
        except OSError as error:
            raise OSError(error.errno, "another program has this port", f"port {port}") from None


def kitchen_address() -> str:
    """This machine's address on the network that phones share; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ask:
        try:
            ask.connect(("192.0.2.1", 9))  # a documentation address: connecting a datagram socket sends nothing
            return str(ask.getsockname()[0])
        except OSError:
            return LOOPBACK
