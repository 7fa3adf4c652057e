"""What is refused, in a real browser: the sentence by its field, every word still there, and the page as ready as it was."""

from importlib.resources import files

import pytest

from .conftest import crackers, planned
from .test_browser import LAPTOP, PHONE, at_the_desk, browser, mark_lines, served  # noqa: F401  fixtures
from .test_every_page import TAGS, axe

pytestmark = pytest.mark.browser


def axe_faults(page):
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    return axe(page, type="tag", values=TAGS)


def test_a_wrong_code_is_said_by_the_plate_and_the_keys_begin_anew(browser, served):  # noqa: F811
    page = at_the_desk(browser, served, PHONE)
    for i, option in enumerate(("salted", "not salted")):
        page.locator("[name=option]").nth(i).fill(option)
    page.get_by_role("button", name="Give me the codes").click()
    page.wait_for_url("**/codes")
    code = page.locator(".plate span").first.inner_text()
    page.get_by_role("link", name="They’re shuffled; taste").click()
    page.wait_for_selector(".ln")
    mark_lines(page, 0.5)
    page.get_by_role("button", name="Done with this plate").click()
    page.wait_for_selector("text=Now lift the plate")
    low = page.locator("[data-digit='0']").bounding_box()
    assert low["y"] + low["height"] < page.locator("footer.edge").bounding_box()["y"]  # every key is within reach, nothing to scroll
    for digit in "00":
        page.locator(f"[data-digit='{digit}']").click()
    page.locator("[data-digit='1']").click()
    page.get_by_role("button", name="Keep it, and rinse").click()
    page.wait_for_selector("#wrong")
    assert page.locator("#code").get_attribute("aria-invalid") == "true" and page.locator("[data-digit='1']").is_visible()
    assert axe_faults(page) == []
    for digit in code:
        page.locator(f"[data-digit='{digit}']").click()
    page.get_by_role("button", name="Keep it, and rinse").click()
    page.wait_for_selector(f"text={code}: kept")
    assert [w for w in page.wrong if "422" not in w] == []


def test_a_refused_form_keeps_its_words_its_place_and_its_sentence(browser, served):  # noqa: F811
    page = at_the_desk(browser, served, LAPTOP)
    page.locator("[name=option]").nth(0).fill("salted")
    page.locator("[name=option]").nth(1).fill("not salted")
    page.get_by_role("button", name="One more option").click()
    page.locator("[name=option]").nth(2).fill("sour")
    page.locator("#turns").fill("9")
    page.get_by_role("button", name="Give me the codes").click()
    page.wait_for_selector("#turns + #wrong")
    assert page.evaluate("document.activeElement.id") == "turns" and page.locator("[name=option]").nth(2).input_value() == "sour"
    assert axe_faults(page) == []
    page.locator("#turns").fill("1")
    page.get_by_role("button", name="Give me the codes").click()
    page.wait_for_url("**/codes")
    assert page.locator(".plate span").count() == 3


def test_a_pasted_recipe_makes_the_brief_the_one_act(browser, served):  # noqa: F811
    page = at_the_desk(browser, served, PHONE)
    act = page.locator("footer .act:visible")
    assert act.inner_text() == "Give me the codes"
    page.locator("#recipe").fill("Tea.")
    assert act.inner_text() == "Start the brief" and page.get_by_role("button", name="Start the brief").count() == 1
    act.click()
    page.wait_for_selector("#recipe + #wrong")
    page.locator("[name=option]").first.fill("salted")
    assert act.inner_text() == "Give me the codes"


def test_an_option_that_was_only_named_says_what_it_does_in_three_steps(browser, served):  # noqa: F811
    page = at_the_desk(browser, served, PHONE)
    page.goto(served.address + crackers(served.lead()) + "/brief")
    page.get_by_role("button", name="Say what else olive oil does").click()
    assert page.locator("#o0-name").input_value() == "olive oil" and page.evaluate("document.activeElement.id") == "o0-verb"
    page.get_by_role("button", name="Add the option").first.click()
    page.wait_for_selector("#o0-target + #wrong")  # not a word of where it stands in a file
    page.locator("#o0-target").select_option("water")
    page.locator("#o0-to").fill("105 g")
    page.locator("#o0-verb").select_option("set")
    page.get_by_role("button", name="Add the option").first.click()
    page.wait_for_selector("text=105 g of water")


def test_a_sheet_with_a_wrong_time_says_so_by_it_and_counts_what_fries(browser, served):  # noqa: F811
    page = at_the_desk(browser, served, PHONE)
    page.locator("#recipe").fill("Chips. Serves 2.\n500 g potatoes\n500 ml sunflower oil\nCut into sticks, 5 minutes. Fry at 180 °C until gold, 6 minutes.")
    page.locator("#idea").fill("500 ml rapeseed oil")
    page.locator("#instead").fill("sunflower oil")
    page.get_by_role("button", name="Start the brief").click()
    page.wait_for_url("**/brief")
    planned(served.lead(), "/study/chips")
    page.goto(f"{served.address}/study/chips/cook?trial=1")
    assert "Fry, until gold, expected 6 min" in page.locator("[data-clock]").inner_text()
    page.locator("#w-0").fill("heavy")
    page.locator("#out").fill("25:99")
    page.get_by_role("button", name="Keep this sheet").click()
    page.wait_for_selector(".step + #wrong")
    assert page.locator("#wrong").inner_text().startswith("Potatoes: “heavy”")
    page.locator("#w-0").fill("510")
    page.get_by_role("button", name="Keep this sheet").click()
    page.wait_for_selector("text=isn't a time")
    assert page.locator("#out").bounding_box()["width"] > 150  # the sentence stands under its row, not in it
    page.goto(f"{served.address}/study/chips/cook?trial=1")
    assert page.locator("#w-0").input_value() == "510"  # what isn't kept yet is there again
    page.set_input_files("#photograph", {"name": "no.jpg", "mimeType": "image/jpeg", "buffer": b"no"})
    page.get_by_role("button", name="Keep the photograph").click()
    page.wait_for_selector("#photograph + #wrong")
    assert page.locator("#w-0").input_value() == "510"  # on the page that came again too
