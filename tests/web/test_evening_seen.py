"""A whole evening in a browser: late and gone tasters, a server started anew, a plate taken back, the reveal; every state without faults of access."""

import socket
import threading
import time

import pytest
import uvicorn

from proofpan.notebook.shelf import read_study

from .conftest import SECRET, Kitchen, planned
from .test_browser import LAPTOP, PHONE, at_the_desk, browser  # noqa: F401  fixtures
from .test_kinds_seen import picture, without_faults
from .test_table import DIP, codes_on, finish, one_plate, until

pytestmark = pytest.mark.browser


class Server:
    """One kitchen on one port, which may be started anew as after a power cut."""

    def __init__(self, folder):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.folder, self.address = folder, f"http://kitchen.test:{self.port}"
        self.start()

    def start(self, **more):
        self.kitchen = Kitchen(self.folder, kitchen=True, address=self.address, **more)
        self.running = uvicorn.Server(uvicorn.Config(self.kitchen.app, host="127.0.0.1", port=self.port, log_level="error"))
        self.thread = threading.Thread(target=self.running.run, daemon=True)
        self.thread.start()
        while not self.running.started:
            time.sleep(0.02)

    def stop(self):
        self.running.should_exit = self.running.force_exit = True
        self.thread.join(10)
        self.kitchen.book.close()


def test_an_evening_with_a_late_taster_one_who_goes_and_a_server_started_anew(browser, tmp_path):  # noqa: F811
    server = Server(tmp_path)
    lead = server.kitchen.lead()
    study = lead.post("/import", files={"file": ("dip.yaml", DIP.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    planned(lead, study)
    name = study.split("/")[-1]
    desk = at_the_desk(browser, server, LAPTOP)
    desk.goto(f"{server.address}{study}/tasting")
    desk.get_by_role("button", name="Open the tasting").click()
    desk.wait_for_selector("text=Sealed")
    words = dict(zip(desk.locator(".cards .says").all_inner_texts(), desk.locator(".cards .codeword").all_inner_texts(), strict=True))
    phones = {}
    for who, card in words.items():
        phones[who] = browser.new_context(viewport=PHONE).new_page()
        phones[who].goto(f"{server.address}/t")
        if who == "Ada":
            without_faults(phones[who], "door")
        phones[who].locator("#w").fill(card.title())  # as a phone's keyboard writes it
        phones[who].keyboard.press("Enter")
        phones[who].wait_for_selector("#marks")
    for who in ("Ada", "Cleo", "Finn"):
        one_plate(phones[who], 0.6)

    desk.goto(f"{server.address}{study}/tasting")
    desk.locator("#late").fill("Gus")
    desk.get_by_role("button", name="Let them in").click()
    desk.wait_for_selector(".cards >> text=Gus")
    without_faults(desk, "evening open")
    desk.locator("#gone").select_option("Finn")
    desk.get_by_role("button", name="They’ve gone home").click()
    desk.wait_for_selector("text=Went home at")
    without_faults(desk, "evening one gone")
    gus = browser.new_context(viewport=PHONE).new_page()
    gus.goto(desk.locator(".cards li", has_text="Gus").get_by_role("link", name="Open it here").get_attribute("href"))
    phones["Gus"] = gus
    del phones["Finn"]

    server.stop()  # in the middle: phones taste on
    one_plate(phones["Dov"], 0.7)
    phones["Dov"].wait_for_selector("#unheard:visible", timeout=15_000)
    without_faults(phones["Dov"], "ask first")
    server.start(where=str(tmp_path / "notebook.sqlite"))
    until(desk, lambda: {b.taster for b in read_study(server.kitchen.book, name).ballot_records} >= {"Ada", "Cleo", "Finn", "Dov"})

    round_ = read_study(server.kitchen.book, name).rounds[-1]
    last = codes_on(phones["Esme"])[-1]
    trial = round_.plate("Esme", last).trial
    server.kitchen.lead().post(f"{study}/cook", what="sheet", trial=str(trial), failed="not safe to taste", once="a")
    phones["Esme"].evaluate("dispatchEvent(new Event('online'))")
    phones["Esme"].wait_for_selector("text=Leave plate " + last)
    without_faults(phones["Esme"], "leave it")
    desk.goto(f"{server.address}{study}/tasting")
    assert "take away what stands there" in desk.locator("#page").inner_text()
    assert desk.locator(".cards .codeword").count() == 7  # the words are shown again after the start
    without_faults(desk, "evening taken back")
    for page in phones.values():
        page.evaluate("dispatchEvent(new Event('online'))")
        finish(page, 0.5)
        page.wait_for_selector("text=Thank you. That was all.")
    desk.wait_for_selector("text=Everyone has finished", timeout=15_000)
    desk.goto(f"{server.address}{study}/tasting")
    desk.get_by_role("button", name="Close the tasting").click()
    desk.wait_for_selector("text=What they said")
    said = desk.locator("#page").inner_text()
    assert "like a Sunday" in said and all(who in said.split("May be quoted")[1].split("\n")[0] for who in phones)
    assert f"trial {trial} (failed or taken back)" in said
    without_faults(desk, "evening reveal")
    desk.get_by_text("Leave a taster out, and forget").click()
    picture(desk, "evening leave out")
    marks = [(b.taster, b.trial) for b in read_study(server.kitchen.book, name).ballot_records if b.attribute == "overall"]
    assert len(marks) == len(set(marks))
    tahini = {t.trial for t in read_study(server.kitchen.book, name).rounds[-1].trials if t.version["fat"] == "tahini"}
    assert tahini and not [m for m in marks if m[0] == "Bo" and m[1] in tahini]
    assert SECRET not in said
    for page in (*phones.values(), desk):
        page.context.close()
    server.stop()
