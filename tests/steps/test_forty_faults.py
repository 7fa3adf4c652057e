"""Eight clean recipes of our own and forty with one planted fault each: the fault is found by its line, and nothing else is said."""

from __future__ import annotations

import pytest

import proofpan as pp

HEAD = "title: Ours\nquestion: Which?\ntasters: [Ada]\nattributes: [{name: liking}]\nbase:\n"
TAIL = "factors: [{name: salt, options: [{name: as written}, {name: none, edits: []}]}]\n"

CLEAN = {
    "scones": """\
  title: Buttermilk scones
  makes: 8 scones
  ingredients:
    - "350 g (2⅓ cups) self-raising flour"
    - "3 g fine salt"
    - "80 g cold butter, cubed"
    - "220 ml buttermilk"
    - "20 g plain flour, for the board"
    - "15 ml milk, for brushing"
  method:
    - {id: heat, do: "Heat the oven to 200 C fan for 15–20 minutes, until a thermometer reads 200 C.", oven: 200 C fan, minutes: 18}
    - {id: rub, do: "Whisk the self-raising flour and the salt. Rub in the butter for 4–6 minutes, until like crumbs.", minutes: 5}
    - {id: mix, do: "Stir in the buttermilk for 1–2 minutes, until it just holds.", minutes: 2}
    - {id: cut, do: "Dust the board with the plain flour, pat out 3 cm thick and cut out 8 scones, for 4–5 minutes, until all is used.", minutes: 5}
    - {id: brush, do: "Set on a 40 × 30 cm tray and brush with the milk for 1–2 minutes, until shiny.", minutes: 1}
    - {id: bake, do: "Bake for 14–17 minutes, until gold and hollow when tapped.", oven: 200 C fan, minutes: 15}
""",
    "dal": """\
  title: Yellow split pea dal
  makes: 4 bowls
  ingredients:
    - "250 g yellow split peas, rinsed"
    - "1.2 L water"
    - "3 g ground turmeric"
    - "40 g ghee"
    - "4 g cumin seeds"
    - "3 cloves garlic, sliced"
    - "7 g fine salt"
    - "20 g coriander leaves, chopped"
  method:
    - {id: simmer,
       do: "Bring the split peas, the water and the turmeric to the boil in a 3 litre pan and simmer for 40–50 minutes, until the peas fall apart.",
       minutes: 45}
    - {id: temper, do: "Warm the ghee in a 20 cm frying pan. Fry the cumin seeds and the garlic for 2–3 minutes, until the garlic is gold.", minutes: 3}
    - {id: join, do: "Stir the ghee and the salt into the dal for 1–2 minutes, until even.", minutes: 2}
    - {id: finish, do: "Ladle into 4 bowls and scatter with the coriander leaves for 1–2 minutes, until all are served.", minutes: 2}
""",
    "shortbread": """\
  title: Rice flour shortbread
  makes: 24 fingers
  tin: 20 x 30 cm tin
  ingredients:
    - "225 g butter, softened"
    - "110 g caster sugar"
    - "280 g plain flour"
    - "60 g rice flour"
    - "2 g fine salt"
    - "30 g demerara sugar, for sprinkling"
  method:
    - {id: heat, do: "Heat the oven to 150 C fan for 15–20 minutes, until a thermometer reads 150 C.", oven: 150 C fan, minutes: 18}
    - {id: cream, do: "Beat the butter and the caster sugar for 2–3 minutes, until smooth.", minutes: 3}
    - {id: mix, do: "Add the plain flour, the rice flour and the salt and stir for 2–3 minutes, until it holds together.", minutes: 2}
    - {id: press, do: "Press into the tin and sprinkle with the demerara sugar, for 5–6 minutes, until level.", minutes: 5}
    - {id: bake, do: "Bake for 35–40 minutes, until pale gold.", oven: 150 C fan, minutes: 38}
    - {id: cut, do: "Cool for 10–15 minutes, until firm enough, then cut into 24 fingers.", minutes: 12}
""",
    "salad": """\
  title: Charred leek and barley salad
  serves: 6
  makes: 6 serves
  ingredients:
    - "240 g pearl barley"
    - "2 L water, for the pot"
    - "10 g fine salt"
    - "600 g leeks, trimmed"
    - "60 ml olive oil"
    - "30 ml lemon juice"
    - "12 g Dijon mustard"
    - "80 g feta, crumbled"
  method:
    - {id: boil, do: "Boil the barley in the water with the salt in a 4 litre pot for 28–35 minutes, until tender. Drain.", minutes: 32}
    - {id: char, do: "Brush the leeks with half of the olive oil. Char them in a 28 cm frying pan for 10–12 minutes, until soft.", minutes: 11}
    - {id: dress, do: "Whisk the lemon juice, the mustard and the other half of the olive oil for 1–2 minutes, until it thickens.", minutes: 1}
    - {id: toss, do: "Toss the barley, the leeks and the dressing and top with the feta, for 2–3 minutes, until coated.", minutes: 2}
""",
    "loaf": """\
  title: Banana and walnut loaf
  makes: 12 slices
  ingredients:
    - "10 g butter, for the tin"
    - "250 g plain flour"
    - "8 g baking powder"
    - "2 g fine salt"
    - "3 ripe bananas (300 g peeled), mashed"
    - "2 eggs (100 g)"
    - "120 g brown sugar"
    - "80 ml sunflower oil"
    - "90 g walnuts, chopped"
  method:
    - {id: heat,
       do: "Heat the oven to 160 C fan for 15–20 minutes, until a thermometer reads 160 C. Grease a 900 g loaf tin (21 × 11 cm) with the butter.",
       oven: 160 C fan, minutes: 18}
    - {id: dry, do: "Whisk the flour, the baking powder and the salt for 1–2 minutes, until even.", minutes: 1}
    - {id: wet, do: "Whisk the bananas, the eggs, the sugar and the oil for 2–3 minutes, until smooth.", minutes: 3}
    - {id: fold, do: "Fold the dry into the wet with 60 g of the walnuts for 1–2 minutes, until no flour shows.", minutes: 2}
    - {id: bake,
       do: "Pour into the tin, scatter with the remaining walnuts and bake for 48–55 minutes, until a skewer comes out clean.", oven: 160 C fan, minutes: 50}
    - {id: cool, do: "Cool for 60–90 minutes, until cold, then cut into 12 slices.", minutes: 75}
""",
    "meatballs": """\
  title: Lamb meatballs
  makes: 20 meatballs
  ingredients:
    - "600 g lamb mince"
    - "60 g fresh breadcrumbs"
    - "1 egg (50 g)"
    - "8 g fine salt"
    - "3 g ground cumin"
    - "30 ml olive oil"
    - "400 g tinned tomatoes"
    - "5 g mint leaves, torn"
  method:
    - {id: mix, do: "Mix the lamb mince, the breadcrumbs, the egg, the salt and the cumin for 2–3 minutes, until even.", minutes: 3}
    - {id: roll, do: "Roll into 20 meatballs of about 36 g for 8–10 minutes, until all is used.", minutes: 9}
    - {id: brown, do: "Warm the olive oil in a 28 cm frying pan. Brown the meatballs in 2 batches of 4–5 minutes each, until brown all over.", minutes: 9}
    - {id: simmer, do: "Add the tomatoes and simmer for 12–15 minutes, until the middle of one reads 71 C.", minutes: 13}
    - {id: serve, do: "Scatter with the mint leaves for 1–2 minutes, until all are on.", minutes: 1}
""",
    "granola": """\
  title: Seed granola
  makes: 700 g granola
  ingredients:
    - "300 g rolled oats"
    - "100 g sunflower seeds"
    - "100 g pumpkin seeds"
    - "2 g fine salt"
    - "120 g honey"
    - "80 ml rapeseed oil"
    - "100 g dried apricots, sliced"
  method:
    - {id: heat, do: "Heat the oven to 140 C fan for 15–20 minutes, until a thermometer reads 140 C.", oven: 140 C fan, minutes: 18}
    - {id: mix, do: "Toss the oats, the sunflower seeds, the pumpkin seeds and the salt in a 4 litre bowl.", minutes: [1, 2], until: even}
    - {id: coat, do: "Warm the honey and the oil in a 16 cm pan for 1–2 minutes, until runny, and stir into the oats.", minutes: 2}
    - {id: bake, do: "Spread on a 40 × 30 cm tray and bake for 28–34 minutes, until deep gold.", oven: 140 C fan, minutes: 30}
    - {id: finish, do: "Cool for 30–40 minutes, until crisp, then stir in the apricots.", minutes: 35}
""",
    "soup": """\
  title: Roast tomato soup
  makes: 4 bowls
  ingredients:
    - "1 kg tomatoes, halved"
    - "1 onion (150 g), quartered"
    - "45 ml (3 tbsp) olive oil"
    - "6 g fine salt"
    - "500 ml vegetable stock"
    - "60 ml cream"
    - "10 g basil leaves"
  method:
    - {id: heat, do: "Heat the oven to 190 C fan for 15–20 minutes, until a thermometer reads 190 C.", oven: 190 C fan, minutes: 18}
    - {id: roast,
       do: "Toss the tomatoes, the onion, the olive oil and the salt on a 40 × 30 cm tray and roast for 35–42 minutes, until the edges darken.",
       oven: 190 C fan, minutes: 38}
    - {id: simmer, do: "Tip into a 3 litre pan with the vegetable stock and simmer for 8–10 minutes, until the onion is soft.", minutes: 9}
    - {id: blend, do: "Blend for 1–2 minutes, until smooth. Stir in the cream, ladle into 4 bowls and top with the basil leaves.", minutes: 2}
""",
}

