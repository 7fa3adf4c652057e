"""Servers as processes: killed in the middle of marks, and several workers on one PostgreSQL."""

import asyncio
import json
import signal

import pytest
from bench.pages import counted, free_port, open_loop, prepared, start, stop
from bench.phones import Phone

from proofpan.notebook import Notebook

from ..notebook.server import postgres_server, programs


def play(where, table, *, workers=1, kills=0, seconds=2.0):
    """Everybody marks every plate while the server is killed so many times: how many were acknowledged."""
    port = free_port()
    server = [start(where, port, workers)]

    def kill():
        stop(server[0], signal.SIGKILL)
        server[0] = start(where, port, workers)

    try:
        return len(asyncio.run(open_loop(table, port, seconds, kill, kills)))
    finally:
        stop(server[0], signal.SIGKILL)


def test_a_server_killed_while_marks_come_loses_and_doubles_none(tmp_path):
    where = str(tmp_path / "notebook.sqlite")
    table = prepared(where, 10, 3, "Load")
    assert play(where, table, kills=2) == 30
    assert counted(where, table) == (120, 0, 0)


@pytest.fixture(scope="module")
def server():
    if programs() is None:
        pytest.skip("PostgreSQL isn't installed")
    with postgres_server() as address:
        yield address.format(name="postgres")


@pytest.mark.postgres
def test_two_workers_on_postgresql_keep_every_mark_once(server, tmp_path, monkeypatch):
    monkeypatch.setenv("PROOFPAN_MEDIA", str(tmp_path / "media"))
    table = prepared(server, 12, 3, "Load")
    port = free_port()
    running = start(server, port, 2)
    try:
        assert len(asyncio.run(open_loop(table, port, 1.0))) == 36
        assert counted(server, table) == (144, 0, 0)
        token, codes = next(iter(table.values()))
        # each call by a connection of its own, so that now one worker and now the other answers
        again = [asyncio.run(_once(port, token, {"code": codes[0], "m0": 6, "m1": "5", "m2": "7", "m3": "4", "at": "2026-11-25T12:00"})) for _ in range(4)]
        other = asyncio.run(_once(port, token, {"code": codes[0], "m0": 1, "m1": "5", "m2": "7", "m3": "4", "at": "2026-11-25T12:00"}))
        assert (again, other) == ([(200, "kept")] * 4, (200, "first"))
        name, taster = next(iter(table)).split("/")
        with Notebook.open(server) as book:
            fresh = book.admit(name, 1, taster)
            said = [asyncio.run(_once(port, token, {"code": codes[0], "m0": 6, "m1": "5", "m2": "7", "m3": "4"})) for _ in range(4)]
            assert {status for status, _ in said} == {404}  # both workers remembered the old words, neither takes them any more
            book.close_tasting(name, 1)
        assert asyncio.run(_once(port, fresh, {"code": codes[1], "m0": 9, "m1": "5", "m2": "7", "m3": "4"}))[0] in (200, 410)
        assert counted(server, table) == (144, 0, 0)
    finally:
        stop(running, signal.SIGKILL)


async def _once(port, token, body):
    phone = Phone(port, token)
    status, said = await phone.say("POST", f"/t/{token}/marks", json.dumps(body).encode())
    phone.hang_up()
    return status, json.loads(said)["answer"]
