"""The command line: a study's way through the notebook; bad input ends in one sentence and exit 2."""

import json
import subprocess
import sys

import pytest

from proofpan.cli import main
from proofpan.cli.verbs import COMMANDS
from proofpan.study.study import Study
from tests.kitchens import CRACKERS


@pytest.fixture
def notebook(tmp_path):
    return ["--notebook", str(tmp_path / "notebook.sqlite")]


def run(capsys, *arguments):
    status = main([str(a) for a in arguments])
    return status, *capsys.readouterr()


def test_help_lists_every_verb_and_each_has_an_example(capsys):
    status, out, _ = run(capsys, "--help")
    assert status == 0 and all(verb in out for verb in COMMANDS)
    for verb in COMMANDS:
        status, out, _ = run(capsys, verb, "--help")
        assert status == 0 and "Example: proofpan" in out, verb


def test_a_quick_comparison_goes_from_two_options_to_a_verdict(capsys, notebook):
    status, out, _ = run(capsys, "compare", "salted", "not salted", "--json", "--seed", "3", *notebook)
    found = json.loads(out)
    codes = list(found["codes"].values())
    assert status == 0 and len(set(codes)) == 2
    status, out, _ = run(capsys, "ballots", found["study"], "--mark", f"{codes[0]}=6", "--mark", f"{codes[1]}=7.5", *notebook)
    assert status == 0 and "2 ballots" in out
    status, out, _ = run(capsys, "verdict", found["study"], *notebook)
    assert status == 0 and "palate" in out


def test_a_study_file_goes_into_the_notebook_and_comes_out_byte_for_byte(capsys, notebook, tmp_path):
    path, back = tmp_path / "study.yaml", tmp_path / "back.yaml"
    path.write_bytes(("# a comment that stays\n" + CRACKERS).encode())
    assert run(capsys, "import", path, *notebook)[0] == 0
    assert run(capsys, "export", "oat-crackers", back, "--with-people", *notebook)[0] == 0
    assert back.read_bytes() == path.read_bytes()
    assert run(capsys, "export", "oat-crackers", back, *notebook)[0] == 0  # to be passed on: to the byte but for the tasters' names
    tasters = Study.load(path).tasters
    assert tasters and not any(name in back.read_text() for name in tasters)
    assert run(capsys, "import", back, *notebook)[0] == 0
    lines = zip(back.read_text().splitlines(), path.read_text().splitlines(), strict=True)
    assert [now for now, was in lines if now != was] == [f"tasters: [{', '.join(f'Taster {n}' for n, _ in enumerate(tasters, 1))}]"]


def test_the_way_through_a_round(capsys, notebook, tmp_path):
    path = tmp_path / "study.yaml"
    path.write_text(CRACKERS)
    run(capsys, "import", path, *notebook)
    status, out, _ = run(capsys, "round", "oat-crackers", "--keep", "--json", *notebook)
    round_ = json.loads(out)
    assert status == 0 and len(round_["trials"]) == 4
    status, out, _ = run(capsys, "trial", "oat-crackers", "--trial", "1", "--set", "out=09:31", "--set", "note=a crack", *notebook)
    assert status == 0 and "1 trials are recorded" in out
    lines = ["round,taster,code,attribute,score"]
    for place, code in round_["codes"].items():
        taster = place.split(" · ")[0]
        lines += [f"1,{taster},{code},snap,6", f"1,{taster},{code},flavour,7"]
    ballots = tmp_path / "ballots.csv"
    ballots.write_text("\n".join(lines) + "\n")
    assert run(capsys, "ballots", "oat-crackers", ballots, *notebook)[0] == 0
    status, out, _ = run(capsys, "verdict", "oat-crackers", "--json", *notebook)
    assert status == 0 and len(json.loads(out)["table"]) == 8
    status, out, _ = run(capsys, "amend", "oat-crackers", "--drop", "factor: rest", "--why", "no time", "--on", "2026-05-03", *notebook)
    assert status == 0 and "dropped rest" in out and "4 versions" in out
    status, out, _ = run(capsys, "verdict", "oat-crackers", "--all", *notebook)
    assert status == 0 and "If you publish today" in out
    assert run(capsys, "search", "butter", *notebook)[1].startswith("oat-crackers")


