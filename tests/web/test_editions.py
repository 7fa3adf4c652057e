"""Editions on the pages: frozen, approved, corrected twice; copies out of date; questions, complaints, texts back, re-tests, presenting."""

import json
import re
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

import proofpan as pp
from proofpan.cli.examples import invented
from proofpan.notebook.shelf import add_ballots, add_round, add_trials, read_study

from .conftest import Kitchen, crackers, planned

WAIVED = {"waive-cross-test": "none", "waive-two good makes": "time", "waive-full size": "time", "waive-audit": "read twice"}


@cache
def published() -> bytes:
    """A notebook's file with the crackers after one round, and an edition published."""
    with TemporaryDirectory() as folder:
        kitchen = Kitchen(Path(folder))
        lead = kitchen.lead()
        path = crackers(lead)
        name = path.rsplit("/", 1)[1]
        truth = invented("seeded_oat_crackers")
        found = read_study(kitchen.book, name)
        round_ = pp.next_round(found, seed=1)
        found = add_round(kitchen.book, name, round_)
        add_trials(kitchen.book, name, truth.cook(round_, 1))
        found = add_ballots(kitchen.book, name, truth.taste(round_, found.tasters, 1))
        page = lead.post(f"{path}/publish", version=str(pp.judge(found).publish.version), **WAIVED)
        assert page.url.endswith("/editions"), page.wrong
        kitchen.book.close()
        return (Path(folder) / "notebook.sqlite").read_bytes()


@pytest.fixture
def kitchen(tmp_path):
    made = Kitchen(tmp_path, published())
    yield made
    made.book.close()


@pytest.fixture
def study():
    return "/study/seeded-oat-crackers"


def corrected(lead, study, number, **fields):
    return lead.post(f"{study}/editions/{number}/correct", why="a slip", **fields)


def test_nothing_is_final_before_somebody_approves_it(lead, study):
    assert "Nobody has approved it yet" in lead.get(f"{study}/editions/1").text
    assert json.loads(lead.get(f"{study}/editions/1/recipe.json").text)["creativeWorkStatus"] == "Draft"
    assert lead.get(f"{study}/editions/1/recipe.txt").text.startswith("DRAFT")
    assert lead.post(f"{study}/editions/1/approve", by="").status == 422
    lead.post(f"{study}/editions/1/approve", by="Łukasz, the editor")
    assert "Approved by Łukasz, the editor" in lead.get(f"{study}/editions/1").text
    assert json.loads(lead.get(f"{study}/editions/1/recipe.json").text)["creativeWorkStatus"] == "Published"
    assert "Draft" not in lead.get(f"{study}/editions/1/card.html").text


def test_an_edition_corrected_twice_keeps_its_first_date_and_the_old_ones_stand(kitchen, lead, study):
    lead.post(f"{study}/editions/1/approve", by="Ada")
    old = lead.get(f"{study}/editions/1/recipe.txt").text
    kitchen.clock.move(days=30)
    page = corrected(lead, study, 1, **{"item-fine salt": "6 g fine salt"})
    assert page.status == 200, page.wrong
    assert "6 g fine salt" in page.text and "5 g fine salt" in page.text
    kitchen.clock.move(days=30)
    page = corrected(lead, study, 2, **{"minutes-bake": "14 to 18", "safety": "yes"})
    assert page.status == 200, page.wrong
    data = json.loads(lead.get(f"{study}/editions/3/recipe.json").text)
    assert (data["datePublished"], data["dateModified"], data["version"]) == ("2026-11-25", "2027-01-24", 3)
    assert data["correction"] == "a slip"
    # the safety correction stands on the old editions wherever our own pages and papers show them
    for number in (1, 2):
        for file in ("", "/recipe.txt", "/card.html"):
            assert "Corrected for safety in edition 3" in lead.get(f"{study}/editions/{number}{file}").text
    assert "Corrected for safety in edition 3" in lead.get(f"{study}/how-we-tested").text
    assert lead.get(f"{study}/editions/1/recipe.txt").text.endswith(old)                      # frozen, but for the warning
    assert "Nobody has approved it yet" in lead.get(f"{study}/editions/3").text               # each edition is approved by itself
    assert corrected(lead, study, 2, **{"item-fine salt": "7 g fine salt"}).status == 422    # only the newest can be corrected


@pytest.mark.parametrize("fields, says", [({}, "changes nothing"), ({"minutes-bake": "soon"}, "isn’t minutes|isn&#39;t minutes"),
                                          ({"item-fine salt": "6 grumbles fine salt"}, "unit|grumbles")])
def test_a_correction_that_cant_be_made_is_said_in_a_sentence(lead, study, fields, says):
    page = corrected(lead, study, 1, **fields)
    assert page.status == 422 and any(s in page.text for s in says.split("|")), page.wrong


