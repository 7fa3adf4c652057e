"""What tasters don't eat is kept apart: it goes into no file, comes back in one's own notebook, and goes for good when asked."""

import pytest

from proofpan.notebook.shelf import keep_study, kept_apart, read_study
from proofpan.study.labelled import taster_labels, text_with_labels
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


def test_names_go_out_only_when_they_agreed_and_all_else_is_to_the_byte(kitchen, lead, dip):
    text = lead.client.get(f"/study/{dip}/study.yaml").text
    with_names = lead.client.get(f"/study/{dip}/study.yaml?names=agreed").text
    assert "Ada" not in text and "Bo" not in text
    assert text == with_names.replace("Ada", "Taster 1").replace("Bo", "Taster 2") and "# two of us" in text
    planned(lead, f"/study/{dip}")
    recorded = lead.client.get(f"/study/{dip}/study.yaml").text
    assert "taster: Taster 2" in recorded and "Ada" not in recorded and "Bo" not in recorded
    labelled = Study.from_text(recorded)
    assert labelled.tasters == ("Taster 1", "Taster 2") and set(labelled.rounds[0].orders) == {"Taster 1", "Taster 2"}
    page = lead.post("/import", files={"file": ("dip.yaml", recorded.encode(), "application/yaml")})
    assert page.status == 200 and kept_apart(kitchen.book, page.url.split("/")[2])["Taster 1"] == ("sesame",)


@pytest.mark.parametrize("tasters", ["""["Ada", 'Bo']""", "\n  - Ada\n  - name: Bo", "[Bo, Ada]", "[Taster 2, Ada]"])
def test_labels_stand_for_names_however_they_are_written_and_nowhere_else(tasters):
    text = f"""title: Ada's dip
tasters: {tasters}
attributes: [{{name: snap}}]
kitchen: {{people: [Ada, cook], skills: ['Ada: frying']}}
factors: [{{name: Bo, options: [{{name: Ada}}, {{name: x}}]}}]
"""
    study = Study.from_text(text)
    out = text_with_labels(text, taster_labels(study))
    after = Study.from_text(out)
    assert after.tasters == ("Taster 1", "Taster 2") and after.title == "Ada's dip" and after.factors == study.factors
    assert "Ada" not in str(after.brief.kitchen.people) + str(after.brief.kitchen.skills)


def test_people_of_an_invented_study_are_nobody_and_keep_their_names(lead):
    study = crackers(lead)
    assert "tasters: [Ada, Bo]" in lead.client.get(f"{study}/study.yaml").text


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
