"""The audit reads a text as a careful reader does: each planted fault is found by its line, and a clean text is left alone."""

import pytest

import proofpan as pp

CLEAN = """\
title: Oat biscuits
question: Which?
tasters: [Ada]
attributes: [{name: liking}]
base:
  title: Oat biscuits
  makes: 20 biscuits
  ingredients:
    - 120 g unsalted butter, softened
    - 90 g brown sugar
    - 150 g rolled oats
    - 80 g plain flour
    - 2 g fine salt
  method:
    - {id: heat, do: "Heat the oven to 160 C fan for 15–20 minutes, until a thermometer reads 160 C.", oven: 160 C fan, minutes: 18}
    - {id: cream, do: "Beat the butter and the brown sugar for 3–4 minutes, until pale.", minutes: 4}
    - {id: mix, do: "Stir in the oats, the flour and the salt for 1–2 minutes, until even.", minutes: 2}
    - {id: shape, do: "Roll into 20 balls of about 22 g and set on two 40 × 30 cm trays for 8–10 minutes in all, until all are shaped.", minutes: 9}
    - {id: bake, do: "Bake for 14–17 minutes, until gold at the edge.", oven: 160 C fan, minutes: 16}
factors: [{name: sugar, options: [{name: 90 g}, {name: 80 g, edits: [{set: brown sugar, to: 80 g}]}]}]
"""


def findings(text):
    return pp.audit(pp.Study.from_text(text))


def test_a_clean_text_is_left_alone():
    assert findings(CLEAN) == ()


@pytest.mark.parametrize("old, new, kind, at", [
    ("    - 2 g fine salt\n", "", "unlisted", "id: mix"),
    ("    - 2 g fine salt\n", "    - 2 g fine salt\n    - 5 g chopped dill\n", "unused", "dill"),
    ("    - 120 g unsalted butter, softened\n    - 90 g brown sugar\n    - 150 g rolled oats\n",
     "    - 150 g rolled oats\n    - 120 g unsalted butter, softened\n    - 90 g brown sugar\n", "order", "rolled oats"),
    ("Roll into 20 balls", "Roll into 24 balls", "yield", "id: shape"),
    ("set on two 40 × 30 cm trays", "set on two trays", "vessel", "id: shape"),
    ("Bake for 14–17 minutes, until gold at the edge.", "Bake for 15 minutes.", "time", "id: bake"),
    ("Beat the butter and the brown sugar", "Beat the butter and 60 g of the brown sugar, then 50 g of the brown sugar", "divided", "id: cream"),
    ("minutes: 16}", "minutes: 60}", "times", "id: bake"),
])
def test_a_planted_fault_is_found_by_its_line(old, new, kind, at):
    text = CLEAN.replace(old, new, 1)
    assert text != CLEAN
    found = [f for f in findings(text) if f.kind == kind]
    assert found, findings(text)
    line = next(i for i, row in enumerate(text.splitlines(), 1) if at in row)
    assert line in {f.line for f in found} and all(f.says and f.fix for f in found)


def test_an_oven_that_is_never_put_on_is_found():
    lines = [row for row in CLEAN.splitlines() if "id: heat" not in row]
    assert [f.kind for f in findings("\n".join(lines))] == ["oven_late"]
