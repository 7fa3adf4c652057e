"""The recipe page: house styles, what the photographs show, sizes asked for in a reader's words."""

import json

import pytest

from tests.web.test_kitchen_days import study  # noqa: F401  (a study in the notebook)


def test_a_recipe_is_shown_in_every_style_and_the_choice_stays(lead, study):  # noqa: F811
    for style, word in (("AU", "Method"), ("NZ", "Ingredients"), ("UK", "Equipment"), ("US", "Instructions")):
        page = lead.get(f"{study}/recipe?in=style:{style}")
        assert page.status == 200 and word in page.text and f'value="style:{style}" selected' in page.text
    assert lead.get(f"{study}/recipe?in=NZ").status == 200
    assert lead.get(f"{study}/recipe?in=style:MARS").status == 422 and lead.get(f"{study}/recipe?in=style:own").status == 422


def test_the_kitchens_style_is_what_its_screens_follow(lead, study):  # noqa: F811
    lead.post(f"{study}/recipe/style", style="US")
    assert "Instructions" in lead.get(f"{study}/recipe").text
    begin = json.loads(lead.client.get(f"{study}/recipe/style.json").text)
    assert begin["name"] == "US"
    lead.post(f"{study}/recipe/style", style="")
    assert "Instructions" not in lead.get(f"{study}/recipe").text


def test_a_file_of_ones_own_is_kept_with_the_study(lead, study):  # noqa: F811
    ours = {"name": "ours", "measures": "AU", "headings": ["Find", "Do", "With"], "words": [["crackers", "crisps"]]}
    answer = send(lead, study, json.dumps(ours).encode())
    assert answer.status_code == 200
    page = lead.get(f"{study}/recipe")
    assert "Find" in page.text and "oat crisps" in page.headline.lower() and "ours, ours" in page.text


@pytest.mark.parametrize("data, says", [(b"{", "isn’t JSON|isn't JSON"), (b'{"name": "x", "fann": 1}', "isn.t a key"), (b"\xff", "isn.t text")])
def test_a_file_that_cannot_be_read_is_one_sentence(lead, study, data, says):  # noqa: F811
    import re

    answer = send(lead, study, data)
    assert answer.status_code == 422 and re.search(says.replace("’", "."), answer.text.replace("&#39;", "'"))


def test_what_the_photographs_show_is_held_against_the_list(lead, study):  # noqa: F811
    lead.post(f"{study}/recipe/shown", version="fat=butter", shown="rolled oats, figs")
    page = lead.get(f"{study}/recipe?version=fat=butter")
    assert "The photograph shows “figs”" in page.text and "shows “rolled oats”" not in page.text


@pytest.mark.parametrize("scale", ["2x", "60 crackers", "test batch", "12 serves", "500 g plain flour", "23 cm round tin"])
def test_sizes_in_a_readers_words(lead, study, scale):  # noqa: F811
    assert lead.get(f"{study}/recipe?scale={scale}").status == 200


def send(lead, study, data):  # noqa: F811
    fields = {"style": "", "csrf": lead.csrf}
    return lead.client.post(f"{study}/recipe/style", data=fields, files={"file": ("ours.json", data, "application/json")}, follow_redirects=True)


def test_a_size_that_cannot_be_is_said_by_its_field_and_the_rest_stays_as_asked(lead, study):  # noqa: F811
    page = lead.get(f"{study}/recipe?version=fat=olive+oil&in=US&scale=99999999+crackers")
    assert page.status == 422 and "Scaling by 3,333,333" in page.wrong and 'data-field="scale"' in page.text
    assert page.all(r'id="scale"[^>]* value="([^"]*)"') == ["99999999 crackers"]
    assert "olive oil" in page.all(r'<option value="([^"]*)" selected')[0]
