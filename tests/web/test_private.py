"""What tasters don't eat is kept apart: it goes into no file, comes back in one's own notebook, and goes for good when asked."""

import pytest

from proofpan.notebook.shelf import keep_study, kept_apart, read_study
from proofpan.study.study import Study

from .conftest import crackers, planned

TEXT = """# ours, with a remark
title: Dip
tasters: [{name: Ada, no: [sesame]}, Bo]   # two of us
attributes: [{name: snap}]
factors: [{name: fat, options: [{name: lard}, {name: tahini, contains: [sesame]}]}]
rounds: {plates: 2}
"""


def everything(book):
    return b"".join(p.read_bytes() for p in book.place.file.parent.rglob("*") if p.is_file())


@pytest.fixture
def dip(kitchen):
    return keep_study(kitchen.book, Study.from_text(TEXT), text=TEXT).id


def test_a_no_list_stands_beside_the_text_and_is_heeded(kitchen, dip):
    text = kitchen.book.document(dip).text
    assert "no:" not in text and "a remark" in text and "two of us" in text
    assert kept_apart(kitchen.book, dip)["Ada"] == ("sesame",)
    assert read_study(kitchen.book, dip).brief.tasters[0].no == ("sesame",)


def test_no_file_that_goes_out_holds_it(kitchen, lead, dip, tmp_path):
    assert "no:" not in lead.client.get(f"/study/{dip}/study.yaml").text
    planned(lead, f"/study/{dip}")
    text = lead.client.get(f"/study/{dip}/study.yaml").text
    assert "no:" not in text and "don't eat" not in text and "record" in text
    kitchen.book.export_all(tmp_path / "out")
    assert not [p for p in (tmp_path / "out").rglob("*") if p.is_file() and b"no: [sesame]" in p.read_bytes()]


def test_a_plate_stays_withheld_after_the_brief_is_changed_and_undone(kitchen, lead, dip):
    lead.post(f"/study/{dip}/brief", what="about", title="Dip", question="Which?")
    lead.post(f"/study/{dip}/undo")
    assert read_study(kitchen.book, dip).brief.tasters[0].no == ("sesame",)
    planned(lead, f"/study/{dip}")
    round_ = read_study(kitchen.book, dip).rounds[-1]
    tahini = {t.trial for t in round_.trials if t.version["fat"] == "tahini"}
    assert tahini and not {round_.plate("Ada", c).trial for c in round_.orders["Ada"]} & tahini


def test_a_file_that_went_out_and_comes_back_finds_the_no_list_again(kitchen, lead, dip):
    text = lead.client.get(f"/study/{dip}/study.yaml").text
    again = keep_study(kitchen.book, Study.from_text(text), text=text).id
    assert again != dip and read_study(kitchen.book, again).brief.tasters[0].no == ("sesame",)


def test_a_list_that_is_cleared_on_the_page_is_cleared(kitchen, lead, dip):
    given = {"trays": "0", "loads": "1", "at_most": "3", "passes": "1", "plates": "2", "tasters": "Ada, Bo", "no-Ada": ""}
    lead.post(f"/study/{dip}/brief", what="kitchen", **given)
    assert read_study(kitchen.book, dip).brief.tasters[0].no == ()
    assert lead.get(f"/study/{dip}/brief").text.count("sesame") == lead.get(f"/study/{dip}/brief").text.count("contains sesame")


def test_an_older_notebook_whose_text_holds_it_is_heeded_stripped_on_the_way_out_and_cleaned_when_asked(kitchen, lead):
    made = kitchen.book.create("Dip", TEXT).id  # as it was kept before
    assert read_study(kitchen.book, made).brief.tasters[0].no == ("sesame",)
    assert "no:" not in lead.client.get(f"/study/{made}/study.yaml").text
    kitchen.book.remove_person(made, "Ada")
    assert "no:" not in kitchen.book.document(made).text


def test_tasters_are_numbers_in_the_csv(kitchen, lead):
    from .conftest import codes_of, marks, opened

    study = crackers(lead)
    planned(lead, study)
    ada = kitchen.stranger()
    address = opened(lead, study)["Ada"]
    ada.client.post(address + "/marks", json={"code": codes_of(ada.get(address))[0], **marks()})
    csv = lead.client.get(f"{study}/ballots.csv").text
    assert "taster 1" in csv and "Ada" not in csv
