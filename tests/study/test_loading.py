"""A bad study file gives one sentence with file, line, field and what would be right."""

import json
import re

import jsonschema
import pytest

import proofpan as pp
from tests.kitchens import CRACKERS, crackers, plain


def refused(text: str, tmp_path, ending="yaml"):
    path = tmp_path / f"study.{ending}"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(pp.StudyError) as caught:
        pp.Study.load(path)
    assert len(str(caught.value)) <= 300
    assert str(caught.value).startswith(path.name)
    return caught.value


def line_of(text: str, words: str) -> int:
    return next(i for i, row in enumerate(text.splitlines(), 1) if words in row)


@pytest.mark.parametrize("old, new, said", [
    ("question:", "qestion:", "Did you mean “question”?"),
    ("250 g plain flour", "250 plain flour", "no unit"),
    ("4 g fine salt", "4 glorps fine salt", "glorps"),
    ("60 g unsalted butter\"", "-60 g unsalted butter\"", "negative"),
    ("swap: unsalted butter", "swap: salted butter", "Did you mean “unsalted butter”?"),
    ("after: mix", "after: mixx", "its steps are mix, bake"),
    ("{name: olive oil,", "{name: butter,", "stands twice"),
    ("oven: 170 C fan", "oven: 1700 C fan", "isn't possible"),
    ("trays: 2", "trays: 0", "1 or more"),
    ("country: AU", "country: Atlantis", "country code"),
    ("weight: 2", "weight: -2", "above zero"),
    ("weight: 2", "weight: heavy", "isn't a number"),
    ("scale: [0, 10], better: more, weight: 2", "scale: [10, 0], better: more, weight: 2", "upside down"),
    ("better: more, weight: 2", "better: {target: 60}, weight: 2", "off the scale"),
    ("name: snap", "name: overall", "No attribute may be called overall"),
    ("name: fat", "name: fat=x", "hold no"),
    ("name: fat", "name: true", "put it in quotes"),
    ("{set: bake.minutes, to: 13}", "{scale: fine salt, by: 0}", "use drop"),
    ("{set: bake.minutes, to: 13}", "{frob: fine salt}", "isn't an edit"),
    ("{set: bake.minutes, to: 13}", "{swap: fine salt}", "needs “for”"),
    ("minutes: 18", "minutes: a while", "isn't minutes"),
])
def test_a_slip_names_its_line_and_what_would_be_right(old, new, said, tmp_path):
    text = CRACKERS.replace(old, new, 1)
    error = refused(text, tmp_path)
    assert said in str(error)
    assert error.line == line_of(text, new)


def test_edits_of_two_factors_that_collide_name_both(tmp_path):
    text = CRACKERS.replace("{set: bake.minutes, to: 13}", "{scale: unsalted butter, by: 0.5}")
    error = refused(text, tmp_path)
    assert "fat" in str(error) and "oven" in str(error) and "unsalted butter" in str(error)
    assert error.line == line_of(text, "scale: unsalted butter")


def test_edits_that_collide_only_in_a_version_ruled_out_are_taken():
    text = CRACKERS.replace("{set: bake.minutes, to: 13}", "{scale: unsalted butter, by: 0.5}")
    study = pp.Study.from_text(text + "never: [{fat: olive oil, oven: '190'}]\n")
    assert len(study.versions()) == 6


def test_several_faults_are_counted(tmp_path):
    error = refused(CRACKERS.replace("trays: 2", "trays: 0").replace("weight: 2", "weight: -2"), tmp_path)
    assert "and 1 more" in str(error)


def test_factors_that_hang_on_each_other_are_a_circle():
    factors = [{"name": "a", "when": {"b": "x"}, "options": [{"name": "p"}]}, {"name": "b", "when": {"a": "p"}, "options": [{"name": "x"}]}]
    with pytest.raises(pp.StudyError, match="circle"):
        plain(factors=factors)


def test_forty_factors_of_ten_options_are_never_counted_out():
    factors = [{"name": f"f{i}", "options": [{"name": f"o{j}"} for j in range(10)]} for i in range(40)]
    with pytest.raises(pp.StudyError, match="versions"):
        plain(factors=factors)


