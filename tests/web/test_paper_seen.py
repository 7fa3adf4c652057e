"""Ballots that come on paper, typed fast by keyboard, and a tie-break in two taps, in a real browser."""

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import codes_of, crackers, marks, opened, planned
from .test_browser import LAPTOP, PHONE, at_the_desk, browser, mark_lines, served  # noqa: F401  fixtures
from .test_kinds_seen import done, laid_by_the_lead, picture, without_faults

pytestmark = pytest.mark.browser
CELL = "document.activeElement.getAttribute('aria-label')"


def at_paper(browser, served, kind=""):  # noqa: F811
    """The grid of a round, on a laptop: (its page, the study's name)."""
    lead = served.lead()
    study = crackers(lead)
    planned(lead, study)
    desk = at_the_desk(browser, served, LAPTOP)
    if kind:
        laid_by_the_lead(desk, served, study, kind)
    else:
        opened(lead, study)
    desk.goto(f"{served.address}{study}/tasting")
    desk.get_by_role("link", name="Type in a paper ballot").click()
    desk.wait_for_selector("#grid td input")
    return desk, study.split("/")[-1]


def test_a_grid_is_typed_by_enter_tab_and_arrows_and_a_wrong_mark_is_said_by_its_cell(browser, served):  # noqa: F811
    desk, name = at_paper(browser, served)
    first = desk.locator("#grid tbody tr").first
    lines = first.locator("td input").count() - 1
    first.locator("td input").first.focus()
    for n in range(lines):  # one row, as fast as it is typed
        desk.keyboard.type("6")
        desk.keyboard.press("Enter" if n % 2 else "Tab")
    assert desk.evaluate(CELL).endswith(", words")
    desk.keyboard.type("crisp")
    desk.keyboard.press("Enter")
    here = desk.evaluate(CELL)
    desk.keyboard.press("ArrowDown")
    below = desk.evaluate(CELL)
    desk.keyboard.press("ArrowUp")
    assert desk.evaluate(CELL) == here != below
    desk.keyboard.press("ArrowRight")
    assert desk.evaluate(CELL).split(", ")[1] == here.split(", ")[1] and desk.evaluate(CELL) != here
    desk.keyboard.press("ArrowLeft")
    desk.keyboard.type("66")  # a slip: 66 for 6.6
    desk.keyboard.press("ArrowLeft")  # within what is typed an arrow moves the caret alone
    assert desk.evaluate(CELL) == here
    for _ in range(lines - 1):
        desk.keyboard.press("Enter")
        desk.keyboard.type("4")
    assert not read_study(served.book, name).ballot_records  # Enter has sent nothing
    desk.reload()
    assert first.locator("td input").last.input_value() == "crisp"
    desk.get_by_role("button", name="Keep these ballots").click()
    desk.wait_for_selector("td #wrong")
    said = desk.locator("td #wrong").inner_text()
    assert "66" in said and here.split("plate ")[1][:3] in said and desk.evaluate(CELL) == here
    assert desk.evaluate("document.activeElement.getAttribute('aria-invalid')") == "true"
    assert not read_study(served.book, name).ballot_records
    without_faults(desk, "paper grid")
    desk.reload()  # what was refused is still there to be put right
    assert desk.get_by_label(here, exact=True).input_value() == "66"
    desk.get_by_label(here, exact=True).fill("6.6")
    desk.get_by_role("button", name="Keep these ballots").click()
    desk.wait_for_selector("text=with the kitchen >> nth=1")
    kept = read_study(served.book, name).ballot_records
    assert len({b.trial for b in kept}) == 2 and 6.6 in {b.score for b in kept} and {b.taster for b in kept} == {"Ada"}
    desk.reload()
    assert desk.locator("#grid td input").first.input_value() == ""  # nothing that is kept is offered again
    desk.set_viewport_size(PHONE)
    without_faults(desk, "paper grid on a phone")
    assert desk.wrong == []
    desk.context.close()


