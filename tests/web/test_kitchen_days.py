"""Cooking, reading, publishing: what was weighed counts, what failed is counted, an edition is frozen."""

import io

import pytest
from PIL import Image

from proofpan.notebook.shelf import read_study
from tests.steps.test_trade_jobs import SLICE

from .conftest import crackers, planned


@pytest.fixture
def study(lead):
    made = crackers(lead)
    planned(lead, made)
    return made


def trial(kitchen, study, number):
    return read_study(kitchen.book, study.split("/")[-1]).trial(number)


def test_the_test_sheet_shows_one_trials_amounts(lead, study):
    # 10 of 30 crackers: a third of 150 g plain flour is 50 g
    assert '<label for="w-0">plain flour</label></th><td class="r num plan">50</td>' in lead.get(f"{study}/cook?trial=1").text


def test_what_was_weighed_and_when_it_came_out_are_kept(kitchen, lead, study):
    lead.post(f"{study}/cook", what="sheet", trial="1", start="10:50", out="11:08", note="browned at the back", **{"w-0": "56"}, once="a")
    kept = trial(kitchen, study, 1)
    assert (kept.weighed, kept.start, kept.out, kept.note) == ("plain flour 56 g", "10:50", "11:08", "browned at the back")
    assert "6 g over, 12 in 100" in lead.get(f"{study}/cook?trial=1").text


def test_a_sheet_changed_and_changed_back_stands_as_it_was_kept_last(kitchen, lead, study):
    for once, note in (("a", "first"), ("b", "second"), ("c", "first")):
        lead.post(f"{study}/cook", what="sheet", trial="1", note=note, once=once)
    assert trial(kitchen, study, 1).note == "first"


def test_a_failed_trial_says_why_and_can_be_put_right(kitchen, lead, study):
    lead.post(f"{study}/cook", what="sheet", trial="2", failed="split when rolled", once="a")
    assert trial(kitchen, study, 2).failed == "split when rolled"
    lead.post(f"{study}/cook", what="sheet", trial="2", failed="", once="b")
    assert trial(kitchen, study, 2).failed == ""


@pytest.mark.parametrize("field, value", [("w-0", "many"), ("start", "25:99"), ("core_c", "hot"), ("core_c", "900")])
def test_a_bad_cell_is_refused_and_the_rest_stays_typed(lead, study, field, value):
    page = lead.post(f"{study}/cook", what="sheet", trial="1", **{field: value, "note": "kept on the page"}, once="a")
    assert page.status == 422 and page.wrong and "kept on the page" in page.text


def test_something_cooked_before_it_was_planned_is_written_down(kitchen, lead):
    made = crackers(lead)
    lead.post(f"{made}/cook", what="already", version="fat=olive oil; oven=190", note="last year", once="a")
    kept = trial(kitchen, made, 1)
    assert str(kept.version) == "fat=olive oil; rest=none; malt syrup=none; oven=190" and kept.blind is False


def picture(kind: str = "JPEG", size=(40, 30)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, (200, 150, 90)).save(out, kind)
    return out.getvalue()


def test_a_photograph_is_kept_as_it_came_and_shown_small(kitchen, lead, study):
    data = picture()
    page = lead.post(f"{study}/trial/1/photograph", files={"photograph": ("../../evil.jpg", data, "image/jpeg")})
    address = page.all(r'src="([^"]*/photograph/[0-9a-f]{64})"')[0]
    assert kitchen.book.read_file(address.rsplit("/", 1)[1]) == data
    assert lead.client.get(address).headers["content-type"] == "image/jpeg"
    assert [f.name for f in kitchen.book.files()] == ["evil.jpg"]


@pytest.mark.parametrize("data", [b"", b"<html><script>", b"\x89PNG\r\n\x1a\n" + b"0" * 50, picture()[:-200]])
def test_what_is_no_photograph_is_refused(kitchen, lead, study, data):
    page = lead.post(f"{study}/trial/1/photograph", files={"photograph": ("a.jpg", data, "image/jpeg")})
    assert page.status in (422,) and kitchen.book.files() == ()


