"""Work behind a page: done by a process of its own, told, stopped for good, its result kept; two server processes over one folder."""

import io
import os
import signal
import time
import wave
from pathlib import Path

import numpy as np
import pytest

from proofpan.web.pages.readings import bring
from proofpan.web.work import STOPPED, Works
from tests.kitchens import plain

from .conftest import crackers, planned

QUICKLY_S = 40


def dry(kitchens):
    return {"text": plain(tasters=2).to_yaml(), "kitchens": kitchens, "seed": 1}


def ended(works, name):
    work = works.wait(name, QUICKLY_S)
    assert work is not None and work.ended, work
    return work


def at_work(works, name):
    until = time.monotonic() + QUICKLY_S
    while not (work := works.of(name)).all and time.monotonic() < until:
        time.sleep(0.05)
    assert work.state == "at work"
    return work


def processes_of(folder):
    """Every process whose command names this folder, and what it forked."""
    found = []
    for entry in os.listdir("/proc"):
        if entry.isdigit():
            try:
                words = Path(f"/proc/{entry}/cmdline").read_text()
                state = Path(f"/proc/{entry}/stat").read_text().rsplit(")", 1)[1].split()[0]
            except OSError:
                continue
            if str(folder) in words and state != "Z":
                found.append(int(entry))
    return found


def gone(folder):
    until = time.monotonic() + 5
    while processes_of(folder) and time.monotonic() < until:
        time.sleep(0.02)
    return not processes_of(folder)


def test_two_servers_that_are_asked_for_the_same_start_it_once_and_both_see_its_result(tmp_path):
    one, other = Works(tmp_path / "work"), Works(tmp_path / "work")
    begun = one.start("dry run", "a-study", dry(6), "/there")
    again = other.start("dry run", "a-study", dry(6), "/there")
    assert begun.name == again.name and not begun.ended
    assert len(processes_of(tmp_path)) <= 1
    work = ended(other, begun.name)
    assert work.state == "done" and work.result["kitchens"] == 6 and work.then == "/there"
    assert one.start("dry run", "a-study", dry(6), "/there").state == "done"  # kept: not played again
    assert gone(tmp_path)


def test_what_is_stopped_by_another_server_ends_with_all_that_it_forked_and_can_be_started_again(tmp_path):
    one, other = Works(tmp_path / "work"), Works(tmp_path / "work")
    name = one.start("dry run", "a-study", dry(50_000), "/there").name
    work = at_work(one, name)
    assert 0 <= work.done < work.all and "kitchens" in work.says
    assert processes_of(tmp_path)
    assert other.stop(name).state == STOPPED
    assert gone(tmp_path)
    assert one.of(name).state == STOPPED
    assert one.start("dry run", "a-study", dry(50_000), "/there").state == "waiting"
    one.close()
    assert gone(tmp_path)


def test_what_is_killed_says_that_it_broke_off(tmp_path):
    works = Works(tmp_path / "work")
    name = works.start("dry run", "a-study", dry(50_000), "/there").name
    at_work(works, name)
    (group,) = {os.getpgid(p) for p in processes_of(tmp_path)}
    assert group != os.getpgid(0)
    os.killpg(group, signal.SIGKILL)
    assert gone(tmp_path)
    work = works.of(name)
    assert work.state == "broken off" and "Start it again" in work.says


@pytest.mark.parametrize("name", ["", "x", "../../etc", "0" * 31, "0" * 32])
def test_a_name_that_is_nobodys_finds_nothing(tmp_path, name):
    assert Works(tmp_path / "work").of(name) is None


