"""The brief changed a part at a time, undone by name, and never against what was cooked."""

import pytest

from proofpan.web.pages.begin.pasted import recipe_from

from .conftest import CRACKERS, crackers, planned

PASTED = """Oat crackers. Makes 30 crackers.
250 g plain flour
60 g unsalted butter
4 g fine salt
110 g water
Rub in the butter, add the water. Roll to 3 mm and cut. Bake at 170 °C fan until deep gold, about 18 minutes."""


def test_a_pasted_recipe_keeps_its_lines_and_reads_oven_minutes_and_cue():
    base = recipe_from(PASTED)
    assert base["title"] == "Oat crackers" and base["makes"] == "30 crackers"
    assert base["ingredients"] == ["250 g plain flour", "60 g unsalted butter", "4 g fine salt", "110 g water"]
    bake = base["method"][-1]
    assert (bake["oven"], bake["minutes"], bake["until"]) == ("170 C fan", [18.0, 18.0], "deep gold")


@pytest.mark.parametrize("text", ["", "   \n", "Just a title", "Do this. Do that."])
def test_a_text_without_ingredients_is_refused_with_what_would_be_right(lead, text):
    page = lead.post("/new", recipe=text, idea="", instead="")
    assert page.status == 422 and ("ingredient" in page.wrong)


def test_a_recipe_and_an_idea_make_a_study_with_two_options(lead):
    page = lead.post("/new", recipe=PASTED, idea="50 g olive oil", instead="unsalted butter")
    assert page.url.endswith("/brief")
    assert "swap unsalted butter for 50 g olive oil" in page.text


def test_an_idea_for_something_that_is_not_in_the_recipe_names_the_nearest(lead):
    page = lead.post("/new", recipe=PASTED, idea="50 g olive oil", instead="unsalted buter")
    assert page.status == 422 and "unsalted butter" in page.wrong
    assert "250 g plain flour" in page.text  # what was typed stays


def test_undo_names_what_it_undoes_and_redo_brings_it_back(lead):
    study = crackers(lead)
    page = lead.post(
        f"{study}/brief", what="add factor", factor="thickness", plain="2 mm", name="3 mm", verb="name only", asks="best", changed="batch"
    )
    assert "Undo: added thickness" in page.text
    page = lead.post(f"{study}/undo")
    assert "Undid: added thickness" in page.text and "Redo: added thickness" in page.text
    assert ">thickness <" not in page.text
    assert ">thickness <" in lead.post(f"{study}/redo").text


def test_an_undo_that_would_lose_what_was_cooked_is_refused(lead):
    study = crackers(lead)
    lead.post(
        f"{study}/brief", what="add factor", factor="thickness", plain="2 mm", name="3 mm", verb="name only", asks="best", changed="batch"
    )
    lead.post(f"{study}/cook", what="already", version="thickness=3 mm", once="one")
    page = lead.post(f"{study}/undo")
    assert page.status == 422 and "can't be taken back" in page.wrong
    assert ">thickness <" in lead.get(f"{study}/brief").text


def test_two_devices_changing_at_once_are_told_and_nothing_is_overwritten(lead):
    study = crackers(lead)
    base = lead.get(f"{study}/brief").all(r'name="base" value="(\d+)"')[0]
    first = lead.post(f"{study}/brief", what="about", title="Seeded oat crackers", question="From the tablet?", base=base)
    second = lead.post(f"{study}/brief", what="about", title="Seeded oat crackers", question="From the phone?", base=base)
    assert first.status == 200 and second.status == 409
    assert "From the phone?" in second.text  # kept on the page
    assert "From the tablet?" in lead.get(f"{study}/brief").text


def test_weights_of_zero_leave_an_attribute_out(lead):
    study = crackers(lead)
    page = lead.post(f"{study}/brief", what="judged", **{"weight-0": "4", "weight-1": "3", "weight-2": "0", "weight-3": "1"})
    assert page.status == 200 and '<b class="an">colour</b>' not in page.text and '<b class="an">snap</b>' in page.text


