"""The cook's page in a browser: clocks that run out, two at once, over midnight, over a reload, beside another device."""

from datetime import UTC, datetime

from .conftest import crackers, planned
from .test_browser import PHONE, at_the_desk, browser, served  # noqa: F401

TODAY = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def at_the_cook_page(browser, served, trial: int = 1, at: datetime = TODAY):  # noqa: F811
    """A phone at a trial's sheet whose clock stands until it is moved; its time zone is the kitchen's."""
    page = at_the_desk(browser, served, PHONE, timezone_id="UTC")
    page.clock.install(time=at)
    page.goto(f"{served.address}{served.study}/cook?trial={trial}")
    return page


def with_a_round(served):  # noqa: F811
    """The crackers with a round to cook."""
    lead = served.lead()
    served.study = crackers(lead)
    planned(lead, served.study)
    return lead


def test_the_clock_says_when_to_look_and_by_how_much_it_is_over_also_after_a_reload(browser, served):  # noqa: F811
    with_a_round(served)
    page = at_the_cook_page(browser, served)
    look, left = page.locator("[data-look]"), page.locator("[data-clock] .left")
    page.get_by_role("button", name="Now").first.click()
    page.clock.run_for(60_000)
    assert left.inner_text().startswith("1:") and look.inner_text() == ""
    page.reload()
    page.clock.run_for("16:30")
    assert left.inner_text().startswith("17:") and look.inner_text() == "Look at it now."
    page.clock.run_for("06:00")
    assert look.inner_text().endswith("min longer than expected.")
    assert page.wrong == []


def test_what_went_in_before_midnight_counts_on_and_what_is_still_to_come_doesnt(browser, served):  # noqa: F811
    with_a_round(served)
    page = at_the_cook_page(browser, served, at=datetime(2026, 11, 26, 0, 5, tzinfo=UTC))
    page.get_by_label("In at").fill("23:55")
    page.clock.run_for(2000)
    assert page.locator("[data-clock] .left").inner_text().startswith("10:0")
    page.get_by_label("In at").fill("00:30")
    page.clock.run_for(2000)
    assert not page.locator("[data-clock] .left").is_visible()


def test_two_that_are_in_at_once_both_count_and_neither_is_called_cooked(browser, served):  # noqa: F811
    lead = with_a_round(served)
    lead.post(f"{served.study}/cook", what="sheet", trial="1", start="11:50", once="a")
    page = at_the_cook_page(browser, served, 2)
    page.get_by_label("In at").fill("11:55")
    assert page.locator(".tray li").first.locator("em").inner_text() == "In since 11:50. 10 min."
    page.clock.run_for(2000)
    assert page.locator("[data-clock] .left").inner_text().startswith("5:0")
    others = page.locator(".tray li").count()
    for trial in range(2, others + 1):
        answer = lead.post(f"{served.study}/cook", what="sheet", trial=str(trial), start="11:30", out="11:48", once=str(trial))
    assert answer.headline == "Trial 1 is still in." and 'class="act" form="sheet"' in answer.text
    answer = lead.post(f"{served.study}/cook", what="sheet", trial="1", start="11:50", out="12:08", once="z")
    assert answer.headline == f"All {others} are cooked. Taste them." and 'class="btn act"' in answer.text and "In since" not in answer.text


def test_a_phone_that_slept_shows_what_the_other_device_said_and_keeps_what_is_typed(browser, served):  # noqa: F811
    lead = with_a_round(served)
    lead.post(f"{served.study}/day", start=f"{served.clock.now.astimezone():%Y-%m-%dT%H:%M}", eat="", once="a")
    page = at_the_cook_page(browser, served)
    page.locator("#note").fill("sticky")
    task = page.locator(".ontime [name=task]").first.input_value()
    lead.post(f"{served.study}/day/moved", what="started", task=task, once="b")
    see = """(hidden) => { Object.defineProperty(document, 'hidden', { value: hidden, configurable: true });
        document.dispatchEvent(new Event('visibilitychange')); }"""
    page.evaluate(see, True)
    page.clock.fast_forward("07:00")
    page.evaluate(see, False)
    page.locator(".ontime").get_by_role("button", name="Done").wait_for()
    assert page.locator("#note").input_value() == "sticky" and page.wrong == []


def test_a_press_while_the_kitchens_computer_is_away_waits_and_is_sent_with_its_minutes(browser, served):  # noqa: F811
    lead = with_a_round(served)
    lead.post(f"{served.study}/day", start=f"{served.clock.now.astimezone():%Y-%m-%dT%H:%M}", eat="", once="a")
    page = at_the_cook_page(browser, served)
    page.context.set_offline(True)
    page.locator(".ontime").get_by_role("button", name="Started").click()
    page.locator("#waiting").get_by_text("Kept on this device").wait_for()
    served.clock.move(minutes=6)
    page.clock.fast_forward("06:05")
    page.context.set_offline(False)
    page.clock.run_for("00:05")
    page.locator(".ontime").get_by_role("button", name="Done").wait_for()
    at = f"{TODAY.astimezone():%-H:%M}"
    assert f"started at {at}" in page.locator(".ontime").inner_text().replace("\u00a0", " ")
