"""Seven more recipes of ours, written as cooks write in five countries, and fifty planted faults in other words: each is found, and nothing else is said."""

from __future__ import annotations

import pytest

import proofpan as pp

HEAD = "title: Ours\nquestion: Which?\ntasters: [Ada]\nkitchen: {country: %s}\nattributes: [{name: liking}]\nbase:\n"
TAIL = "factors: [{name: salt, options: [{name: as written}, {name: none, edits: []}]}]\n"
MOVED_UP, MOVED_BEFORE_BAKE = "the line moves to the top of the list", "the step moves to just before the bake"

CLEAN = {
    "cornbread": ("US", """\
  title: Skillet cornbread
  makes: 8 wedges
  ingredients:
    - "1 cup (155 g) yellow cornmeal"
    - "1 cup (125 g) all-purpose flour"
    - "1 tablespoon baking powder"
    - "¾ teaspoon kosher salt"
    - "1 large egg, beaten"
    - "1¼ cups (300 ml) buttermilk"
    - "6 tablespoons (85 g) unsalted butter, divided"
    - "2 tablespoons honey"
  method:
    - {id: heat,
       do: "Put a 10-inch cast-iron skillet in the oven and heat the oven to 425 F.",
       oven: 425 F, minutes: [20, 25], until: the oven is at temperature}
    - {id: dry, do: "Whisk together the cornmeal, flour, baking powder and salt in a large bowl.", minutes: [1, 2], until: no streaks show}
    - {id: wet,
       do: "In a jug, beat the egg with the buttermilk. Melt 4 tablespoons of the butter, then beat it in with the honey.",
       minutes: [2, 3], until: smooth}
    - {id: combine, do: "Pour the wet mixture into the dry and stir.", minutes: [1, 2], until: just combined}
    - {id: bake,
       do: "Swirl the remaining 2 tablespoons butter around the hot skillet, scrape in the batter and bake.",
       oven: 425 F, minutes: [18, 22], until: golden and a toothpick comes out clean}
    - {id: rest, do: "Let stand, then cut into 8 wedges.", minutes: [10, 15], until: it no longer steams}
"""),
    "biscuits": ("AU", """\
  title: Ginger macadamia biscuits
  makes: 24 biscuits
  equipment: ["2 baking trays, 40 × 30 cm"]
  ingredients:
    - "125 g butter, softened"
    - "¾ cup (165 g) caster sugar"
    - "1 egg (55 g)"
    - "1½ cups (225 g) self-raising flour"
    - "2 teaspoons ground ginger"
    - "100 g macadamias, roughly chopped"
    - "60 g glacé ginger, finely chopped"
  method:
    - {id: preheat, do: "Preheat the oven to 160 C fan. Line the 2 baking trays.", oven: 160 C fan, minutes: [15, 20], until: hot}
    - {id: cream, do: "Beat butter and sugar together.", minutes: [3, 4], until: pale and creamy}
    - {id: egg, do: "Add egg and beat well.", minutes: [1, 2], until: combined}
    - {id: mix, do: "Fold in flour, ground ginger, macadamias and glacé ginger.", minutes: [1, 2], until: a soft dough forms}
    - {id: shape,
       do: "Roll tablespoons of dough into 24 balls of about 30 g each and place on the trays, 5 cm apart.",
       minutes: [8, 10], until: all the dough is used}
    - {id: bake, do: "Bake.", oven: 160 C fan, minutes: [14, 17], until: golden}
    - {id: cool, do: "Cool on the trays.", minutes: [10, 15], until: crisp}
"""),
    "curry": ("UK", """\
  title: Chickpea and spinach curry
  serves: 4
  ingredients:
    - "2 tbsp sunflower oil"
    - "1 large onion, finely chopped"
    - "3 garlic cloves, crushed"
    - "thumb-sized piece of ginger, grated"
    - "1 tbsp garam masala"
    - "1 tsp ground turmeric"
    - "1 x 400g tin chopped tomatoes"
    - "2 x 400g tins chickpeas, drained and rinsed"
    - "200ml coconut milk"
    - "200g spinach"
    - "juice of ½ lemon"
    - "salt"
  method:
    - {id: soften,
       do: "Heat the oil in a large, deep frying pan (28cm) over a medium heat. Add the onion and fry gently.",
       minutes: [8, 10], until: soft and golden}
    - {id: spice, do: "Stir in the garlic and ginger, then the garam masala and turmeric.", minutes: [1, 2], until: fragrant}
    - {id: simmer, do: "Tip in the tomatoes, chickpeas and coconut milk, season with salt and simmer.", minutes: [12, 15], until: thickened}
    - {id: wilt, do: "Add the spinach a handful at a time.", minutes: [2, 3], until: wilted}
    - {id: finish, do: "Squeeze in the lemon juice and check the seasoning.", minutes: [1, 2], until: it tastes bright}
"""),
    "tart": ("UK", """\
  title: Lemon tart
  serves: 8
  tin: 23 cm loose-bottomed tart tin
  ingredients:
    - {for: the pastry, items: ["175g plain flour, plus extra for dusting", "100g cold butter, cubed", "25g icing sugar", "1 egg yolk", "1 tbsp cold water"]}
    - {for: the filling, items: ["5 eggs", "140g caster sugar", "150ml double cream", "finely grated zest and juice of 3 lemons"]}
  method:
    - {id: rub, do: "Rub the butter into the flour and icing sugar with your fingertips.", minutes: [4, 6], until: like breadcrumbs}
    - {id: bind, do: "Stir in the egg yolk and the water, bring together and chill.", minutes: [30, 40], until: firm}
    - {id: oven, do: "Heat the oven to 180C/160C fan.", oven: 160 C fan, minutes: [15, 20], until: hot}
    - {id: line,
       do: "Roll out the pastry on a surface dusted with flour, line the tin, prick the base and cover with baking paper and baking beans.",
       minutes: [8, 10], until: there are no gaps}
    - {id: blind, do: "Bake the case blind, lift out the beans and bake again.", oven: 160 C fan, minutes: [25, 30], until: biscuit coloured}
    - {id: filling, do: "Whisk the eggs, caster sugar, cream, lemon zest and lemon juice.", minutes: [2, 3], until: the sugar has dissolved}
    - {id: bake, do: "Pour the filling into the case and bake at 160C fan.", oven: 160 C fan, minutes: [25, 30], until: just set with a wobble in the middle}
    - {id: cool, do: "Leave in the tin to cool, then cut into 8.", minutes: [60, 90], until: cold}
"""),
    "rolls": ("NZ", """\
  title: Soft milk rolls
  makes: 12 rolls
  ingredients:
    - "500 g high-grade flour"
    - "300 ml milk, warmed"
    - "7 g instant yeast"
    - "50 g sugar"
    - "8 g salt"
    - "60 g butter, softened"
    - "1 egg yolk, beaten, to glaze"
  method:
    - {id: mix,
       do: "Put the flour, milk, yeast, sugar and salt in the bowl of a stand mixer and mix with the dough hook.",
       minutes: [4, 5], until: no dry flour is left}
    - {id: knead, do: "Work in the butter a little at a time and knead.", minutes: [8, 10], until: smooth and elastic}
    - {id: prove, do: "Cover and leave to rise somewhere warm.", minutes: [60, 90], until: doubled}
    - {id: shape, do: "Divide into 12 pieces of about 75 g, roll into balls and set in a 23 × 33 cm tin.", minutes: [10, 12], until: all are in}
    - {id: second, do: "Cover and leave again. Meanwhile, heat the oven to 180 C fan.", oven: 180 C fan, minutes: [40, 50], until: puffy}
    - {id: bake, do: "Brush with the egg yolk and bake.", oven: 180 C fan, minutes: [18, 22], until: deep golden}
"""),
    "pickle": ("IE", """\
  title: Quick cucumber pickle
  makes: 1 jar
  ingredients:
    - "1 cucumber (300 g), thinly sliced"
    - "10 g fine sea salt"
    - "150 ml cider vinegar"
    - "75 g caster sugar"
    - "1 tsp mustard seeds"
    - "a few sprigs of dill"
  method:
    - {id: salt, do: "Toss the cucumber with the salt in a colander and leave to drain.", minutes: [25, 30], until: limp}
    - {id: brine, do: "Warm the vinegar, sugar and mustard seeds in a small saucepan (16 cm).", minutes: [3, 4], until: the sugar dissolves}
    - {id: pack, do: "Squeeze the slices, pack into a 500 ml jar with the dill and pour over the vinegar.", minutes: [4, 5], until: covered}
    - {id: chill, do: "Seal and chill. Keep in the fridge and eat within a week.", minutes: [120, 180], until: cold}
"""),
    "stirfry": ("AU", """\
  title: Beef and broccolini stir-fry
  serves: 4
  ingredients:
    - "400 g rump steak, thinly sliced"
    - "2 tablespoons soy sauce"
    - "1 tablespoon cornflour"
    - "1½ tablespoons peanut oil"
    - "2 bunches broccolini, halved lengthways"
    - "1 long red chilli, sliced"
    - "¼ cup (60 ml) chicken stock"
    - "2 teaspoons sesame oil"
    - "steamed rice, to serve"
  method:
    - {id: marinate, do: "Toss the beef with half of the soy sauce and the cornflour in a bowl.", minutes: [10, 15], until: evenly coated}
    - {id: sear,
       do: "Heat 1 tablespoon of the peanut oil in a wok over high heat and stir-fry the beef in 2 batches.",
       minutes: [4, 5], until: browned. Set aside}
    - {id: veg, do: "Heat the remaining peanut oil, add the broccolini and chilli and toss.", minutes: [2, 3], until: bright green}
    - {id: sauce, do: "Return the beef with the remaining soy sauce, the stock and the sesame oil.", minutes: [1, 2], until: glossy}
    - {id: serve, do: "Serve with the rice.", minutes: [1, 2], until: everyone has some}
"""),
}

