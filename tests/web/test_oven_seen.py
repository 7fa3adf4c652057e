"""An oven mapped from photographs of a tray of sliced bread, in a browser, on phone and laptop: chosen, sent, read, said, kept."""

import os

from proofpan.notebook.shelf import keep_study, read_study
from tests.kitchens import crackers
from tests.science.colour.table import saved
from tests.science.colour.test_oven_map import HOT_BACK_LEFT, shot_of

from .test_browser import LAPTOP, PHONE, at_the_desk, browser, served  # noqa: F401


def test_a_tray_of_bread_is_photographed_and_the_map_is_kept_before_any_trial(browser, served, tmp_path):  # noqa: F811
    from axe_playwright_python.sync_playwright import Axe

    study = keep_study(served.book, crackers()).id
    files = {}
    for turned in (False, True):
        files[turned] = tmp_path / f"tray-{turned}.png"
        files[turned].write_bytes(saved(shot_of(HOT_BACK_LEFT, turned=turned), "PNG"))
    page = at_the_desk(browser, served, PHONE)
    page.goto(f"{served.address}/study/{study}/oven")
    assert "A tray of sliced bread says so" in page.locator("h1").inner_text()
    page.locator("#places").fill("many")
    page.locator("#photograph").set_input_files(files[False])
    page.get_by_role("button", name="Map the oven").click()
    page.wait_for_selector(".across.refused")
    assert "such as 2x3" in page.locator(".across").inner_text() and page.locator("#places").input_value() == "many"
    page.locator("#places").fill("2x3")      # the photograph that was chosen stays chosen
    page.locator("#turned").set_input_files(files[True])
    page.get_by_role("button", name="Map the oven").click()
    page.wait_for_selector(".curve svg")
    assert page.locator("h1").inner_text().startswith("Back left browns most")
    bread = read_study(served.book, study).brief.kitchen.ovens[0].bread
    assert bread is not None and bread.told > 2
    faults = list(page.wrong)
    page.context.close()
    for scheme, size in (("light", PHONE), ("dark", LAPTOP)):
        page = at_the_desk(browser, served, size, color_scheme=scheme)
        page.goto(f"{served.address}/study/{study}/oven")
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa"]}})
        faults += [(scheme, v["id"], v["nodes"][0]["html"][:140]) for v in found.response["violations"]]
        if page.evaluate("document.documentElement.scrollWidth") > size["width"]:
            faults.append((scheme, "wider than the screen"))
        if folder := os.environ.get("PROOFPAN_PICTURES"):
            page.screenshot(path=f"{folder}/oven-{scheme}-{size['width']}.png", full_page=True)
        page.context.close()
    assert faults == []
