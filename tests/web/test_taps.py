"""Tapping on a photograph in a real browser: a tap fills its field, and the page stands without faults on a phone."""

import io

import pytest
from PIL import Image

from proofpan.notebook.shelf import keep_study
from tests.kitchens import judged_study, plain
from tests.science.colour.table import crackers as tray_of_crackers

from .test_browser import AXE_TAGS, PHONE, at_the_desk, browser, served  # noqa: F401  fixtures

pytestmark = pytest.mark.browser


def test_a_tap_leaves_a_piece_out(browser, served):  # noqa: F811
    from axe_playwright_python.sync_playwright import Axe

    out = io.BytesIO()
    Image.fromarray(tray_of_crackers().shot()).save(out, "PNG")
    made = keep_study(served.book, judged_study(plain(tasters=4), score=lambda v: 5 + (v["salt"] == "much"), times=3)).id
    lead = served.lead()
    lead.post(f"/study/{made}/reading", kind="colour", trial="1", once="a", files={"file": ("t.png", out.getvalue(), "image/png")})
    page = at_the_desk(browser, served, PHONE)
    page.goto(f"{served.address}/study/{made}/readings")
    page.get_by_text("Correct it by tapping").click()
    page.locator("[data-taps] img").wait_for(state="visible")
    page.wait_for_function("document.querySelector('[data-taps] img').naturalWidth > 0")
    page.get_by_label("what isn’t food").check()
    wide, deep = Image.open(out).size
    box = page.locator("[data-taps] img").bounding_box()
    page.locator("[data-taps] img").click(position={"x": box["width"] * 200 / wide, "y": box["height"] * 180 / deep})
    x, y = map(float, page.locator("[name=exclude]").input_value().split(","))
    assert abs(x - 100 * 200 / wide) < 1 and abs(y - 100 * 180 / deep) < 1
    for path in (f"/study/{made}/readings", f"/study/{made}/verdict"):
        if not page.url.endswith(path):
            page.goto(served.address + path)
            page.get_by_text("Its table").click()
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": AXE_TAGS}})
        assert [(v["id"], v["nodes"][0]["html"][:140]) for v in found.response["violations"]] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        if path.endswith("readings"):
            page.get_by_role("button", name="Measure the colour again").click()
            page.wait_for_load_state()
    counts = [e.payload["figures"][0]["n"] for e in served.book.events(made, kind="report")]
    assert counts == [4, 3] and page.wrong == []


def test_files_go_across_with_a_word_and_can_be_stopped(browser, served):  # noqa: F811
    out = io.BytesIO()
    Image.fromarray(tray_of_crackers().shot()).save(out, "PNG")
    made = keep_study(served.book, judged_study(plain(tasters=2), score=lambda v: 5.0, times=1)).id
    page = at_the_desk(browser, served, PHONE)
    page.goto(f"{served.address}/study/{made}/readings")
    files = [{"name": n, "mimeType": "image/png", "buffer": out.getvalue()} for n in ("a.png", "b.png")]
    page.set_input_files("#file", files)
    assert "a.png" in page.locator("[data-chosen]").inner_text()
    page.get_by_label("Photographs with a grey card").check()
    page.route("**/reading", lambda route: None)  # it never arrives
    page.get_by_role("button", name="Read it").click()
    page.get_by_role("button", name="Stop").click()
    page.get_by_text("Stopped. Nothing was kept.").wait_for()
    page.unroute("**/reading")
    page.get_by_role("button", name="Read it").click()
    page.get_by_text("1 reading taken.").wait_for()
    assert [e.payload["figures"][0]["n"] for e in served.book.events(made, kind="report")] == [8]