def test_a_bomb_of_a_photograph_is_refused_before_it_is_opened(kitchen, lead, study):
    import struct
    import zlib

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    chunk = b"IHDR" + head
    png = b"\x89PNG\r\n\x1a\n" + struct.pack(">I", len(head)) + chunk + struct.pack(">I", zlib.crc32(chunk)) + b"\0\0\0\0IEND\xaeB`\x82"
    page = lead.post(f"{study}/trial/1/photograph", files={"photograph": ("a.png", png, "image/png")})
    assert page.status == 422 and kitchen.book.files() == ()


def test_weights_give_a_loss_with_its_interval(lead, study):
    page = lead.post(f"{study}/reading", kind="weights", trial="1", raw="284", cooked="221", scale_g="1", once="a")
    # (284 − 221) / 284 = 22.18 %, by hand
    assert "22.2 %" in page.text and " to " in page.text


def test_a_round_that_cannot_be_proposed_says_why_and_leads_to_the_brief(lead):
    study = SLICE.replace("diet: [vegetarian]", "ingredients: 2")
    made = lead.post("/import", files={"file": ("t.yaml", study.encode(), "application/yaml")}).url.rsplit("/", 1)[0]
    page = lead.get(f"{made}/rounds")
    assert page.headline.startswith("Every version breaks a limit of the brief (3 ingredients where 2 are allowed), so none is proposed")
    assert f'class="btn act" href="{made}/brief">Change the brief</a>' in page.text
    refused = lead.post(f"{made}/rounds", what="plan", number="1", once="a")
    assert refused.status == 422 and "so none is proposed" in refused.wrong


def test_readings_before_anything_is_cooked_say_what_comes_first(kitchen, lead):
    made = crackers(lead)
    page = lead.get(f"{made}/readings")
    assert page.headline == "Nothing is cooked yet, so there is nothing to measure."
    assert f'href="{made}/rounds">Plan a round</a>' in page.text and "Read the verdict" not in page.text
    planned(lead, made)
    assert f'href="{made}/cook">Cook</a>' in lead.get(f"{made}/readings").text
    lead.post(f"{made}/cook", what="sheet", trial="1", note="done", once="a")
    assert f'href="{made}/tasting">Taste</a>' in lead.get(f"{made}/readings").text


def test_readings_are_empty_until_something_is_measured(lead, study):
    assert lead.get(f"{study}/readings").headline == "No readings yet. Weigh something, or record one snapping."


def test_the_day_is_planned_to_the_minute_for_the_planned_round(lead, study):
    page = lead.get(f"{study}/day")
    assert "tasks" in page.headline and "Run sheet" in page.text and "<svg" in page.text


def test_an_impossible_day_says_what_stands_against_it(lead, study):
    page = lead.post(f"{study}/day", start="2026-11-25T12:00", eat="2026-11-25T12:05", once="a")
    assert page.status == 422 and page.wrong


def test_the_recipe_of_any_version_in_any_readers_measures(lead, study):
    page = lead.get(f"{study}/recipe?version=fat=olive oil&in=US&scale=60 crackers")
    assert "olive oil" in page.text and "cup" in page.text
    assert lead.get(f"{study}/recipe?scale=many").status == 422
    assert "Makes 30 crackers" in lead.client.get(f"{study}/recipe.txt").text
    assert lead.client.get(f"{study}/recipe.json").json()["@type"] == "Recipe"


def test_publishing_too_early_says_everything_that_stands_against_it(lead, study):
    page = lead.post(f"{study}/publish", version="fat=butter")
    assert page.status == 422 and "twice running" in page.wrong


