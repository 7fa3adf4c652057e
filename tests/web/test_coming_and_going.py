"""Phones that come late, go away, are wiped or are left out, in a real browser: each is told what is so, and what was marked stays or goes as promised."""

import pytest

from proofpan.notebook.shelf import read_study

from .conftest import planned
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
    planned(lead, study)
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
    assert ada.locator("#gone").bounding_box()["y"] < ada.locator("#plate").bounding_box()["y"] and ada.evaluate("scrollY") == 0
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


def seat_words(desk):
    """{taster: what the board says of them now}"""
    return {row.locator("th").inner_text(): row.locator("td").last.inner_text() for row in desk.locator(".board tbody tr").all()}


def test_one_comes_late_one_is_wiped_one_goes_home_and_one_is_left_out(browser, served):  # noqa: F811
    from proofpan.steps.verdict import judge

    lead, study, name, links = table_for(served)
    desk = at_the_desk(browser, served)
    desk.goto(f"{served.address}{study}/tasting")
    phones = {who: phone_of(browser, link) for who, link in links.items()}
    for who, page in phones.items():
        one_plate(page, 0.3 if who == "Bo" else 0.8)
    until(desk, lambda: len(marked_by(served, name)) == 3)

    desk.get_by_label("Name").fill("Gus")
    desk.get_by_role("button", name="Let them in").click()
    card = desk.locator(".cards li", has_text="Gus")
    gus = phone_of(browser, card.get_by_role("link", name="Open it here").get_attribute("href"))
    assert not set(codes_on(gus)) & {c for page in phones.values() for c in codes_on(page)} and len(codes_on(gus)) == 3
    for at in (0.2, 0.5, 0.6):
        one_plate(gus, at)
    gus.locator("#choice label:visible").first.click()
    gus.locator("#go").click()
    gus.wait_for_selector("text=Thank you. That was all.")
    until(desk, lambda: {b.late for b in read_study(served.book, name).ballot_records if b.taster == "Gus"} == {True})

    phones["Ada"].context.close()  # a phone wiped clean, or another one: what is with the kitchen isn't asked again
    phones["Ada"] = phone_of(browser, links["Ada"])
    assert phones["Ada"].locator("#place").inner_text() == "Ada, plate 2"
    for _ in range(2):
        one_plate(phones["Ada"], 0.8)

    served.clock.move(minutes=5)
    desk.get_by_label("Who?").first.select_option("Cleo")
    desk.get_by_role("button", name="They’ve gone home").click()
    desk.wait_for_function("document.querySelector('.board').innerText.includes('what they marked stays')")
    assert "Went home at" in seat_words(desk)["Cleo"] and "Bo is on the way" in desk.locator("h1").inner_text()

    before = read_study(served.book, name)
    never = before.model_copy(update={"ballot_records": tuple(b for b in before.ballot_records if b.taster != "Bo")})
    desk.get_by_text("Leave a taster out, and forget").click()
    desk.locator("#leaver").select_option("Bo")
    desk.get_by_role("button", name="Leave them out for good").click()
    desk.wait_for_selector("text=Everyone has finished")
    assert set(seat_words(desk)) == {"Ada", "Cleo", "Gus"}
    phones["Bo"].evaluate("dispatchEvent(new Event('online'))")
    mark_lines(phones["Bo"], 0.5)
    phones["Bo"].locator("#go").click()
    phones["Bo"].wait_for_selector("text=doesn’t know this page’s words any more")
    assert judge(read_study(served.book, name)).table().equals(judge(never).table())

    desk.get_by_role("button", name="Close the tasting").click()  # nobody is waited for, so nothing is asked
    desk.wait_for_selector("text=Closed: 7 ballots from 3 tasters.")
    assert desk.wrong == []
    for page in (*phones.values(), gus):
        page.context.close()


def test_what_a_phone_keeps_and_sends_is_its_own_codes_and_marks_and_nothing_else(browser, served):  # noqa: F811
    import json

    _, _, name, links = table_for(served)
    page = phone_of(browser, links["Ada"])
    own, sent, told = "/t/" + links["Ada"].rsplit("/", 1)[1], [], []
    page.on("request", lambda asked: sent.append((asked.method, asked.url, asked.post_data)))
    page.on("console", lambda said: told.append(said.text))
    page.reload()
    page.locator("#words").fill("like a Sunday")
    one_plate(page, 0.5)
    until(page, lambda: len(marked_by(served, name)) == 1)
    assert {url.split("/", 3)[2] for _, url, _ in sent} == {links["Ada"].split("/")[2]}  # nothing goes anywhere else
    bodies = {url.removeprefix(served.address): json.loads(body) for method, url, body in sent if method == "POST"}
    assert set(bodies) <= {f"{own}/here", f"{own}/marks"} and set(bodies[f"{own}/here"]) == {"place"}
    assert set(bodies[f"{own}/marks"]) == {"code", "words", "m0", "m1", "m2", "at"}
    stored = page.evaluate("({...localStorage})")
    assert set(stored) == {f"ballot:{own}"}
    assert set(json.loads(stored[f"ballot:{own}"])) == {"queue", "done", "draft", "choice", "gone", "known", "who", "codes"}
    assert "olive" not in stored[f"ballot:{own}"] and "fat" not in stored[f"ballot:{own}"]
    elsewhere = page.evaluate("""async () => [document.cookie, Object.keys(sessionStorage).length, (await indexedDB.databases()).length,
        'serviceWorker' in navigator, history.state, window.name, document.title]""")
    assert elsewhere == ["", 0, 0, False, None, "", "Ballot"] and told == []
    page.context.close()
