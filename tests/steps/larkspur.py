"""Larkspur Lane's own recipes for these tests: kitchen, dishes and numbers are invented."""

from proofpan.study.study import Study

SLICE = """title: Fig and seed slice
question: Is honey worth it?
invented: true
kitchen: {country: AU, ovens: [{name: main, kind: fan}]}
tasters: [Ada]
attributes: [{name: liking, scale: [0, 10], better: more, worth: 0.5}]
base:
  title: Fig and seed slice
  makes: 16 squares
  tin: 20 cm square
  ingredients:
    - "10 g soft butter, for the tin"
    - "240 g dried figs, chopped"
    - "100 ml water"
    - "180 g plain flour"
    - "4 g baking powder"
    - "2 g fine salt"
    - "110 g (½ cup) caster sugar"
    - "2 eggs (50 g each)"
    - "60 g pepitas"
  method:
    - {id: heat, do: "Heat the oven to 160 C fan for 15–20 minutes, until hot. Grease a 20 cm square tin with the soft butter.", oven: 160 C fan, minutes: 18}
    - {id: figs, do: "Simmer the figs and the water in an 18 cm pan for 5–7 minutes, until thick.", minutes: 6}
    - {id: dry, do: "Whisk the flour, baking powder, salt and 70 g of the sugar for 1–2 minutes, until even.", minutes: 1}
    - {id: fold, do: "Fold in the eggs, the figs and 40 g of the pepitas for 2–3 minutes, until no flour shows. Scrape into the tin.", minutes: 2}
    - {id: bake, do: "Scatter with the remaining 40 g sugar and the remaining 20 g pepitas. Bake for 26–30 minutes, until gold.", oven: 160 C fan, minutes: 28}
    - {id: cool, do: "Cool in the tin for 40–50 minutes, until firm, then cut into 16 squares.", minutes: 45}
factors:
  - {name: sugar, options: [{name: as written}, {name: honey, edits: [{swap: caster sugar, for: 90 g honey}]}]}
"""

SOUP = """title: Pea and barley soup
question: More salt?
invented: true
kitchen: {country: UK}
tasters: [Ada]
attributes: [{name: liking, scale: [0, 10], better: more, worth: 0.5}]
base:
  title: Pea and barley soup
  makes: 4 bowls
  ingredients:
    - "20 ml olive oil"
    - "1 onion (150 g), diced"
    - "5 g fine salt"
    - "120 g pearl barley, rinsed"
    - "1 litre water"
    - "300 g frozen peas"
    - "20 ml lemon juice"
  method:
    - {id: soften, do: "Warm the olive oil in a 24 cm pan. Cook the onion with the salt for 8–10 minutes, until soft.", minutes: 9}
    - {id: simmer, do: "Add the barley and the water. Simmer for 30–35 minutes, until tender.", minutes: 32}
    - {id: finish, do: "Add the peas and simmer for 3–4 minutes, until bright. Stir in the lemon juice and ladle into 4 bowls.", minutes: 4}
factors:
  - {name: salt, options: [{name: 5 g}, {name: 7 g, edits: [{set: fine salt, to: 7 g}]}]}
"""


def study(text: str, *changes: tuple[str, str]) -> Study:
    """A study from one of the texts above with words replaced; each word to replace must stand in it."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return Study.from_text(text)
