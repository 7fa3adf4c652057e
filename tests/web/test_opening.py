"""The link is given out once someone listens behind it."""

import socket
import threading
import time

from proofpan.web.serving import _once_listening, _where_to_go


def test_the_link_waits_until_the_server_listens():
    with socket.socket() as server:
        server.bind(("127.0.0.1", 0))
        said = []
        waiting = threading.Thread(target=_once_listening, args=(server.getsockname()[1], lambda: said.append("link")), daemon=True)
        waiting.start()
        time.sleep(0.3)
        assert not said
        server.listen()
        waiting.join(timeout=10)
        assert said == ["link"]


def test_phones_are_told_where_to_go_only_when_the_kitchen_is_open():
    own, kitchen = (_where_to_go("http://127.0.0.1:1/in/w", "http://192.0.2.7:1", "w", k) for k in (False, True))
    assert not any("192.0.2.7" in line for line in own)
    assert any("http://192.0.2.7:1/t" in line and "Anyone on this network" in line for line in kitchen)


def test_a_verdict_before_any_round_leads_to_planning_one(lead):
    from .conftest import crackers, planned

    study = crackers(lead)
    assert f'<a class="btn act" href="{study}/rounds">Plan a round</a>' in lead.get(f"{study}/verdict").text
    planned(lead, study)
    assert f'<a class="btn act" href="{study}/tasting">Taste</a>' in lead.get(f"{study}/verdict").text
