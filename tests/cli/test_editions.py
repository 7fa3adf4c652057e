"""Editions from the command line: kept in the notebook by the page's own rules, corrected, asked about, tested again."""

import json
import sqlite3
from contextlib import closing

import pytest

from proofpan.notebook import Notebook
from proofpan.notebook.shelf import read_study
from tests.cli.test_commands import run
from tests.kitchens import crackers, judged_study

WAIVED = [x for k in ("cross-test", "audit", "full size", "two good makes") for x in ("--waive", f"{k}=tests")]
NAME = "oat-crackers"


@pytest.fixture
def notebook(tmp_path, capsys):
    path, file = tmp_path / "notebook.sqlite", tmp_path / "study.yaml"
    file.write_text(judged_study(crackers()).to_yaml())
    assert run(capsys, "import", file, "--notebook", path)[0] == 0
    return ["--notebook", str(path)]


def held(capsys, notebook):
    return json.loads(run(capsys, "editions", NAME, "--json", *notebook)[1])


def test_publishing_keeps_an_edition_and_only_looking_keeps_none(capsys, notebook, tmp_path):
    status, out, _ = run(capsys, "publish", NAME, *WAIVED, "--only-look", *notebook)
    assert status == 0 and "Nothing is kept." in out and held(capsys, notebook)["editions"] == []
    status, out, _ = run(capsys, "publish", NAME, *WAIVED, "--on", "2026-05-01", *notebook)
    assert status == 0 and "Edition 1" in out and "nobody has approved it yet" in out
    assert run(capsys, "publish", NAME, *WAIVED, "--on", "2026-06-01", *notebook)[0] == 0
    first, second = held(capsys, notebook)["editions"]
    assert (second["number"], second["published"], second["modified"]) == (2, "2026-05-01", "2026-06-01") and first["digest"] != second["digest"]
    status, out, _ = run(capsys, "publish", tmp_path / "study.yaml", *WAIVED)
    assert status == 0 and "Nothing is kept of a file's edition" in out


def test_corrected_twice_the_urgent_one_stands_first_on_every_copys_list(capsys, notebook):
    assert run(capsys, "editions", NAME, "--approve", "Ada", *notebook)[0] == 2     # nothing is published yet
    run(capsys, "publish", NAME, *WAIVED, *notebook)
    assert run(capsys, "editions", NAME, "--copy", "our site", "--kind", "web", *notebook)[0] == 0
    assert run(capsys, "editions", NAME, "--correct", '{"set": "fine salt", "to": "5 g"}', "--why", "A slip.", *notebook)[0] == 0
    status, out, _ = run(capsys, "editions", NAME, "--correct", '{"add": "1 g sesame seeds"}', "--why", "Sesame was missing.", "--safety",
                         "--approve", "Ada", *notebook)
    assert status == 0 and "Edition 3" in out and "Approved by Ada" in out and "URGENT: our site" in out
    assert "Corrected for safety in edition 3" in out and out.index("Urgent: edition 3") < out.index("edition 2: A slip.")
    status, out, _ = run(capsys, "editions", NAME, "--mended", "our site", *notebook)
    assert status == 0 and "URGENT" not in out and "It shows edition 3, the newest." in out
    status, _, err = run(capsys, "editions", NAME, "--gone", "our sitr", *notebook)
    assert status == 2 and "isn't on the list of copies" in err
    assert run(capsys, "editions", NAME, "--correct", "salt", "--why", "x", *notebook)[0] == 2


def test_three_readers_offer_a_test_and_a_complaint_is_sorted(capsys, notebook):
    run(capsys, "publish", NAME, *WAIVED, *notebook)
    for _ in range(3):
        status, out, _ = run(capsys, "readers", NAME, "--asks", "freeze", "--words", "Can I freeze them?", *notebook)
    assert status == 0 and "asked 3×" in out and "A small test would answer them" in out
    status, out, _ = run(capsys, "readers", NAME, "--complains", "I used lard instead of butter", *notebook)
    assert status == 0 and "A swap: it tests the swap" in out
    assert run(capsys, "readers", NAME, "--asks", "frieze", *notebook)[0] == 2


