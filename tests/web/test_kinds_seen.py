"""Every other ballot on a phone, from the lead's choice of it to what is said of it: by touch, by keyboard alone, without the wifi and over a reload."""

import os
from importlib.resources import files

import pytest

from proofpan.notebook.shelf import read_study
from proofpan.study.sittings import KINDS
from proofpan.web.pages.tasting.other import NAMES

from .conftest import crackers, planned
from .test_browser import LAPTOP, PHONE, at_the_desk, browser, served  # noqa: F401  fixtures
from .test_every_page import TAGS, axe

pytestmark = pytest.mark.browser
PICTURES = os.environ.get("PROOFPAN_PICTURES", "")
TWO = ("preference", "triangle", "duo-trio", "two out of five")
# what is tapped is 44 CSS pixels wide and high: WCAG 2.2, success criterion 2.5.5
TOO_SMALL = """[...document.querySelectorAll('#taste label.slot, #taste .steps-of label, #taste [data-tap], #taste .ln, #go')]
  .filter((e) => e.checkVisibility()).map((e) => e.getBoundingClientRect()).filter((r) => r.height < 44 || r.width < 44)"""
FOCUSED = """() => { const e = document.activeElement; return { tag: e.tagName, type: e.type ?? "", role: e.getAttribute("role"), id: e.id,
  tap: e.dataset.tap !== undefined, on: e.classList.contains("on"), off: e.disabled ?? false,
  done: e.type === "checkbox" ? e.checked || document.querySelectorAll("[name=pick]:checked").length === 2
    : e.type === "radio" ? [...document.getElementsByName(e.name)].some((r) => r.checked) : false }; }"""


def picture(page, name):
    if PICTURES:
        page.screenshot(path=f"{PICTURES}/{name.replace(' ', '-')}.png", full_page=True)


def without_faults(page, name):
    """What axe-core finds in light and in dark, and whether the page goes sideways."""
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    for colours, rules in (("light", {"type": "tag", "values": TAGS}), ("dark", {"type": "rule", "values": ["color-contrast"]})):
        page.emulate_media(color_scheme=colours, reduced_motion="reduce")
        page.evaluate("document.activeElement?.blur()")  # the way past the head shows only while it has the focus, and lies over the head then
        page.evaluate("scrollTo(0, document.body.scrollHeight)")  # there the foot of the page, which stays in sight, half covers nothing
        assert axe(page, **rules) == [], (name, colours)
        picture(page, f"{name} {colours}")
    page.emulate_media(color_scheme="light")
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"], name


def laid_by_the_lead(desk, served, study, kind):  # noqa: F811
    """The lead chooses a ballot on their page, lays it, opens it: {taster: address}."""
    desk.goto(f"{served.address}{study}/tasting")
    desk.get_by_text("Another ballot instead").click()
    desk.locator(f"input[name=kind][value='{kind}']").check()
    if kind == "lines":
        desk.locator("#asked").fill("crispness: soft, shatters\ncrumb: soft, brittle")
    if kind in TWO:
        for box in desk.locator("#lay [name=trials]").all()[:2]:
            box.check()
        desk.get_by_role("button", name="One answer more").click()
    if kind in ("lines", "triangle"):
        without_faults(desk, f"{kind} chosen")
    desk.get_by_role("button", name="Lay these plates").click()
    desk.wait_for_selector(f".says.sm:text-is('{NAMES[kind]}')")
    desk.get_by_role("button", name="Open the tasting").click()
    desk.wait_for_selector("text=Sealed")
    names = desk.locator(".cards .says").all_inner_texts()
    return dict(zip(names, [a.get_attribute("href") for a in desk.get_by_role("link", name="Open it here").all()], strict=True))


def touched(page):
    """One plate or set answered with a thumb."""
    for line in page.locator("#taste .ln").all():
        line.scroll_into_view_if_needed()
        box = line.bounding_box()
        page.touchscreen.tap(box["x"] + box["width"] * 0.7, box["y"] + box["height"] / 2)
    for question in page.locator("#taste fieldset.q").all():
        question.locator("label").nth(2).tap()
    for button in page.locator("#taste [data-tap]").all():
        button.tap()
    slots = page.locator("#taste fieldset.slots label.slot")
    for n in range(min(slots.count(), 2 if page.locator("#marks").get_attribute("data-pick") == "two" else 1)):
        slots.nth(n).tap()


