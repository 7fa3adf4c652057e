"""The same notebook gives the same bytes: everything that leaves it, made twice in two processes that share nothing but the notebook."""

import ast
import hashlib
import os
import shutil
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pandas as pd
import pytest

from proofpan.notebook import Notebook
from proofpan.notebook.shelf import add_ballots, add_round, add_trials, keep_study
from proofpan.study.study import Study

WORLDS = (
    {"PYTHONHASHSEED": "1", "TZ": "Pacific/Auckland", "LC_ALL": "C.UTF-8", "LANG": "C.UTF-8", "later": "0"},
    {"PYTHONHASHSEED": "4242", "TZ": "America/New_York", "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8", "LANGUAGE": "de", "later": "34560000"},
)
ANSWERS = "tester,worked,made,out_min,swaps,unclear,note\nInes,yes,2026-06-12,21,,,\nJory,no,2026-06-13,30,,mix,too dry\nKim,yes,,24,spelt flour,,\n"


@pytest.fixture(scope="module")
def notebook(made, tmp_path_factory):
    """A notebook with a round cooked and tasted, and a photograph."""
    where = tmp_path_factory.mktemp("kitchen") / "notebook.sqlite"
    with Notebook.open(where) as book:
        name = keep_study(book, Study(brief=made.study.brief)).id
        add_round(book, name, made.round)
        add_trials(book, name, _rows(made.study.trials))
        add_ballots(book, name, _rows(made.study.ballots))
        book.keep_file(b"\x89PNG a photograph", name="tray.png", media_type="image/png")
    return where


def _rows(frame: pd.DataFrame):
    return frame.astype(object).where(frame.notna(), None).to_dict("records")


def test_everything_that_leaves_a_notebook_is_the_same_bytes_in_another_world(notebook, tmp_path):
    (tmp_path / "answers.csv").write_text(ANSWERS, encoding="utf-8")
    running = []
    for number, world in enumerate(WORLDS):
        own = tmp_path / f"notebook-{number}"
        shutil.copytree(notebook.parent, own)
        env = {**os.environ, **{k: v for k, v in world.items() if k != "later"}}
        command = [sys.executable, "-m", "tests.publish.every_output", str(own / notebook.name), str(tmp_path / f"out-{number}"), world["later"]]
        running.append(subprocess.Popen(command, env=env, stderr=subprocess.PIPE, cwd=Path(__file__).parents[2]))
    for process in running:
        _, said = process.communicate(timeout=120)
        assert process.returncode == 0, said.decode()[-2000:]
    one, other = (_digests(tmp_path / f"out-{n}") for n in range(2))
    assert set(one) == set(other) and len(one) > 50
    assert {name for name in one if one[name] != other[name]} == set()


def _digests(folder):
    return {str(p.relative_to(folder)): hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(folder.rglob("*")) if p.is_file()}


CLOCKS = {"now", "today", "utcnow", "time", "time_ns", "uuid4", "uuid1", "token_hex", "token_urlsafe"}


@pytest.mark.parametrize("package", ["publish", "steps", "study", "science"])
def test_no_renderer_and_no_step_asks_the_time_or_for_chance(package):
    """`datetime.now`, `date.today`, `time.time`, `uuid4`: what a document holds of them is given to it."""
    found = []
    for file in sorted(Path(str(files("proofpan"))).joinpath(package).rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CLOCKS and isinstance(node.func.value, ast.Name) \
                    and node.func.value.id in ("datetime", "date", "time", "uuid", "secrets"):
                found.append(f"{file.name}:{node.lineno}")
    assert found == []
