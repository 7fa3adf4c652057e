"""A whole tasting in a real browser: a lead and six phones, one of them without sesame, the network cut in the middle, a full disk, a plate
taken back, the close, the reveal and the verdict. Nothing lost, nothing doubled, nothing served that mustn't be."""

import time

import pytest

from proofpan.notebook import NoRoom
from proofpan.notebook.shelf import read_study

from .conftest import planned
from .test_browser import PHONE, at_the_desk, browser, mark_lines, served  # noqa: F401 - fixtures

pytestmark = pytest.mark.browser
TASTERS = ("Ada", "Bo", "Cleo", "Dov", "Esme", "Finn")
DIP = """title: White bean dip
invented: true
tasters: [Ada, {name: Bo, no: [sesame]}, Cleo, Dov, Esme, Finn]
attributes: [{name: snap}, {name: flavour}]
factors:
- name: fat
  options: [{name: olive oil}, {name: tahini, contains: [sesame]}, {name: butter, contains: [milk]}]
rounds: {plates: 3}
"""


def phone_of(browser, link):  # noqa: F811
    page = browser.new_context(viewport=PHONE).new_page()
    page.goto(link)
    return page


def codes_on(page):
    return page.locator("body").get_attribute("data-codes").split()


def finish(page, at):
    """Every plate that is still to come, the rinse between them, and the choice at the end."""
    for _ in range(6):
        page.wait_for_function("!document.getElementById('taste').hidden || !document.getElementById('rinse').hidden || "
                               "!document.getElementById('choose').hidden || !document.getElementById('thanks').hidden")
        if page.locator("#taste").is_visible():
            mark_lines(page, at)
            page.locator("#words").fill("like a Sunday")
            page.locator("#go").click()
        elif page.locator("#rinse").is_visible():
            page.wait_for_selector("#go:not([disabled])")
            page.locator("#go").click()
        else:
            break
    page.locator("#choice label:visible").first.click()
    page.locator("#choice .tick").click()
    page.locator("#go").click()


def one_plate(page, at):
    mark_lines(page, at)
    page.locator("#go").click()
    if page.locator("#rinse").is_visible():
        page.wait_for_selector("#go:not([disabled])")
        page.locator("#go").click()


def until(page, true, seconds=15):
    deadline = time.monotonic() + seconds
    while not true() and time.monotonic() < deadline:
        page.wait_for_timeout(100)
    assert true()


