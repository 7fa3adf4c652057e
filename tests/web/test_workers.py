"""Servers as processes: killed in the middle of marks, and several workers on one PostgreSQL."""

import asyncio
import json
import signal

import pytest
from bench.killed import fork_server, free_port, kill
from bench.pages import counted, open_loop, prepared, start, stop, through_kills
from bench.phones import Phone

from proofpan.notebook import Notebook

from ..notebook.server import postgres_server, programs


def test_a_server_killed_while_marks_come_loses_and_doubles_none(tmp_path):
    where, port = str(tmp_path / "notebook.sqlite"), free_port()
    table = prepared(where, 20, 3, "Load")
    running = [fork_server(where, port)]

    def begin():
        running[0] = fork_server(where, port)

    try:
        took, broken_off = asyncio.run(through_kills(table, port, lambda: kill(running[0]), begin, 6))
    finally:
        kill(running[0])
    assert len(took) == 60
    assert broken_off > 0  # a kill that comes when nobody asks shows nothing
    assert counted(where, table) == (240, 0, 0)


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
