"""Every door is tried: by a stranger, with another session's form, under a name that isn't ours, from another site's page."""

import re

import pytest

from proofpan.web.access import COOKIE, link_word
from proofpan.web.headers import LARGEST_FILE, LARGEST_FORM, NAMES, is_ours, largest

from .conftest import SECRET, codes_of, crackers, marks, opened, planned

# what a taster, a tester or anybody may open: nothing of the kitchen's is reached from there but by words of their own
OPEN = re.compile(r"/(t|x)(/|$)|/in/|/favicon\.ico|/pages/|/static")


def doors(app):
    """(method, path with something in every gap) of every route."""
    found = []

    def walk(routes, before=""):
        for route in routes:
            inner = getattr(route, "original_router", None) or getattr(route, "app", None)
            if getattr(route, "methods", None):
                found.extend((method, re.sub(r"\{[^}]+\}", "x", before + route.path)) for method in route.methods - {"HEAD"})
            elif hasattr(inner, "routes"):
                walk(inner.routes, before + getattr(route, "path", ""))

    walk(app.routes)
    return sorted(set(found))


def test_the_walk_sees_the_doors(kitchen):
    seen = doors(kitchen.app)
    assert len(seen) > 100 and {("POST", "/backup"), ("GET", "/study/x/verdict"), ("POST", "/study/x/tasting"), ("POST", "/t/x/marks")} <= set(seen)


def test_a_stranger_opens_no_door_of_the_kitchens(kitchen):
    stranger = kitchen.stranger()
    for method, path in doors(kitchen.app):
        if not OPEN.match(path):
            answer = stranger.client.request(method, path, follow_redirects=False)
            assert answer.status_code == 403, (method, path, answer.status_code)


def test_no_form_is_taken_with_another_sessions_token(kitchen, lead):
    study = crackers(lead).split("/")[-1]
    planned(lead, f"/study/{study}")
    before = _content(kitchen)
    other = kitchen.lead()  # another session of the same lead
    for method, path in doors(kitchen.app):
        if method != "GET" and not OPEN.match(path):
            for token in ("", other.csrf):
                answer = lead.client.request(method, path.replace("/study/x", f"/study/{study}"), data={"csrf": token}, follow_redirects=False)
                assert answer.status_code in (403, 422) and (answer.status_code == 403 or "csrf" in answer.text), (path, answer.status_code)
    assert _content(kitchen) == before


def _content(kitchen):
    return [(s, kitchen.book.events(s.id), kitchen.book.tastings(s.id)) for s in kitchen.book.studies(with_deleted=True)]


def test_the_session_is_for_this_host_alone_and_neither_scripts_nor_other_sites_have_it(kitchen):
    answer = kitchen.stranger().client.get(f"/in/{link_word(SECRET)}", follow_redirects=False)
    said = [p.strip().lower() for p in answer.headers["set-cookie"].split(";")]
    assert said[0].startswith(f"{COOKIE}=") and {"httponly", "samesite=strict", "path=/"} <= set(said)
    assert not any(p.startswith("domain") for p in said)  # so that no other name on the machine is sent it
    assert link_word(SECRET) not in answer.headers["set-cookie"] and SECRET not in answer.headers["set-cookie"]


@pytest.mark.parametrize(
    "host",
    ["127.0.0.1:8765", "localhost:8765", "[::1]:8765", "192.168.1.20:8765", "[fe80::1]", "tablet", "kitchen.test", "KITCHEN.LOCAL.", "nas.home.arpa", ""],
)
def test_the_pages_answer_under_addresses_and_names_that_nobody_can_own_on_the_internet(host):
    assert is_ours(host)


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example:8765", "kitchen.test.evil.example", "192.168.1.20.nip.example", "[::1", "a.b:x"])
def test_under_any_other_name_they_say_what_to_do_and_nothing_else(kitchen, lead, host):
    assert not is_ours(host)
    for person in (lead, kitchen.stranger()):
        answer = person.client.get("/t", headers={"host": host})
        assert answer.status_code == 421 and NAMES in answer.text and "Ballot" not in answer.text


def test_a_kitchen_with_a_name_of_its_own_gives_it_at_the_start(monkeypatch):
    is_ours.cache_clear()
    monkeypatch.setenv(NAMES, "tablet.larkspur.example, other.example")
    assert is_ours("tablet.larkspur.example:8765") and not is_ours("x.tablet.larkspur.example")
    is_ours.cache_clear()


def test_another_sites_page_sends_nothing_by_a_visitors_browser(kitchen, lead):
    study = crackers(lead)
    planned(lead, study)
    phones = opened(lead, study)
    ada = kitchen.stranger()
    code = codes_of(ada.get(phones["Ada"]))[0]
    wrong, ours = {"origin": "http://evil.example"}, {"origin": "http://testserver"}
    body = {"code": code, **marks(6)}
    refused = [
        ada.client.post(phones["Ada"] + "/marks", json=body, headers=wrong),
        ada.client.post("/t", data={"words": "a b c"}, headers=wrong),
        lead.client.post("/quick", data={"csrf": lead.csrf}, headers=wrong),
    ]
    assert {a.status_code for a in refused} == {403} and not kitchen.book.events(study.split("/")[-1], "ballot")
    assert ada.client.post(phones["Ada"] + "/marks", json=body, headers=ours).json()["answer"] == "kept"
    assert ada.client.post(phones["Ada"] + "/marks", data=body, headers={"origin": "null"}).status_code == 200  # a ballot's form without script


def test_what_is_uploaded_never_comes_back_as_a_page(lead):
    study = crackers(lead)
    planned(lead, study)
    for name, data, kind in (
        ("a.svg", b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', "image/svg+xml"),
        ("a.html", b"<script>alert(1)</script>", "image/jpeg"),
        ("../../a.jpg", b"GIF89a<script>", "image/gif"),
    ):
        page = lead.post(f"{study}/photograph", trial="1", files={"photograph": (name, data, kind)})
        assert "<script>alert" not in page.text
    assert not [e for e in lead.client.app.state.kitchen.book.files()]


def test_a_body_pressed_together_is_not_unpacked(kitchen, lead):
    import gzip

    body = gzip.compress(b"csrf=x&" + b"a" * 50_000_000)
    assert len(body) < 100_000
    answer = lead.client.post("/quick", content=body, headers={"content-encoding": "gzip", "content-type": "application/x-www-form-urlencoded"})
    assert answer.status_code == 403 and not kitchen.book.studies()


WITH_FILES = ["/study/x/reading", "/study/x/oven", "/study/x/trial/1/photograph", "/study/x/cross-tests/answers", "/import", "/notes", "/x/a/b"]


@pytest.mark.parametrize("path", WITH_FILES)
def test_every_form_with_a_file_takes_a_phones_photograph(path):
    assert largest(path) >= LARGEST_FILE


def test_several_files_at_once_are_taken_where_the_page_says_so(lead):
    study = crackers(lead)
    planned(lead, study)
    page = lead.get(f"{study}/readings").text
    together = int(re.search(r'data-all="(\d+)"', page).group(1))
    assert largest(f"{study}/reading") > together > LARGEST_FILE
    assert largest("/study/x/brief") == largest("/t/a/marks") == LARGEST_FORM