@pytest.mark.parametrize("arguments, words", [
    (["verdict", "nowhere.yaml"], "There is no file"), (["convert", "1 tbsp", "g/L"], ""), (["frob"], "isn't a command"),
    (["verdikt"], "Did you mean “verdict”"), (["compare", "one"], "two to 6"), (["pantry", "glorp of zed"], "isn't in the pantry"),
    (["claim", "1 tsp salt per cup", "--from", "US", "--ours", "4 g salt per 250 g flour"], ""), (["convert"], "argument"),
    (["publish", "nowhere"], ""), (["reading", "weights"], "--raw"),
])
def test_bad_input_ends_in_one_sentence_and_exit_2(arguments, words, capsys, tmp_path, monkeypatch):
    monkeypatch.setenv("PROOFPAN_NOTEBOOK", str(tmp_path / "n.sqlite"))
    status, _, err = run(capsys, *arguments)
    assert status == 2
    assert len(err.strip().splitlines()) == 1 and words in err and "Traceback" not in err


def test_a_backup_comes_back(capsys, notebook, tmp_path):
    run(capsys, "compare", "a", "b", *notebook)
    kept = tmp_path / "kept.zip"
    assert run(capsys, "backup", kept, *notebook)[0] == 0 and kept.exists()
    run(capsys, "compare", "c", "d", *notebook)
    assert run(capsys, "restore", kept, *notebook)[0] == 0
    assert "c or d" not in run(capsys, "studies", *notebook)[1]


def test_a_conversion_shows_its_steps(capsys):
    status, out, _ = run(capsys, "convert", "1 tsp salt per 3 US quart water", "g/L")
    assert status == 0 and "g/L" in out and "quart" in out


def test_a_new_file_is_a_study(capsys, tmp_path):
    path = tmp_path / "new.yaml"
    assert run(capsys, "new", path, "--title", "Scones: which fat?")[0] == 0
    assert run(capsys, "round", path)[0] == 0
    assert run(capsys, "new", path)[0] == 2


def test_importing_the_package_or_asking_for_help_drags_nothing_heavy_in():
    heavy = ["pandas", "scipy", "numpy", "pydantic", "sqlalchemy", "fastapi", "ortools", "rich"]
    code = f"import sys, proofpan.cli; proofpan.cli.main(['--help']); print([m for m in {heavy} if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.strip().splitlines()[-1] == "[]"


def test_a_command_speaks_the_language_of_a_catalogue(capsys, tmp_path):
    catalogue = tmp_path / "de.po"
    catalogue.write_text('msgid "Makes {makes}"\nmsgstr "Ergibt {makes}"\n', encoding="utf-8")
    study = tmp_path / "study.yaml"
    study.write_text(CRACKERS, encoding="utf-8")
    status, out, _ = run(capsys, "recipe", study, "fat=butter", "--language", catalogue)
    assert status == 0 and "Ergibt 30 crackers" in out
    assert "Makes 30 crackers" in run(capsys, "recipe", study, "fat=butter")[1]
    status, out, err = run(capsys, "recipe", study, "--language", "nl")
    assert status == 2 and "no translation" in err and "Traceback" not in err


@pytest.mark.parametrize("words", ["", "  ", '"', "☃", "-*()"])
def test_a_search_for_signs_alone_says_what_to_give(capsys, notebook, words):
    status, _, err = run(capsys, "search", *notebook, "--", words)
    assert status == 2 and "Give a word" in err


def test_words_of_a_query_language_are_only_words(capsys, notebook):
    for words in ("NEAR(a b)", 'butter AND "', "title:x*", "o'l", "crème OR"):
        status, out, err = run(capsys, "search", words, *notebook)
        assert status == 0 and "Nothing holds" in out and not err
    status, _, err = run(capsys, "evidence", " ", *notebook)
    assert status == 2 and "Name an option" in err
    status, out, _ = run(capsys, "evidence", "butter", *notebook)
    assert status == 0 and "has tasted “butter” against another option yet" in out
