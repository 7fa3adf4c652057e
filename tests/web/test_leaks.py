"""Nothing that a taster's words reach tells a version: a crawl over every address, header, length and order."""

import re

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import codes_of, crackers, marks, opened, planned

SIX = "Ada, Bo, Cleo, Dov, Esme, Finn"


@pytest.fixture
def table(kitchen, lead):
    """Six tasters (one can't have milk), a tasting open, and the study behind it."""
    study = crackers(lead)
    lead.post(
        f"{study}/brief",
        what="kitchen",
        country="AU",
        trays="2",
        places="2",
        loads="2",
        at_most="3",
        passes="1",
        tasters=SIX,
        **{"no-Cleo": "milk"},
    )
    planned(lead, study)
    return read_study(kitchen.book, study.split("/")[-1]), opened(lead, study)


def crawl(person, start: str) -> dict[str, object]:
    """Every address that can be reached from a page by its links, scripts, styles and forms."""
    seen, waiting = {}, [start]
    while waiting:
        path = waiting.pop()
        if path in seen or not path.startswith("/"):
            continue
        answer = person.client.get(path)
        seen[path] = answer
        if "text" in answer.headers.get("content-type", ""):
            found = re.findall(r"""(?:href|src|action)=["']([^"'#?]+)""", answer.text) + re.findall(r"url\(\"?([^\")]+)", answer.text)
            waiting += [f if f.startswith("/") else path.rsplit("/", 1)[0] + "/" + f for f in found]
    return seen


def telling(study) -> list[str]:
    """Names that would tell: factors, options, versions, loads; what stands in the one line for all plates is told to everyone alike."""
    told = "milk sesame gluten cereals"
    names = [f.name for f in study.factors] + [o.name for f in study.factors for o in f.options]
    names += [str(t.version) for t in study.rounds[-1].trials] + [study.question, "Load 1", "load"]
    return [n for n in names if n not in told and n not in ("none",)]


def without_letters_around(word: str) -> re.Pattern:
    return re.compile(rf"(?<![\w-]){re.escape(word)}(?![\w-])", re.I)


def test_the_crawl_finds_no_option_factor_version_or_load(kitchen, table):
    study, phones = table
    own = {"/static/tokens.css", "/static/base.css", "/pages/ballot.css", "/pages/ballot.js", "/static/js/line.js", "/static/plate.svg"}
    for address in phones.values():
        for path, answer in crawl(kitchen.stranger(), address).items():
            if path in own or "/fonts/" in path:
                continue  # the same for everyone and every study: checked below
            said = answer.text + str(dict(answer.headers)) + path
            for name in telling(study):
                if name in ("170", "190"):
                    continue  # a bare number: could be a code; the codes' own order is checked below
                assert not without_letters_around(name).search(said.replace(study.brief.base.title, "")), (path, name)


def test_the_crawl_would_find_a_leak_if_there_were_one(kitchen, table):
    study, phones = table
    assert any(without_letters_around(n).search("code 417: olive oil, 30 min") for n in telling(study))


def test_files_that_all_tasters_load_are_the_same_bytes_for_each(kitchen, table):
    _, phones = table
    seen = [{p: a.content for p, a in crawl(kitchen.stranger(), a).items() if not p.startswith("/t/")} for a in phones.values()]
    assert all(s == seen[0] for s in seen) and len(seen[0]) >= 6


def test_no_page_of_the_kitchen_is_reached_by_a_tasters_words(kitchen, table):
    study, phones = table
    person = kitchen.stranger()
    person.get(phones["Ada"])
    for path in ("/", "/study/seeded-oat-crackers/codes", "/study/seeded-oat-crackers/tasting", "/study/seeded-oat-crackers/study.yaml"):
        assert person.client.get(path).status_code == 403
    assert not person.client.cookies


def test_all_ballots_have_the_same_length_whatever_the_plate(kitchen, table):
    _, phones = table
    lengths = set()
    for address in phones.values():
        person = kitchen.stranger()
        page = person.client.get(address)
        lengths.add(len(page.content))
        for code in re.search(r'data-codes="([^"]*)"', page.text).group(1).split()[:3]:
            person.client.post(address + "/marks", json={"code": code, **marks()})
            lengths.add(len(person.client.get(address).content))
    assert len(lengths) == 1


def test_acknowledgements_have_the_same_length_and_headers_whatever_the_plate(kitchen, table):
    _, phones = table
    shapes = set()
    for address in phones.values():
        person = kitchen.stranger()
        for code in codes_of(person.get(address)):
            answer = person.client.post(address + "/marks", json={"code": code, **marks()})
            shapes.add((len(answer.content), tuple(sorted((k, v) for k, v in answer.headers.items() if k != "date"))))
    assert len(shapes) == 1


def test_codes_differ_from_taster_to_taster_so_that_no_code_maps_to_a_version(table):
    study, _ = table
    codes = [p.code for p in study.rounds[-1].plates]
    assert len(codes) == len(set(codes))


def test_pages_of_two_tasters_differ_in_nothing_but_name_words_and_codes(kitchen, table):
    _, phones = table
    bare = set()
    for name in ("Ada", "Bo", "Dov"):
        text = kitchen.stranger().get(phones[name]).text
        text = re.sub(r"\b\d{3}\b", "###", text).replace(phones[name], "/t/#").replace(name, "#")
        bare.add(re.sub(r"\s+", " ", text))
    assert len(bare) == 1


def test_the_dish_is_not_named_when_its_name_would_tell(kitchen, lead):
    page = lead.post("/quick", option=["salted", "not salted"], who="2", names="Ada, Bo", mode="marks", turns="1", dont_eat="")
    study = page.url.removesuffix("/codes")
    for address in opened(lead, study).values():
        assert "salted" not in kitchen.stranger().get(address).text


def test_the_ballots_own_words_are_as_the_house_says_them_and_the_same_for_everyone(kitchen, lead):
    text = """title: Salsa
kitchen: {country: US, style: {name: ours, words: [[serve, plate up], [plates, dishes], [heat, warmth]]}}
tasters: [Ada, Bo]
attributes: [{name: heat}, {name: lime}]
factors: [{name: herb, options: [{name: a}, {name: b}]}]
rounds: {plates: 2}
"""
    study = lead.post("/import", files={"file": ("s.yaml", text.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    lead.post(f"{study}/rounds", what="plan", seed="1")
    phones = opened(lead, study)
    pages = [kitchen.stranger().get(a) for a in phones.values()]
    for page in pages:
        assert "how much would you want to plate up it?" in page.text and "what is in the dishes" in page.text
        assert "Heat?" in page.text  # typed in the brief: it stays
    assert len({tuple(p.all(r'id="before">(.*?)</p>')) for p in pages}) == 1
    assert len({len(p.text) for p in pages}) == 1
