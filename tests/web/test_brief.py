"""The brief changed a part at a time, undone by name, and never against what was cooked."""

import pytest

from proofpan.notebook.shelf import read_study
from proofpan.study.study import Study
from proofpan.study.words import version_words
from proofpan.web.pages.begin.pasted import recipe_from
from tests.kitchens import crackers as three_of_two
from tests.kitchens import judged_study

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


@pytest.mark.parametrize(
    ("said", "oven", "hob"),
    [
        ("Fry in batches at 175 °C until deep brown, about 4 minutes.", None, "medium"),
        ("Heat the oil to 350 F.", None, "medium"),
        ("Simmer over a low heat for 20 minutes.", None, "low"),
        ("Roast at 200 C until the centre reaches 75 C, 40 minutes.", "200 C", None),
        ("Cook until the core reaches 75 °C.", None, None),
        ("Bake at 160 °C fan, 30 minutes.", "160 C fan", None),
        ("Fry the onions, then bake in a 180 C oven, 20 minutes.", "180 C", None),
    ],
)
def test_a_temperature_is_the_ovens_only_where_something_is_baked(said, oven, hob):
    (step,) = recipe_from(f"Dish\n1 egg\n{said}")["method"]
    assert (step.get("oven"), step.get("hob")) == (oven, hob)


def test_a_step_more_is_read_like_a_step_of_the_recipe(kitchen, lead):
    page = lead.post("/new", recipe=PASTED, idea="", instead="")
    fields = {"factor": "chilling", "plain": "none", "name": "30 min", "verb": "insert", "target": "rub", "to": "Chill, covered, 30 minutes."}
    page = lead.post(page.url, what="add factor", asks="worth it", changed="batch", **fields)
    (edit,) = read_study(kitchen.book, page.url.split("/")[-2]).factors[0].options[1].edits
    assert (edit.insert.id, edit.insert.minutes) == ("chill", (30, 30))


def test_a_sentence_put_before_one_that_begins_alike_leaves_that_its_name_and_settings(kitchen, lead):
    page = lead.post("/new", recipe=PASTED, idea="", instead="")
    text = PASTED.replace("Bake at 170", "Bake a test piece, 2 minutes. Bake at 170")
    page = lead.post(page.url, what="recipe", recipe=text, trial_makes="")
    assert page.status == 200, page.wrong
    method = read_study(kitchen.book, page.url.split("/")[-2]).brief.base.method
    assert [(s.id, s.oven.text if s.oven else None) for s in method][-2:] == [("bake 2", None), ("bake", "170 C fan")]


@pytest.mark.parametrize("text", ["", "   \n", "Just a title", "Do this. Do that."])
def test_a_text_without_ingredients_is_refused_with_what_would_be_right(lead, text):
    page = lead.post("/new", recipe=text, idea="", instead="")
    assert page.status == 422 and ("ingredient" in page.wrong)


def test_a_recipe_and_an_idea_make_a_study_with_two_options(lead):
    page = lead.post("/new", recipe=PASTED, idea="50 g olive oil", instead="unsalted butter")
    assert page.url.endswith("/brief")
    assert "swap unsalted butter for 50 g olive oil" in page.text
    assert page.headline == "Is olive oil better than unsalted butter?" and "<option>unsalted butter" in page.text


@pytest.mark.parametrize(
    ("idea", "instead", "words", "asks"),
    [
        ("50 g olive oil", "unsalted butter", ["unsalted butter", "olive oil"], "best"),
        ("5 g fine salt", "fine salt", ["fine salt", "5 g fine salt"], "best"),
        ("10 g malt syrup", "", ["no malt syrup", "10 g malt syrup"], "worth it"),
        ("a colder oven", "", ["as written", "a colder oven"], "best"),
        ("", "", ["as written", "another way"], "best"),
    ],
)
def test_what_is_tried_is_called_by_its_food(kitchen, lead, idea, instead, words, asks):
    page = lead.post("/new", recipe=PASTED, idea=idea, instead=instead)
    assert page.status == 200, page.wrong
    study = read_study(kitchen.book, page.url.split("/")[-2])
    assert [version_words(v) for v in study.versions()] == words and study.factors[0].asks == asks