def test_a_weight_that_is_no_number_is_refused_by_its_field(lead):
    study = crackers(lead)
    page = lead.post(f"{study}/brief", what="judged", **{"weight-0": "heavy"})
    assert page.status == 422 and "“heavy” isn’t a number" in page.wrong


def test_a_study_brought_in_goes_out_byte_for_byte(lead):
    study = crackers(lead)
    assert lead.client.get(f"{study}/study.yaml").text == CRACKERS.read_text(encoding="utf-8")


def test_what_was_planned_goes_out_with_the_study_and_comes_in_again(lead):
    study = crackers(lead)
    planned(lead, study)
    text = lead.client.get(f"{study}/study.yaml").text
    page = lead.post("/import", files={"file": ("again.yaml", text.encode(), "application/yaml")})
    assert page.status == 200 and page.url.endswith("/cook")


@pytest.mark.parametrize("data, says", [(b"title: [", ""), (b"\xff\xfe", "UTF-8"), (b"x" * 1_100_000, "1 MB"), (b"titel: x", "key")])
def test_a_file_that_is_no_study_is_refused_in_a_sentence(lead, data, says):
    page = lead.post("/import", files={"file": ("bad.yaml", data, "application/yaml")})
    assert page.status == 422 and says in page.wrong and page.wrong


def test_the_plan_follows_what_is_typed_before_it_is_kept(lead):
    study = crackers(lead)
    page = lead.get(f"{study}/plan?what=kitchen&trays=1&places=2&loads=2&at_most=2&passes=1&tasters=Ada")
    assert "<dt>Trials</dt><dd>8, in up to 2 rounds of 4<small>was 32, in up to 4 rounds of 8</small>" in page.text
    assert "<dt>Ballots</dt><dd>8 by 1 taster<small>was 64 by 2 tasters</small>" in page.text
    assert "Hands at the stove" in page.text
    assert "8, in up to 2 rounds" not in lead.get(f"{study}/brief").text  # nothing was kept


def test_search_finds_a_study_by_an_ingredient(lead):
    crackers(lead)
    assert "1 study holds “sesame”" in lead.get("/?q=sesame").headline
    assert "Nothing holds" in lead.get("/?q=saffron").headline


def test_a_version_ruled_out_with_a_reason_is_not_proposed_again(lead):
    study = crackers(lead)
    version = lead.get(f"{study}/rounds").all(r'name="version" value="([^"]*)"')[0]
    page = lead.post(f"{study}/rounds", what="never", version=version, why="it won't roll")
    assert version not in page.all(r'name="version" value="([^"]*)"')
    assert "won" in lead.get(f"{study}/brief").text


def test_a_source_that_is_far_out_leads_the_page_with_its_arithmetic(lead):
    study = crackers(lead)
    page = lead.get(f"{study}/sources")
    assert page.headline == "You wrote 40 g of malt syrup. The old leaflet means about 11 g."
    assert "3.5 times as much" in page.text


def test_what_is_intended_is_brought_to_the_source_by_one_press_and_keeps_its_place(lead):
    study = crackers(lead)
    page = lead.get(f"{study}/sources")
    take = page.all(r'name="as_meant" value="([^"]*)"')
    assert take == ["11 g malt syrup per 250 g flour"]
    words = page.all(r'name="words" value="([^"]*)"')
    page = lead.post(f"{study}/sources", what="change", words=words[0], ours="40 g malt syrup per 250 g flour", as_meant=take[0])
    assert page.headline == "What you read and what you intend agree."
    assert page.text.count(take[0]) == 1 and not page.all(r'name="as_meant"')


def test_a_source_without_a_unit_is_refused(lead):
    study = crackers(lead)
    page = lead.post(
        f"{study}/sources", what="add", words="1 tsp salt per lb of flour", source="a bag", country="US", ours="5 salt per flour"
    )
    assert page.status == 422 and page.wrong
