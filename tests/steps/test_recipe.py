"""The worked recipe: statuses, regions, facts that follow, structured data."""

import json
import re

import pandas as pd
import pytest

import proofpan as pp
from proofpan.steps.recipe_jsonld import duration
from proofpan.study.errors import QuantityError, StudyError
from proofpan.study.house import house_style, house_styles
from tests.schema_org import faults
from tests.steps.larkspur import SLICE, SOUP, study

ISO_DURATION = re.compile(r"P(?!$)(\d+D)?(T(?=\d)(\d+H)?(\d+M)?)?")


def worked(text, *changes, which=0):
    made = study(text, *changes)
    return pp.recipe(made, made.versions()[which])


def test_structured_data_holds_only_what_the_vocabulary_knows():
    data = json.loads(json.dumps(worked(SOUP).jsonld()))
    assert faults(data) == []                            # schema.org, release 30.0
    assert faults({**data, "totalTime": "95 minutes"}) and faults({**data, "cookingtime": "PT5M"}) and faults({**data, "@type": "Dish"})
    assert all(s["@type"] == "HowToStep" and s["text"] for s in data["recipeInstructions"])
    assert all(ISO_DURATION.fullmatch(data[k]) for k in ("totalTime", "prepTime", "cookTime") if k in data)
    assert data["suitableForDiet"] == ["https://schema.org/VeganDiet", "https://schema.org/VegetarianDiet"]


@pytest.mark.parametrize("minutes, text", [(95, "PT1H35M"), (2880, "P2D"), (0, "PT0M"), (60, "PT1H"), (1500, "P1DT1H")])   # ISO 8601-1:2019, 5.5.2
def test_durations_are_iso_8601(minutes, text):
    assert duration(minutes) == text


def test_a_high_kitchen_is_told_of_its_boil():
    """94.62 °C at a mile: ISO 2533 pressure and IAPWS R7-97 saturation, computed apart from this project."""
    high = worked(SOUP, ("country: UK", "country: UK, altitude_m: 1609"))
    assert any("94.6 °C" in n for n in high.notes)
    assert not any("boils at" in n for n in worked(SOUP).notes)


def test_a_line_is_cooked_only_when_that_version_was_made_and_did_not_fail():
    made = study(SOUP)
    plain, salty = made.versions()
    rows = pd.DataFrame({"round": [1, 1], "trial": [1, 2], "version": [str(plain), str(salty)], "failed": ["", "burnt"]})
    cooked = made.with_trials(rows)
    assert {x.status for x in pp.recipe(cooked, plain).lines} == {"cooked"}
    assert {x.status for x in pp.recipe(cooked, salty).lines} == {"worked out"}
    assert {x.status for x in pp.recipe(cooked, plain).scaled(by=2).lines} == {"worked out"}


def test_a_corrected_line_is_worked_out_until_it_is_cooked():
    made = study(SOUP)
    plain = made.versions()[0]
    cooked = made.with_trials(pd.DataFrame({"round": [1], "trial": [1], "version": [str(plain)]}))
    later = cooked.amend(base=[{"set": "frozen peas", "to": "350 g"}], why="thin")
    status = {x.item: x.status for x in pp.recipe(later, plain).lines}
    assert status["frozen peas"] == "worked out" and status["pearl barley"] == "cooked"


def test_cross_tests_and_sources_are_said():
    made = study(SOUP)
    plain = made.versions()[0]
    cooked = made.with_trials(pd.DataFrame({"round": [1], "trial": [1], "version": [str(plain)]}))
    tests = pp.cross_test(pp.recipe(cooked, plain), pd.DataFrame({"tester": ["a"], "worked": ["yes"]}))
    assert {x.status for x in pp.recipe(cooked, plain, cross_tests=tests).lines} == {"cross-tested"}
    claim = '{words: "120 g barley per litre", source: a leaflet, country: UK, ours: "120 g pearl barley, rinsed per 1 litre water"}'
    read = study(SOUP, ("factors:\n", f"claims: [{claim}]\nfactors:\n"))
    assert {x.item: x.status for x in pp.recipe(read, plain).lines}["pearl barley"] == "read"


def test_times_are_those_of_the_trials_with_when_to_look():
    made = study(SLICE)
    plain = made.versions()[0]
    rows = pd.DataFrame({"round": [1, 1], "trial": [1, 2], "version": [str(plain)] * 2, "start": ["10:00", "11:00"], "out": ["10:30", "11:27"]})
    bake = next(s for s in pp.recipe(made.with_trials(rows), plain).method if s.id == "bake")
    assert bake.minutes == (27, 30)
    assert "27 to 30 minutes in 2 trials: start looking after 24" in bake.text       # 27 less a tenth, whole minutes down


def test_a_us_reader_gets_cups_that_hold_the_bound_and_a_dial_that_exists():
    us = worked(SLICE).to("US")
    assert "1½ cups (180 g) all-purpose flour" in us.ingredients                       # 120 g a US cup within 5 %
    assert any(t.startswith("⅓ cup") or t.startswith("½ cup") for t in us.ingredients)
    assert "350 °F (325 °F convection)" in us.method[0].text and "an 8 inch (20 cm) square tin" in us.method[0].text
    assert any("(a generous ¾ tsp" in t and "% over level" in t for t in us.ingredients)     # grams lead where no spoon holds 3 %
    assert worked(SLICE).to("AU").ingredients == worked(SLICE).ingredients


def test_an_australian_tablespoon_in_the_method_is_not_taken_for_another():
    made = worked(SOUP, ("country: UK", "country: AU"), ("Stir in the lemon juice", "Stir in 1 tbsp of the lemon juice"))
    assert "1 tbsp + 1 tsp of the lemon juice" in made.to("UK").method[-1].text


