"""A cook has no git and no make: the wheel alone, in an empty environment and without a network, does the whole job."""

import os
import shutil
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """The proofpan command of a fresh environment that holds nothing but the wheel and what it asks for."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run([sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, ROOT], check=True,
                   capture_output=True)
    wheel = next(folder.glob("*.whl"))
    subprocess.run([sys.executable, "-m", "venv", folder / "venv"], check=True)
    # what is never imported isn't compiled either: half of the installing
    pip = [folder / "venv/bin/python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-compile"]
    subprocess.run([*pip, "--constraint", ROOT / "constraints.txt", wheel], check=True, capture_output=True, timeout=400)
    return folder / "venv/bin/proofpan"


def offline(command):
    """The command with no network at all where the system allows it."""
    probe = subprocess.run(["unshare", "-n", "true"], capture_output=True) if shutil.which("unshare") else None
    return ["unshare", "-n", *command] if probe is not None and probe.returncode == 0 else command


def home(tmp_path):
    return {**os.environ, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path), "PROOFPAN_NOTEBOOK": ""}


def test_the_demo_runs_from_the_wheel_without_a_network(installed, tmp_path):
    started = time.monotonic()
    done = subprocess.run(offline([installed, "demo", "--to", tmp_path / "out"]), capture_output=True, text=True, cwd=tmp_path,
                          env=home(tmp_path), timeout=120)
    assert done.returncode == 0, done.stderr
    assert time.monotonic() - started < 60
    assert "3.5 times as much" in done.stdout and "If you publish today" in done.stdout
    assert (tmp_path / "out/recipe-card.pdf").read_bytes().startswith(b"%PDF")
    assert "<html" in (tmp_path / "out/how-we-tested.html").read_text()


def test_proofpan_alone_opens_the_pages_on_a_new_notebook(installed, tmp_path):
    server = subprocess.Popen([installed], cwd=tmp_path, env={**home(tmp_path), "BROWSER": "true"}, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, text=True)
    try:
        page = None
        for _ in range(60):
            time.sleep(0.5)
            try:
                page = urllib.request.urlopen("http://127.0.0.1:8765/", timeout=2).read().decode()
                break
            except urllib.error.HTTPError as refused:
                page = refused.read().decode()
                break
            except (urllib.error.URLError, ConnectionError):
                continue
        assert page and "proofpan" in page
    finally:
        server.terminate()
        server.wait(10)
    assert (tmp_path / "proofpan/notebook.sqlite").exists()
