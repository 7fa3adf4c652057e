"""Phones that come late, go away, are wiped or are left out, in a real browser: each is told what is so, and what was marked stays or goes as promised."""

import pytest

from proofpan.notebook.shelf import read_study

from .test_browser import at_the_desk, browser, mark_lines, served  # noqa: F401 - fixtures
from .test_table import codes_on, one_plate, phone_of, until

pytestmark = pytest.mark.browser
THREE = """title: White bean dip
invented: true
tasters: [Ada, Bo, Cleo]
attributes: [{name: snap}, {name: flavour}]
factors: [{name: fat, options: [{name: olive oil}, {name: tahini}, {name: butter}]}]
rounds: {plates: 3}
"""


def table_for(served, tasters=THREE):  # noqa: F811
    """(the lead, the study's address, its name, {taster: the address of their ballot})"""
    from .conftest import opened

    lead = served.lead()
    study = lead.post("/import", files={"file": ("dip.yaml", tasters.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    lead.post(f"{study}/rounds", what="plan", seed="3")
    return lead, study, study.split("/")[-1], {who: served.address + path for who, path in opened(lead, study).items()}


def marked_by(served, name):  # noqa: F811
    return {(b.taster, b.trial) for b in read_study(served.book, name).ballot_records}


def test_a_phone_that_was_away_asks_first_and_hears_what_was_taken_back_and_what_came_too_late(browser, served):  # noqa: F811
    lead, study, name, links = table_for(served)
    ada, bo = phone_of(browser, links["Ada"]), phone_of(browser, links["Bo"])
    first, second, third = codes_on(ada)
    round_ = read_study(served.book, name).rounds[-1]
    for page in (ada, bo):
        page.context.set_offline(True)
    ada.wait_for_selector("text=Ask the kitchen before you taste the next plate")
    one_plate(ada, 0.7)
    ada.wait_for_selector(f"text={first} is kept on this phone")
    assert ada.locator("#unheard").is_visible()
    for code in (first, second):  # one that was tasted meanwhile, and the one that still shows
        lead.post(f"{study}/cook", what="sheet", trial=str(round_.plate("Ada", code).trial), failed="not safe to taste", once=code)
    assert ada.locator("h1 [data-code]").inner_text() == second  # it can't know
    ada.context.set_offline(False)
    ada.wait_for_selector(f"text=Leave plate {second}. The kitchen has taken it back")
    ada.wait_for_selector(f"text=You tasted plate {first}, and the kitchen has taken it back since")
    assert ada.locator("h1 [data-code]").inner_text() == third and not ada.locator("#unheard").is_visible()
    until(ada, lambda: ("Ada", round_.plate("Ada", first).trial) in marked_by(served, name))
    ada.reload()  # loaded again, it still says what was tasted and is none
    ada.wait_for_selector(f"text=You tasted plate {first}")

    one_plate(bo, 0.7)
    marked = codes_on(bo)[0]
    lead.post(f"{study}/tasting", what="close")
    bo.context.set_offline(False)
    bo.wait_for_selector("text=The tasting is closed. Thank you.")
    assert f"{marked}: 7" in bo.locator("#kept-more").inner_text() and bo.locator("#marks").is_hidden() and bo.locator("#go").is_hidden()
    assert "Bo" not in {who for who, _ in marked_by(served, name)}
    ada.evaluate("dispatchEvent(new Event('online'))")
    ada.wait_for_selector("text=Everything that reached the kitchen counts.")
    for page in (ada, bo):
        page.context.close()
