"""Photographs and recordings brought in by the page: checked, kept as they came, corrected by taps; one sheet of all, blind while it must be."""

import io

import numpy as np
import pytest
from PIL import Image

from proofpan.notebook.shelf import keep_study, read_study
from tests.kitchens import judged_study, plain
from tests.science.colour.table import crackers as tray_of_crackers
from tests.science.colour.test_cut_face import crumb
from tests.science.sound.kitchen import RATE, at_snr, bites, kitchen_noise, voice

from .conftest import crackers, planned


@pytest.fixture
def study(lead):
    made = crackers(lead)
    planned(lead, made)
    return made


@pytest.fixture(scope="module")
def tray():
    out = io.BytesIO()
    Image.fromarray(tray_of_crackers().shot()).save(out, "PNG")
    return out.getvalue()


def wav(samples):
    import wave

    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((samples / np.abs(samples).max() * 0.7 * 32767).astype("<i2").tobytes())
    return out.getvalue()


def bring(lead, study, kind, data, name, **more):
    return lead.post(f"{study}/reading", kind=kind, trial="1", files={"file": (name, data, "application/octet-stream")}, **more)


def reports(kitchen, study):
    return [e for e in kitchen.book.events(study.split("/")[-1], kind="report")]


def test_a_photograph_is_kept_byte_for_byte_and_shown_to_tap_on(kitchen, lead, study, tray):
    page = bring(lead, study, "colour", tray, "tray.png", once="a")
    assert page.status == 200 and "lightness" in page.text and "data-taps" in page.text
    event = reports(kitchen, study)[0]
    assert kitchen.book.read_file(event.payload["digest"]) == tray
    shown = lead.client.get(f"{study}/reading/{event.id}/photograph")
    assert shown.headers["content-type"] == "image/jpeg" and Image.open(io.BytesIO(shown.content)).size[0] <= 1600
    assert kitchen.stranger().get(f"{study}/reading/{event.id}/photograph").status != 200


def test_a_tap_given_as_numbers_leaves_a_piece_out(kitchen, lead, study, tray):
    bring(lead, study, "colour", tray, "tray.png", once="a")
    first = reports(kitchen, study)[0]
    wide, deep = Image.open(io.BytesIO(tray)).size
    page = lead.post(f"{study}/reading/{first.id}/again", kind="colour", exclude=f"{100 * 200 / wide:.1f},{100 * 180 / deep:.1f}", once="b")
    assert page.status == 200, page.wrong
    counts = [e.payload["figures"][0]["n"] for e in reports(kitchen, study)]
    assert counts == [4, 3]  # four crackers lie on the tray; the first reading stands beside the second


@pytest.mark.parametrize("fields, says", [
    ({"kind": "colour", "exclude": "abc"}, "isn’t a place"), ({"kind": "colour", "include": "50,140"}, "isn’t a place"),
    ({"kind": "cut-face", "marks": "1,1", "mm": "10"}, "two marks"), ({"kind": "cut-face", "marks": "1,1 90,1"}, "how many millimetres"),
])
def test_taps_that_wont_do_are_refused_in_a_sentence(kitchen, lead, study, tray, fields, says):
    bring(lead, study, "colour", tray, "tray.png", once="a")
    event = reports(kitchen, study)[0]
    page = lead.post(f"{study}/reading/{event.id}/again", **fields, once="b")
    assert page.status == 422 and says in page.wrong and len(reports(kitchen, study)) == 1


def test_a_cut_face_is_measured_between_two_marks(kitchen, lead, study, tray):
    made, porosity, _ = crumb([1.5] * 40 + [3.0] * 10)  # 700 points at 20 a mm
    out = io.BytesIO()
    Image.fromarray(made).save(out, "PNG")
    bring(lead, study, "colour", tray, "tray.png", once="a")
    first = reports(kitchen, study)[0]
    digest = kitchen.book.keep_file(out.getvalue(), name="face.png", media_type="image/png").digest
    event = kitchen.book.append(study.split("/")[-1], "report", {**first.payload, "digest": digest}, key="face")
    page = lead.post(f"{study}/reading/{event.id}/again", kind="cut-face", marks="0,50 100,50", mm="34.95", once="b")
    assert page.status == 200, page.wrong
    figure = next(f for f in reports(kitchen, study)[-1].payload["figures"] if f["name"] == "porosity")
    assert figure["value"] == pytest.approx(porosity, rel=0.05) and "Cut face" in page.text


def test_a_voice_over_the_bites_gives_no_number(kitchen, lead, study):
    rng = np.random.default_rng(5)
    dry, truth = bites(rng, count=3)
    bitten = at_snr(dry, truth, kitchen_noise(rng, dry.size), 25)
    spoken = voice(rng, dry.size / RATE)[: dry.size]
    page = bring(lead, study, "sound", wav(bitten[: spoken.size] + spoken * np.abs(bitten).max() / np.abs(spoken).max()), "talk.wav", once="a")
    assert page.status == 200 and "Not comparable" in page.text
    assert reports(kitchen, study)[0].payload["figures"] == []