def test_an_edition_is_frozen_with_what_was_knowingly_left_out(lead, study):
    page = lead.post(
        f"{study}/publish",
        version="fat=butter",
        **{
            "waive-cross-test": "no testers this season",
            "waive-two good makes": "time",
            "waive-full size": "time",
            "waive-audit": "read twice",
        },
    )
    assert page.url.endswith("/editions") and "Edition 1" in page.text
    assert "no testers this season" in lead.get(f"{study}/editions/1").text and "no testers this season" in lead.get(f"{study}/how-we-tested").text


def test_a_testers_report_is_counted(lead, study):
    page = lead.post(f"{study}/cross-tests/report", version="fat=butter", tester="A kitchen in the hills", worked="yes", out_min="22", once="a")
    # 0 fails of 1: at most 95 in 100 (one-sided 95 %, Clopper & Pearson, 1934)
    assert "It worked 1 of 1 time as written: it might fail up to 95 times in 100" in page.text


def test_every_step_opens_whatever_was_done_before(lead, study):
    for step in ("brief", "sources", "rounds", "day", "cook", "tasting", "readings", "verdict", "recipe", "how-we-tested", "paper"):
        assert lead.get(f"{study}/{step}").status == 200, step


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_every_paper_is_printed(kitchen, lead, study, paper):
    from .conftest import codes_of, marks, opened

    for address in opened(lead, study).values():
        for code in codes_of(kitchen.stranger().get(address))[:4]:
            kitchen.stranger().client.post(address + "/marks", json={"code": code, **marks()})
    for name in ("run-sheet", "shopping", "prep", "tray-map", "test-sheets", "paper-ballots", "labels", "reveal", "card", "how-we-tested"):
        answer = lead.client.get(f"{study}/papers/{name}.pdf?paper={paper}")
        assert answer.status_code == 200 and answer.content.startswith(b"%PDF"), name


def test_the_readers_file_is_saved_whole_and_points_nowhere(kitchen, lead, study):
    from .conftest import codes_of, marks, opened

    address = opened(lead, study)["Ada"]
    for code in codes_of(kitchen.stranger().get(address))[:4]:
        kitchen.stranger().client.post(address + "/marks", json={"code": code, **marks()})
    answer = lead.client.get(f"{study}/papers/how-we-tested.html")
    assert answer.status_code == 200 and "attachment" in answer.headers["content-disposition"]


def test_a_paper_is_asked_for_in_a_language_of_its_own(lead, study):
    """US English writes its clocks with AM and PM (Unicode CLDR); a language is never a file's name in an address."""
    day = f"{study}/papers/day.html"
    assert ' AM' in lead.client.get(f"{day}?language=en-US").text and ' AM' not in lead.client.get(day).text
    for asked in ("nl", "../../secret.po", "de.po"):
        refused = lead.client.get(f"{day}?language={asked}")
        assert refused.status_code == 422 and "Traceback" not in refused.text, asked


def test_a_study_opens_at_its_next_unfinished_step(lead):
    made = crackers(lead)
    assert lead.get(made).url.endswith("/brief")
    planned(lead, made)
    assert lead.get(made).url.endswith("/cook")
    for number in range(1, 9):
        lead.post(f"{made}/cook", what="sheet", trial=str(number), note="fine", once=str(number))
    assert lead.get(made).url.endswith("/tasting")


def test_an_unknown_study_is_said_so(lead):
    page = lead.get("/study/nothing-here/brief")
    assert page.status == 404 and "nothing-here" in page.headline


def test_a_tile_of_the_cooks_page_names_the_oven_where_there_are_several(kitchen, lead, study):
    from proofpan.notebook.shelf import keep_study
    from tests.steps.day_dishes import dish

    several = f"/study/{keep_study(kitchen.book, dish('film')).id}"
    planned(lead, several)
    tiles = lead.get(f"{several}/cook").all(r"<small>(Trial \d[^<]*)</small>")
    assert sum("main oven" in t for t in tiles) == 4 and sum("small oven" in t for t in tiles) == 2
    assert not any("oven" in t for t in lead.get(f"{study}/cook").all(r"<small>(Trial \d[^<]*)</small>"))
