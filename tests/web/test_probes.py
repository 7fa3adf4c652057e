"""Uploads that mean harm, forms from elsewhere, words at rest: tried at every door that takes them."""

import io
import struct
import wave
import zipfile
import zlib

import pytest
from PIL import Image
from starlette.testclient import TestClient

from .conftest import Person, codes_of, crackers, marks, opened, planned
from .test_doors import doors

TOLD = (b"Traceback", b"site-packages", b"/home/", b"/root/", b"/tmp/")


def png_of(wide: int, deep: int) -> bytes:
    """A picture of a few bytes that says it is huge."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", wide, deep, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


def pressed_png() -> bytes:
    """Twelve thousand by twelve thousand of one colour: 432 MB once it is unpacked."""
    out = io.BytesIO()
    Image.new("1", (12_000, 12_000)).save(out, "PNG")
    return out.getvalue()


def zip_of(name: str, data: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr(name, data)
    return out.getvalue()


def wav_of(seconds_said: int) -> bytes:
    """A recording whose header says more than there is."""
    out = io.BytesIO()
    with wave.open(out, "wb") as made:
        made.setnchannels(1)
        made.setsampwidth(2)
        made.setframerate(44_100)
        made.writeframes(b"\0\0" * 50)
    body = bytearray(out.getvalue())
    body[40:44] = struct.pack("<I", min(seconds_said * 88_200, 2**32 - 1))
    return bytes(body)


HARM = {
    "huge by its header": ("a.png", png_of(100_000, 100_000), "image/png"),
    "a picture pressed together": ("a.png", pressed_png(), "image/png"),
    "a drawing with a script": ("a.svg", b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><script>alert(1)</script></svg>', "image/svg+xml"),
    "a drawing that reads a file": ("a.svg", b'<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>', "image/png"),
    "a folder climbed by a name": ("../../../evil.png", b"\x89PNG\r\n\x1a\n", "image/png"),
    "a folder climbed in an archive": ("a.zip", zip_of("../../evil.txt", b"evil"), "application/zip"),
    "an archive pressed together": ("a.zip", zip_of("media/a", b"\0" * 60_000_000), "application/zip"),
    "a recording that says it is hours long": ("a.wav", wav_of(48_000), "audio/wav"),
    "half a phone's picture": ("a.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0\0\0\x20meta", "image/heic"),
    "nothing": ("a.png", b"", "image/png"),
    "a study that grows by its own names": ("a.yaml", b"a: &a [x,x,x,x,x,x,x,x,x]\n" + b"".join(
        b"%c: &%c [%s]\n" % (n, n, b",".join([b"*%c" % (n - 1)] * 9)) for n in range(98, 108)), "application/yaml"),
}  # fmt: skip
TAKEN_AT = {
    "/study/x/trial/1/photograph": ({}, "photograph"),
    "/study/x/reading": ({"kind": "colour", "trial": "1"}, "file"),
    "/study/x/reading ": ({"kind": "sound", "trial": "1"}, "file"),
    "/study/x/oven": ({"oven": "main", "places": "2x3"}, "photograph"),
    "/study/x/cross-tests/answers": ({"version": "fat=butter"}, "answers"),
    "/import": ({}, "file"),
    "/backups/restore": ({}, "file"),
}  # fmt: skip


@pytest.fixture
def cooked(lead):
    study = crackers(lead)
    planned(lead, study)
    return study


@pytest.mark.parametrize("harm", HARM)
def test_a_file_that_means_harm_is_refused_in_a_sentence_wherever_files_are_taken(kitchen, lead, cooked, tmp_path, harm):
    there = {p for p in tmp_path.rglob("*")}
    studies = {s.id for s in kitchen.book.studies()}
    for path, (fields, name) in TAKEN_AT.items():
        fields = {"csrf": lead.csrf, "once": path, **fields}
        answer = lead.client.post(path.strip().replace("/study/x", cooked), data=fields, files={name: HARM[harm]}, follow_redirects=False)
        assert answer.status_code in (400, 409, 413, 422), (path, answer.status_code, answer.text[:200])
        assert not [t for t in TOLD if t in answer.content], path
        assert b"<script>alert" not in answer.content and b"root:" not in answer.content
    assert {s.id for s in kitchen.book.studies()} == studies and not list(kitchen.book.files())
    new = [p for p in tmp_path.rglob("*") if p not in there and "evil" in p.name]
    assert not new and not (tmp_path.parent / "evil.png").exists() and not (tmp_path.parent / "evil.txt").exists()


def test_no_form_comes_from_another_sites_page_even_with_the_sessions_own_token(kitchen, lead, cooked):
    before = [(s, kitchen.book.events(s.id)) for s in kitchen.book.studies(with_deleted=True)]
    for method, path in doors(kitchen.app):
        if method in ("GET", "HEAD"):
            continue
        for origin in ("http://evil.example", "https://testserver.evil.example", "http://testserver:81", "file://", "http://user@testserver"):
            where = path.replace("/study/x", cooked)
            answer = lead.client.request(method, where, data={"csrf": lead.csrf}, headers={"origin": origin}, follow_redirects=False)
            assert answer.status_code == 403, (method, path, origin)
    assert [(s, kitchen.book.events(s.id)) for s in kitchen.book.studies(with_deleted=True)] == before


def test_a_kitchens_form_with_an_origin_that_says_nothing_still_needs_its_token(lead, cooked):
    answer = lead.client.post(f"{cooked}/tasting", data={"what": "open", "csrf": "no"}, headers={"origin": "null"}, follow_redirects=False)
    assert answer.status_code == 403


def test_words_and_secret_stand_nowhere_in_the_notebooks_files(kitchen, lead, cooked, tmp_path):
    words = [a.removeprefix("/t/") for a in opened(lead, cooked).values()]
    kitchen.stranger().get(f"/t/{words[0]}")
    held = b"".join(p.read_bytes() for p in tmp_path.rglob("*") if p.is_file())
    assert len(held) > 10_000
    for word in words:
        assert word.encode() not in held and word.replace("-", " ").encode() not in held
    assert b"a secret for tests" not in held and lead.csrf.encode() not in held


def test_who_guesses_is_told_nothing_more_at_any_door_and_who_sits_at_the_table_goes_on(kitchen, lead, cooked):
    own, bos = opened(lead, cooked).values()
    ada, guesser = kitchen.stranger(), Person(kitchen.app)
    guesser.client = TestClient(kitchen.app, client=("192.168.1.66", 50_000))
    code = codes_of(ada.get(own))[0]
    tried = [guesser.client.get(f"/t/{w}").status_code for w in ("a-b-c", "A-B-C", "a b c", "a,b,c") * 4]
    assert set(tried) == {404} and kitchen.app.state.kitchen.guesses.spent("192.168.1.66")
    # right words say to the guesser just what wrong ones do, whether their taster has come already or not
    for path, body in (("/marks", {"code": code, **marks()}), ("/choice", {"choice": code}), ("/here", {"place": 1})):
        said = [guesser.client.post(f"{a}{path}", json=body) for a in (own, bos, "/t/x-y-z")]
        assert {(a.status_code, a.content) for a in said} == {(404, said[-1].content)}, path
    said = [guesser.client.get(a) for a in (own, bos, "/t/x-y-z")]
    assert len({(a.status_code, a.content) for a in said}) == 1
    said = [guesser.client.post("/t", data={"words": a.removeprefix("/t/")}, follow_redirects=False) for a in (own, bos, "/t/x-y-z")]
    assert {(a.status_code, a.content) for a in said} == {(404, said[-1].content)}
    for n in range(15):  # many guess at once: the whole table's allowance is spent
        other = TestClient(kitchen.app, client=(f"192.168.2.{n}", 50_000))
        for i in range(12):
            other.get(f"/t/guess-{i}-word")
    assert kitchen.app.state.kitchen.guesses.spent("testclient")
    assert ada.get(own).status == 200 and ada.client.post(f"{own}/marks", json={"code": code, **marks()}).json()["answer"] == "kept"