def test_a_re_test_opens_with_the_editions_version_and_a_change_weighs_the_verdict(capsys, notebook):
    assert run(capsys, "retest", NAME, *notebook)[0] == 2
    run(capsys, "publish", NAME, *WAIVED, *notebook)
    version = held(capsys, notebook)["editions"][0]["version"]
    with Notebook.open(notebook[1]) as book:
        study = read_study(book, NAME)
    other = next(str(v) for v in study.versions() if str(v) != version)
    status, out, _ = run(capsys, "retest", NAME, "--against", other, "--changed", "season", "--why", "winter butter", *notebook)
    assert status == 0 and "Control: the version of edition 1" in out and "not tasted since" in out
    with Notebook.open(notebook[1]) as book:
        after = read_study(book, NAME)
    assert [(c.what, c.weight) for c in after.changes] == [("another season", 0.7)] and str(after.rounds[-1].trials[0].version) == version


def answers(path, tester, **more):
    row = {"tester": tester, "worked": "yes", "out_min": "17", **more}
    path.write_text(json.dumps({"form": "proofpan cross-test", "format": 1, "version": "", "measures": "as written", "answers": row}))
    return path


def test_answers_read_by_command_are_kept_once_and_publishing_finds_them(capsys, notebook, tmp_path):
    assert "No other kitchen has reported yet" in run(capsys, "cross-test", NAME, *notebook)[1]
    files = [answers(tmp_path / f"{t}.json", t) for t in ("Zoe", "Yan", "Xi")]
    status, out, _ = run(capsys, "cross-test", NAME, *files, "--only-look", *notebook)
    assert status == 0 and "It worked 3 of 3 times" in out and "Nothing is kept." in out
    status, out, _ = run(capsys, "cross-test", NAME, *files, *notebook)
    assert status == 0 and "it might fail up to 63 times in 100" in out and "3 reports kept" in out
    status, out, _ = run(capsys, "cross-test", NAME, files[0], answers(tmp_path / "late.json", "Wim", worked="no", note="too dry"), *notebook)
    assert "It worked 3 of 4 times" in out and "1 report kept" in out
    status, out, _ = run(capsys, "cross-test", NAME, *files, *notebook)
    assert "in the notebook already" in out and "It worked 3 of 4 times" in out
    bad = answers(tmp_path / "bad.json", "Vi", unclear="bakke", **{"unclear-bakke": True})
    status, _, err = run(capsys, "cross-test", NAME, answers(tmp_path / "new.json", "Uli"), bad, *notebook)
    assert status == 2 and "bad.json" in err and "“bake”" in err
    assert "3 of 4" in run(capsys, "cross-test", NAME, *notebook)[1]             # all of a table or none of it
    reasons = json.loads(run(capsys, "publish", NAME, "--json", *notebook)[1])["reasons"]
    assert any("1 cross-test failed" in r for r in reasons)
    status, out, _ = run(capsys, "cross-test", tmp_path / "study.yaml", *files)
    assert status == 0 and "Nothing is kept of a file's cross-tests" in out


def test_an_edition_is_written_in_its_house_style_and_read_back_against_what_was_frozen(capsys, notebook, tmp_path):
    assert run(capsys, "publish", NAME, *WAIVED, "--house", "Mars", *notebook)[0] == 2
    assert run(capsys, "publish", NAME, *WAIVED, "--house", "US", *notebook)[0] == 0
    edition = held(capsys, notebook)["editions"][0]
    printed = [x["text"] for x in edition["printed"]["lines"]]
    assert edition["house"] == "US" and any("cup" in t for t in printed) and "°F" in " ".join(s["text"] for s in edition["printed"]["method"])
    back = tmp_path / "back.txt"
    back.write_text("\n".join([edition["title"], *printed, *(s["text"] for s in edition["printed"]["method"])]))
    # the study's own text changes afterwards: what was sent stays what comes back is held against
    assert run(capsys, "amend", NAME, "--base", "[{set: fine salt, to: 9 g}]", "--why", "a slip", *notebook)[0] == 0
    status, out, _ = run(capsys, "proofread", NAME, back, *notebook)
    assert status == 0 and "Held against edition 1" in out and "A number changed" not in out and "fine salt" not in out


def test_a_changed_edition_is_found_out_by_its_seal(capsys, notebook, tmp_path):
    run(capsys, "publish", NAME, *WAIVED, "--approved-by", "Ada", *notebook)
    run(capsys, "editions", NAME, "--correct", '{"set": "fine salt", "to": "5 g"}', "--why", "A slip.", *notebook)
    assert json.loads(run(capsys, "editions", NAME, "--json", *notebook)[1])["seals broken"] == []
    with closing(sqlite3.connect(notebook[1])) as db, db:
        db.execute("update event set payload = replace(payload, '5 g fine salt', '50 g fine salt') where kind = 'edition'")
    status, out, _ = run(capsys, "editions", NAME, *notebook)
    assert status == 0 and "Edition 2 doesn’t match its seal" in out and "Edition 1 doesn’t" not in out
