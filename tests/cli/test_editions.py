"""Editions from the command line: kept in the notebook by the page's own rules, corrected, asked about, tested again."""

import json

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