def test_the_plan_is_played_behind_the_brief_and_the_result_stands_there(kitchen, lead):
    study = crackers(lead)
    form = {"what": "kitchen", "trays": "1", "places": "2", "loads": "1", "at_most": "1", "passes": "1", "tasters": "Ada"}
    page = lead.post(f"{study}/dry-run", part="1", **form)
    assert "data-work=" in page.text and "invented kitchens" in page.text
    state = page.all(r'data-work="([^"]+)"')[0]
    until = time.monotonic() + QUICKLY_S
    while not lead.client.get(state).json()["ended"] and time.monotonic() < until:
        time.sleep(0.1)
    assert lead.client.get(state).json()["state"] == "done"
    page = lead.get(f"{study}/plan?" + "&".join(f"{k}={v}" for k, v in form.items()))
    assert "Played on 120 invented kitchens" in page.text and "would make it" in page.text
    assert "Played on" not in lead.get(f"{study}/brief").text  # of what was typed, not of what is kept
    kept = lead.post(f"{study}/brief", **form)
    assert "Played on 120 invented kitchens" in kept.text and "Play it on 500" in kept.text


def test_a_plan_that_the_dry_run_proposes_is_declined_in_one_tap_and_not_proposed_again(kitchen, lead, monkeypatch):
    from proofpan.web.pages.brief import playing
    from proofpan.web.work import DONE, Work

    study = crackers(lead)
    proposal = {"plan": "x", "loads": 2, "at_most": 4, "passes": 2, "plates": None, "says": "Taste each plate twice."}
    result = {"smallest_difference": 1, "within_worth": 0.8, "expected_loss": 0.1, "habit_within_worth": 0.6, "kitchens": 500, "plans": [],
              "says": ["So much."], "proposal": proposal}
    played = Work("0" * 32, "dry run", study.split("/")[-1], f"{study}/brief", DONE, 1, 1, "", result)
    monkeypatch.setattr(playing, "kept_or_going", lambda *_: played)
    page = lead.get(f"{study}/brief")
    (words,) = page.all(r'name="proposal" value="([^"]*)"')
    assert words == "Plan 4 rounds, tasted twice"
    page = lead.post(f"{study}/not-that", proposal=words, why="too much at once", back="brief")
    assert "Not that, because too much at once." in page.text and 'name="at_most" value="4"' not in page.text.split('id="plan"')[1]
    page = lead.post(f"{study}/undo", back="brief")
    assert page.all(r'name="proposal" value="([^"]*)"') == [words] and "Undid: not that: Plan 4 rounds" in page.text


def test_without_script_the_work_has_a_page_that_loads_itself_and_a_stop(kitchen, lead):
    study = crackers(lead)
    page = lead.post(f"{study}/dry-run")
    assert page.headline == "The dry run is being worked out." and '<noscript><meta http-equiv="refresh"' in page.text
    stopped = lead.post(page.all(r'action="([^"]+/stop)"')[0])
    assert stopped.headline == "The dry run was stopped." and "Nothing was kept" in stopped.text
    assert "Stopped. Nothing was kept." in lead.get(f"{study}/brief").text
    assert lead.get(f"{study}/work/{'0' * 32}").status == 404
    kitchen.app.state.kitchen.works.close()


def test_the_work_of_another_study_is_not_shown(kitchen, lead):
    study = crackers(lead)
    name = lead.post(f"{study}/dry-run").url.rsplit("/", 1)[1]
    assert lead.get(f"/study/elsewhere/work/{name}").status == 404
    assert kitchen.stranger().get(f"{study}/work/{name}").status == 403
    kitchen.app.state.kitchen.works.close()


def snaps(seconds=3):
    fs, r = 16_000, np.random.default_rng(1)
    x = r.normal(0, 0.002, fs * seconds)
    for i in range(1, seconds):
        x[i * fs : i * fs + 1600] += np.exp(-np.arange(1600) / 150) * r.normal(0, 0.4, 1600)
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(fs)
        file.writeframes((np.clip(x, -1, 1) * 32767).astype("<i2").tobytes())
    return out.getvalue()


