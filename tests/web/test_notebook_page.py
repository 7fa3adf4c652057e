"""The notebook's page: an ingredient over studies, two held together, a brief copied, a study put away and brought back."""

from .conftest import crackers, planned


def test_an_ingredient_over_all_studies_with_what_the_pantry_says(lead):
    crackers(lead)
    page = lead.get("/notebook?ingredient=olive+oil")
    assert page.headline == "1 study uses olive oil." and "fat: olive oil" in page.text and "g a millilitre" in page.text
    assert "sesame" in lead.get("/notebook?ingredient=sesame+seeds").text                 # an allergen, said
    assert lead.get("/notebook?ingredient=moonrock").headline == "No study of the notebook uses moonrock."


def test_a_brief_is_copied_without_what_was_cooked_and_two_stand_side_by_side(kitchen, lead):
    study = crackers(lead).rsplit("/", 1)[1]
    planned(lead, f"/study/{study}")
    page = lead.post(f"/notebook/{study}", what="copy")
    assert page.url.endswith("/brief") and page.url != f"/study/{study}/brief"
    copy = page.url.split("/")[2]
    assert kitchen.book.events(copy) == ()
    page = lead.get(f"/notebook?one={study}&two={copy}")
    assert "Seeded oat crackers, again" in page.text and "What varies" in page.text


def test_what_is_put_away_leaves_the_lists_and_comes_back_whole(kitchen, lead):
    study = crackers(lead).rsplit("/", 1)[1]
    planned(lead, f"/study/{study}")
    before = kitchen.book.events(study)
    page = lead.post(f"/notebook/{study}", what="put-away")
    assert "put away" in page.text and "Seeded oat crackers" not in lead.get("/?q=crackers").text
    lead.post(f"/notebook/{study}", what="bring-back")
    assert "Seeded oat crackers" in lead.get("/?q=crackers").text and kitchen.book.events(study) == before
    assert lead.post(f"/notebook/{study}", what="burn").status == 422
