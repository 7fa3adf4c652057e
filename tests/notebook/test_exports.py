"""Open files for others: labels for names, and nothing of what tasters don't eat, how they are reached or what they wrote."""

import json
import re

import pytest

from proofpan.cli import main
from proofpan.notebook.entries import NewEvent
from proofpan.notebook.shelf import CROSS_TEST, SENT, add_ballots, add_round, add_trials, keep_study, read_study
from proofpan.steps.rounds import next_round
from proofpan.study.study import Study
from tests.kitchens import CRACKERS

PEOPLE = CRACKERS.replace("tasters: [Ada, Bo]", "tasters: [{name: Ada, no: [sesame]}, Bo]   # two of us")
SECRETS = (r"\bAda\b", r"\bBo\b", r"\bZsófia\b", r"\bInes\b", r"sesame", r"larkspur\.example", r"like cardboard", r"dog ate it", r"grainy")


@pytest.fixture
def tasted(notebook):
    """A study with names, no-lists, contacts and words in every table that can hold them."""
    name = keep_study(notebook, Study.from_text(PEOPLE), text=PEOPLE).id
    round_ = next_round(read_study(notebook, name), seed=2)
    add_round(notebook, name, round_)
    add_trials(notebook, name, [{"round": 1, "trial": t.trial, "version": str(t.version), "note": "Bo burnt his thumb"} for t in round_.trials])
    plates = [p for p in round_.plates if p.taster == "Ada"][:2]
    add_ballots(notebook, name, [{"round": 1, "taster": "Ada", "code": p.code, "attribute": "snap", "score": 6, "words": "like cardboard"} for p in plates])
    notebook.append_many(name, [
        NewEvent(kind="words", payload={"round": 1, "words": "grainy"}, key="words:1:Bo:1", person="Bo"),
        NewEvent(kind=SENT, payload={"tester": "Ines", "pack": "p1", "control": ""}, key="pack:1"),
        NewEvent(kind=CROSS_TEST, key="cross-test:1", payload={
            "version": str(round_.trials[0].version), "pack": "p1", "row": {"tester": "Ines", "worked": "yes", "out_min": "20", "note": "dog ate it"}}),
        NewEvent(kind="late taster", payload={"round": 1, "taster": "Zsófia"}, key="late:1:Zsófia"),
        NewEvent(kind="held", payload={"round": 1, "says": ["Trial 2 holds what Ada doesn't eat: ask Ada before serving."]}, key="held:1"),
    ])
    notebook.keep_person(name, "Ada", {"no": ["sesame"], "contact": "ada@larkspur.example"})
    notebook.open_tasting(name, 1, ["Ada", "Bo"])
    return name


def everything(folder):
    return {str(p.relative_to(folder)): p.read_text(encoding="utf-8") for p in sorted(folder.rglob("*")) if p.is_file()}


def test_an_export_of_all_tells_nobodys_name_words_contact_or_no_list(notebook, tasted, tmp_path):
    plain = everything(notebook.export_all(tmp_path / "plain"))
    told = [(name, secret) for name, data in plain.items() for secret in SECRETS if re.search(secret, data)]
    assert told == []
    whole = "".join(everything(notebook.export_all(tmp_path / "whole", with_people=True)).values())
    assert all(re.search(secret, whole) for secret in SECRETS)


def test_what_is_left_still_fits_together(notebook, tasted, tmp_path):
    """Every event but the private ones, in order; the labelled text reads, and its ballots name its own tasters."""
    folder = notebook.export_all(tmp_path / "out") / "studies" / tasted
    study = Study.from_text((folder / "document.yaml").read_text(encoding="utf-8"))
    assert study.tasters == ("Taster 1", "Taster 2") and "# two of us" in (folder / "document.yaml").read_text(encoding="utf-8")
    events = [json.loads(line) for line in (folder / "events.jsonl").read_text(encoding="utf-8").splitlines()]
    assert [e["id"] for e in events] == [e.id for e in notebook.events(tasted) if e.person is None]
    ballots = [e["payload"] for e in events if e["kind"] == "ballot"]
    assert {b["taster"] for b in ballots} == {"Taster 1"} and all("words" not in b and b["score"] == 6 for b in ballots)
    assert next(e["payload"]["row"] for e in events if e["kind"] == CROSS_TEST) == {"tester": "Kitchen 1", "worked": "yes", "out_min": "20"}
    assert next(e["payload"] for e in events if e["kind"] == "trial")["note"] == "Taster 2 burnt his thumb"
    seated = json.loads((folder / "tastings.jsonl").read_text(encoding="utf-8"))
    assert seated["tasters"] == ["Taster 1", "Taster 2"]


def test_a_name_that_only_an_older_revision_holds_is_not_told_either(notebook, tasted, tmp_path):
    text = notebook.document(tasted).text
    notebook.save(tasted, text.replace("Bo", "Carl"), note="Bo moved away")
    plain = everything(notebook.export_all(tmp_path / "out"))
    assert not [n for n, data in plain.items() if re.search(r"\bBo\b|\bCarl\b", data)]
    assert any("Taster 3 moved away" in data for name, data in plain.items() if name.endswith("history.jsonl"))


def test_an_invented_studys_people_keep_their_names(notebook, tmp_path):
    text = "invented: true\n" + CRACKERS
    name = keep_study(notebook, Study.from_text(text), text=text).id
    assert "Ada" in (notebook.export_all(tmp_path / "out") / "studies" / name / "document.yaml").read_text(encoding="utf-8")


def test_a_text_that_cannot_be_read_is_exported_all_the_same(notebook, tmp_path):
    for text in ("title: [", "- a list", "{", "title: x\ntasters: 4", "tasters: [1, {no: [x]}]", "\t"):
        notebook.create("Odd", text)
    out = notebook.export_all(tmp_path / "out")
    assert len(list((out / "studies").iterdir())) == 6


def test_all_are_written_by_one_command_and_its_readme_says_what_is_missing(tmp_path, capsys):
    where, study = tmp_path / "notebook.sqlite", tmp_path / "crackers.yaml"
    study.write_text(PEOPLE, encoding="utf-8")
    assert main(["import", str(study), "--notebook", str(where)]) == 0
    assert main(["export", "--all", str(tmp_path / "out"), "--notebook", str(where)]) == 0
    assert "1 study written to" in capsys.readouterr().out
    said = (tmp_path / "out" / "README.txt").read_text(encoding="utf-8")
    assert "labels" in said and "proofpan backup" in said
    assert main(["export", "--all", str(tmp_path / "out"), "--notebook", str(where)]) == 2 and "isn't empty" in capsys.readouterr().err
    assert main(["export", "--notebook", str(where)]) == 2 and "--all" in capsys.readouterr().err