# (recipe, kind, what stands on the line where it is found, old, new)
FAULTS = [
    ("scones", "unlisted", "id: rub", '    - "3 g fine salt"\n', ""),
    ("scones", "unlisted", "id: cut", '    - "20 g plain flour, for the board"\n', ""),
    ("scones", "unlisted", "id: brush", '    - "15 ml milk, for brushing"\n', ""),
    ("scones", "measures", "self-raising", "350 g (2⅓ cups)", "350 g (1¼ cups)"),
    ("scones", "yield", "id: cut", "cut out 8 scones", "cut out 12 scones"),
    ("scones", "vessel", "id: brush", "a 40 × 30 cm tray", "a tray"),
    ("dal", "unused", "coriander", " and scatter with the coriander leaves", ""),
    ("dal", "prep", "split peas, rinsed", "Bring the split peas", "Rinse the split peas. Bring the split peas"),
    ("dal", "time", "id: temper", "for 2–3 minutes, until the garlic is gold.", "for 3 minutes."),
    ("dal", "order", "ghee", None, None),
    ("dal", "yield", "id: finish", "into 4 bowls", "into 6 bowls"),
    ("dal", "vessel", "id: temper", "in a 20 cm frying pan", "in a frying pan"),
    ("shortbread", "oven_after", "id: heat", None, None),
    ("shortbread", "time", "id: bake", "for 35–40 minutes, until pale gold", "until pale gold"),
    ("shortbread", "times", "id: bake", "minutes: 38", "minutes: 20"),
    ("shortbread", "unlisted", "id: press", '    - "30 g demerara sugar, for sprinkling"\n', ""),
    ("shortbread", "yield", "id: cut", "into 24 fingers", "into 18 fingers"),
    ("salad", "divided", "id: dress", "the other half of the olive oil", "two-thirds of the olive oil"),
    ("salad", "unused", "feta", " and top with the feta", ""),
    ("salad", "unlisted", "id: boil", '    - "2 L water, for the pot"\n', ""),
    ("salad", "vessel", "id: boil", " in a 4 litre pot", ""),
    ("salad", "time", "id: char", "for 10–12 minutes, until soft.", "for 10–12 minutes."),
    ("loaf", "divided", "id: fold", "with 60 g of the walnuts", "with 120 g of the walnuts"),
    ("loaf", "prep", "walnuts, chopped", "Fold the dry", "Chop the walnuts. Fold the dry"),
    ("loaf", "unlisted", "id: heat", '    - "10 g butter, for the tin"\n', ""),
    ("loaf", "measures", "2 eggs", "2 eggs (100 g)", "2 eggs (220 g)"),
    ("loaf", "oven_late", "id: bake", "Heat the oven to 160 C fan for 15–20 minutes, until a thermometer reads 160 C. Grease a 900 g loaf tin "
     "(21 × 11 cm) with the butter.\",\n       oven: 160 C fan, minutes: 18", "Grease a 900 g loaf tin (21 × 11 cm) with the butter for 1–2 minutes, "
     "until coated.\",\n       minutes: 1"),
    ("meatballs", "yield", "id: roll", "of about 36 g", "of about 60 g"),
    ("meatballs", "times", "id: brown", "in 2 batches", "in 4 batches"),
    ("meatballs", "unused", "breadcrumbs", "the breadcrumbs, ", ""),
    ("meatballs", "unlisted", "id: mix", '    - "3 g ground cumin"\n', ""),
    ("meatballs", "vessel", "id: brown", "in a 28 cm frying pan", ""),
    ("granola", "yield", "makes:", "makes: 700 g granola", "makes: 1.4 kg granola"),
    ("granola", "order", "apricots", None, None),
    ("granola", "time", "id: mix", ", minutes: [1, 2], until: even}", ", until: even}"),
    ("granola", "shown", "shown:", "makes: 700 g granola\n", "makes: 700 g granola\n  shown: [oats, honey, blueberries]\n"),
    ("soup", "measures", "olive oil", "45 ml (3 tbsp) olive oil", "45 ml (6 tbsp) olive oil"),
    ("soup", "unlisted", "id: blend", '    - "60 ml cream"\n', ""),
    ("soup", "shown", "shown:", "makes: 4 bowls\n", "makes: 4 bowls\n  shown: [basil, sourdough bread]\n"),
    ("soup", "time", "id: simmer", "for 8–10 minutes, until the onion is soft", "for 9 minutes"),
    ("soup", "divided", "id: blend", "Stir in the cream", "Stir in 40 ml of the cream and swirl in 40 ml of the cream"),
]