def test_copies_elsewhere_are_named_when_they_are_out_of_date_urgent_ones_first(lead, study):
    lead.post(f"{study}/editions/copy", where="The magazine's site", kind="web", edition="1", once="a")
    page = lead.post(f"{study}/editions/copy", where="A partner's page", kind="syndicated", house="UK", edition="1", once="b")
    assert "Edition 1 stands." in page.headline
    assert "2 copies are out of date" in corrected(lead, study, 1, **{"item-fine salt": "6 g fine salt"}).headline
    one = lead.get(f"{study}/editions").all(r'name="id" value="(\w+)"')[0]
    assert "1 copy is out of date" in lead.post(f"{study}/editions/copy", id=one, what="mended", once="c").headline
    page = corrected(lead, study, 2, **{"new-item": "1 g ground mustard seed", "safety": "yes"})
    assert "Mend first" in page.text and "Urgent: edition 3" in page.text
    gone = page.all(r'name="id" value="(\w+)"')[0]
    assert "1 copy is out of date" in lead.post(f"{study}/editions/copy", id=gone, what="gone", once="d").headline


def test_three_questions_of_a_kind_offer_a_test_and_complaints_are_sorted(lead, study):
    for i in range(3):
        page = lead.post(f"{study}/editions/question", kind="freeze", words="can I freeze them?", line="step bake", once=f"q{i}")
    assert "asked 3 times" in page.text and "Test it" in page.text and "would need a test" in page.text and "step bake" in page.text
    (offered,) = page.all(r'name="proposal" value="([^"]*)"')
    page = lead.post(f"{study}/not-that", proposal=offered, why="crackers aren't frozen", back="editions")
    assert page.url.endswith("/editions") and "Test it</a>" not in page.text and "Not that, because crackers aren" in page.text
    assert f"Undo: not that: {offered}" in page.text
    page = lead.post(f"{study}/editions/complaint", complaint="mine came out burnt", once="k")
    assert "The oven: ask for its thermometer" in page.text
    one = page.all(r'name="id" value="(\w+)"')[0]
    page = lead.post(f"{study}/editions/complaint", id=one, complaint="mine came out burnt", cause="text", once="l")
    assert "The text: mend the line" in page.text and "The oven: ask" not in page.text


def test_a_form_sent_twice_is_kept_once_and_after_going_back_with_other_words_twice(lead, study):
    for words in ("too hard", "too hard", "too pale"):
        page = lead.post(f"{study}/editions/complaint", complaint=words, once="same")
        lead.post(f"{study}/editions/question", kind="freeze", words=words, once="same")
    assert page.text.count("“too hard”") == 1 and page.text.count("“too pale”") == 1
    assert "asked 2 times" in lead.get(f"{study}/editions").text


def test_a_text_that_came_back_shows_every_change(lead, study):
    text = lead.get(f"{study}/editions/1/recipe.txt").text
    back = text.replace("5 g fine salt", "50 g fine salt").replace("110 g water", "110 mL water")
    page = lead.post(f"{study}/editions/read-back", text=back)
    assert "A number changed in ingredient fine salt" in page.text and "A unit changed in ingredient water" in page.text
    assert "Lost: “Contains" in lead.post(f"{study}/editions/read-back", text=re.sub("Contains: .*", "", text)).text
    assert "Nothing changed." in lead.post(f"{study}/editions/read-back", text=text).text


def test_a_re_test_opens_with_the_editions_version_as_control(kitchen, lead, study):
    other = lead.get(f"{study}/editions").all(r'name="version" value="([^"]+)"')[0]
    page = lead.post(f"{study}/editions/retest", version=[other], repeats="2")
    assert page.url.endswith("/cook"), page.wrong
    made = read_study(kitchen.book, study.rsplit("/", 1)[1]).rounds[-1]
    assert [t.why.startswith("Control") for t in made.trials] == [True, False, True, False]
    assert len(made.codes) == 8                                                                # two tasters, four plates each
    assert lead.post(f"{study}/editions/retest").status == 422


def test_another_flour_makes_old_trials_count_less_and_says_so(lead, study):
    page = lead.post(f"{study}/editions/changed", what="another ingredient", why="flour from another mill", since="2", weight="", once="w")
    assert "In the verdict trials before it count 50 in 100" in page.text and "not tasted since" in page.text
    assert lead.post(f"{study}/editions/changed", what="another ingredient", since="2", weight="300").status == 422
    assert lead.post(f"{study}/editions/changed", what="another ingredient", since="1", weight="10").status == 422


def test_nothing_is_presented_while_a_tasting_is_open(kitchen, lead, study):
    assert "Charts for a screen" in lead.get(f"{study}/present").text
    chart = lead.get(f"{study}/present").all(r'href="([^"]+wide\.png)"')[0]
    assert lead.client.get(chart).content[:4] == b"\x89PNG"
    planned(lead, study)
    assert lead.post(f"{study}/tasting", what="open").status == 200
    page = lead.get(f"{study}/present")
    assert page.headline == "Sealed until every ballot is in." and "You may say" not in page.text
    assert lead.get(chart).status == 422
    assert lead.client.get(f"{study}/present/sheet.pdf").content[:5] == b"%PDF-"


def test_what_was_published_is_the_same_bytes_each_time(lead, study):
    for file in ("card.pdf", "card.html", "recipe.json", "recipe.txt"):
        assert lead.client.get(f"{study}/editions/1/{file}").content == lead.client.get(f"{study}/editions/1/{file}").content