def test_an_idea_for_something_that_is_not_in_the_recipe_names_the_nearest(lead):
    page = lead.post("/new", recipe=PASTED, idea="50 g olive oil", instead="unsalted buter")
    assert page.status == 422 and "unsalted butter" in page.wrong
    assert "250 g plain flour" in page.text  # what was typed stays


def test_undo_names_what_it_undoes_and_redo_brings_it_back(lead):
    study = crackers(lead)
    page = lead.post(f"{study}/brief", what="add factor", factor="thickness", plain="2 mm", name="3 mm", verb="name only", asks="best", changed="batch")
    assert "Undo: added thickness" in page.text
    page = lead.post(f"{study}/undo")
    assert "Undid: added thickness" in page.text and "Redo: added thickness" in page.text
    assert ">thickness <" not in page.text
    assert ">thickness <" in lead.post(f"{study}/redo").text


def test_an_undo_that_would_lose_what_was_cooked_is_refused(lead):
    study = crackers(lead)
    lead.post(f"{study}/brief", what="add factor", factor="thickness", plain="2 mm", name="3 mm", verb="name only", asks="best", changed="batch")
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
    assert "“changed the question” at " in second.wrong
    base = second.all(r'name="base" value="(\d+)"')[0]  # read and decided: now it counts
    assert lead.post(f"{study}/brief", what="about", title="Seeded oat crackers", question="From the phone?", base=base).status == 200


def test_two_devices_changing_different_parts_at_once_both_stand(lead):
    study = crackers(lead)
    base = lead.get(f"{study}/brief").all(r'name="base" value="(\d+)"')[0]
    lead.post(f"{study}/brief", what="about", title="Seeded oat crackers", question="From the tablet?", base=base)
    page = lead.post(f"{study}/brief", what="limits", active_minutes="40", base=base)
    assert page.status == 200 and "From the tablet?" in page.text and 'value="40"' in page.text


def test_an_undo_from_a_page_that_another_device_overtook_takes_nothing_back(lead):
    study = crackers(lead)
    lead.post(f"{study}/brief", what="limits", active_minutes="40")
    base = lead.get(f"{study}/brief").all(r'name="base" value="(\d+)"')[0]
    lead.post(f"{study}/brief", what="about", title="Seeded oat crackers", question="From the tablet?")
    page = lead.post(f"{study}/undo", base=base)
    assert page.status == 409 and "“changed the question”" in page.wrong
    assert "From the tablet?" in lead.get(f"{study}/brief").text


def test_the_first_thing_that_varies_takes_the_place_of_what_stood_there(lead):
    page = lead.post("/new", recipe=PASTED, idea="", instead="")
    fields = {"factor": "fat", "plain": "butter", "name": "olive oil", "verb": "swap", "target": "unsalted butter", "to": "50 g olive oil"}
    page = lead.post(page.url, what="add factor", asks="best", changed="batch", **fields)
    assert page.headline == "Is olive oil better than butter?" and "another way" not in page.text


def option(lead, study, **fields):
    return lead.post(f"{study}/brief", what="add option", **fields)


def test_plates_that_were_named_only_say_what_they_do_once_there_is_a_recipe(kitchen, lead):
    page = lead.post("/quick", option=["butter", "olive oil"], who="1", mode="marks", turns="1", dont_eat="")
    study, codes = page.url.removesuffix("/codes"), page.all(r"<span>(\d{3})</span>")
    for number, code in enumerate(codes, 1):
        lead.post(f"{study}/alone", what="marks", number=str(number), m0="6")
        lead.post(f"{study}/alone", what="code", code=code)
    lead.post(f"{study}/brief", what="recipe", recipe=PASTED, trial_makes="")
    swap = {"factor": "version", "verb": "swap", "target": "unsalted butter", "to": "50 g olive oil"}
    page = option(lead, study, name="olive oil", **swap)
    assert page.status == 200 and "swap unsalted butter for 50 g olive oil" in page.text and "said what olive oil does" in page.text
    held = read_study(kitchen.book, study.split("/")[-1])
    assert [o.name for o in held.factors[0].options] == ["butter", "olive oil"] and len(held.ballots) == 2  # what was tasted stays
    refused = option(lead, study, name="Olive oil", factor="version", verb="set", target="bake", to="190 C fan")
    assert refused.status == 422  # nothing of that name in the recipe