def test_a_recordings_bites_become_figures_and_its_type_is_kept(kitchen, lead, study):
    rng = np.random.default_rng(31)
    dry, truth = bites(rng, count=4)
    page = bring(lead, study, "sound", wav(at_snr(dry, truth, kitchen_noise(rng, dry.size), 25)), "snap.wav", once="a")
    assert page.status == 200 and "pulses" in page.text
    kept = kitchen.book.files()[0]
    assert kept.media_type.startswith("audio/")


@pytest.mark.parametrize("kind, data, name", [
    ("sound", b"<html><script>1</script>", "a.wav"), ("colour", b"GIF89a not a picture", "a.png"), ("probe", b"\0\1\2,3\n", "a.csv"),
    ("cake", b"x", "a.txt"), ("sound", b"", "a.wav"),
])
def test_what_isnt_what_it_says_is_refused_and_not_kept(kitchen, lead, study, kind, data, name):
    page = bring(lead, study, kind, data, name, once="a")
    assert page.status == 422 and page.wrong and kitchen.book.files() == () and reports(kitchen, study) == []


def photographed(kitchen, lead, tray):
    made = keep_study(kitchen.book, judged_study(plain(tasters=2), score=lambda v: 5.0, times=1)).id
    for number in (1, 2):
        assert lead.post(f"/study/{made}/trial/{number}/photograph", files={"photograph": ("a.png", tray, "image/png")}).status == 200
    return f"/study/{made}"


def test_the_sheet_is_labelled_once_all_on_it_are_tasted_and_blind_while_a_tasting_is_open(kitchen, lead, tray):
    study = photographed(kitchen, lead, tray)
    assert "Each under its version." in lead.get(f"{study}/readings").text
    labelled = Image.open(io.BytesIO(lead.client.get(f"{study}/contact-sheet.png").content))
    assert "What they looked like" in lead.client.get(f"{study}/papers/how-we-tested.html").text
    assert lead.client.get(f"{study}/papers/how-we-tested.pdf").content.startswith(b"%PDF")
    kitchen.book.open_tasting(study.split("/")[-1], 1, ["Ana"])
    assert "What they looked like" not in lead.client.get(f"{study}/papers/how-we-tested.html").text
    assert "without a word on it" in lead.get(f"{study}/readings").text
    answer = lead.client.get(f"{study}/contact-sheet.png")
    blind = Image.open(io.BytesIO(answer.content))
    assert labelled.height > blind.height and answer.headers["cache-control"] == "no-store"
    assert kitchen.stranger().get(f"{study}/contact-sheet.png").status != 200


def test_without_a_photograph_there_is_no_sheet(lead, study):
    assert "contact-sheet" not in lead.get(f"{study}/readings").text
    assert lead.get(f"{study}/contact-sheet.png").status == 422


def test_agreement_between_readings_and_tasters_is_shown_or_waited_for(kitchen, lead):
    from tests.steps.test_readings import with_readings

    made = keep_study(kitchen.book, with_readings(error=1.0)).id
    assert read_study(kitchen.book, made).reading_records
    page = lead.get(f"/study/{made}/readings")
    assert "Readings and tasters" in page.text and "pulses and liking" in page.text and "correlation" in page.text


def test_sound_across_trials_is_compared_only_when_the_set_up_matches(lead, study):
    rng = np.random.default_rng(31)
    dry, truth = bites(rng, count=3)
    snap = wav(at_snr(dry, truth, kitchen_noise(rng, dry.size), 25))
    for trial, session in (("1", "Tuesday"), ("2", "Tuesday")):
        page = lead.post(f"{study}/reading", kind="sound", trial=trial, session=session, gain_locked="yes", once=f"s{trial}",
                         files={"file": ("a.wav", snap, "audio/wav")})
    assert "The recordings of 2 trials may be compared." in page.text
    page = lead.post(f"{study}/reading", kind="sound", trial="3", session="Friday", gain_locked="yes", once="s3",
                     files={"file": ("a.wav", snap, "audio/wav")})
    assert "The recordings of 3 trials may not be compared." in page.text and "differ in session (Tuesday, Friday)" in page.text


def test_several_photographs_of_one_trial_are_one_reading_each_corrected_by_itself(kitchen, lead, study, tray):
    both = [("file", (name, tray, "image/png")) for name in ("a.png", "b.png")]
    page = lead.post(f"{study}/reading", kind="colour", trial="1", view="whole", once="m", files=both)
    assert page.status == 200, page.wrong
    event = reports(kitchen, study)[0]
    assert event.payload["figures"][0]["n"] == 8  # four pieces on each
    wide, deep = Image.open(io.BytesIO(tray)).size
    tap = f"{100 * 200 / wide:.1f},{100 * 180 / deep:.1f}"
    assert lead.post(f"{study}/reading/{event.id}/again", kind="colour", which="1", exclude=tap, once="n").status == 200
    assert reports(kitchen, study)[-1].payload["figures"][0]["n"] == 7


