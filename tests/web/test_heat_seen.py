"""The heat page in a browser: sliders by keyboard, readers' kitchens, a log read and kept, at both sizes and without faults of access."""

import os

from proofpan.notebook.shelf import read_study
from tests.steps.test_heat import a_log_of_an_oven

from .conftest import crackers
from .test_browser import LAPTOP, PHONE, at_the_desk, browser, served  # noqa: F401


def test_slide_ask_read_a_log_and_keep_it(browser, served):  # noqa: F811
    from axe_playwright_python.sync_playwright import Axe

    study = crackers(served.lead())
    name, faults = study.split("/")[-1], []
    log = "\n".join(f"{float(t) / 60:g} {c}" for t, c in (line.split(",") for line in a_log_of_an_oven(0.0, 34.0, "fan oven").splitlines()[1:40:2]))

    def look(page, what, scheme, size):
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "best-practice"]}})
        faults.extend((scheme, what, v["id"], v["nodes"][0]["html"][:140]) for v in found.response["violations"])
        if page.evaluate("document.documentElement.scrollWidth") > size["width"]:
            faults.append((scheme, what, "wider than the screen"))
        if folder := os.environ.get("PROOFPAN_PICTURES"):
            page.screenshot(path=f"{folder}/heat-{what}-{scheme}-{size['width']}.png", full_page=True)

    for scheme, size in (("light", PHONE), ("dark", LAPTOP)):
        page = at_the_desk(browser, served, size, color_scheme=scheme)
        page.goto(f"{served.address}{study}/heat")
        first = page.locator("h1").inner_text()
        page.locator("#h-size").focus()
        for _ in range(10):
            page.keyboard.press("ArrowRight")
        page.wait_for_function("t => document.querySelector('h1').innerText !== t", arg=first)
        page.wait_for_function("() => document.querySelector('h1').innerText.startsWith('Cubes of 4.5\u00a0cm, until tender')")
        assert "size=4.5" in page.url and page.locator("output[for=h-size]").inner_text() == "4.5"    # it can be sent, and undone with Back
        page.locator("#shape").select_option("slab")
        page.get_by_role("button", name="And in readers’ kitchens").click()
        page.wait_for_selector("text=What matters")
        look(page, "readers", scheme, size)
        if scheme == "dark":
            faults += page.wrong
            continue
        page.get_by_text("Lay a probe’s log over the curve").click()
        for field, text in (("food", "water=0.79, protein=0.02, carbohydrate=0.19"), ("until", "74"), ("log", log)):
            page.locator(f"#{field}").fill(text)
        page.locator("#stage").select_option("fan oven")
        for slider, value in (("size", "4"), ("start", "6"), ("oven", "180")):
            page.locator(f"#h-{slider}").fill(value)
        page.get_by_label("oven offset").uncheck()
        page.get_by_role("button", name="Read our oven from this log").click()
        page.wait_for_selector("text=What the log says of our oven", timeout=60_000)
        look(page, "log", scheme, size)
        page.get_by_role("button", name="Keep it with this oven").click()
        page.wait_for_selector("text=Kept with the oven main")
        assert 30 < read_study(served.book, name).brief.kitchen.ovens[0].heat_transfer_w_m2k < 38
        faults += page.wrong
    assert faults == []
