"""A taster left out for good: every page, file and figure is then that of never having asked them, and their name is nowhere."""

import re

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import Kitchen, codes_of, marks, opened, planned

NAME = "Zebedee"
TEXT = f"""title: Dip
tasters: [Ada, {NAME}, Cleo]   # three of us
attributes: [{{name: snap}}, {{name: flavour}}]
factors: [{{name: fat, options: [{{name: lard}}, {{name: tahini, contains: [sesame]}}]}}]
rounds: {{plates: 2}}
"""
PAGES = ("verdict", "tasting", "how-we-tested", "rounds", "paper", "brief", "recipe", "readings", "codes", "cook", "day", "editions")
FILES = ("study.yaml", "study.yaml?names=agreed", "ballots.csv")


def everything(book):
    return b"".join(p.read_bytes() for p in book.place.file.parent.rglob("*") if p.is_file())


def tasted(folder, asked: bool, kind: str = ""):
    """A tasting of three, of whom one is left out afterwards; they had marked, or nobody had ever handed them a plate."""
    kitchen = Kitchen(folder)
    lead = kitchen.lead()
    study = lead.post("/import", files={"file": ("dip.yaml", TEXT.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    planned(lead, study)
    if kind:
        assert lead.post(f"{study}/tasting", what="lay", kind=kind).status == 200
    phones = opened(lead, study)
    for value, who in enumerate(("Ada", NAME, "Cleo")):
        if who == NAME and not asked:
            continue
        person = kitchen.stranger()
        codes = codes_of(person.get(phones[who]))
        for code in codes:
            body = {"m0": str(3 + value)} if kind else marks(3 + value, lines=3)
            assert person.client.post(f"{phones[who]}/marks", json={"code": code, **body, "words": f"said by {who}"}).status_code == 200
        person.client.post(f"{phones[who]}/choice", json={"choice": "" if kind else codes[0], "quote": "1"})
    if asked:
        kitchen.book.keep_person(study.split("/")[-1], NAME, {"no": ["peanut"], "contact": "by post"})
    lead.post(f"{study}/tasting", what="close")
    assert lead.post(f"{study}/tasting", what="forget", taster=NAME).status == 200
    return kitchen, lead, study


def as_read(lead, path: str) -> str:
    """A page without what differs between any two readings of it: codes and once-only words."""
    return re.sub(r'\b\d{3}\b|name="(?:csrf|once)" value="\w+"', "#", lead.client.get(path).text)


@pytest.mark.parametrize("kind", ["", "liking"])
def test_every_page_and_file_is_that_of_never_having_asked_them(tmp_path, kind, monkeypatch):
    monkeypatch.setattr("proofpan.web.pages.tasting.route.secrets.randbelow", lambda most: 7)  # the same orders in both kitchens
    for folder in ("asked", "never"):
        (tmp_path / folder).mkdir()
    asked, lead, study = tasted(tmp_path / "asked", True, kind)
    never, other, there = tasted(tmp_path / "never", False, kind)
    for path in (*PAGES, *FILES):
        here = as_read(lead, f"{study}/{path}")
        assert here == as_read(other, f"{there}/{path}"), path
        assert NAME not in here, path
    for kitchen in (asked, never):
        kitchen.book.close()


def test_their_name_marks_and_words_are_in_no_file_of_the_notebook_and_undo_brings_nothing_back(tmp_path):
    kitchen, lead, study = tasted(tmp_path, True)
    name = study.split("/")[-1]
    assert NAME.encode() not in everything(kitchen.book) and b"said by Ada" in everything(kitchen.book)
    assert not [e for e in kitchen.book.events(name) if NAME in str(e)]
    for _ in range(3):
        lead.post(f"{study}/undo")
    assert read_study(kitchen.book, name).tasters == ("Ada", "Cleo")
    assert NAME not in lead.client.get(f"{study}/brief").text
    kitchen.book.close()


def test_somebody_of_the_same_name_may_come_later_and_starts_with_nothing(tmp_path):
    kitchen, lead, study = tasted(tmp_path, True)
    lead.post(f"{study}/tasting", what="lay", kind="liking")
    opened(lead, study)
    page = lead.post(f"{study}/tasting", what="late", taster=NAME)
    address = "/t/" + page.all(r'class="codeword">([a-z ]+)<')[-1].replace(" ", "-")
    ballot = kitchen.stranger().get(address)
    assert len(codes_of(ballot)) == 2 and not ballot.all(r'data-kept="\s*(\d[^"]*)"')
    kitchen.book.close()


def test_what_stays_of_them_is_said_where_they_are_removed(tmp_path):
    kitchen = Kitchen(tmp_path)
    lead = kitchen.lead()
    text = TEXT + f"kitchen: {{people: [Ada, {NAME}]}}\n"
    study = lead.post("/import", files={"file": ("dip.yaml", text.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    planned(lead, study)
    opened(lead, study)
    page = lead.get(f"{study}/tasting").text
    assert "What stays: backups, exported files and printed papers made before" in page and "among the people of the kitchen, if they cook" in page
    lead.post(f"{study}/tasting", what="forget", taster=NAME)
    left = read_study(kitchen.book, study.split("/")[-1])
    assert left.tasters == ("Ada", "Cleo") and left.brief.kitchen.people == ("Ada", NAME)  # who cooks still cooks, as the page said
    kitchen.book.close()


def test_another_server_on_the_same_notebook_forgets_them_too(tmp_path):
    kitchen = Kitchen(tmp_path)
    lead = kitchen.lead()
    study = lead.post("/import", files={"file": ("dip.yaml", TEXT.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    planned(lead, study)
    phones = opened(lead, study)
    other = Kitchen(tmp_path, where=str(tmp_path / "notebook.sqlite"))
    there = other.lead()
    person = other.stranger()
    for code in codes_of(person.get(phones[NAME])):
        assert person.client.post(f"{phones[NAME]}/marks", json={"code": code, **marks(lines=3), "words": f"said by {NAME}"}).status_code == 200
    for path in (*PAGES, "tasting/board"):
        there.get(f"{study}/{path}")  # all of it is in this server's memory
    assert NAME in there.get(f"{study}/tasting/board").text
    assert lead.post(f"{study}/tasting", what="forget", taster=NAME).status == 200
    for path in (*PAGES, *FILES, "tasting/board"):
        assert NAME not in there.client.get(f"{study}/{path}").text, path
    assert person.client.get(phones[NAME]).status_code == 404
    assert person.client.post(f"{phones[NAME]}/marks", json={"code": "111", **marks(lines=3)}).status_code == 404
    assert person.client.post(f"{phones[NAME]}/here", json={"place": 1}).status_code == 404
    page = lead.post(f"{study}/tasting", what="late", taster=NAME)  # somebody else of that name
    address = "/t/" + page.all(r'class="codeword">([a-z ]+)<')[-1].replace(" ", "-")
    for server in (kitchen, other):
        ballot = server.stranger().get(address)
        assert len(codes_of(ballot)) == 2 and not ballot.all(r'data-kept="\s*(\d[^"]*)"')
    there.post(f"{study}/tasting", what="close")
    assert f"said by {NAME}" not in there.get(f"{study}/tasting").text
    for one in (other, kitchen):
        one.book.close()


def test_the_last_taster_cannot_be_left_out(kitchen, lead):
    text = TEXT.replace(f"[Ada, {NAME}, Cleo]", "[Ada]")
    study = lead.post("/import", files={"file": ("dip.yaml", text.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    planned(lead, study)
    page = lead.post(f"{study}/tasting", what="forget", taster="Ada")
    assert page.status == 422 and "needs one taster" in page.wrong


def test_a_taster_dropped_in_the_brief_is_counted_nowhere_and_comes_back_with_undo(tmp_path):
    kitchen = Kitchen(tmp_path)
    lead = kitchen.lead()
    study = lead.post("/import", files={"file": ("dip.yaml", TEXT.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    planned(lead, study)
    phones = opened(lead, study)
    for who, address in phones.items():
        person = kitchen.stranger()
        for code in codes_of(person.get(address)):
            person.client.post(f"{address}/marks", json={"code": code, **marks(lines=3), "words": f"said by {who}"})
    lead.post(f"{study}/tasting", what="close")
    given = {"trays": "0", "loads": "1", "at_most": "3", "passes": "1", "plates": "2", "tasters": "Ada, Cleo"}
    lead.post(f"{study}/brief", what="kitchen", **given)
    assert "Ada and Cleo tasted 4 plates" in lead.get(f"{study}/verdict").text
    assert "Closed: 4 ballots from 2 tasters" in lead.get(f"{study}/tasting").text
    assert f"said by {NAME}" not in lead.get(f"{study}/tasting").text and NAME not in lead.get(f"{study}/paper").text
    lead.post(f"{study}/undo")
    assert "tasted 6 plates" in lead.get(f"{study}/verdict").text
    kitchen.book.close()