@pytest.mark.parametrize("kind", ["ranking", "triangle", "liking"])
def test_the_grid_of_another_ballot_is_typed_and_refused_the_same_way(browser, served, kind):  # noqa: F811
    desk, name = at_paper(browser, served, kind)
    sitting = read_study(served.book, name).sittings[-1]
    found = sitting.of("Ada")[0]
    cell = desk.locator("#grid td input").first
    cell.focus()
    desk.keyboard.type("000")
    desk.get_by_role("button", name="Keep these ballots").click()
    desk.wait_for_selector("td #wrong")
    said = desk.locator("td #wrong").inner_text()
    assert said.startswith(f"Ada, {found.code.replace('+', ' ')}: ")
    without_faults(desk, f"paper grid {kind}")
    cell.fill("7" if kind == "liking" else " ".join(found.open_codes) if kind == "ranking" else found.open_codes[0])
    desk.keyboard.press("Enter")
    desk.get_by_role("button", name="Keep these ballots").click()
    desk.wait_for_selector("td >> text=with the kitchen")
    assert [(a.taster, a.code) for a in read_study(served.book, name).answers] == [("Ada", found.code)]
    assert desk.wrong == []
    desk.context.close()


def test_a_tie_break_takes_two_taps_one_colleague_tastes_both_orders_and_the_vote_moves_the_odds(browser, served):  # noqa: F811
    lead = served.lead()
    study = crackers(lead)
    planned(lead, study)
    for address in opened(lead, study).values():
        person = served.stranger()
        for i, code in enumerate(codes_of(person.get(address))):
            person.client.post(address + "/marks", json={"code": code, **marks(3 + i % 5)})
    lead.post(f"{study}/tasting", what="close")
    desk = at_the_desk(browser, served, PHONE, has_touch=True)
    desk.goto(f"{served.address}{study}/verdict")
    desk.locator("#tie summary").tap()  # one
    assert desk.locator("#tie [name=version]:checked").count() == 2
    without_faults(desk, "tie-break offered")
    desk.get_by_role("button", name="Code two plates").tap()  # two
    desk.wait_for_url("**/tasting")
    told = desk.locator("#page").inner_text()
    assert "A colleague who picks it moves that to" in told and "Serve both plates at once" in told
    without_faults(desk, "tie-break coded")
    desk.get_by_role("button", name="Open the tasting").tap()
    desk.wait_for_selector("text=Sealed")
    assert "picks it moves that to" not in served.stranger().get("/t").text
    phone = browser.new_context(viewport=PHONE, has_touch=True).new_page()
    phone.goto(desk.get_by_role("link", name="Open it here").first.get_attribute("href"))
    round_ = read_study(served.book, study.split("/")[-1]).rounds[-1]
    (order,) = round_.serving
    version = {p.code: p.trial for p in round_.plates}
    assert [version[c] for c in order.codes[:2]] == [version[c] for c in order.codes[:1:-1]]  # the second turn is served the other way round
    assert phone.locator("body").get_attribute("data-codes").split() == list(order.codes)
    without_faults(phone, "tie-break ballot")
    wanted = version[order.codes[0]]
    while phone.locator("#taste").is_visible():
        mark_lines(phone, 0.9 if version[phone.locator("#plate").inner_text()] == wanted else 0.2)
        done(phone, lambda: phone.locator("#go").tap())
    phone.locator("#choice label").first.tap()
    phone.locator("#go").tap()
    phone.wait_for_selector("text=Thank you. That was all.")
    desk.wait_for_selector("text=Everyone has finished", timeout=15_000)
    desk.goto(f"{served.address}{study}/tasting")
    desk.get_by_role("button", name="Close the tasting").tap()
    desk.wait_for_selector("text=What they said")
    assert "Before this vote" in desk.locator("#page").inner_text() and "As it stands" not in desk.locator("#page").inner_text()
    without_faults(desk, "tie-break revealed")
    desk.get_by_role("link", name="Read the verdict").tap()
    desk.wait_for_selector("text=What we asked")
    picture(desk, "tie-break verdict")
    assert desk.wrong == []
    for page in (phone, desk):
        page.context.close()