EXAMPLE = """\
title: Seeded oat crackers
question: Which fat and oven give the cracker that snaps best, and is a rest worth it?
kitchen: {country: AU, ovens: [{name: main, kind: fan, trays: 2, places: 2}]}
tasters: [Ada, Bo]
attributes: [{name: snap, scale: [0, 10], better: more, weight: 2, worth: 0.5}]
base:
  title: Oat crackers
  makes: 30 crackers
  trial_makes: 10 crackers
  ingredients: ["250 g plain flour", "60 g unsalted butter", "4 g fine salt", "110 g water"]
  method: [{id: mix, do: "Rub in the fat, add the water.", minutes: 8}, {id: bake, do: "Bake.", oven: 170 C fan, until: deep gold, minutes: 18}]
factors:
  - {name: fat, changed: batch, options: [{name: butter}, {name: olive oil, edits: [{swap: unsalted butter, for: 50 g olive oil}]}]}
  - {name: rest, changed: batch, asks: worth it, options: [{name: none}, {name: 30 min, edits: [{insert: {id: rest, do: "Rest, covered.", minutes: 30}, after: mix}]}]}
  - {name: oven, changed: load, options: [{name: "170", value: 170}, {name: "190", value: 190, edits: [{set: bake.oven, to: 190 C fan}, {set: bake.minutes, to: 13}]}]}
never: []
rounds: {loads: 2, at_most: 3}
claims: [{words: "1 tbsp malt syrup per lb of flour", source: an old leaflet, country: US, ours: "40 g malt syrup per 250 g flour"}]
"""


def test_the_designs_study_loads_as_printed():
    study = pp.Study.from_text(EXAMPLE)
    assert len(study.versions()) == 8
    assert study.factors[1].asks == "worth it"


def test_the_published_schema_takes_a_study_and_refuses_another_shape():
    schema = pp.schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert set(schema["required"]) == {"title", "attributes", "factors"}
    assert json.dumps(schema)


def test_a_recipe_from_outside_the_folder_is_refused(tmp_path):
    text = CRACKERS.replace("{name: olive oil, edits: [{swap: unsalted butter, for: 50 g olive oil}]}", "{name: mine, recipe: ../x.yaml}")
    assert "outside the study's folder" in str(refused(text, tmp_path))


def test_an_option_may_be_a_whole_other_recipe(tmp_path):
    (tmp_path / "mine.yaml").write_text("title: Mine\ningredients: ['200 g rye flour']\nmethod: [{id: bake, do: Bake., oven: 180 C}]\n")
    text = CRACKERS.replace("{name: olive oil, edits: [{swap: unsalted butter, for: 50 g olive oil}]}", "{name: mine, recipe: mine.yaml}")
    text = re.sub(r"  - name: rest\n.*\n.*\n", "", text)
    text = re.sub(r"  - name: oven\n.*\n", "", text)
    path = tmp_path / "study.yaml"
    path.write_text(text)
    from proofpan.steps.making import recipe_of

    study = pp.Study.load(path)
    assert recipe_of(study, study.version("fat=mine")).title == "Mine"


def test_names_may_be_bare_numbers_and_words_stay_words():
    factors = [{"name": "oven", "options": [{"name": 170}, {"name": 190.0}]}]
    assert [v["oven"] for v in plain(factors=factors).versions()] == ["170", "190"]


def test_a_study_is_immutable():
    with pytest.raises(ValueError):
        crackers().brief.title = "x"


@pytest.mark.parametrize("before, after, says", [
    ("loads: 2,", "loads: 2, passes: 9,", "1 to 4 times"),
    ("worth: 0.5", "worth: 50", "wider than the whole scale"),
    ("better: more", "better: {target: .nan}", "finite"),
    ("{swap: unsalted butter, for: 50 g olive oil}", "{}", "The edit is empty"),
    ("kitchen: {country", "kitchen: {<<: {x: 1}, country", "merge key"),
])
def test_what_a_slip_of_the_pen_leaves_is_refused_in_a_sentence(before, after, says):
    assert before in EXAMPLE
    with pytest.raises(pp.StudyError, match=says):
        pp.Study.from_text(EXAMPLE.replace(before, after, 1))


def test_a_bare_oven_number_is_refused_where_it_could_be_either_unit():
    us = EXAMPLE.replace("country: AU", "country: US")
    with pytest.raises(pp.StudyError, match="degrees C or F"):
        pp.Study.from_text(us.replace("170 C fan", "300"))
    with pytest.raises(pp.StudyError, match="degrees C or F"):
        pp.Study.from_text(EXAMPLE.replace("170 C fan", "350"))
    assert pp.Study.from_text(EXAMPLE.replace("170 C fan", "200")).brief.base.method[-1].oven.temperature_c == 200


@pytest.mark.parametrize("wrong", ["factors: 7", "factors: {a: 1}", "factors: [{name: a, options: 3}]", "factors: [{name: a, options: [{name: b, edits: 2}]}]"])
def test_what_should_be_a_list_and_is_not_is_refused_in_a_sentence(wrong):
    with pytest.raises(pp.StudyError):
        pp.Study.from_text(f"title: Dip\n{wrong}\nattributes: [{{name: snap}}]\n")


def test_a_list_whose_only_entry_is_wrong_is_not_called_empty(tmp_path):
    start, end = CRACKERS.index("  - name: rest"), CRACKERS.index("rounds:")
    text = (CRACKERS[:start] + CRACKERS[end:]).replace("for: 50 g olive oil}", "for: 50 g olive oil, id: oil}")
    error = refused(text, tmp_path)
    assert "empty list" not in str(error) and "“id”" in str(error) and error.line == line_of(text, "id: oil")
