"""Every page of the app, each opened once in a real browser: faults of access in light and dark, the keyboard, sideways scrolling, raw words."""

import os
import re
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

import pytest

from .all_pages import empty_pages, full_pages, other_ballots, work_pages
from .conftest import Kitchen
from .test_browser import AXE_TAGS, LAPTOP, PHONE, at_the_desk, browser, serving  # noqa: F401  fixtures

pytestmark = pytest.mark.browser
SHEET = {"width": 680, "height": 1009}  # what 15 mm margins leave of A4, in CSS pixels; US Letter is wider
NARROWEST = 320  # CSS pixels: WCAG 2.2, success criterion 1.4.10
LOOKED_OVER = Path(__file__).with_name("looked_over.js")
TAB = {"type": "rawKeyDown", "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9}  # sent as it is: half the way of a whole press
WALKS = 3   # a press may go astray on a busy machine while the focus is outside the page; what can't be reached isn't reached on any walk
TAGS = [*AXE_TAGS, "best-practice"]
RAW = {
    "a date as machines write it": r"\b20\d\d-\d\d-\d\d\b",
    "a wrong plural": r"\b1 (trials|loads|rounds|tasters|ballots|plates|versions|makes|studies|minutes|questions|times|readings|things|ways)\b",
    "a value of the program's": r"\bNone\b(?! yet| of|\.)|\b(True|False|nan|NaN|undefined|null)\b|\[\d+, \d+\]|\{\{|&amp;|<Markup",
    "a figure with too many digits": r"(?<![\d.])\d+\.\d{4,}(?! g/mL)",
    "a temperature without its sign": r"\b\d{2,3} [CF]\b(?! fan)",
}
ON_SCREEN_ONLY = ("ballot", "words", "liking", "ranking", "triangle")  # a phone's pages: paper ballots are their own document
TYPED = ("brief", "edition", "editions")  # where the recipe's own words stand, as typed
WORDS = "[...document.querySelectorAll('main')].map((e) => e.innerText).join('\\n')"


@dataclass
class Looked:
    """What one page showed."""

    faults: list[tuple[str, str, str]] = field(default_factory=list)
    wide: dict[int, int] = field(default_factory=dict)
    stops: list[str] = field(default_factory=list)
    reached: set[int] = field(default_factory=set)
    unseen: list[str] = field(default_factory=list)
    covered: list[str] = field(default_factory=list)
    pressed: list[str] = field(default_factory=list)
    headings: list[str] = field(default_factory=list)
    text: str = ""
    printed: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def axe(page, **runonly) -> list[tuple[str, str]]:
    """What axe-core finds: (its rule, the first element)."""
    found = page.evaluate("options => axe.run(document, options)", {"runOnly": runonly, "resultTypes": ["violations"]})
    return [(v["id"], v["nodes"][0]["html"][:140]) for v in found["violations"]]


def look_at(page, where: str, pictures: str = "", whole: bool = True) -> Looked:
    """One page, opened once: light on a phone, dark on a laptop, then, where it is to be looked at whole, by keyboard and printed."""
    out = Looked()
    page.wrong.clear()
    page.emulate_media(color_scheme="light", reduced_motion="reduce")
    page.set_viewport_size(PHONE)
    page.goto(where)
    page.evaluate(LOOKED_OVER.read_text(encoding="utf-8"))
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    out.text = page.evaluate(WORDS)
    if pictures:
        page.screenshot(path=f"{pictures}-phone.png", full_page=True)
    page.evaluate("lookedOver.open()")
    out.faults += [("light", *f) for f in axe(page, type="tag", values=TAGS)]
    out.headings = page.evaluate("[...document.querySelectorAll('h1')].filter((e) => e.checkVisibility()).map((e) => e.innerText)")
    for width in (PHONE["width"], NARROWEST, LAPTOP["width"]):
        if width != PHONE["width"]:
            page.set_viewport_size({**PHONE, "width": width} if width < PHONE["width"] else LAPTOP)
        out.wide[width] = page.evaluate("document.documentElement.scrollWidth")
        if width != NARROWEST:
            seen = page.evaluate("lookedOver.focus()")
            out.unseen += seen["unseen"]
            out.covered += [f"{width}: {c}" for c in seen["covered"]]
    out.pressed, out.wrong = page.evaluate("lookedOver.pressed()"), list(page.wrong)
    page.emulate_media(color_scheme="dark")
    if pictures:
        page.screenshot(path=f"{pictures}-laptop-dark.png", full_page=True)
    out.faults += [("dark", *f) for f in axe(page, type="rule", values=["color-contrast"])]
    if not whole:
        return out
    walk = page.evaluate("lookedOver.stops()")
    keys = page.context.new_cdp_session(page)
    out.stops = walk["words"]
    for _ in range(WALKS):
        for _ in range(walk["presses"]):
            keys.send("Input.dispatchKeyEvent", TAB)
        out.reached = {int(n) for n in page.evaluate("window.visited") if n is not None}
        if len(out.reached) == len(out.stops):
            break
    keys.detach()
    page.set_viewport_size(SHEET)
    page.emulate_media(media="print", color_scheme="dark")
    out.printed = page.evaluate("lookedOver.printed()")
    out.wide[SHEET["width"]] = page.evaluate("document.documentElement.scrollWidth")
    if page.evaluate("getComputedStyle(document.body).backgroundColor") != "rgb(255, 255, 255)":
        out.printed.append("a dark sheet")
    page.emulate_media(media="screen")
    out.wrong = list(page.wrong)
    return out


@pytest.fixture(scope="module")
def looked(browser, tmp_path_factory) -> dict[str, Looked]:  # noqa: F811
    """Every page, looked at once; PROOFPAN_PICTURES names a folder for pictures of them."""
    kitchen = tmp_path_factory.mktemp("kitchen")
    folder = os.environ.get("PROOFPAN_PICTURES", "")
    with serving(kitchen) as served:
        served: Kitchen
        page = at_the_desk(browser, served, PHONE)
        out = {f"{p}, nothing there": look_at(page, served.address + path) for p, path in (("first", "/"), ("notebook", "/notebook"))}
        pages = empty_pages(served) | full_pages(served) | other_ballots(served, "liking ranking triangle") | work_pages(served)
        for name, path in pages.items():
            pictures = f"{folder}/{name.replace(' ', '-')}" if folder else ""
            out[name] = look_at(page, served.address + path, pictures, whole="nothing " not in name)
        page.context.close()
    return out


def told(looked, what) -> list:
    """(page, fault) of every page that has one."""
    return [(name, fault) for name, page in looked.items() for fault in what(page)]


def test_every_page_of_the_app_is_looked_at(looked):
    from proofpan.web.app import PAGES

    named = {n.split(",")[0] for n in looked}
    without_a_page = {"begin", "papers"}
    assert {p.replace("_", "-") for p in PAGES} - without_a_page <= named
    assert len(looked) > 65


def test_no_page_has_a_fault_of_access_in_light_or_dark(looked):
    assert told(looked, lambda page: page.faults) == []


def test_every_page_says_one_thing_first(looked):
    assert [(n, p.headings) for n, p in looked.items() if len(p.headings) != 1 or not p.headings[0].strip()] == []


def test_no_page_scrolls_sideways(looked):
    assert told(looked, lambda page: [(width, wide) for width, wide in page.wide.items() if wide > width]) == []


def test_every_control_is_reached_with_the_tab_key_and_none_keeps_it(looked):
    assert told(looked, lambda page: [words for i, words in enumerate(page.stops) if i not in page.reached]) == []


def test_focus_shows_and_is_never_wholly_covered(looked):
    assert told(looked, lambda page: page.unseen) == []
    assert told(looked, lambda page: page.covered) == []


def test_nothing_is_to_be_pressed_that_the_keyboard_cannot_press(looked):
    assert told(looked, lambda page: page.pressed) == []


def test_a_printed_page_is_white_without_what_only_a_screen_can_do(looked):
    assert [f for f in told(looked, lambda page: page.printed) if f[0] not in ON_SCREEN_ONLY] == []


def test_no_page_breaks_in_its_script(looked):
    assert told(looked, lambda page: [w for w in page.wrong if "404" not in w]) == []


@pytest.mark.parametrize("fault", RAW)
def test_pages_speak_words_not_values(looked, fault):
    found = told(looked, lambda page: [m.group() for m in re.finditer(RAW[fault], page.text)])
    assert [f for f in found if f[0] not in TYPED] == []