# (recipe, kind, old, new); where a line or a step moves, old is what stands on it
FAULTS = [
    ("cornbread", "unlisted", "    - \"2 tablespoons honey\"\n", ""),
    ("cornbread", "unused", ", baking powder and salt", " and baking powder"),
    ("cornbread", "divided", "remaining 2 tablespoons butter", "remaining 3 tablespoons butter"),
    ("cornbread", "measures", "6 tablespoons (85 g)", "6 tablespoons (170 g)"),
    ("cornbread", "measures", "1¼ cups (300 ml)", "1¼ cups (500 ml)"),
    ("cornbread", "yield", "cut into 8 wedges", "cut into 6 wedges"),
    ("cornbread", "vessel", "a 10-inch cast-iron skillet", "a skillet"),
    ("cornbread", "time", ", minutes: [10, 15], until: it no longer steams", ", minutes: 10"),
    ("cornbread", "order", "2 tablespoons honey", MOVED_UP),
    ("biscuits", "yield", "about 30 g each", "about 45 g each"),
    ("biscuits", "measures", "¾ cup (165 g)", "¾ cup (265 g)"),
    ("biscuits", "unlisted", "    - \"60 g glacé ginger, finely chopped\"\n", ""),
    ("biscuits", "unused", "Add egg and beat well", "Beat well again"),
    ("biscuits", "oven_late", "Preheat the oven to 160 C fan. Line the 2 baking trays.\", oven: 160 C fan, minutes: [15, 20], until: hot",
     "Line the 2 baking trays.\", minutes: [1, 2], until: smooth"),
    ("biscuits", "time", "minutes: [14, 17], until: golden", "minutes: [14, 17]"),
    ("biscuits", "shown", "  equipment:", "  shown: [macadamias, whipped cream]\n  equipment:"),
    ("biscuits", "yield", "into 24 balls", "into 18 balls"),
    ("biscuits", "prep", "Fold in flour", "Roughly chop the macadamias. Fold in flour"),
    ("curry", "unlisted", "    - \"200g spinach\"\n", ""),
    ("curry", "unlisted", "    - \"salt\"\n", ""),
    ("curry", "unused", " and coconut milk", ""),
    ("curry", "order", "2 x 400g tins", MOVED_UP),
    ("curry", "vessel", "a large, deep frying pan (28cm)", "a frying pan"),
    ("curry", "time", ", minutes: [12, 15], until: thickened", ""),
    ("curry", "prep", "Tip in the tomatoes", "Drain and rinse the chickpeas. Tip in the tomatoes"),
    ("curry", "unused", "the garam masala and turmeric", "the garam masala"),
    ("tart", "unlisted", ", \"1 tbsp cold water\"", ""),
    ("tart", "unused", ", lemon zest and lemon juice", " and lemon juice"),
    ("tart", "oven_after", "id: oven", MOVED_BEFORE_BAKE),
    ("tart", "vessel", "  tin: 23 cm loose-bottomed tart tin\n", ""),
    ("tart", "unlisted", ", \"150ml double cream\"", ""),
    ("tart", "time", "minutes: [25, 30], until: just set with a wobble in the middle", "minutes: 25"),
    ("rolls", "unlisted", "    - \"1 egg yolk, beaten, to glaze\"\n", ""),
    ("rolls", "yield", "into 12 pieces of about 75 g", "into 12 pieces of about 50 g"),
    ("rolls", "vessel", "a 23 × 33 cm tin", "a tin"),
    ("rolls", "oven_late", " Meanwhile, heat the oven to 180 C fan.\", oven: 180 C fan", "\""),
    ("rolls", "times", "Brush with the egg yolk and bake.", "Brush with the egg yolk and bake for 35–40 minutes."),
    ("pickle", "vessel", "a small saucepan (16 cm)", "a pan"),
    ("pickle", "unused", " with the dill", ""),
    ("pickle", "unlisted", "    - \"75 g caster sugar\"\n", ""),
    ("pickle", "measures", "1 cucumber (300 g)", "1 cucumber (3 kg)"),
    ("stirfry", "divided", "Heat the remaining peanut oil", "Heat 2 tablespoons of the peanut oil"),
    ("stirfry", "divided", "the remaining soy sauce", "2 tablespoons of the soy sauce"),
    ("stirfry", "measures", "¼ cup (60 ml)", "¼ cup (160 ml)"),
    ("stirfry", "unlisted", "    - \"2 teaspoons sesame oil\"\n", ""),
    ("stirfry", "unused", " and chilli", ""),
    ("stirfry", "prep", "Toss the beef", "Thinly slice the beef and toss the beef"),
    ("stirfry", "times", "the beef in 2 batches.", "the beef in 2 batches of 4–5 minutes each."),
    ("stirfry", "shown", "  serves: 4", "  shown: [spring onions, beef]\n  serves: 4"),
    ("curry", "shown", "  serves: 4", "  shown: [onion, naan]\n  serves: 4"),
    ("rolls", "divided", "Work in the butter", "Work in 40 g of the butter, knead briefly, then work in 40 g of the butter"),
]