def study_of(body):
    return HEAD + body + TAIL


def planted(name, kind, old, new):
    body = CLEAN[name]
    if old is not None:
        assert body.count(old) == 1, (name, old)
        return study_of(body.replace(old, new))
    rows = body.splitlines(keepends=True)
    if kind == "oven_after":
        heat = next(i for i, r in enumerate(rows) if "id: heat" in r)
        rows.append(rows.pop(heat))
    else:
        start = next(i for i, r in enumerate(rows) if "ingredients:" in r) + 1
        moved = next(i for i, r in enumerate(rows) if i >= start and {"dal": "ghee", "granola": "apricots"}[name] in r)
        rows.insert(start, rows.pop(moved))
    return study_of("".join(rows))


@pytest.mark.parametrize("name", CLEAN)
def test_a_clean_recipe_is_left_alone(name):
    assert pp.audit(pp.Study.from_text(study_of(CLEAN[name]))) == ()


@pytest.mark.parametrize("name, kind, at, old, new", FAULTS, ids=[f"{i}-{f[0]}-{f[1]}" for i, f in enumerate(FAULTS, 1)])
def test_the_planted_fault_is_found_and_nothing_else(name, kind, at, old, new):
    text = planted(name, kind, old, new)
    found = pp.audit(pp.Study.from_text(text))
    lines = [i for i, row in enumerate(text.splitlines(), 1) if at in row]
    assert [f.kind for f in found] == [kind], found
    assert found[0].line in lines and found[0].says.endswith((".", "?")) and found[0].fix, found


def test_there_are_forty():
    assert len(FAULTS) >= 40 and len({f[1] for f in FAULTS}) >= 11