def typed(page):
    """One plate or set answered with Tab, Space, Enter and the arrows alone."""
    for _ in range(60):
        page.keyboard.press("Tab")
        at = page.evaluate(FOCUSED)
        if at["id"] == "go":
            if not at["off"]:
                return
        elif at["role"] == "slider":
            page.keyboard.press("ArrowRight")
        elif at["tap"] and not at["on"]:
            page.keyboard.press("Enter")
        elif at["type"] in ("radio", "checkbox") and not at["done"]:
            page.keyboard.press("Space")
    raise AssertionError("the button was never reached by Tab")


def done(page, press):
    """What is marked is given, and the rinse is over."""
    press()
    if page.locator("#rinse").is_visible():
        page.wait_for_selector("#go:not([disabled])")
        page.locator("#go").click()


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_of_ballot_from_the_leads_choice_to_what_is_said_of_it(browser, served, kind):  # noqa: F811
    lead = served.lead()
    study = crackers(lead)
    planned(lead, study)
    name = study.split("/")[-1]
    desk = at_the_desk(browser, served, LAPTOP)
    links = laid_by_the_lead(desk, served, study, kind)
    ada = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True).new_page()
    bo = browser.new_context(viewport=PHONE).new_page()
    wrong = []
    for page, who in ((ada, "Ada"), (bo, "Bo")):
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(links[who])
    sitting = read_study(served.book, name).sittings[-1]
    sets = {who: [s.code for s in sitting.of(who)] for who in links}
    assert ada.locator("body").get_attribute("data-codes").split() == sets["Ada"]
    assert ada.locator("#go").is_disabled()
    without_faults(ada, kind)
    assert ada.evaluate(TOO_SMALL) == []

    ada.locator("#words").fill("as I found it")
    touched(ada)
    picture(ada, f"{kind} marked")
    ada.reload()  # half done: what was marked is still there
    assert ada.locator("#words").input_value() == "as I found it" and ada.locator("#go").is_enabled()
    ada.context.set_offline(True)
    done(ada, lambda: ada.locator("#go").tap())
    ada.wait_for_selector("text=kept on this phone" if sitting.by_plate else "text=are kept on this phone")
    if len(sets["Ada"]) > 1:
        ada.wait_for_selector("#unheard:visible")
        without_faults(ada, f"{kind} without wifi")
        touched(ada)
        done(ada, lambda: ada.locator("#go").tap())
    assert not read_study(served.book, name).answers
    ada.context.set_offline(False)
    ada.reload()
    while ada.locator("#taste").is_visible():
        touched(ada)
        done(ada, lambda: ada.locator("#go").tap())
    while bo.locator("#taste").is_visible():
        typed(bo)
        done(bo, lambda: bo.keyboard.press("Enter"))
    for page in (ada, bo):
        assert page.locator("#choose h1").inner_text() == "One last thing"
        if page is ada:
            without_faults(page, f"{kind} last thing")
            page.locator("#choice .tick").tap()
        page.locator("#go").click()
        page.wait_for_selector("text=Thank you. That was all.")
    desk.wait_for_selector("text=Everyone has finished", timeout=15_000)
    answers = read_study(served.book, name).answers
    assert sorted((a.taster, a.code) for a in answers) == sorted((who, code) for who, codes in sets.items() for code in codes)
    desk.goto(f"{served.address}{study}/tasting")
    desk.get_by_role("button", name="Close the tasting").click()
    desk.wait_for_selector("text=In their words")
    said = desk.locator("#page").inner_text()
    assert NAMES[kind] in said and "The verdict’s scores stay as they are." in said and "“as I found it” (Ada, of " in said
    assert "May be quoted, without a name: Ada." in said
    without_faults(desk, f"{kind} said")
    desk.goto(f"{served.address}{study}/verdict")
    picture(desk, f"{kind} verdict")
    assert desk.wrong == [] and wrong == []
    for page in (ada, bo, desk):
        page.context.close()