def test_a_lead_and_six_tasters_with_the_network_cut_a_full_disk_and_a_plate_taken_back(browser, served, monkeypatch):  # noqa: F811
    lead = served.lead()
    study = lead.post("/import", files={"file": ("dip.yaml", DIP.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    name = study.split("/")[-1]
    desk = at_the_desk(browser, served)
    desk.goto(f"{served.address}{study}/rounds")
    desk.get_by_role("button", name="Plan").first.click()
    desk.wait_for_url("**/cook*")
    desk.goto(f"{served.address}{study}/tasting")
    desk.get_by_role("button", name="Open the tasting").click()
    desk.wait_for_selector("text=Sealed")
    links = dict(zip(desk.locator(".cards .says").all_inner_texts(),
                     [a.get_attribute("href") for a in desk.get_by_role("link", name="Open it here").all()], strict=True))  # fmt: skip
    assert tuple(links) == TASTERS
    phones = {who: phone_of(browser, link) for who, link in links.items()}
    round_ = read_study(served.book, name).rounds[-1]
    version = {t.trial: str(t.version) for t in round_.trials}

    def served_to(who):
        return [version[round_.plate(who, code).trial] for code in codes_on(phones[who])]

    assert [len(codes_on(p)) for p in phones.values()] == [3, 2, 3, 3, 3, 3]
    assert "fat=tahini" not in served_to("Bo") and "fat=tahini" in served_to("Ada")
    lengths = {p.evaluate("fetch(location.pathname).then((a) => a.arrayBuffer()).then((b) => b.byteLength)") for p in phones.values()}
    assert len(lengths) == 1  # the same bytes, whatever a taster can eat

    for who, page in phones.items():
        one_plate(page, 0.4 if who < "D" else 0.6)

    # the wifi goes: two phones taste on; one of them is even loaded again
    for who in ("Cleo", "Dov"):
        phones[who].context.set_offline(True)
        mark_lines(phones[who], 0.7)
        phones[who].locator("#go").click()
        phones[who].wait_for_selector("text=The kitchen’s wifi is away")

    # meanwhile the disk fills up, and a phone says so
    real = served.book.append_soon

    def full(study_id, events, told, **more):
        told(NoRoom("The disk is full."))

    monkeypatch.setattr(served.book, "append_soon", full)
    mark_lines(phones["Esme"], 0.5)
    phones["Esme"].locator("#go").click()
    phones["Esme"].wait_for_selector("text=no room left on its disk")
    monkeypatch.setattr(served.book, "append_soon", real)
    phones["Esme"].wait_for_selector("text=is with the kitchen", timeout=10_000)

    # and a plate that Finn hasn't had yet isn't safe to taste
    last = codes_on(phones["Finn"])[-1]
    gone = round_.plate("Finn", last).trial
    lead.post(f"{study}/cook", what="sheet", trial=str(gone), failed="not safe to taste", once="a")
    phones["Finn"].evaluate("dispatchEvent(new Event('online'))")
    phones["Finn"].wait_for_selector("text=Leave plate " + last)
    assert phones["Finn"].locator("#gone").is_visible()

    for who in ("Cleo", "Dov"):
        phones[who].context.set_offline(False)
    phones["Cleo"].reload()  # a reload with answers still on the phone
    for page in phones.values():
        page.evaluate("dispatchEvent(new Event('online'))")
        finish(page, 0.5)
        page.wait_for_selector("text=Thank you. That was all.")

    def marks():
        return [b for b in read_study(served.book, name).ballot_records if b.attribute == "overall"]

    def wanted():
        # of the trial that was taken back only what was marked before it was known
        plates = {(p.taster, p.trial) for p in round_.plates}
        return {(t, n) for t, n in plates if n != gone}

    until(desk, lambda: wanted() <= {(b.taster, b.trial) for b in marks()})
    got = [(b.taster, b.trial) for b in marks()]
    assert len(got) == len(set(got)) and ("Finn", gone) not in got
    assert not [g for g in got if g[0] == "Bo" and version[g[1]] == "fat=tahini"]
    desk.wait_for_selector("text=Everyone has finished", timeout=10_000)
    desk.goto(f"{served.address}{study}/tasting")
    assert "like a Sunday" not in desk.locator("#page").inner_text()
    desk.get_by_role("button", name="Close the tasting").click()
    desk.wait_for_selector("text=What they said")
    said = desk.locator("#page").inner_text()
    assert "like a Sunday" in said and "Ada" in said.split("May be quoted")[1]
    desk.get_by_role("link", name="Read the verdict").click()
    desk.wait_for_selector("text=What we asked")
    assert desk.locator("h1").inner_text() and desk.wrong == []
    for page in phones.values():
        page.context.close()


def test_answers_kept_under_old_words_go_across_under_the_new_ones_and_only_their_own_tasters(browser, served):  # noqa: F811
    lead = served.lead()
    study = lead.post("/import", files={"file": ("dip.yaml", DIP.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    planned(lead, study)
    name = study.split("/")[-1]

    def address(page, who):
        return dict(zip(page.all(r'<p class="says sm">([^<]+)</p>'), page.all(r'class="codeword">([a-z ]+)<'), strict=True))[who].replace(" ", "-")

    page = lead.post(f"{study}/tasting", what="open")
    old, cleo = f"{served.address}/t/{address(page, 'Ada')}", f"{served.address}/t/{address(page, 'Cleo')}"
    phone = phone_of(browser, old)
    first = codes_on(phone)[0]
    phone.context.set_offline(True)
    mark_lines(phone, 0.7)
    phone.locator("#go").click()
    phone.wait_for_selector("text=The kitchen’s wifi is away")
    phone.wait_for_selector("#go:not([disabled])")
    phone.locator("#go").click()
    phone.locator("#words").fill("half a thought")  # a plate begun and not done
    new = f"{served.address}/t/{address(lead.post(f'{study}/tasting', what='new words', taster='Ada'), 'Ada')}"
    phone.context.set_offline(False)
    phone.wait_for_selector("text=ask for new ones", timeout=10_000)
    assert read_study(served.book, name).ballot_records == ()
    phone.goto(cleo)  # on the same phone somebody else looks in: nothing of Ada's goes there
    phone.wait_for_selector("#marks")
    phone.wait_for_timeout(300)
    assert read_study(served.book, name).ballot_records == ()
    phone.goto(new)
    until(phone, lambda: {b.taster for b in read_study(served.book, name).ballot_records} == {"Ada"})
    plate = read_study(served.book, name).rounds[-1].plate("Ada", first)
    assert {b.trial for b in read_study(served.book, name).ballot_records} == {plate.trial}
    assert phone.locator("#words").input_value() == "half a thought" and phone.locator("#place").inner_text() == "Ada, plate 2"
    assert phone.evaluate(f"localStorage.getItem('ballot:/t/' + '{old.rsplit('/', 1)[1]}')") is None
    phone.context.close()
