"""The brief in a real browser: from nothing to a plan that changes as one types, on two devices at once, through a reload."""

import time

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import crackers
from .test_brief import PASTED
from .test_browser import PHONE, at_the_desk, browser, served, serving  # noqa: F401

pytestmark = pytest.mark.browser


def saved(page, note):
    """The page says that it kept something, by the name that an undo would use."""
    page.wait_for_selector(f"text=Undo: {note}", timeout=15_000)


def test_a_newcomer_on_a_phone_comes_from_a_pasted_recipe_to_a_plan(browser, served):  # noqa: F811
    page = at_the_desk(browser, served, PHONE, has_touch=True)
    begun, steps = time.monotonic(), 0

    def did(what):
        nonlocal steps
        steps += 1
        what()

    did(lambda: page.locator("#recipe").fill(PASTED))
    did(lambda: page.get_by_role("button", name="Start the brief").tap())
    page.wait_for_url("**/brief")
    assert "Rub in the butter" in page.locator("#recipe").input_value()  # it stays open as the working draft
    did(lambda: page.get_by_text("Mark what varies, line by line").tap())
    did(lambda: page.get_by_role("button", name="60 g unsalted butter varies").tap())
    did(lambda: page.keyboard.type("olive oil"))
    did(lambda: page.locator("#f-to").fill("50 g olive oil"))
    did(lambda: page.get_by_role("button", name="Add it").tap())
    page.wait_for_selector("text=swap unsalted butter for 50 g olive oil")
    assert page.locator("h1").inner_text() == "Is olive oil better than unsalted butter?"
    assert page.locator(".factor").count() == 1  # what stood there until something was said has gone
    did(lambda: page.locator("#new").fill("snap"))
    did(lambda: page.get_by_role("button", name="Keep what is judged").tap())
    snap = page.locator("#weight-1")
    page.wait_for_selector("#weight-1[aria-valuetext]")  # the page's script is there: on a busy machine that comes after the slider
    did(lambda: snap.press("ArrowRight"))
    snap.press("ArrowRight")
    assert snap.get_attribute("aria-valuetext") == "3 of 10"
    liking = page.locator("#weight-0")
    liking.scroll_into_view_if_needed()
    box = liking.bounding_box()
    did(lambda: page.touchscreen.tap(box["x"] + 0.6 * box["width"], box["y"] + box["height"] / 2))
    assert page.locator("output[for=weight-0]").inner_text() == "6 of 10"
    saved(page, "changed the weights")
    for name, value in (("trays", "2"), ("places", "3"), ("loads", "2"), ("plates", "0"), ("hours", "09:00-15:00"), ("tasters", "Ada, Bo")):
        did(lambda name=name, value=value: page.locator(f"#{name}").fill(value))
    page.keyboard.press("Tab")
    assert page.locator("#ovens").input_value() == "1"  # where there are trays there is an oven
    saved(page, "Ada and Bo taste too")
    page.wait_for_selector("label:has-text('Bo doesn’t eat')")
    page.wait_for_selector("text=36, in up to 3 rounds of 12")
    assert "was 12, in up to 3 rounds of 4" in page.locator("#plan").inner_text()
    assert page.locator("#short").inner_text() == "36 trials, 72 ballots, 3 h 00 at the table"
    page.wait_for_selector("#plan [data-work]", timeout=15_000)
    page.get_by_role("button", name="Stop it").tap()
    page.wait_for_selector("text=Stopped. Nothing was kept.", timeout=15_000)
    # a person needs about ten seconds a step: within the five minutes that are promised
    assert steps <= 20 and 10 * steps + (time.monotonic() - begun) < 300
    study = read_study(served.book, page.url.split("/")[-2])
    assert [a.weight for a in study.attributes] == [6, 3] and study.brief.kitchen.hours == ("09:00-15:00",)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.wrong == []


def test_two_devices_change_one_brief_and_neither_loses_a_word(browser, served):  # noqa: F811
    study = crackers(served.lead())
    tablet, phone = at_the_desk(browser, served), at_the_desk(browser, served, PHONE)
    for page in (tablet, phone):
        page.goto(f"{served.address}{study}/brief")
    name = study.split("/")[-1]
    # different parts: both stand, though the phone has not seen what the tablet did
    tablet.locator("#question").fill("From the tablet?")
    tablet.locator("#title").focus()
    saved(tablet, "changed the question")
    phone.locator("#at_most").fill("2")
    saved(phone, "changed rounds at most from 4 to 2")
    now = read_study(served.book, name)
    assert (now.question, now.plan.at_most) == ("From the tablet?", 2)
    # the same part: the second is told what the first did, keeps its words on the page, and decides
    tablet.locator("#passes").fill("3")
    tablet.wait_for_selector("form > .err", timeout=15_000)
    said = tablet.locator("form > .err").inner_text()
    assert "changed on another device meanwhile" in said and "“changed rounds at most from 4 to 2”" in said
    assert tablet.locator("#passes").input_value() == "3" and read_study(served.book, name).plan.passes == 1
    with tablet.expect_navigation():
        tablet.get_by_role("button", name="Keep the kitchen").click()
    assert read_study(served.book, name).plan.passes == 3
    assert [w for page in (tablet, phone) for w in page.wrong if "409" not in w] == []


