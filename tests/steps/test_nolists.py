"""No-lists: what a word means in a kitchen, taken widely, and what can't be checked said before anything is served."""

import pytest

import proofpan as pp
from proofpan.steps.nolists import contents, holds, nolist_cautions


def dip(item: str, no: list[str], **changes):
    base = {"title": "Dip", "ingredients": [f"100 g {item}"], "method": [{"id": "mix", "do": "Mix."}]}
    return pp.Study.from_dict({
        "title": "Dip", "question": "Which?", "tasters": [{"name": "Ada", "no": no}, "Bo"], "attributes": [{"name": "liking"}],
        "base": base, "factors": [{"name": "salt", "options": ["little", "much"]}], **changes,
    })


# groups: Regulation (EU) No 1169/2011, Annex II; the kitchen's words for them: common practice, no source
@pytest.mark.parametrize("item, no", [
    ("unsalted butter", "dairy"), ("unsalted butter", "lactose"), ("unsalted butter", "vegan"), ("walnuts", "nuts"), ("peanut butter", "nuts"),
    ("oysters", "shellfish"), ("prawns", "seafood"), ("streaky bacon", "pork"), ("streaky bacon", "meat"), ("powdered gelatine", "pork"),
    ("red wine", "alcohol"), ("plain flour", "gluten"), ("plain flour", "gluten free"), ("eggs", "egg"), ("tahini", "sesame"),
    ("tahini", "sesme"), ("soy sauce", "soya"), ("aubergine", "eggplant"),
])
def test_a_plate_is_kept_from_who_cant_have_it(item, no):
    study = dip(item, [no])
    assert holds(contents(study, study.versions()[0]), no)
    round_ = pp.next_round(study, seed=1)
    assert not any(taster == "Ada" for taster, *_ in round_.codes) and any(taster == "Bo" for taster, *_ in round_.codes)


@pytest.mark.parametrize("no", ["dairy", "nuts", "pork", "alcohol", "egg", "gluten", "sesame"])
def test_a_plate_without_it_is_served(no):
    study = dip("salmon fillet", [no])
    assert not holds(contents(study, study.versions()[0]), no)


def test_what_cant_be_checked_is_said():
    unknown, known = dip("tahini", ["blorps"]), dip("tahini", ["sesame"])
    assert any("blorps" in c and "isn't known" in c for c in nolist_cautions(unknown, unknown.versions()))
    assert any("house rub" in c and "label" in c for c in pp.next_round(dip("house rub", ["sesame"]), seed=1).cautions)
    assert nolist_cautions(known, known.versions()) == []


def test_without_a_recipe_the_options_say_what_they_hold():
    plain = dip("tahini", ["sesame"], base=None)
    assert any("no recipe" in c for c in pp.next_round(plain, seed=1).cautions)
    told = dip("tahini", ["sesame"], base=None,
               factors=[{"name": "dip", "options": [{"name": "ours", "contains": ["sesame"]}, {"name": "other", "contains": ["milk"]}]}])
    assert not any("no recipe" in c for c in pp.next_round(told, seed=1).cautions)