def study_of(name, body):
    return pp.Study.from_text(HEAD % CLEAN[name][0] + body + TAIL)


def planted(name, old, new):
    body = CLEAN[name][1]
    if new not in (MOVED_UP, MOVED_BEFORE_BAKE):
        assert body.count(old) == 1, (name, old)
        return body.replace(old, new)
    rows = body.splitlines(keepends=True)
    moved = rows.pop(next(i for i, r in enumerate(rows) if old in r))
    wanted = "ingredients:" if new == MOVED_UP else "id: bake"
    at = next(i for i, r in enumerate(rows) if wanted in r)
    rows.insert(at + 1 if new == MOVED_UP else at, moved)
    return "".join(rows)


@pytest.mark.parametrize("name", CLEAN)
def test_a_clean_recipe_is_left_alone(name):
    assert pp.audit(study_of(name, CLEAN[name][1])) == ()


@pytest.mark.parametrize("name, kind, old, new", FAULTS, ids=[f"{i}-{f[0]}-{f[1]}" for i, f in enumerate(FAULTS, 1)])
def test_the_planted_fault_is_found_and_nothing_else(name, kind, old, new):
    found = pp.audit(study_of(name, planted(name, old, new)))
    assert [f.kind for f in found] == [kind], found
    assert found[0].line and found[0].says.endswith((".", "?")) and found[0].fix


def test_every_kind_is_planted():
    kinds = {"unused", "unlisted", "order", "divided", "prep", "vessel", "time", "oven_late", "oven_after", "yield", "times", "measures", "shown"}
    assert {f[1] for f in FAULTS} == kinds and len(FAULTS) >= 50
