"""A server that can be killed and be back within a second: its process is forked from one that has imported everything and nothing more.

What is killed is a whole server, with its own notebook, connections and threads, made after the fork; only the imports, which take most
of a start, are shared. (A server started from nothing is `bench.pages.start`.)
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import socket
import sys
import time
from contextlib import suppress
from multiprocessing.context import ForkServerProcess

from proofpan.web.app import PAGES

STARTS_WITHIN_S = 60
SECRET = "bench"
IMPORTED = ("uvicorn", "uvicorn.protocols.http.auto", "uvicorn.loops.auto", "uvicorn.lifespan.on", "pandas", "proofpan.notebook", "proofpan.web.app",
            "proofpan.web.serving", "proofpan.study.study", "proofpan.steps.rounds", "proofpan.steps.verdict", "proofpan.science.panels",
            "sqlalchemy.dialects.sqlite", "alembic.command", *(f"proofpan.web.pages.{name}.route" for name in PAGES))  # fmt: skip


def fork_server(where: str, port: int) -> ForkServerProcess:
    """The server, answering.

    Raises: RuntimeError when it ended or says nothing within the start limit.
    """
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    forks = multiprocessing.get_context("forkserver")
    forks.set_forkserver_preload(list(IMPORTED))
    server = forks.Process(target=_serve, args=(where, port), daemon=True)
    server.start()
    latest = time.monotonic() + STARTS_WITHIN_S
    while time.monotonic() < latest and server.is_alive():
        if answers(port):
            return server
        time.sleep(0.02)
    ended = server.exitcode
    kill(server)
    raise RuntimeError(f"the server at port {port} {f'ended with {ended}' if ended is not None else f'said nothing for {STARTS_WITHIN_S} s'}")


def kill(server: ForkServerProcess) -> None:
    """SIGKILL, and wait until the system has cleared it away."""
    with suppress(ProcessLookupError):
        os.kill(server.pid or 0, signal.SIGKILL) if server.pid else None
    server.join(10)


def _serve(where: str, port: int) -> None:
    import uvicorn

    from proofpan.web import serving

    sys.stderr = open(os.devnull, "w")  # noqa: SIM115 - for the life of the process
    os.environ.update({serving.NOTEBOOK: where, serving.SECRET: SECRET})
    uvicorn.run(serving.worker, factory=True, port=port, log_level="error", access_log=False)


def answers(port: int) -> bool:
    """Whether a server answers there."""
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=2) as line:
            line.sendall(b"GET /favicon.ico HTTP/1.0\r\n\r\n")
            return line.recv(12).startswith(b"HTTP/1.")
    except OSError:
        return False


def free_port() -> int:
    """A port that nobody has, below those that outgoing connections are given.

    One that knocks at a port of that range while nobody listens can be given the same port, and reach itself.
    """
    for port in range(8530, 8560):
        with socket.socket() as tried:
            tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            with suppress(OSError):
                tried.bind(("127.0.0.1", port))
                return port
    raise RuntimeError("ports 8530 to 8559 are all taken")
