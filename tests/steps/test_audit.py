"""The audit: our own clean pages stay silent, and each planted fault is found on its line.

The rules are the trade's own checklist for a recipe's text (common practice, no source); the numbers behind them (densities, pieces) are
the pantry's, each with its source there.
"""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import proofpan as pp
from tests.steps.larkspur import SLICE, SOUP, study


def found(text, *changes):
    return pp.audit(study(text, *changes))


@pytest.mark.parametrize("text", [SLICE, SOUP])
def test_a_clean_page_is_silent(text):
    made = study(text)
    assert pp.audit(made) == ()
    assert pp.audit(pp.recipe(made, made.versions()[0])) == ()
    assert pp.audit(made.brief.base) == ()


def line_of(text, words):
    return next(i for i, row in enumerate(text.split("\n"), 1) if words in row)


FAULTS = [
    (SLICE, '    - "2 eggs (50 g each)"\n', '    - "2 eggs (50 g each)"\n    - "15 g parsley, chopped"\n', "unused", "parsley", "parsley, chopped"),
    (SLICE, '    - "2 g fine salt"\n', "", "unlisted", "salt", "id: dry"),
    (SLICE, '    - "4 g baking powder"\n', "", "unlisted", "baking powder", "id: dry"),
    (SLICE, '    - "60 g pepitas"\n', "", "unlisted", "pepita", "id: fold"),
    (SLICE, '    - "100 ml water"\n', "", "unlisted", "water", "id: figs"),
    (SLICE, '    - "240 g dried figs, chopped"\n', "", "unlisted", "fig", "id: figs"),
    (SOUP, '    - "120 g pearl barley, rinsed"\n', "", "unlisted", "barley", "id: simmer"),
    (SOUP, '    - "20 ml lemon juice"\n', "", "unlisted", "lemon", "id: finish"),
    (SLICE, "remaining 40 g sugar", "remaining 60 g sugar", "divided", "130 g", "id: bake"),
    (SLICE, "remaining 20 g pepitas", "remaining half of the pepitas and 40 g pepitas", "divided", "add up", "id: bake"),
    (SLICE, "into 16 squares", "into 20 squares", "yield", "20 squares", "id: cool"),
    (SLICE, "makes: 16 squares", "makes: 24 squares", "yield", "24 squares", "id: cool"),
    (SOUP, "makes: 4 bowls", "makes: 3 kg soup", "yield", "more than", "makes: 3 kg"),
    (SLICE.replace("  tin: 20 cm square\n", ""), "a 20 cm square tin", "a tin", "vessel", "size", "id: heat"),
    (SOUP, " in a 24 cm pan", "", "vessel", "pan", "id: soften"),
    (SLICE, "for 5–7 minutes, ", "", "time", "how long", "id: figs"),
    (SLICE, "for 5–7 minutes, until thick", "for 6 minutes", "time", "range", "id: figs"),
    (SLICE, "for 26–30 minutes, until gold", "for 26–30 minutes", "time", "cue", "id: bake"),
    (SLICE, "until gold.\", oven: 160 C fan, minutes: 28", "until gold.\", oven: 160 C fan, minutes: 70", "times", "70", "id: bake"),
    (SLICE, "Simmer the figs", "Chop the figs. Simmer the figs", "prep", "twice", "dried figs"),
    (SLICE, '"110 g (½ cup) caster sugar"', '"110 g (1 cup) caster sugar"', "measures", "110 g", "caster sugar"),
    (SLICE, '"2 eggs (50 g each)"', '"2 eggs (300 g)"', "measures", "150 g", "2 eggs"),
    (SOUP, '"20 ml olive oil"', '"20 ml (3 tbsp) olive oil"', "measures", "agree", "olive oil"),
]


