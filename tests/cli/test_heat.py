"""proofpan heat: sentences, the curve, JSON; a fit kept with the study's oven; nonsense ends in one sentence."""

import json

import pytest

from proofpan.cli import main
from tests.kitchens import CRACKERS
from tests.steps.test_heat import a_log_of_an_oven


def run(capsys, *arguments):
    status = main([str(a) for a in arguments])
    return status, *capsys.readouterr()


POTATO = ("heat", "potato", "--shape", "sphere", "--size", "4", "--stage", "boil", "--until", "80-92", "--kitchens", "32")


def test_minutes_the_curve_what_matters_and_the_caution(capsys):
    status, out, _ = run(capsys, *POTATO)
    assert status == 0 and "start looking at" in out and "<- done" in out and "what matters" in out and "Careful: Worked out, not cooked" in out


def test_json_has_the_curve_and_the_odds(capsys):
    status, out, _ = run(capsys, *POTATO, "--json")
    found = json.loads(out)
    assert status == 0 and found["probability_low"] <= found["probability"] and len(found["curve"]) > 20 and found["cautions"]


@pytest.mark.parametrize("change, says", [
    (("custard", "--stage", "oven", "--until", "80"), "No sum for this; cross-test it"),
    (("potato", "--stage", "soak 180 for 5 min", "--stage", "boil", "--until", "starch"), "boils at 100"),
    (("potato", "--stage", "boil", "--until", "starch", "--oven", "main"), "name it with --study"),
    (("potatoe", "--stage", "boil", "--until", "delicious"), "is not a target"),
    (("quartz", "--stage", "boil", "--until", "starch"), "is in the pantry"),
])
def test_nonsense_ends_in_one_sentence(capsys, change, says):
    status, out, err = run(capsys, "heat", change[0], "--shape", "cube", "--size", "3", *change[1:])
    assert status == 2 and says in out + err and "Traceback" not in err


def test_a_fit_is_kept_with_the_oven_and_shows_in_the_study(capsys, tmp_path):
    book, path, log = ["--notebook", str(tmp_path / "n.sqlite")], tmp_path / "study.yaml", tmp_path / "log.csv"
    path.write_text(CRACKERS)
    run(capsys, "import", path, *book)
    log.write_text(a_log_of_an_oven(0.0, 18.0))
    line = ("heat", "water=0.79,protein=0.02,carbohydrate=0.19", "--shape", "slab", "--size", "4", "--stage", "oven 180", "--start", "6", "--fit", log,
            "--free", "heat transfer", "--study", "oat-crackers", "--keep", *book)
    status, out, _ = run(capsys, *line)
    assert status == 0 and "Heat transfer" in out and "Kept with the oven" in out
    back = tmp_path / "back.yaml"
    run(capsys, "export", "oat-crackers", back, *book)
    assert "heat_transfer_w_m2k:" in back.read_text()
