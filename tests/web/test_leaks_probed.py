"""A taster who tries: every address that might be there, every way of asking, what comes back to the byte, and what codes and orders could tell."""

import base64
import codecs
import hashlib
import re
from collections import defaultdict
from urllib.parse import quote

import numpy as np
import pytest

import proofpan as pp
from proofpan.web.seats import failed_trials

from .conftest import Kitchen, codes_of, marks, opened
from .test_leaks import SIX, telling
from .test_sittings import answered, held, laid, set_up

STUDY = "/study/seeded-oat-crackers"
MAY = {"content-type", "content-length", "content-security-policy", "x-content-type-options", "referrer-policy", "x-frame-options",
       "cross-origin-resource-policy", "permissions-policy", "cache-control", "allow", "date"}  # fmt: skip
OF_FILES = {"etag", "last-modified", "accept-ranges", "content-range"}  # of a file that is the same for everyone, signed in or not
TRIED = ("{own}", "{own}/", "{own}/marks", "{own}/choice", "{own}/here", "{own}/board", "{own}/study.yaml", "{own}/../tasting", "{own}/reveal",
         "{own}?version=1", "/t", "/t/nobody-at-all", "/", "/study", STUDY, STUDY + "/tasting", STUDY + "/tasting/board", STUDY + "/papers/reveal.pdf",
         STUDY + "/papers/labels.pdf", STUDY + "/study.yaml", STUDY + "/ballots.csv", STUDY + "/paper", "/study/no-such-study", "/study/no-such-study/tasting",
         "/static/", "/static/../seats.py", "/static/%2e%2e/seats.py", "/pages/ballot.html", "/pages/../app.py", "/sw.js", "/service-worker.js",
         "/manifest.json", "/robots.txt", "/favicon.ico", "/docs", "/openapi.json", "/.git/config", "/backups", "/import", "/notebook.sqlite")  # fmt: skip


KINDS_OF_PAGES = ("", "lines", "ranking", "triangle", "difference from control")  # the other kinds have one of these pages


@pytest.fixture(params=KINDS_OF_PAGES)
def table(request, tmp_path):
    """An open tasting of each kind: (kitchen, study, the sitting or none, {taster: address})."""
    kitchen = Kitchen(tmp_path, set_up())
    lead = kitchen.lead()
    if request.param:
        laid(lead, STUDY, request.param)
    phones = opened(lead, STUDY)
    study = held(kitchen, STUDY)
    yield kitchen, study, study.sittings[-1] if request.param else None, phones
    kitchen.book.close()


def body_for(sitting, code):
    return {"code": code, **marks()} if sitting is None else answered(sitting, code)


def tried(person, own: str):
    """Every way of asking for every address that one might try."""
    client = person.client
    for path in TRIED:
        at = path.format(own=own)
        for method in ("GET", "HEAD", "OPTIONS", "PUT", "DELETE"):
            yield client.request(method, at, follow_redirects=False)
        yield client.get(at, follow_redirects=False, headers={
            "accept-encoding": "gzip, br", "range": "bytes=0-99", "if-none-match": "*", "accept": "application/json",
            "cookie": "session=1; lead=1", "x-forwarded-for": "127.0.0.1", "host": "localhost"})  # fmt: skip
        yield client.post(at, follow_redirects=False, data={"what": "close", "csrf": "x", "words": "a b c"})
    for sent in (b"[", b"{}", b'{"code": "000"}', b'{"code": null, "m0": {}}', b'{"place": "x"}', b"\xff\xfe", b"[" * 5000):
        for where in ("marks", "choice", "here"):
            yield client.post(f"{own}/{where}", content=sent, headers={"content-type": "application/json"}, follow_redirects=False)


def disguised(name: str) -> set[str]:
    """A name as it might stand in an answer without being read at a glance."""
    plain_one = name.lower()
    bare = plain_one.encode()
    out = {plain_one, plain_one[::-1], codecs.encode(plain_one, "rot13"), quote(plain_one), bare.hex(), base64.b64encode(bare).decode().rstrip("=").lower()}
    return out | {getattr(hashlib, kind)(name.encode()).hexdigest()[:12] for kind in ("md5", "sha1", "sha256")}


def secrets_of(study, taster: str) -> set[str]:
    """What no answer to this taster may hold: names that tell, however dressed, and who else tastes."""
    round_ = study.rounds[-1]
    names = {n for n in telling(study) if not n.isdigit() and len(n) > 3}
    names |= {str(t.version) for t in round_.trials} | {f"trial {t.trial}" for t in round_.trials} | {t.why for t in round_.trials if t.why}
    return {d for n in names for d in disguised(n) if len(d) > 3} | {n.lower() for n in SIX.split(", ") if n != taster}