@pytest.mark.parametrize("text, old, new, kind, word, row", FAULTS, ids=[f"{f[3]}-{i}" for i, f in enumerate(FAULTS)])
def test_a_planted_fault_is_found_on_its_line_with_a_fix(text, old, new, kind, word, row):
    findings = [f for f in found(text, (old, new)) if f.kind == kind]
    assert findings, f"no {kind}"
    hit = next((f for f in findings if word in f.says), None)
    assert hit is not None, [f.says for f in findings]
    assert hit.line == line_of(text.replace(old, new, 1), row)
    assert hit.fix.endswith((".", "…")) and len(hit.says) < 300


def test_the_oven_goes_on_before_it_is_needed():
    heat = next(row for row in SLICE.split("\n") if "id: heat" in row) + "\n"
    none = [f for f in found(SLICE, (heat, ""), ('    - "10 g soft butter, for the tin"\n', "")) if f.kind == "oven_late"]
    assert none and "never" in none[0].says and not none[0].stops
    bake = next(row for row in SLICE.split("\n") if "id: cool" in row) + "\n"
    late = [f for f in found(SLICE, (heat, ""), (bake, heat + bake)) if f.kind == "oven_after"]
    assert late and late[0].stops and "before" in late[0].says


def test_a_list_out_of_the_order_of_use_is_said_once_with_the_line_to_move():
    row = '    - "60 g pepitas"\n'
    findings = found(SLICE, (row, ""), ('    - "10 g soft butter', row + '    - "10 g soft butter'))
    assert [f.kind for f in findings] == ["order"] and "pepitas" in findings[0].says and not findings[0].stops


def test_pieces_times_their_weight_are_what_went_in_within_a_twentieth():
    rolls = (("makes: 16 squares", "makes: 16 bars"), ("cut into 16 squares", "cut into 16 bars of about 50 g"))
    went_in = 240 + 100 + 180 + 4 + 2 + 110 + 100 + 60                       # without the butter for the tin
    assert went_in == 796
    assert found(SLICE, *rolls) == ()
    heavy = (rolls[0], ("cut into 16 squares", "cut into 16 bars of about 60 g"))
    assert [f.kind for f in found(SLICE, *heavy)] == ["yield"]


def test_a_swap_that_leaves_the_old_amounts_in_the_method_is_found():
    made = study(SLICE)
    honey = pp.recipe(made, made.versions()[1])
    assert [(f.kind, f.stops) for f in pp.audit(honey)] == [("divided", True)]


@pytest.mark.parametrize(
    "words",
    [
        "Cream the eggs with the sugar.",                       # cream as a verb
        "Roll into balls as big as a walnut.",
        "Rinse under running water, and drain off the water.",
        "Cover with a tea towel and shape like a lemon.",
        "Stand the bowl in a water bath.",
    ],
)
def test_what_only_sounds_like_a_food_is_not_asked_for(words):
    text = SLICE.replace('    - "100 ml water"\n', "").replace("figs and the water in", "figs in")
    made = study(text, ("Fold in the eggs", f"{words} Fold in the eggs"))
    assert [f for f in pp.audit(made) if f.kind == "unlisted"] == []


def test_only_contradictions_stop_a_text():
    style = found(SLICE, ("  tin: 20 cm square\n", ""), ("for 26–30 minutes, until gold", "for 26–30 minutes"), ("a 20 cm square tin", "a tin"))
    assert style and not any(f.stops for f in style)


def test_nothing_to_read_is_one_sentence():
    with pytest.raises(pp.StudyError, match="reads a recipe"):
        pp.audit("flour")


@settings(deadline=None, max_examples=120)
@given(words=st.text(alphabet=st.characters(blacklist_characters='"\\', blacklist_categories=("Cs", "Cc")), min_size=1, max_size=80))
def test_any_words_are_audited_without_a_fault(words):
    made = study(SOUP).brief.base
    step = made.method[0].model_copy(update={"do": words})
    assert isinstance(pp.audit(made.model_copy(update={"method": (step, *made.method[1:])})), tuple)
    line = made.ingredients[0].model_copy(update={"text": words, "item": re.sub(r"\s+", " ", words).strip() or "x"})
    assert isinstance(pp.audit(made.model_copy(update={"ingredients": (line, *made.ingredients[1:])})), tuple)
