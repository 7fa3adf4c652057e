"""`proofpan reading` with its pictures: what is drawn is what was measured, on recordings and photographs made with known truth."""

import io
import re
import wave
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from proofpan.cli import main
from proofpan.notebook import Notebook
from proofpan.notebook.shelf import keep_study
from tests.kitchens import judged_study, plain, trials_of
from tests.science.colour.table import crackers
from tests.science.colour.test_cut_face import crumb
from tests.science.sound.kitchen import RATE, at_snr, bites, kitchen_noise

SVG = "{http://www.w3.org/2000/svg}"


def run(capsys, *arguments):
    status = main([str(a) for a in arguments])
    return status, *capsys.readouterr()


def picture(path):
    """The drawing as a tree: it must be well formed and bring nothing from elsewhere."""
    text = path.read_text(encoding="utf-8")
    assert "href" not in text and "<script" not in text
    return ElementTree.fromstring(text)


@pytest.fixture(scope="module")
def snaps(tmp_path_factory):
    rng = np.random.default_rng(31)
    dry, truth = bites(rng, count=4)
    samples = at_snr(dry, truth, kitchen_noise(rng, dry.size), 25)
    path = tmp_path_factory.mktemp("snaps") / "snap.wav"
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes((np.clip(samples / np.abs(samples).max() * 0.7, -1, 1) * 32767).astype("<i2").tobytes())
    return path, truth


@pytest.fixture(scope="module")
def tray(tmp_path_factory):
    path = tmp_path_factory.mktemp("tray") / "tray.png"
    table = crackers()
    Image.fromarray(table.shot()).save(path)
    return path


def test_a_probes_curve_shows_the_thresholds_it_is_held_against(capsys, tmp_path):
    # FDA Food Code 2022, 3-401.11: 63 °C and 74 °C
    log = tmp_path / "log.csv"
    log.write_text("time,temperature\n" + "\n".join(f"{t},{20 + t / 20}" for t in range(0, 1201, 20)))
    status, out, _ = run(capsys, "reading", "probe", log, "--plot", tmp_path / "p.svg")
    assert status == 0 and "highest temperature 80" in out and "authority" in out
    tree = picture(tmp_path / "p.svg")
    assert tree.find(f"{SVG}title").text == "The probe reached 80 °C, past 63 and 74 °C"
    said = [t.text for t in tree.iter(f"{SVG}text")]
    assert "63 °C" in said and "74 °C" in said
    ys = [float(p.split(",")[1]) for p in tree.find(f"{SVG}polyline").get("points").split()]
    assert all(a >= b for a, b in zip(ys, ys[1:], strict=False))  # it only rises, and up is up


def test_a_recordings_level_has_its_bites_marked_where_they_were_made(capsys, tmp_path, snaps):
    path, truth = snaps
    status, out, _ = run(capsys, "reading", "sound", path, "--plot", tmp_path / "s.svg")
    tree = picture(tmp_path / "s.svg")
    bars = [r for r in tree.iter(f"{SVG}rect") if r.get("class") == "bite"]
    assert len(bars) == len(truth.starts_s)
    with wave.open(str(path)) as file:
        seconds = file.getnframes() / RATE
    places = [52 + s / seconds * (640 - 16 - 52) for s in truth.starts_s]
    assert [float(b.get("x")) for b in bars] == pytest.approx(places, abs=4)
    octaves = [line for line in out.splitlines() if line.startswith("octave ")]  # those under the noise give no figure
    assert status == 0 and sum(c.get("class") == "octave" for c in tree.iter(f"{SVG}circle")) == len(octaves) >= 5
    assert "4 kHz" in [t.text for t in tree.iter(f"{SVG}text")]