def test_an_option_that_stands_does_one_thing_more_until_it_is_cooked(lead):
    study = crackers(lead)
    more = {"factor": "fat", "name": "olive oil", "verb": "set", "target": "water", "to": "105 g"}
    assert "105 g of water" in option(lead, study, **more).text
    assert "stands there already" in option(lead, study, factor="fat", name="olive oil", verb="name only").wrong
    assert "the recipe as written" in option(lead, study, **{**more, "name": "butter"}).wrong
    lead.post(f"{study}/cook", what="already", version="fat=olive oil", note="last year", once="a")
    assert "cooked as it stands" in option(lead, study, **more).wrong


def test_what_stands_as_written_is_told_apart_in_two_things_that_vary(kitchen, lead):
    page = lead.post("/new", recipe=PASTED, idea="", instead="")
    for factor, verb, target, name, to in (
        ("fat", "swap", "unsalted butter", "oil", "50 g oil"),
        ("salt", "set", "fine salt", "5 g", "5 g"),
        ("heat", "name only", "", "hot", ""),
    ):
        page = lead.post(page.url, what="add factor", factor=factor, name=name, verb=verb, target=target, to=to, asks="best", changed="batch")
        assert page.status == 200, page.wrong
    factors = read_study(kitchen.book, page.url.split("/")[-2]).factors
    assert [f.options[0].name for f in factors] == ["unsalted butter", "as written", "heat as written"]


def test_notes_come_first_with_a_photograph_and_what_is_cooked_already(kitchen, lead):
    data = picture()
    files = {"photograph": ("p.jpg", data, "image/jpeg")}
    page = lead.post("/notes", dish="Oat crackers", differed="butter, olive oil", words="190 was too much", files=files)
    assert page.url.endswith("/cook") and "190 was too much" in page.text
    page = lead.post(page.url, what="already", version="what differed=olive oil", note="last year", once="a")
    assert "Trial 1" in page.headline or "cooked" in page.headline
    page = lead.get(page.url.replace("/cook", "/brief"))
    assert "190 was too much" in page.text and "Kept as photographed" in page.text
    (href,) = set(page.all(r'<img src="(/study/[^"]+/notes/\w{64})"'))
    shown = lead.client.get(href)
    assert shown.status_code == 200 and shown.headers["content-type"] == "image/jpeg"
    assert kitchen.book.read_file(href.rsplit("/", 1)[1]) == data
    assert kitchen.stranger().get(href).status == 403


NO_PICTURE = {"dish": "x", "files": {"photograph": ("p.jpg", b"no", "image/jpeg")}}


@pytest.mark.parametrize("form, says", [({}, "any of them is enough"), (NO_PICTURE, "isn’t a photograph")])
def test_notes_without_anything_or_with_what_is_no_photograph_make_no_study(kitchen, lead, form, says):
    page = lead.post("/notes", **form)
    assert page.status == 422 and says in page.wrong and kitchen.book.studies() == ()


def test_a_photograph_alone_begins_a_study_and_more_pages_follow(lead):
    page = lead.post("/notes", files={"photograph": ("p.jpg", picture(), "image/jpeg")})
    assert page.url.endswith("/brief") and "Notes of 25 November" in page.text
    page = lead.post(page.url.replace("/brief", "/notes/photograph"), files=[("photograph", ("q.jpg", picture(n), "image/jpeg")) for n in (1, 2)])
    assert len(set(page.all(r"/notes/(\w{64})"))) == 3


def picture(shade=200):
    from io import BytesIO

    from PIL import Image

    out = BytesIO()
    Image.new("RGB", (60, 80), (shade, 190, 170)).save(out, "JPEG")
    return out.getvalue()


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
    assert "(it won’t roll)" in page.text or "(it won&#39;t roll)" in page.text
    again = page.all(r'name="never" value="([^"]*)"')[0]
    assert not lead.post(f"{study}/rounds", what="allow", never=again).all(r'name="never" value="([^"]*)"')


