"""proofpan day: its options, the lists with packs and costs, and what is refused in a sentence."""

import json

import pytest

from proofpan.cli import main
from tests.kitchens import CRACKERS

KITCHEN = ("kitchen: {country: AU, ovens: [{name: main, kind: fan, trays: 2, places: 2}], people: [Ada, Bo], breaks: [\"Ada 12:30-13:00\"], "
           "currency: AUD, packs: [\"plain flour 1 kg\"], prices: [\"plain flour 2.00 a kg\", \"unsalted butter 12 a kg\"]}")


@pytest.fixture(scope="module")
def brief(tmp_path_factory):
    lines = [KITCHEN if line.startswith("kitchen:") else line for line in CRACKERS.splitlines()]
    path = tmp_path_factory.mktemp("day") / "study.yaml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def run(capsys, *arguments):
    status = main([str(a) for a in arguments])
    return status, *capsys.readouterr()


def test_a_day_is_planned_with_its_lists_in_packs_and_with_costs(capsys, brief):
    status, out, _ = run(capsys, "day", brief, "--start", "2026-06-05T09:00", "--lists", "--json")
    found = json.loads(out)
    flour = next(x for x in found["lists"]["shopping"] if x["what"] == "plain flour")
    trials = sum(t["task"].startswith("plate") for t in found["tasks"])
    # a third of 250 g a trial, bought by the kilo at 2.00
    assert status == 0 and flour["amount"] == "1 pack of 1 kg" and flour["cost"] == "2.00 AUD"
    over = next(x for x in found["lists"]["left_over"] if x["what"] == "plain flour")
    assert over["amount"] == f"{1000 - 250 / 3 * trials:.0f} g"
    assert found["lists"]["cost"].startswith("It costs at least") and "no price for" in found["lists"]["cost"]


def test_a_day_is_printed_with_what_to_buy_and_what_to_weigh(capsys, brief):
    status, out, _ = run(capsys, "day", brief, "--start", "2026-06-05T09:00", "--lists")
    assert status == 0
    for words in ("To buy", "1 pack of 1 kg", "To weigh", "Left over", "No better plan exists.", "Trial"):
        assert words in out


def test_a_meal_is_planned_backward(capsys, brief):
    status, out, _ = run(capsys, "day", brief, "--eat", "2026-06-05T13:00", "--zone", "United Kingdom", "--json")
    found = json.loads(out)
    assert status == 0 and max(t["end"][:16] for t in found["tasks"] if t["task"].startswith("plate")) <= "2026-06-05T13:00"


@pytest.mark.parametrize(("options", "says"), [
    (["--start", "at nine"], "write a local time as 2026-06-05T09:00"),
    (["--start", "2026-06-05T09:00", "--done", "mix 1=2026-06-05T09:11"], "Say what time it is"),
    (["--start", "2026-06-05T09:00", "--now", "2026-06-05T09:20", "--done", "mix 1=2026-06-05T09:11"], "make one with proofpan round --keep"),
    (["--start", "2026-06-05T14:00", "--eat", "2026-06-05T13:00"], "can't be"),
    (["--start", "2026-06-05T09:00", "--zone", "Atlantis"], "No danger zone is known"),
    (["--round", "9"], "There is no round 9"),
])
def test_what_cannot_be_planned_is_said_in_one_sentence(capsys, brief, options, says):
    status, out, error = run(capsys, "day", brief, *options)
    assert status == 2 and says in error and "Traceback" not in error and out == ""


def test_what_has_happened_is_planned_on(capsys, brief, tmp_path):
    notebook = ["--notebook", tmp_path / "notebook.sqlite"]
    status, out, error = run(capsys, "import", brief, *notebook)
    assert status == 0, error
    status, _, error = run(capsys, "round", "oat-crackers", "--keep", *notebook)
    assert status == 0, error
    day = ["day", "oat-crackers", "--start", "2026-06-05T09:00", "--json", *notebook]
    first = json.loads(run(capsys, *day)[1])["tasks"][0]
    status, out, error = run(capsys, *day, "--now", "2026-06-05T09:20", "--begun", f"{first['task']}=2026-06-05T09:02",
                             "--done", f"{first['task']}=2026-06-05T09:15", "--late", f"{first['task']}=3")
    assert status == 0, error
    again = json.loads(out)["tasks"]
    moved = next(t for t in again if t["task"] == first["task"])
    assert (moved["start"][:16], moved["end"][:16]) == ("2026-06-05T09:02", "2026-06-05T09:15")
    assert all(t["start"] >= "2026-06-05T09:20" for t in again if t["task"] != first["task"])
    status, _, error = run(capsys, *day, "--now", "2026-06-05T09:20", "--late", f"{first['task']}=soon")
    assert status == 2 and "isn't a whole number of minutes" in error
    status, _, error = run(capsys, *day, "--now", "2026-06-05T09:20", "--done", "mix one")
    assert status == 2 and "can't be read" in error
    status, _, error = run(capsys, *day, "--now", "2026-06-05T09:20", "--done", "knead 1=2026-06-05T09:11")
    assert status == 2 and "isn't a task of this day" in error


def test_a_round_that_came_in_a_table_is_planned_by_its_number(capsys, brief, tmp_path):
    table, notebook = tmp_path / "trials.csv", ["--notebook", tmp_path / "notebook.sqlite"]
    table.write_text("round,trial,version,load,tray,place\n1,1,fat=butter,1,1,1\n1,2,fat=olive oil,1,1,2\n2,3,fat=butter; oven=190,1,1,1\n")
    assert run(capsys, "import", brief, *notebook)[0] == 0
    assert run(capsys, "trial", "oat-crackers", table, *notebook)[0] == 0
    day = ["day", "oat-crackers", "--start", "2026-06-05T09:00", *notebook]
    status, out, error = run(capsys, *day, "--round", "1", "--lists", "--json")
    assert status == 0, error
    found = json.loads(out)
    assert {"bake 1"} <= {t["task"] for t in found["tasks"]}
    versions = {v for t in found["tasks"] for v in t["versions"]}
    assert any("olive oil" in v for v in versions) and not any("190" in v for v in versions)
    status, _, error = run(capsys, *day, "--round", "9")
    assert status == 2 and "planned are 1, 2." in error
