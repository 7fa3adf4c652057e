"""The day's page while it runs, in a browser: pressed with a thumb, seen at both sizes, without faults of access."""

import os

from .conftest import crackers, planned
from .test_browser import LAPTOP, PHONE, at_the_desk, browser, served  # noqa: F401


def test_a_running_day_is_pressed_and_seen_on_phone_and_laptop(browser, served):  # noqa: F811
    from axe_playwright_python.sync_playwright import Axe

    lead = served.lead()
    study = crackers(lead)
    planned(lead, study)
    lead.post(f"{study}/day", start=f"{served.clock.now.astimezone():%Y-%m-%dT%H:%M}", eat="", once="a")
    faults = []
    for scheme, size in (("light", PHONE), ("dark", LAPTOP), ("light", LAPTOP)):
        page = at_the_desk(browser, served, size, color_scheme=scheme)
        page.goto(served.address + f"{study}/day")
        with page.expect_navigation():
            page.get_by_role("button", name="started").first.click()
        served.clock.move(minutes=4)
        for step in ("day", "cook"):
            page.goto(served.address + f"{study}/{step}")
            page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
            found = Axe().run(page, options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "best-practice"]}})
            faults += [(scheme, step, v["id"], v["nodes"][0]["html"][:140]) for v in found.response["violations"]]
            if page.evaluate("document.documentElement.scrollWidth") > size["width"]:
                faults.append((scheme, step, "wider than the screen"))
            if folder := os.environ.get("PROOFPAN_PICTURES"):
                page.screenshot(path=f"{folder}/{step}-{scheme}-{size['width']}.png", full_page=step == "day")
        faults += page.wrong
        page.context.close()
    assert faults == []