def test_what_is_typed_while_the_network_is_away_is_there_after_a_reload_and_then_kept(browser, served):  # noqa: F811
    study = crackers(served.lead())
    page = at_the_desk(browser, served)
    page.goto(f"{served.address}{study}/brief")
    other = served.lead()
    page.route("**/brief", lambda route: route.abort() if route.request.method == "POST" else route.continue_())
    page.locator("#question").fill("Half a thought")
    page.locator("#title").focus()
    page.wait_for_selector("text=the kitchen’s computer is away")
    other.post(f"{study}/brief", what="limits", active_minutes="40", base="1")  # elsewhere another part is changed meanwhile
    page.unroute("**/brief")
    page.reload()
    assert page.locator("#question").input_value() == "Half a thought"
    saved(page, "changed the question")
    now = read_study(served.book, study.split("/")[-1])
    assert now.question == "Half a thought" and now.brief.limits.active_minutes == 40


def test_limits_hours_and_ovens_move_the_plan_as_they_are_typed(browser, served):  # noqa: F811
    study = crackers(served.lead())
    page = at_the_desk(browser, served)
    page.goto(f"{served.address}{study}/brief")
    plan = page.locator("#plan")
    page.locator("#active_minutes").type("20")
    plan.get_by_text("24, 12 outside the limits").wait_for(timeout=5000)
    page.locator("#hours").type("09:00-10:00")
    plan.get_by_text("1 h 10 of 1 h 00").or_(plan.get_by_text("The oven alone is busy for")).first.wait_for(timeout=5000)
    page.get_by_role("button", name="Ovens (0: none), one more").click()
    plan.get_by_text("of 16").wait_for(timeout=5000)
    saved(page, "changed ovens and hours")
    assert len(read_study(served.book, study.split("/")[-1]).brief.kitchen.ovens) == 2
    assert page.wrong == []


def test_a_run_of_presses_is_one_undo(browser, served):  # noqa: F811
    study = crackers(served.lead())
    page = at_the_desk(browser, served)
    page.goto(f"{served.address}{study}/brief")
    more = page.get_by_role("button", name="Rounds at most, one more")
    for there in ("5", "6"):
        more.click()
        saved(page, f"changed rounds at most from 4 to {there}")
    page.get_by_role("button", name="Undo: changed rounds at most from 4 to 6").click()
    page.wait_for_selector("text=Undid: changed rounds at most from 4 to 6")
    assert page.locator("#at_most").input_value() == "4" and page.locator("text=Undo:").count() == 0
    assert page.wrong == []


def test_a_study_goes_out_as_a_file_and_comes_into_another_kitchen_whole(browser, served, tmp_path):  # noqa: F811
    study = crackers(served.lead())
    page = at_the_desk(browser, served)
    page.goto(f"{served.address}{study}/brief")
    page.locator("#question").fill("Which fat, and is a rest worth it?")
    page.locator("#title").focus()
    saved(page, "changed the question")
    with page.expect_download() as taken:
        page.get_by_role("link", name="Take it as a file").click()
    file = tmp_path / "taken.yaml"
    taken.value.save_as(file)
    assert "Which fat, and is a rest worth it?" in file.read_text(encoding="utf-8")
    (tmp_path / "other").mkdir()
    with serving(tmp_path / "other") as other:
        there = at_the_desk(browser, other, PHONE, has_touch=True)
        there.get_by_text("Begin with what is there").tap()
        there.locator("#file").set_input_files(file)
        there.get_by_role("button", name="Bring it in").tap()
        there.wait_for_url("**/study/**")
        name = there.url.split("/study/")[1].split("/")[0]
        brought, ours = read_study(other.book, name), read_study(served.book, study.split("/")[-1])
        assert brought.brief == ours.brief
        bad = tmp_path / "bad.yaml"
        bad.write_text(file.read_text(encoding="utf-8").replace("swap: unsalted butter", "swap: salted buter"), encoding="utf-8")
        there.goto(other.address)
        there.get_by_text("Begin with what is there").tap()
        there.locator("#file").set_input_files(bad)
        there.get_by_role("button", name="Bring it in").tap()
        there.wait_for_selector("#wrong")
        assert "Did you mean" in there.locator("#wrong").inner_text() and len(other.book.studies()) == 1
        assert there.wrong == []
    assert page.wrong == []