def test_nothing_that_may_be_tried_tells_anything_and_all_tasters_are_answered_alike(table, monkeypatch):
    kitchen, study, _, phones = table
    monkeypatch.setattr(type(kitchen.app.state.kitchen.guesses), "spent", lambda self, who: False)  # else most of this would meet the limit on guesses
    shapes = defaultdict(set)
    for taster, own in [*phones.items()][:3]:  # Cleo can't have milk; a kind that needs all plates doesn't ask them
        person = kitchen.stranger()
        kept = secrets_of(study, taster)
        for n, answer in enumerate(tried(person, own)):
            said = (answer.text + " " + " ".join(f"{k}: {v}" for k, v in answer.headers.items())).lower().replace("oat crackers", "")
            said = re.sub(r"default-src [^;]*;.*?ancestors 'none'", "", said)
            found = [s for s in kept if s in said]
            found = [s for s in found if not re.fullmatch(r"[a-z]+", s) or re.search(rf"(?<![\w-]){s}(?![\w-])", said)]
            if "text/css" not in answer.headers.get("content-type", "") and "javascript" not in answer.headers.get("content-type", ""):
                assert not found, (taster, answer.request.method, answer.url, found)
            public = OF_FILES if answer.url.path == "/favicon.ico" else {"location"}
            assert set(answer.headers) <= MAY | public and "set-cookie" not in answer.headers, (answer.url, set(answer.headers) - MAY)
            assert answer.status_code < 500, (answer.request.method, answer.url)
            shapes[n].add((answer.status_code, len(answer.content), answer.headers.get("location", "").replace(own, "#")))
    assert {n: s for n, s in shapes.items() if len(s) > 1} == {}


def test_a_study_that_is_there_is_refused_just_as_one_that_is_not(table):
    kitchen, *_ = table
    person = kitchen.stranger()
    for rest in ("", "/tasting", "/study.yaml", "/papers/reveal.pdf"):
        there, nowhere = (person.client.get(f"/study/{name}{rest}", follow_redirects=False) for name in ("seeded-oat-crackers", "no-such-study-here"))
        assert (there.status_code, there.content) == (nowhere.status_code, nowhere.content)


def skeleton(text: str) -> str:
    """A page without its numbers: whoever can't have a plate ranks fewer, and that shows on the table too."""
    return re.sub(r"\s+", " ", re.sub(r"\d+", "#", text))


def test_pages_and_answers_have_one_length_and_one_shape_from_the_first_plate_to_the_last(table):
    kitchen, _, sitting, phones = table
    pages, answers, names = set(), set(), set()
    for own in phones.values():
        person = kitchen.stranger()
        for code in codes_of(person.get(own)):
            page = person.client.get(own)
            pages.add((len(page.content), page.headers["content-length"]))
            names.add(tuple(sorted(set(re.findall(r'(?:id|name|class|for)="([^"]*)"', skeleton(page.text))))))
            for where, sent in (("here", {"place": 1}), ("marks", body_for(sitting, code)), ("marks", {"code": code}), ("choice", {"choice": "000"})):
                answer = person.client.post(f"{own}/{where}", json=sent)
                answers.add((where, answer.status_code, len(answer.content), tuple(sorted(set(answer.headers) - {"date"}))))
    assert len(pages) == 1 and len(names) == 1
    assert len({length for _, _, length, _ in answers}) == 1 and len({headers for *_, headers in answers}) == 1
    assert len({(where, status) for where, status, *_ in answers}) == 4


def test_what_was_taken_back_is_told_in_an_answer_as_long_as_any(table):
    kitchen, _, sitting, phones = table
    lengths = set()
    for trial in (None, "1", "2"):
        if trial:
            kitchen.lead().post(f"{STUDY}/cook", what="sheet", trial=trial, failed="not safe to taste", once=trial)
        for own in phones.values():
            lengths.add(len(kitchen.stranger().client.post(f"{own}/here", json={"place": 1}).content))
    assert failed_trials(held(kitchen, STUDY), 1) == {1, 2} and len(lengths) == 1


def features(code: str, place: int, codes: list[str]) -> dict[str, int]:
    """What a taster can see of a plate without tasting it."""
    digits = [int(d) for d in code]
    rank = sorted(codes).index(code)
    return {"place": place, "rank": rank, "first digit": digits[0], "last digit": digits[-1], "sum": sum(digits) % 9, "odd": digits[-1] % 2}


