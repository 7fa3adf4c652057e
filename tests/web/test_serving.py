"""Starting: the link is printed, loopback unless the kitchen asks, and a taken port said at once."""

import socket

import pytest

from proofpan.web import serving


class AtOnce:
    """A thread whose work is done before `start` returns."""

    def __init__(self, target, args=(), **_):
        self.start = lambda: target(*args)


@pytest.fixture
def started(monkeypatch, tmp_path):
    """What `serve` would have run, and what it said."""
    import uvicorn

    ran, said = {}, []
    monkeypatch.setattr(uvicorn, "run", lambda *args, **more: ran.update(more, app=args[0]))
    monkeypatch.setenv("PROOFPAN_WEB_SECRET", "")
    monkeypatch.setattr(serving, "_once_listening", lambda port, then: then())
    monkeypatch.setattr(serving.threading, "Thread", AtOnce)
    return lambda **more: (serving.serve(notebook=str(tmp_path / "n.sqlite"), port=free_port(), say=said.append, **more), ran, said)[1:]


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return s.getsockname()[1]


def test_alone_it_binds_to_this_machine_and_prints_the_secret_link(started):
    ran, said = started()
    assert ran["host"] == "127.0.0.1"
    assert any("/in/" in line for line in said) and any("Only this machine" in line for line in said)


def test_with_the_kitchen_it_says_what_it_exposes(started):
    ran, said = started(kitchen=True)
    assert ran["host"] == "0.0.0.0"
    assert any("Anyone on this network" in line for line in said) and any("/t." in line for line in said)


def test_several_workers_share_one_secret(started, tmp_path):
    import os

    ran, said = started(workers=3)
    assert ran["workers"] == 3 and ran["factory"] is True
    link = next(line for line in said if "/in/" in line).rsplit("/", 1)[1]
    from starlette.testclient import TestClient

    answers = [TestClient(serving.worker()).get(f"/in/{link}", follow_redirects=False) for _ in range(2)]
    assert [a.status_code for a in answers] == [303, 303] and os.environ["PROOFPAN_WEB_SECRET"]


def test_a_taken_port_is_said_before_anything_is_printed(tmp_path):
    said = []
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        held.listen()
        with pytest.raises(OSError):
            serving.serve(notebook=str(tmp_path / "n.sqlite"), port=held.getsockname()[1], say=said.append)
    assert not any("/in/" in line for line in said)
