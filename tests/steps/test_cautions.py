"""Cautions by rule, each with an ingredient under another name than the rule's own; the sources stand in steps/cautions.py."""

from __future__ import annotations

import pytest

import proofpan as pp

WAIVED = {"cross-test": "a test", "audit": "a test", "full size": "a test", "two good makes": "a test"}


def study(lines, step, keeping=None):
    kept = f"  keeping: {keeping}\n" if keeping else ""
    listed = "".join(f'    - "{line}"\n' for line in lines)
    return pp.Study.from_text(
        "title: Ours\nquestion: Which?\ntasters: [Ada]\nattributes: [{name: liking}]\nbase:\n  title: T\n  makes: 4 serves\n" + kept
        + f'  ingredients:\n{listed}  method: [{{id: a, do: "{step}", minutes: 10}}]\n'
        "factors: [{name: salt, options: [{name: as written}, {name: none, edits: []}]}]\n"
    )


@pytest.mark.parametrize(
    ("line", "step", "word"),
    [
        ("1 chook", "Roast the chook.", "74 °C"),
        ("250 g rajma", "Simmer the rajma.", "boil hard"),
        ("250 g dried kidney beans", "Simmer the beans.", "boil hard"),
        ("40 ml limoncello", "Stir in the limoncello.", "alcohol"),
        ("200 g atta", "Knead the atta.", "raw food"),
        ("1 kg potatoes", "Roast the potatoes until dark brown.", "acrylamide"),
        ("200 g sugar", "Boil the sugar to 150 C.", "burns deeply"),
        ("1 L oil, for deep-frying", "Heat the oil to 180 C.", "never water"),
        ("2 egg yolks", "Whisk the yolks.", "raw egg"),
        ("300 g rice", "Boil the rice.", "within an hour or two"),
        ("60 g honey", "Stir in the honey.", "12 months"),
    ],
)
def test_a_caution_comes_by_what_the_food_is_and_defers(line, step, word):
    said = pp.recipe(study([line], step), {"salt": "as written"}).cautions
    assert any(word in caution for caution in said), said
    assert all("food-safety authority" in caution for caution in said)


@pytest.mark.parametrize("line", ["1 x 400 g tin kidney beans, drained", "500 ml chicken stock", "20 ml cider vinegar", "100 g green beans"])
def test_what_is_no_hazard_is_left_alone(line):
    assert pp.recipe(study([line], "Warm it through."), {"salt": "as written"}).cautions == ()


@pytest.mark.parametrize(
    ("lines", "step", "keeping", "stopped"),
    [
        (["1 chook"], "Roast the chook.", None, "74 °C"),
        (["1 chook"], "Roast the chook until a probe in its thickest part reads 74 C.", None, None),
        (["1 kg tomatoes"], "Simmer and seal in jars.", "Shelf-stable for a year.", "tested process"),
        (["1 kg tomatoes"], "Simmer, seal in jars and stand in a water bath.", "Shelf-stable for a year.", "tested process"),
        (["1 kg tomatoes"], "Simmer and seal in jars.", "'Shelf-stable; tested process: USDA home canning guide 3, 40 minutes, pH 4.2.'", None),
        (["1 kg tomatoes"], "Simmer and seal in jars.", "In the fridge, two weeks.", None),
    ],
)
def test_what_blocks_stops_publishing_whatever_is_waived(lines, step, keeping, stopped):
    ours = study(lines, step, keeping)
    blocks = pp.recipe(ours, {"salt": "as written"}).blocks
    assert (len(blocks) == 1 and stopped in blocks[0]) if stopped else blocks == ()
    if not stopped:
        assert pp.publish(ours, {"salt": "as written"}, waive=WAIVED, on="2026-05-01").number == 1
        return
    with pytest.raises(pp.NotReady) as error:
        pp.publish(ours, {"salt": "as written"}, waive=WAIVED, on="2026-05-01")
    assert any(b in error.value.reasons for b in blocks)


FOCACCIA = ["500 g strong white flour", "60 g olive oil", "2 sprigs fresh rosemary", "10 g fine salt"]


# raw garlic or herbs that are kept under oil, or infuse it, can grow botulism (USDA FSIS, as in steps/cautions.py); a loaf baked with them isn't kept under oil
@pytest.mark.parametrize(("lines", "step", "keeping", "said"), [
    (FOCACCIA, "Dimple, scatter with the rosemary and bake until gold.", "Keeps two days in a bag.", False),
    (FOCACCIA, "Take the starter from its jar, mix, and bake.", None, False),
    (["8 chicken thighs", "30 g olive oil", "4 sprigs fresh thyme"], "Roast until a probe reads 74 C.", "Keeps three days in the fridge.", False),
    (["50 g basil", "120 g olive oil", "30 g pine nuts"], "Pound, spoon into a jar.", "Keeps a week.", True),
    (["4 heads garlic", "300 g olive oil"], "Roast the garlic in the oil.", "In the fridge, covered with its oil.", True),
    (["4 heads garlic", "300 g olive oil"], "Bake the confit garlic until soft, then jar it.", None, True),
    (["2 sprigs fresh rosemary", "200 g olive oil"], "Infuse the oil with the rosemary overnight.", None, True),
])
def test_herbs_under_oil_are_cautioned_of_where_they_are_kept_so(lines, step, keeping, said):
    cautions = pp.recipe(study(lines, step, keeping), {"salt": "as written"}).cautions
    assert any("under oil" in c for c in cautions) is said