def test_nothing_seen_of_a_code_or_its_place_goes_with_a_version():
    """Over 40 rounds of six tasters: |r| between what is seen and the version stays within 4.5 standard errors of nothing (0.15 for 960 plates)."""
    study = pp.Study.from_dict({**plain_file(), "tasters": SIX.split(", "), "rounds": {"plates": 4}})
    seen, version = defaultdict(list), []
    alike = []
    for seed in range(40):
        round_ = pp.next_round(study, seed=seed)
        which = {t.trial: n for n, t in enumerate(sorted(round_.trials, key=lambda t: str(t.version)))}
        by_place = defaultdict(set)
        for taster, codes in round_.orders.items():
            for place, code in enumerate(codes):
                trial = round_.plate(taster, code).trial
                version.append(which[trial])
                by_place[place].add(trial)
                for name, value in features(code, place, codes).items():
                    seen[name].append(value)
        alike.append(min(len(trials) for trials in by_place.values()))
    assert min(alike) >= 3  # at each place at least three of the four are served to somebody
    assert len(version) == 960
    for name, values in seen.items():
        assert abs(np.corrcoef(values, version)[0, 1]) < 0.15, name


def plain_file() -> dict:
    return {"title": "Dip", "attributes": [{"name": "snap"}], "factors": [{"name": "fat", "options": [{"name": n} for n in ("a", "b", "c", "d")]}]}


def test_a_code_is_never_given_to_the_same_version_by_a_rule():
    """The same round asked for again with another seed gives a code to other plates; with the same seed to the same."""
    study = pp.Study.from_dict({**plain_file(), "tasters": ["Ada", "Bo"], "rounds": {"plates": 4}})
    first, again, other = (pp.next_round(study, seed=s).codes for s in (1, 1, 2))
    assert first == again and len(set(first.values()) & set(other.values())) < len(first)


@pytest.mark.parametrize("kind", ["triangle", "duo-trio", "two out of five"])
def test_the_place_of_the_odd_one_among_a_set_tells_nothing(tmp_path, kind):
    """Every place holds the right answer for some taster, and no place for all."""
    kitchen = Kitchen(tmp_path, set_up())
    lead = kitchen.lead()
    laid(lead, STUDY, kind, turns="3")
    sitting = held(kitchen, STUDY).sittings[-1]
    places = [tuple(sorted(s.open_codes.index(c) for c in s.right)) for s in sitting.sets]
    numbers = [sorted(s.open_codes).index(s.right[0]) for s in sitting.sets]
    assert len(set(places)) >= 2 and max(places.count(p) for p in set(places)) < len(places)
    assert len(set(numbers)) >= 2
    kitchen.book.close()


def trials_in_order(study, sitting, taster: str, codes: list[str]) -> tuple[int, ...]:
    """Which trials stand behind codes, as they follow each other on a page."""
    plates = study.rounds[-1].plates if sitting is None else [p for s in sitting.of(taster) for p in s.plates]
    trial = {p.code: p.trial for p in plates if sitting is not None or p.taster == taster}
    return tuple(trial[c] for code in codes for c in code.split("+") if c in trial)


def test_no_list_of_codes_on_a_page_stands_in_one_order_of_trials_for_all(table):
    """Nor does a name that tells appear at any plate, the last as the first."""
    kitchen, study, sitting, phones = table
    orders = defaultdict(set)
    for taster, own in phones.items():
        person, kept = kitchen.stranger(), secrets_of(study, taster)
        for code in codes_of(person.get(own)):
            text = person.get(own).text
            lists = {"all": codes_of(person.get(own)), "every code": re.findall(r"\b\d{3}\b", text.split("<main")[1])}
            lists["to choose from"] = re.findall(r'name="(?:choice|pick)" value="(\d{3})"', text)
            for name, codes in lists.items():
                orders[name].add(trials_in_order(study, sitting, taster, codes))
            said = text.lower().replace("oat crackers", "")
            assert not [s for s in kept if s in said and re.search(rf"(?<![\w-]){re.escape(s)}(?![\w-])", said)], (taster, code)
            person.client.post(f"{own}/marks", json=body_for(sitting, code))
    for name, found in orders.items():
        whole = {o for o in found if len(set(o)) > 1}
        assert len(whole) != 1 and (not whole or any(o != tuple(sorted(o)) for o in whole)), name
