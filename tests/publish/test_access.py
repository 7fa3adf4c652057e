"""The reader's pages in a real browser: axe-core's rules, best practices among them, at a phone and a laptop."""

from pathlib import Path

import pytest

from proofpan.publish.card import recipe_card_html
from proofpan.publish.report import how_we_tested_html

pytestmark = pytest.mark.browser
CHROMIUM = "/usr/bin/chromium"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def browser():
    if not Path(CHROMIUM).exists():
        pytest.skip("Debian's Chromium isn't installed: apt-get install chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.mark.parametrize(("width", "height", "scheme"), [(390, 844, "light"), (1366, 768, "dark")])
def test_report_and_card_are_without_faults_of_access_and_fits(browser, made, width, height, scheme):
    from axe_playwright_python.sync_playwright import Axe

    page = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme).new_page()
    asked = []
    page.on("request", lambda r: asked.append(r.url) if r.url.startswith("http") else None)
    for written in (how_we_tested_html(made.study, made.verdict, recipe=made.worked), recipe_card_html(made.worked, made.verdict)):
        page.set_content(written)
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": TAGS}})
        assert [(v["id"], v["nodes"][0]["html"][:160]) for v in found.response["violations"]] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert asked == []