def test_names_follow_the_reader():
    made = worked(SOUP, ('"300 g frozen peas"', '"300 g courgettes, diced"'), ("Add the peas", "Add the courgettes"))
    us = made.to("US")
    assert any("zucchini, diced" in t for t in us.ingredients) and "Add the zucchini" in us.method[-1].text


def test_an_unknown_region_or_version_is_one_sentence():
    with pytest.raises(QuantityError, match="isn't a region"):
        worked(SOUP).to("Mars")
    made = study(SOUP)
    with pytest.raises(StudyError):
        pp.recipe(made, {"salt": "9 kg"})


def test_house_styles_come_with_it_and_speak_their_readers_words():
    assert house_styles() == ("AU", "NZ", "UK", "US")
    assert house_style("US").done("Line a baking tray with baking paper. Colour and flavour.") == (
        "Line a baking sheet with parchment paper. Color and flavor.")
    assert all(x in worked(SLICE).in_house("US").method[0].text for x in ("350 °F", "8 inch"))
    with pytest.raises(QuantityError, match="isn't a house style"):
        house_style("MARS")


def test_allergens_and_nutrition_follow_the_version():
    made = study(SLICE, ("sugar, options: [{name: as written}", "sugar, options: [{name: as written, contains: [sesame]}"))
    plain, honey = (pp.recipe(made, v) for v in made.versions())
    assert {"cereals containing gluten", "eggs", "milk", "sesame"} <= set(plain.allergens) and "sesame" not in honey.allergens
    assert any("12 months" in c for c in honey.cautions) and not any("12 months" in c for c in plain.cautions)


def test_each_nutrition_figure_is_shown_with_its_unit():
    shown = worked(SLICE).nutrition.shown
    assert [what for what, _, _ in shown[:2]] == ["energy", "energy"] and shown[0][2].endswith(" kJ") and shown[1][1].endswith(" kcal")
    assert all(serve.endswith(" g") for _, _, serve in shown[2:])


def test_cost_is_a_batch_and_a_serve_and_a_serve_stays_when_scaled():
    made = worked(SOUP, ("country: UK", 'country: UK, currency: GBP, prices: ["frozen peas 2.00 per kg", "pearl barley 1.50 per kg"]'))
    assert made.cost.batch == pytest.approx(0.3 * 2 + 0.12 * 1.5) and made.cost.a_serve == pytest.approx(0.78 / 4)
    assert "fine salt" in made.cost.missing
    twice = made.scaled(by=2)
    assert twice.cost.batch == pytest.approx(1.56) and twice.cost.a_serve == made.cost.a_serve


def test_jam_yield_is_a_mass_balance_and_a_changed_ratio_keeps_cold():
    """(1000 × 0.08 + 1000)/0.65 = 1,662 g: fruit solids and sugar over 65 % solids."""
    made = study(SOUP, ("  title: Pea and barley soup", "  title: Plum jam"), ('    - "20 ml olive oil"\n', '    - "1 kg plums"\n    - "1 kg white sugar"\n'),
                 ('    - "20 ml lemon juice"\n', ""), ('    - "1 onion (150 g), diced"\n', ""), ('    - "120 g pearl barley, rinsed"\n', ""),
                 ('    - "300 g frozen peas"\n', ""))
    jam = pp.recipe(made, made.versions()[1])
    assert any("1,662 g" in n for n in jam.notes)
    assert "fridge" in (jam.keeping or "") and any("ratio was changed" in c for c in jam.cautions)


@pytest.mark.parametrize(
    "line, do, kind",
    [
        ("600 g chicken thighs", "Roast the chicken until its thickest part reads 74 C.", "74 °C"),                 # FDA Food Code 3-401.11
        ("500 g dried red kidney beans", "Cook the kidney beans until soft.", "boil hard"),                         # FDA Bad Bug Book
        ("300 g salmon fillet", "Bake the salmon.", "63 °C"),                                                       # FDA Food Code 3-401.11
        ("300 g potatoes", "Deep-fry the potatoes in oil at 180 C.", "never water"),
        ("200 g caster sugar", "Boil the sugar to 150 C.", "sticks and burns"),
    ],
)
def test_cautions_are_said_by_rule_and_defer_to_the_authority(line, do, kind):
    made = study(SOUP, ('"300 g frozen peas"', f'"{line}"'), ("Add the peas and simmer", do[:-1] + " and simmer"))
    said = [c for c in pp.recipe(made, made.versions()[0]).cautions if kind in c]
    assert said and all("local food-safety authority" in c for c in said)


def test_poultry_without_a_core_temperature_blocks_and_with_one_does_not():
    for do, blocked in (("Roast the chicken for 40 minutes", True), ("Roast the chicken at 90 C", True), ("Roast the chicken until its core is 74 C", False)):
        made = study(SOUP, ('"300 g frozen peas"', '"600 g chicken thighs"'), ("Add the peas and simmer", f"{do} and simmer"))
        assert bool(pp.recipe(made, made.versions()[0]).blocks) is blocked


def test_an_oven_is_no_hot_sugar():
    assert not any("sticks" in c for c in worked(SLICE).cautions)


@pytest.mark.parametrize(("line", "american"), [
    ("1 kg lemons", "2 lb 3½ oz (1 kg) lemons"), ("300 g blueberries", "cup"), ("250 g mushrooms", "8¾ oz (250 g)"),
    ("500 g salmon fillet", "1 lb 1½ oz (500 g)"),
])
def test_what_is_sold_by_the_pound_is_weighed_and_not_measured_in_cups(line, american):
    made = worked(SLICE.replace("  ingredients:\n", f"  ingredients:\n    - {line}\n", 1))
    assert american in made.to("US").ingredients[0]
