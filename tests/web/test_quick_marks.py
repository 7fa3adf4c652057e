"""Marks from phones' queues go a short way: the same answers to the byte as by the ordinary one, and the same headers."""

import json

import pytest

from proofpan.web.pages.ballot import quick

from .conftest import codes_of, crackers, marks, opened, planned


@pytest.fixture
def phones(lead):
    study = crackers(lead)
    planned(lead, study)
    return opened(lead, study)


def said(answer):
    return answer.status_code, answer.content, {n: v for n, v in answer.headers.items() if n not in ("date", "server")}


BODIES = {
    "wrong plate": {"code": "000"},
    "nothing marked": {"code": None},
    "off the scale": {"code": None, "m0": 99},
    "not a number": {"code": None, "m0": "\ud83d"},
    "a list": [1, 2],
}


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_what_is_refused_is_refused_in_the_same_words(kitchen, phones, monkeypatch, body):
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    if isinstance(body, dict):
        body = {**body, "code": body["code"] or code}
    text = json.dumps(body).encode()
    short, long = both_ways(ada, phones["Ada"], text, monkeypatch)
    assert short == long and short[0] == 422


def both_ways(person, address, text, monkeypatch):
    head = {"content-type": "application/json"}
    short = said(person.client.post(address + "/marks", content=text, headers=head))
    monkeypatch.setattr(quick, "LARGEST", -1)
    return short, said(person.client.post(address + "/marks", content=text, headers=head))


def test_what_is_kept_is_kept_once_and_answered_alike(kitchen, phones, monkeypatch):
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    text = json.dumps({"code": code, **marks(6)}).encode()
    ada.client.post(phones["Ada"] + "/marks", content=text, headers={"content-type": "application/json"})
    short, long = both_ways(ada, phones["Ada"], text, monkeypatch)
    assert short == long and short[0] == 200 and json.loads(short[1])["answer"] == "kept"
    assert "default-src 'none'" in short[2]["content-security-policy"] and short[2]["cache-control"] == "no-store"


def test_words_that_were_replaced_are_nobodys_by_the_short_way_too(kitchen, lead, phones):
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    study = next(iter(kitchen.book.studies())).id
    assert phones["Ada"].removeprefix("/t/") in kitchen.app.state.kitchen.tokens
    kitchen.book.admit(study, 1, "Ada", make_token=lambda: "plum-fern-tin")
    answer = ada.client.post(phones["Ada"] + "/marks", json={"code": code, **marks(6)})
    assert (answer.status_code, answer.json()["answer"]) == (404, "unknown")
    assert not kitchen.book.events(study, "ballot")


def test_the_short_way_takes_only_small_marks_in_json():
    def scope(path="/t/a-b-c/marks", method="POST", kind=b"application/json", long=b"90"):
        return {"type": "http", "method": method, "path": path, "headers": [(b"content-type", kind), (b"content-length", long)]}

    assert quick._token(scope()) == "a-b-c"
    for other in (
        scope(path="/t/a-b-c/choice"),
        scope(path="/x/a/marks"),
        scope(method="GET"),
        scope(kind=b"text/plain"),
        scope(long=b"20001"),
        scope(long=b""),
        {"type": "websocket"},
    ):
        assert quick._token(other) is None


def test_guesses_by_the_short_way_are_counted_too(kitchen, phones):
    ada, stranger = kitchen.stranger(), kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    kitchen.app.state.kitchen.tokens.clear()
    guesses = [stranger.client.post(f"/t/guess-{n}-word/marks", json={"code": code, **marks(6)}) for n in range(15)]
    assert {(a.status_code, a.json()["answer"]) for a in guesses} == {(404, "unknown")}
    assert kitchen.app.state.kitchen.guesses.spent("testclient")