def test_one_tap_rules_a_proposal_out_without_a_word(lead):
    study = crackers(lead)
    version = lead.get(f"{study}/rounds").all(r'name="version" value="([^"]*)"')[0]
    page = lead.post(f"{study}/rounds", what="never", version=version, why="")
    assert version not in page.all(r'name="version" value="([^"]*)"') and "(not for us)" in page.text


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
    page = lead.post(f"{study}/sources", what="add", words="1 tsp salt per lb of flour", source="a bag", country="US", ours="5 salt per flour")
    assert page.status == 422 and page.wrong


LIMITED = "limits&cost_a_serve=&active_minutes="


def test_the_limits_that_are_typed_change_the_plan_before_they_are_kept(lead):
    study = crackers(lead)
    page = lead.get(f"{study}/plan?what={LIMITED}20")
    (left_out,) = page.all(r"<dt>Versions that could be made</dt><dd>24, (\d+) outside the limits<small>was 24</small>")
    assert left_out == "12"  # with malt syrup there is a minute of weighing more
    assert "No version lies within the limits" in lead.get(f"{study}/plan?what={LIMITED}0.5").text
    page = lead.get(f"{study}/plan?what={LIMITED}&deadline=2026-11-26")
    assert "<dt>Days left</dt><dd>2, for up to 4 rounds</dd>" in page.text  # the 25th and the 26th
    assert "4 rounds won’t fit in the 2 days that are left: plan 2 rounds" in page.text
    assert "past" in lead.get(f"{study}/plan?what={LIMITED}&deadline=2026-11-20").text
    assert "no price of" in lead.get(f"{study}/plan?what=limits&cost_a_serve=2").text
    assert "outside the limits" not in lead.get(f"{study}/brief").text  # nothing was kept


KITCHEN = "kitchen&trays=2&places=2&loads=2&at_most=2&passes=1&tasters=Ada"


def test_the_hours_that_are_typed_are_set_beside_what_a_round_takes(lead):
    study = crackers(lead)
    assert "a round, at most" not in lead.get(f"{study}/plan?what={KITCHEN}&people=&hours=").text
    (takes,) = lead.get(f"{study}/plan?what={KITCHEN}&people=&hours=09:00-17:00").all(r"<dt>Hands a round, at most</dt><dd>([^<]+) of 8 h 00")
    page = lead.get(f"{study}/plan?what={KITCHEN}&people=&hours=09:00-11:00")
    assert "<dt>Oven, a round</dt><dd>1 h 10 of 2 h 00" in page.text
    assert f"A round takes each cook up to {takes} of hands and the kitchen is open 2 h 00 a day." in page.text
    page = lead.get(f"{study}/plan?what={KITCHEN}&people=Ada, Bo, Cy, Di&hours=09:00-09:30")
    assert "The oven alone is busy for" in page.text and "another oven" in page.text
    assert "“9-half five” can" in lead.get(f"{study}/plan?what={KITCHEN}&people=&hours=9-half five").text
    page = lead.post(f"{study}/brief", what="kitchen", trays="2", places="2", loads="2", at_most="2", tasters="Ada", hours="9-half five")
    assert page.status == 422 and "09:00-17:00" in page.wrong


def test_a_second_oven_is_like_the_first_and_leaves_again(lead):
    study = crackers(lead)
    page = lead.get(f"{study}/plan?what={KITCHEN}&ovens=2")
    assert "<dt>Trials</dt><dd>32, in up to 2 rounds of 16<small>was 32, in up to 4 rounds of 8</small>" in page.text
    kept = {"what": "kitchen", "trays": "2", "places": "2", "loads": "2", "at_most": "2", "tasters": "Ada"}
    assert lead.post(f"{study}/brief", ovens="2", **kept).status == 200
    assert "in up to 2 rounds of 16" in lead.post(f"{study}/brief", **kept).text  # a form that doesn't ask leaves them
    assert "in up to 2 rounds of 8" in lead.post(f"{study}/brief", ovens="1", **kept).text
    page = lead.post(f"{study}/brief", ovens="0", **kept)
    assert page.status == 200 and page.all(r'id="ovens"[^>]* value="(\d*)"') == [""]