def test_a_long_recording_is_measured_behind_the_page_and_kept_once_as_it_came(kitchen, lead, monkeypatch):
    monkeypatch.setattr(bring, "SOON_BYTES", 1000)
    study = crackers(lead)
    planned(lead, study)
    data = snaps()
    page = lead.post(f"{study}/reading", kind="sound", trial="1", once="abc", files={"file": ("snap.wav", data, "audio/wav")})
    assert page.headline == "The reading is being worked out."
    assert kitchen.book.events(study.split("/")[-1], kind="report") == ()
    works = kitchen.app.state.kitchen.works
    name = page.url.rsplit("/", 1)[1]
    assert ended(works, name).state == "done"
    Works(works._folder, works._settle).of(name)  # another server process looks too
    time.sleep(0.2)
    (event,) = kitchen.book.events(study.split("/")[-1], kind="report")
    assert event.payload["figures"] and kitchen.book.read_file(event.payload["digest"]) == data
    assert not list((works._folder / name).glob("file-*"))  # the notebook has it now
    assert lead.get(f"{study}/work/{name}").headline == "1 reading taken."


def test_a_recording_that_cannot_be_read_says_so_and_nothing_is_kept(kitchen, lead, monkeypatch):
    monkeypatch.setattr(bring, "SOON_BYTES", 10)
    study = crackers(lead)
    planned(lead, study)
    page = lead.post(f"{study}/reading", kind="sound", trial="1", files={"file": ("snap.wav", b"RIFF" + bytes(200), "audio/wav")})
    work = ended(kitchen.app.state.kitchen.works, page.url.rsplit("/", 1)[1])
    page = lead.get(f"{study}/work/{work.name}")
    assert work.state == "failed" and page.headline == "The reading couldn’t be made." and work.says == page.all(r'<p class="under">([^<]+)')[0]
    assert kitchen.book.events(study.split("/")[-1], kind="report") == ()


def test_a_device_that_stops_it_leaves_it_to_the_others_and_the_last_one_ends_it(tmp_path):
    works = Works(tmp_path / "work")
    asked = dry(50_000)
    name = works.start("dry run", "a-study", asked, "/there", who="the tablet").name
    at_work(works, name)
    assert works.start("dry run", "a-study", asked, "/there", who="the phone").state == "at work"
    left = works.stop(name, "the phone")
    assert left.state == STOPPED and "Another one still waits" in left.says
    assert works.of(name, "the phone").state == STOPPED and works.of(name, "the tablet").state == "at work"
    assert works.stop(name, "a laptop that only looked on").state == STOPPED and works.of(name, "the tablet").state == "at work"
    assert works.start("dry run", "a-study", asked, "/there", who="the phone").state == "at work"
    assert works.of(name, "the phone").state == "at work"  # asked again, it waits again
    works.stop(name, "the tablet")
    assert processes_of(tmp_path) and works.of(name, "the phone").state == "at work"
    assert works.stop(name, "the phone").says == "Stopped. Nothing was kept."
    assert gone(tmp_path)


def test_a_dry_run_stopped_on_one_device_goes_on_for_the_other(kitchen, lead):
    study, other = crackers(lead), kitchen.lead()
    state = lead.post(f"{study}/dry-run", part="1").all(r'data-work="([^"]+)"')[0]
    assert other.post(f"{study}/dry-run", part="1").all(r'data-work="([^"]+)"') == [state]
    page = other.post(state.replace("/state", "/stop"))
    assert "Stopped on this device" in page.text and "Stopped on this device" in other.get(f"{study}/brief").text
    assert not lead.client.get(state).json()["ended"] and other.client.get(state).json()["ended"]
    assert "data-work=" in lead.get(f"{study}/brief").text
    other.post(f"{study}/dry-run", part="1", what="kitchen", trays="1", places="2", tasters="Ada", instead=state.split("/")[-2])
    assert not lead.client.get(state).json()["ended"]  # what another types doesn't end it either
    kitchen.app.state.kitchen.works.close()