def test_a_reading_is_drawn_with_a_table_and_its_original_comes_back_to_the_byte(kitchen, lead, study, tray):
    bring(lead, study, "colour", tray, "tray.png", once="a")
    here = f"{study}/reading/{reports(kitchen, study)[0].id}"
    page = lead.get(here)
    assert page.status == 200 and "<svg" in page.text and "Lightness L*" in page.text and 'style="' not in page.text
    assert lead.client.get(f"{here}/original/0").content == tray
    outlined = Image.open(io.BytesIO(lead.client.get(f"{here}/outlined/0").content))
    assert outlined.size == Image.open(io.BytesIO(tray)).size
    assert kitchen.stranger().get(here).status != 200


def test_an_original_that_is_missing_is_said_and_nothing_else_falls(kitchen, lead, study, tray):
    bring(lead, study, "colour", tray, "tray.png", once="a")
    rng = np.random.default_rng(31)
    dry, truth = bites(rng, count=3)
    for trial in ("1", "2"):
        snap = wav(at_snr(dry, truth, kitchen_noise(rng, dry.size), 25))
        lead.post(f"{study}/reading", kind="sound", trial=trial, once=f"s{trial}", files={"file": ("a.wav", snap, "audio/wav")})
    for entry in kitchen.book.files():
        kitchen.book.file_path(entry.digest).unlink()
    kitchen.app.state.kitchen.shelf.forget(study.split("/")[-1])
    page = lead.get(f"{study}/readings")
    assert page.status == 200 and page.text.count("<b>Missing</b>") == 3 and "be heard again" in page.text
    assert lead.get(f"{study}/reading/{reports(kitchen, study)[0].id}").status == 200
    assert lead.get(f"{study}/contact-sheet.png").status == 422


def test_the_sheet_is_printed_and_takes_what_is_said_of_a_photograph(kitchen, lead, tray):
    study = photographed(kitchen, lead, tray)
    answer = lead.client.get(f"{study}/contact-sheet.pdf")
    assert answer.status_code == 200 and answer.content.startswith(b"%PDF")
    digest = kitchen.book.files()[0].digest
    for trial in ("1", "2"):
        page = lead.post(f"{study}/kept/{digest}", trial=trial, view="cut", marks="10,50 60,50", mm="100", once=f"k{trial}")
        assert page.status == 200, page.wrong
    lead.client.get(f"{study}/contact-sheet.png")
    assert "Not at one scale" not in lead.get(f"{study}/readings").text
    page = lead.post(f"{study}/kept/{digest}", trial="1", marks="10,50", mm="100", once="bad")
    assert page.status == 422 and "two marks" in page.wrong


def test_a_reference_tap_in_a_file_of_its_own_is_taken(kitchen, lead, study):
    from tests.science.sound.test_rooms_and_gates import tapped

    rng = np.random.default_rng(31)
    dry, truth = bites(rng, count=3)
    snap, tap = wav(at_snr(dry, truth, kitchen_noise(rng, dry.size), 25)), wav(tapped(1.0).samples)
    files = {"file": ("a.wav", snap, "audio/wav"), "tap_file": ("tap.wav", tap, "audio/wav")}
    page = lead.post(f"{study}/reading", kind="sound", trial="1", once="t", files=files)
    assert page.status == 200 and "reference tap" in page.text, page.wrong
    page = lead.post(f"{study}/reading", kind="sound", trial="1", tap_from="2", once="u", files={"file": ("a.wav", snap, "audio/wav")})
    assert page.status == 422 and "two moments" in page.wrong


def test_a_photograph_cut_short_is_refused_and_not_kept(kitchen, lead, study, tray):
    page = bring(lead, study, "colour", tray[: len(tray) // 2], "half.png", once="a")
    assert page.status == 422 and "cut short" in page.wrong and kitchen.book.files() == ()


def test_what_most_figures_share_is_said_once_beneath_them():
    from proofpan.web.pages.readings.route import in_common

    hows = ["CIELAB, D65; no card; mean of 4 pieces", "CIELAB, D65; no card; mean of 4 pieces", "mean of a piece's pixels; mean of 4 pieces"]
    assert in_common(hows) == ("CIELAB, D65", "no card", "mean of 4 pieces")
    assert in_common(hows[:2]) == () == in_common(["one", "two", "three"])


def test_a_colours_figures_stand_without_the_same_note_in_every_row(lead, study, tray):
    page = bring(lead, study, "colour", tray, "tray.png", once="a")
    assert page.text.count("2° observer") == 1 and "a*, green to red" in page.text and "unless its row says otherwise" in page.text