def newest(page):
    return page.all(r'name="base" value="(\d+)"')[0]


def kept_by_itself(lead, study, goes_on="", **fields):
    """A form that keeps itself, as its script sends it."""
    form = {"what": "kitchen", "trays": "2", "places": "2", "loads": "2", "at_most": "4", "passes": "1", "tasters": "Ada, Bo", **fields}
    return lead.post(f"{study}/brief", base=newest(lead.get(f"{study}/brief")), goes_on=goes_on, **form)


def test_a_run_of_changes_that_keep_themselves_is_undone_at_once_and_named_whole(kitchen, lead):
    study = crackers(lead)
    first = kept_by_itself(lead, study, trays="3")
    assert "Undo: changed trays from 2 to 3" in first.text
    second = kept_by_itself(lead, study, newest(first), trays="4")
    third = kept_by_itself(lead, study, newest(second), trays="4", hours="09:00-15:00")
    assert "Undo: changed trays from 2 to 4" in second.text and "Undo: changed trays and hours" in third.text
    page = lead.post(f"{study}/undo")
    assert "Undid: changed trays and hours" in page.text and 'id="trays" name="trays" inputmode="numeric" value="2"' in page.text
    page = lead.post(f"{study}/redo")
    assert 'id="trays" name="trays" inputmode="numeric" value="4"' in page.text and 'value="09:00-15:00"' in page.text
    assert len(kitchen.book.history(study.split("/")[-1])) == 6  # every save is there still


def test_a_run_ends_with_a_pause_another_part_or_an_undo(kitchen, lead):
    study = crackers(lead)
    first = kept_by_itself(lead, study, trays="3")
    kitchen.clock.move(minutes=3)
    paused = kept_by_itself(lead, study, newest(first), trays="4")
    assert "Undo: changed trays from 3 to 4" in paused.text
    other = lead.post(f"{study}/brief", what="limits", active_minutes="40", base=newest(paused), goes_on=newest(paused))
    assert "Undo: set the minutes of hands to 40" in other.text
    back = lead.post(f"{study}/undo")
    after = kept_by_itself(lead, study, newest(back), trays="5")
    assert "Undo: changed trays from 4 to 5" in after.text
    assert "Undid: changed trays from 4 to 5" in lead.post(f"{study}/undo").text


def test_a_change_is_named_by_what_it_changed(lead):
    study = crackers(lead)
    page = lead.post(f"{study}/brief", what="judged", **{"weight-0": "4", "weight-1": "2"})
    assert "Undo: changed the weights" in page.text
    page = lead.post(f"{study}/brief", what="judged", **{"worth-0": "0.8"})
    assert "Undo: changed the worth of snap from 0.5 to 0.8" in page.text
    page = lead.post(f"{study}/brief", what="judged", new="smell", **{"new-better": "more"})
    assert "Undo: judges smell too" in page.text
    page = lead.post(f"{study}/brief", what="limits", deadline="2026-12-24")
    assert "Undo: set the day to publish by to 24 December" in page.text
    page = kept_by_itself(lead, study, tasters="Ada, Cy", trays="3")
    assert "Undo: Cy tastes too; Bo no longer tastes; changed trays from 2 to 3" in page.text


def test_a_file_with_its_ballots_keeps_them_when_a_page_changes_its_brief(lead):
    cooked = judged_study(three_of_two(), times=2)
    page = lead.post("/import", files={"file": ("cooked.yaml", cooked.to_yaml().encode(), "application/yaml")})
    study = page.url.rsplit("/", 1)[0]
    assert not lead.post(f"{study}/brief", what="about", title="Crackers again", question="Which is best?").wrong
    kept = Study.from_text(lead.client.get(f"{study}/study.yaml").text)
    assert kept.title == "Crackers again" and len(kept.ballot_records) == len(cooked.ballot_records) > 0