def test_colour_is_drawn_as_a_swatch_and_a_lightness_a_piece(capsys, tmp_path, tray):
    status, out, _ = run(capsys, "reading", "colour", tray, "--plot", tmp_path / "c.svg")
    assert status == 0 and "lightness" in out
    tree = picture(tmp_path / "c.svg")
    swatches = [r for r in tree.iter(f"{SVG}rect") if r.get("class") == "swatch"]
    assert len(swatches) == 4 == sum(c.get("class") == "piece" for c in tree.iter(f"{SVG}circle"))
    assert tree.find(f"{SVG}title").text.startswith("4 pieces: lightness ")
    red, green, blue = (int(swatches[0].get("fill")[i : i + 2], 16) for i in (1, 3, 5))
    assert red > green > blue  # golden


def test_a_tap_leaves_a_piece_out(capsys, tray):
    _, whole, _ = run(capsys, "reading", "colour", tray, "--json")
    status, less, _ = run(capsys, "reading", "colour", tray, "--exclude", "200,180", "--json")
    n = [int(re.search(r'"n": (\d+)', text)[1]) for text in (whole, less)]
    assert status == 0 and n == [4, 3]


@pytest.mark.parametrize("tap, says", [("--exclude=5", "takes x,y"), ("--exclude=9000,10", "outside the photograph")])
def test_a_tap_that_cant_be_is_refused_in_a_sentence(capsys, tray, tap, says):
    status, _, err = run(capsys, "reading", "colour", tray, tap)
    assert status == 2 and says in err and "Traceback" not in err


def test_a_cut_face_has_its_pores_known_beforehand(capsys, tmp_path):
    made, porosity, _ = crumb([1.5] * 40 + [3.0] * 10)
    path = tmp_path / "face.png"
    Image.fromarray(made).save(path)
    status, out, _ = run(capsys, "reading", "cut-face", path, "--scale", "0,100,600,100,30", "--json")  # 20 points a mm
    value = float(re.search(r'"name": "porosity",\s*"value": ([\d.]+)', out)[1])
    assert status == 0 and value == pytest.approx(porosity, rel=0.05)
    status, _, err = run(capsys, "reading", "cut-face", path)
    assert status == 2 and "x1,y1,x2,y2,mm" in err


def test_a_picture_of_what_cant_be_drawn_is_refused(capsys, tmp_path):
    status, _, err = run(capsys, "reading", "weights", "--raw", "250", "--cooked", "205", "--plot", tmp_path / "w.svg")
    assert status == 2 and "draws a probe" in err


def kept(folder, study, tray, *, closed):
    """A notebook with a photograph of each of the first two trials."""
    with Notebook.open(folder / "notebook.sqlite") as book:
        entry = keep_study(book, study)
        digest = book.keep_file(tray.read_bytes(), name="tray.png", media_type="image/png").digest
        for number in (1, 2):
            book.append(entry.id, "photograph", {"trial": number, "digest": digest}, key=f"p{number}")
        if not closed:
            book.open_tasting(entry.id, 1, ["Ana"])
        return entry.id


@pytest.mark.parametrize("closed", [True, False])
def test_a_contact_sheet_has_no_word_on_it_while_a_tasting_is_open(capsys, tmp_path, tray, closed):
    study = judged_study(plain(tasters=2), score=lambda v: 5.0, times=1)
    name = kept(tmp_path, study, tray, closed=closed)
    status, out, _ = run(capsys, "reading", "contact-sheet", "--of", name, "--plot", tmp_path / "sheet.png",
                         "--notebook", tmp_path / "notebook.sqlite")
    assert status == 0 and out.startswith("Labelled" if closed else "Shuffled and unlabelled")
    png = (tmp_path / "sheet.png").read_bytes()
    made = Image.open(io.BytesIO(png))
    assert made.width == 2000 and not made.getexif()
    # a labelled sheet is as much deeper as its labels: nothing else is written
    assert (made.height > 1010) is closed


def test_a_sheet_is_blind_until_every_trial_on_it_was_marked():
    from proofpan.steps.reading_sheets import is_blind

    tasted = judged_study(plain(), score=lambda v: 5.0, times=1)
    assert not is_blind(tasted, {1, 2}, set())
    assert is_blind(tasted, {1, 2}, {1})
    assert is_blind(plain().with_trials(trials_of(plain())), {1}, set())
