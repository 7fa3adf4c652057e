"""The tester's one file in a real browser: from a disk and over plain http under a name that isn't localhost; answers saved as a file."""

import functools
import json
import threading
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

import proofpan as pp
from proofpan.publish.tester import tester_form_html
from proofpan.steps.tester_pack import answers_of, tester_pack

from .conftest import CRACKERS
from .test_cross_tests import FIRST, PIXEL

PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("pack")
    pack = tester_pack(pp.Study.load(CRACKERS), FIRST)
    (place / "test.html").write_text(tester_form_html(pack), encoding="utf-8")
    (place / "p.png").write_bytes(PIXEL)
    return place


@pytest.fixture(scope="module")
def browser():
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox", "--host-resolver-rules=MAP kitchen.test 127.0.0.1"])
        yield made
        made.close()


@pytest.fixture(params=["from a disk", "over plain http"])
def address(request, folder):
    if request.param == "from a disk":
        yield (folder / "test.html").as_uri()
        return
    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(SimpleHTTPRequestHandler, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://kitchen.test:{server.server_port}/test.html"
    server.shutdown()


def test_answers_are_kept_while_typing_and_saved_as_a_file_that_we_read(browser, address, folder):
    context = browser.new_context(viewport=PHONE, accept_downloads=True)
    page = context.new_page()
    faults = []
    page.on("pageerror", lambda e: faults.append(str(e)))
    page.on("console", lambda m: faults.append(m.text) if m.type == "error" and "favicon" not in m.text and "404" not in m.text else None)
    page.goto(address)
    page.get_by_role("button", name="Save my answers").click()                     # nothing typed yet: the browser's own check holds it back
    page.fill("#tester", "Łukasz")
    page.fill("[id='time-bake']", "21")
    page.check("[name='unclear-mix']")
    page.fill("[name='words-mix']", "how fine?")
    page.wait_for_timeout(300)     # the browser writes its store behind the page
    page.reload()
    page.wait_for_function("document.querySelector('#tester').value")
    assert page.input_value("#tester") == "Łukasz" and page.is_checked("[name='unclear-mix']")
    page.check("[name='worked'][value='yes']")
    page.set_input_files("#photo", folder / "p.png")
    page.wait_for_timeout(150)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save my answers").click()
    assert saved.value.suggested_filename.startswith("answers-") and saved.value.suggested_filename.endswith(".json")
    held = answers_of(Path(saved.value.path()).read_bytes())
    assert held["row"]["tester"] == "Łukasz" and held["row"]["times"] == "bake 21" and held["row"]["unclear"] == "mix"
    assert held["photo"].startswith("data:image/jpeg") and held["version"] == FIRST
    assert json.loads(page.input_value("#plain"))["answers"]["worked"] == "yes"   # the text to copy where a file can't be saved
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert faults == []
    context.close()


def test_the_file_has_no_faults_of_access(browser, folder):
    from axe_playwright_python.sync_playwright import Axe

    for scheme in ("light", "dark"):
        context = browser.new_context(viewport=PHONE, color_scheme=scheme)
        page = context.new_page()
        page.goto((folder / "test.html").as_uri())
        found = Axe().run(page).response["violations"]
        assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found] == []
        context.close()
