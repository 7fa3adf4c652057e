"""Trade jobs from question to answer, all invented: the truth is planted, the right answer reasoned out beforehand."""

import pandas as pd
import pytest

import proofpan as pp
from proofpan.study.study import Study
from tests.steps.trade_jobs import cooked, marks, plain, trials

CHIPS = """title: Fat chips
question: Is a second fry worth the bother, and at what heat?
invented: true
kitchen: {country: UK}
tasters: [Ada, Bo, Cleo]
attributes:
  - {name: crunch, scale: [0, 10], better: more, weight: 2, worth: 0.5}
  - {name: grease, scale: [0, 10], better: less, weight: 1, worth: 0.5}
base:
  title: Fat chips
  makes: 4 serves
  ingredients: [1 kg floury potatoes, 2 L sunflower oil, 8 g fine salt]
  method:
    - {id: blanch, do: "Fry the floury potatoes in the sunflower oil at 140 C until soft.", minutes: 8}
    - {id: finish, do: "Fry in the hot oil at 180 C until gold, then season with the fine salt.", minutes: 4}
factors:
  - {name: fries, asks: worth it, price: 0.7, options: [{name: twice}, {name: once, plain: true, edits: [{drop: blanch}]}]}
  - {name: draining, options: [{name: paper}, {name: rack}]}
rounds: {plates: 4, at_most: 4}
"""


# a second fry crunches 2.5 more (two thirds of the overall: 1.7, over its 0.7), a rack drains 2 points of grease off: less of it, not "a gain"
def test_chips_fried_twice_pay_and_a_rack_takes_grease_off():
    study = Study.from_text(CHIPS)
    before = pp.judge(study)
    assert before.publish.says == ("Nothing yet: no plate has been tasted.",)          # what is usual elsewhere may not be printed
    assert any("Hot oil" in c for c in pp.next_round(study, seed=1).cautions)
    versions = [dict(v) for v in study.versions()] * 3
    marked = [marks(versions, 4, study.tasters, lambda v: 4 + 2.5 * (v["fries"] == "twice"), 1, attribute="crunch"),
              marks(versions, 4, study.tasters, lambda v: 5 - 2 * (v["draining"] == "rack"), 2, attribute="grease")]
    verdict = pp.judge(study.with_trials(trials(versions, 4).drop(columns="tray")).with_ballots(pd.concat(marked)))
    assert dict(verdict.publish.version) == {"fries": "twice", "draining": "rack"}
    answers = {a.row.factor: a for a in verdict.answers}
    assert answers["fries"].outcome == "worth it" and "Crunch gains" in answers["fries"].more
    assert "Grease falls by" in answers["draining"].more and "Grease gains" not in " ".join(verdict.says)


SHORTBREAD = """title: Shortbread without wheat
question: Will rice flour do?
invented: true
kitchen: {country: IE, ovens: [{name: main, kind: fan, trays: 1, places: 2}]}
tasters: [{name: Ada, no: [gluten]}]
attributes: [{name: liking, scale: [1, 9], better: more, weight: 1, worth: 0.5}]
base:
  title: Shortbread
  makes: 24 fingers
  ingredients: [250 g plain flour, 170 g unsalted butter, 80 g caster sugar]
  method: [{id: bake, do: "Rub the unsalted butter into the plain flour and caster sugar, and bake.", oven: 150 C fan, until: pale gold, minutes: 35}]
factors:
  - name: flour
    asks: good enough
    options:
      - {name: wheat}
      - {name: rice, edits: [{swap: plain flour, for: 220 g rice flour}]}
      - {name: maize, edits: [{swap: plain flour, for: 220 g cornflour}]}
rounds: {loads: 1, at_most: 6}
"""


# the one taster is coeliac: she can put rice above maize (2 points), never rice beside wheat, so no swap is called as good as wheat
def test_shortbread_judged_by_a_coeliac_says_nothing_of_wheat():
    versions = [{"flour": o} for o in ("rice", "maize", "maize", "rice") * 3]
    study = cooked(SHORTBREAD, versions, 2, lambda v: 5 + 2 * (v["flour"] == "rice"), 2)
    verdict = pp.judge(study)
    assert dict(verdict.best.version) == {"flour": "rice"} and {r.outcome for r in verdict.effect_rows} == {"not settled"}
    assert all("nobody has tasted wheat yet" in a.more for a in verdict.answers)
    assert not any("probably" in s for s in verdict.publish.says) and "“Rice is as good as wheat”" in verdict.publish.dont_say
    assert "By your palate" in verdict.whose
    first = pp.next_round(Study.from_text(SHORTBREAD), seed=7)
    assert {t.version["flour"] for t in first.trials} == {"rice", "maize"}
    assert any(c.startswith("Nothing with wheat is proposed: nobody at this table may eat it (gluten)") for c in first.cautions)


CURD = "  - {name: curd, options: [{name: ours}, {name: older}, {name: shop jar, benchmark: true, contains: [milk, eggs]}]}"


# the shop's jar is 2 better than ours, ours 2 better than the older one: ours is published, the jar is never advised nor printed
def test_curd_beside_a_shop_jar_publishes_ours():
    versions = [{"curd": o} for o in ("ours", "older", "shop jar", "shop jar", "older", "ours") * 3]
    study = cooked(plain("Curd", CURD, ["Ada", "Bo", "Cleo"], places=3), versions, 3, lambda v: {"ours": 6, "older": 4, "shop jar": 8}[v["curd"]], 3)
    verdict = pp.judge(study)
    assert dict(verdict.publish.version) == {"curd": "ours"}
    jar = [a for a in verdict.answers if "shop jar" in (a.row.option, a.row.against)]
    assert len(jar) == 2 and all(a.headline.startswith("Shop jar beats") for a in jar)
    assert all("bought to measure against" in a.do for a in jar) and "Use shop jar" not in " ".join(verdict.says)
    assert "Of 2 versions it is the best to print" in verdict.publish.because             # no extras here, so none are paid for


# 160 g tastes 2 better but its last make wept: 200 g is published, the reason is that make alone, and its mark of 9.5 isn't used
def test_meringue_whose_best_version_wept_publishes_another():
    text = plain("Meringue", "  - {name: sugar, options: [{name: 240 g}, {name: 200 g}, {name: 160 g}]}", ["Ada", "Bo"], places=4)
    versions = [{"sugar": o} for o in ("240 g", "200 g", "160 g", "160 g", "200 g", "240 g", "160 g", "200 g")]
    made = trials(versions, 4, failed=[""] * 6 + ["wept", ""])
    truth = {"240 g": 5.0, "200 g": 6.5, "160 g": 8.5}
    marked = marks(versions, 4, ["Ada", "Bo"], lambda v: truth[v["sugar"]], 4, skip=[7])
    study = Study.from_text(text).with_trials(made).with_ballots(marked)
    late = pd.DataFrame([{"round": 2, "trial": 7, "taster": "Ada", "attribute": "liking", "score": 9.5}])
    verdict, with_mark = pp.judge(study), pp.judge(study.with_ballots(late))
    assert dict(verdict.best.version) == {"sugar": "160 g"} and dict(verdict.publish.version) == {"sugar": "200 g"}
    assert "(the other failed when last made)" in verdict.publish.because and "limit" not in verdict.publish.because
    assert verdict.next.why.startswith("Make 160 g sugar again: it is likely ") and "extras" not in verdict.next.why
    assert with_mark.table()["score"].tolist() == pytest.approx(verdict.table()["score"].tolist(), abs=1e-6)


SLICE = """title: Oat slice
question: Which fat and topping?
invented: true
kitchen: {country: AU, ovens: [{name: main, kind: fan, trays: 1, places: 4}]}
tasters: [Ada, Bo, Cleo]
attributes: [{name: liking, scale: [0, 10], better: more, weight: 1, worth: 0.5}]
limits: {diet: [vegetarian]}
base:
  title: Oat slice
  makes: 16 squares
  ingredients: [200 g rolled oats, 150 g unsalted butter, 60 g honey]
  method: [{id: bake, do: "Mix the rolled oats, unsalted butter and honey, and bake.", oven: 160 C fan, until: gold, minutes: 20}]
factors:
  - {name: fat, options: [{name: butter}, {name: lard, edits: [{swap: unsalted butter, for: 130 g lard}]}]}
  - {name: top, asks: worth it, price: 0.4, options: [{name: none}, {name: ganache, edits: [{add: 150 g dark chocolate}]}]}
"""


# lard is 1.5 better and breaks the diet: butter is published, so nobody is told to use lard, and what the diet costs is said
def test_slice_for_vegetarians_keeps_to_butter_though_lard_wins():
    versions = [dict(v) for v in Study.from_text(SLICE).versions()] * 4
    study = cooked(SLICE, versions, 4, lambda v: 5 + 1.5 * (v["fat"] == "lard") + 1.5 * (v["top"] == "ganache"), 3)
    verdict = pp.judge(study)
    assert dict(verdict.publish.version) == {"fat": "butter", "top": "ganache"}
    fat = next(a for a in verdict.answers if a.row.factor == "fat")
    assert fat.headline == "Lard beats butter" and fat.do == "It is better by itself; the version to publish has butter."
    assert "(the others break a limit)" in verdict.publish.because and any("without the vegetarian diet" in s for s in verdict.limits)
    nothing = pp.judge(cooked(SLICE.replace("diet: [vegetarian]", "ingredients: 2"), versions, 4, lambda v: 5, 3))
    assert "Of 4 versions none may be printed: each breaks a limit." in nothing.publish.because and "publishing now" not in nothing.next.why


# the blend is known in round 1 and marked 2.5 up there, blind it is no better: not "stop", taste it blind
def test_brownie_favoured_while_known_is_tasted_blind_before_stopping():
    versions = [{"chocolate": o} for o in ("blend", "plain", "plain", "blend") * 3]
    known = ["no"] * 4 + ["yes"] * 8
    text = plain("Brownie", "  - {name: chocolate, options: [{name: plain}, {name: blend}]}", ["Ada", "Bo"], at_most=6)
    early = marks(versions[:4], 4, ["Ada", "Bo"], lambda v: 5 + 2.5 * (v["chocolate"] == "blend"), 4)
    late = marks(versions, 4, ["Ada", "Bo"], lambda v: 5.0, 5, skip=[1, 2, 3, 4])
    study = Study.from_text(text).with_trials(trials(versions, 4, blind=known)).with_ballots(pd.concat([early, late]))
    verdict = pp.judge(study)
    assert any("Taste it blind" in c or "Taste both blind" in c for c in verdict.cautions)
    assert not verdict.next.stop and "blind" in verdict.next.why and "Stop" not in verdict.next.why


PICKLES = """[{name: saltiness, scale: [1, 9], better: {target: 5}, weight: 1, worth: 0.5},
  {name: crunch, scale: [0, 10], better: more, weight: 1, worth: 0.5}]"""


# 8 % is 3 too salty, 5 % on the target: nearer it, not saltier; and crunch that nobody marked is said, not counted
def test_pickles_with_a_target_come_nearer_it():
    text = plain("Pickles", "  - {name: brine, options: [{name: 8 %}, {name: 5 %}]}", ["Ada", "Bo"], attributes=PICKLES)
    versions = [{"brine": o} for o in ("8 %", "5 %", "5 %", "8 %") * 3]
    salt = marks(versions, 4, ["Ada", "Bo"], lambda v: 8 if v["brine"] == "8 %" else 5, 1, attribute="saltiness")
    verdict = pp.judge(Study.from_text(text).with_trials(trials(versions, 4)).with_ballots(salt))
    assert dict(verdict.publish.version) == {"brine": "5 %"} and "nearer its target" in verdict.answers[0].more
    assert "Crunch has no mark yet: the overall score stands on saltiness alone." in verdict.cautions


# ranks say which and how far apart, never how good: no "likely 7 of 10"; the first of three in every set is the best
def test_mayonnaise_that_is_only_ranked_gets_no_score_in_words():
    text = plain("Mayonnaise", "  - {name: oil, options: [{name: sunflower}, {name: olive}, {name: rapeseed}]}", ["Ada", "Bo", "Cleo"], places=3)
    versions = [{"oil": o} for o in ("sunflower", "olive", "rapeseed") * 3]
    place = {"rapeseed": 1, "sunflower": 2, "olive": 3}
    ranks = pd.DataFrame([{"round": i // 3 + 1, "trial": i + 1, "taster": t, "attribute": "liking", "set": 1, "rank": place[v["oil"]]}
                          for i, v in enumerate(versions) for t in ("Ada", "Bo", "Cleo")])
    verdict = pp.judge(Study.from_text(text).with_trials(trials(versions, 3)).with_ballots(ranks))
    assert dict(verdict.publish.version) == {"oil": "rapeseed"}
    assert verdict.publish.because.startswith("Ranked, not marked, in 9 trials by 3 tasters") and "of 10" not in verdict.publish.because


# lard is dropped by the school: it is named no more, and half and half, never cooked, is to be cooked before it is printed
def test_pastry_after_an_option_is_dropped_names_it_no_more():
    text = plain("Pie pastry", "  - {name: fat, options: [{name: butter}, {name: lard}]}\n  - {name: liquid, options: [{name: water}, {name: vodka}]}",
                 ["Ada", "Bo"], at_most=5)
    versions = [{"fat": f, "liquid": w} for f in ("butter", "lard") for w in ("water", "vodka")] * 2
    study = cooked(text, versions, 4, lambda v: 5 + 2.0 * (v["fat"] == "lard"), 1)
    study = study.amend(add={"option": {"factor": "fat", "name": "half and half"}}, why="a late idea", on="2026-05-03")
    study = study.amend(drop={"option": {"factor": "fat", "name": "lard"}}, why="the school's kitchen", on="2026-05-04")
    verdict, upcoming = pp.judge(study), pp.next_round(study, seed=7)
    said = [*verdict.says, *verdict.cautions, *upcoming.cautions, *(t.why for t in upcoming.trials)]
    assert not any("lard" in s for s in said)
    if verdict.publish.version["fat"] == "half and half":
        assert "It hasn't been cooked yet" in verdict.publish.because


@pytest.mark.parametrize("country", ["FR", "JP", "ZA", "DE"])
def test_a_kitchen_of_any_country_gets_its_recipe_and_its_day(country):
    study = Study.from_text(SLICE.replace("country: AU", f"country: {country}"))
    worked = pp.recipe(study, {"fat": "butter"})
    assert "200 g rolled oats" in worked.text() and worked.to("US").text()
    assert len(pp.plan_day(study, round=pp.next_round(study, seed=1), start="2026-05-03T09:00").tasks)


# Finn marks at random from 0 to 10 beside five who agree: he is named, the five aren't
def test_buns_with_one_who_marks_at_random_name_him():
    text = plain("Buns", "  - {name: spice, options: [{name: low}, {name: high}]}\n  - {name: glaze, options: [{name: sugar}, {name: jam}]}",
                 ["Ada", "Bo", "Cleo", "Dov", "Esme", "Finn"])
    versions = [{"spice": s, "glaze": g} for s in ("low", "high") for g in ("sugar", "jam")] * 3
    five = marks(versions, 4, ["Ada", "Bo", "Cleo", "Dov", "Esme"], lambda v: 5 + 1.2 * (v["spice"] == "high"), 3)
    finn = marks(versions, 4, ["Finn"], lambda v: 5.0, 11, noise=3.0)
    verdict = pp.judge(Study.from_text(text).with_trials(trials(versions, 4)).with_ballots(pd.concat([five, finn])))
    named = [c for c in verdict.cautions if "marks" in c]
    assert len(named) == 1 and named[0].startswith("Finn's marks")
    assert dict(verdict.publish.version)["spice"] == "high"


GRAVY = """[{name: depth, scale: [0, 10], better: more, weight: 3, worth: 0.5},
  {name: bitterness, scale: [0, 10], better: less, weight: 1, worth: 0.5}]"""


# by marks the dark roux leads; asked which they would serve all three take the blond by 2 points: that is said, not passed over
def test_gravy_that_nobody_would_serve_is_said():
    text = plain("Gravy", "  - {name: roux, options: [{name: dark}, {name: blond}]}", ["Ada", "Bo", "Cleo"], attributes=GRAVY)
    versions = [{"roux": o} for o in ("dark", "blond", "blond", "dark") * 3]
    marked = [marks(versions, 4, ["Ada", "Bo", "Cleo"], lambda v: 5 + 1.2 * (v["roux"] == "dark"), 1, attribute="depth"),
              marks(versions, 4, ["Ada", "Bo", "Cleo"], lambda v: 3 + 1.0 * (v["roux"] == "dark"), 2, attribute="bitterness"),
              marks(versions, 4, ["Ada", "Bo", "Cleo"], lambda v: 5 + 2.0 * (v["roux"] == "blond"), 3, attribute="overall")]
    verdict = pp.judge(Study.from_text(text).with_trials(trials(versions, 4)).with_ballots(pd.concat(marked)))
    assert dict(verdict.publish.version) == {"roux": "dark"}
    assert any(s.startswith("Asked which they would serve, tasters lean the other way on roux") for s in verdict.says)


BUNS = """  - {name: dough, asks: worth it, options: [{name: straight}, {name: tangzhong, price: 0.2}]}
  - {name: fat, options: [{name: butter}, {name: margarine}]}
pairs: [{options: {dough: tangzhong, fat: margarine}, asks: worth it, price: 0.2}]"""


# tangzhong earns 2, margarine loses 0.8: the pair is worth it beside the plain bun, and still not what is published, so nobody puts it in
def test_buns_whose_pair_pays_are_published_without_it():
    versions = [{"dough": d, "fat": f} for d in ("straight", "tangzhong") for f in ("butter", "margarine")] * 5
    study = cooked(plain("Buns", BUNS, ["Ada", "Bo", "Cleo"]), versions, 4,
                   lambda v: 5 + 2 * (v["dough"] == "tangzhong") - 0.8 * (v["fat"] == "margarine"), 6)
    verdict = pp.judge(study)
    assert dict(verdict.publish.version) == {"dough": "tangzhong", "fat": "butter"}
    pair = next(a for a in verdict.answers if " × " in a.row.factor)
    assert pair.headline.startswith("Tangzhong and margarine together") and "Put it in" not in pair.do
    without = pp.judge(cooked(plain("Buns", BUNS, ["Ada", "Bo"]), [{"dough": "straight", "fat": f} for f in ("butter", "margarine") * 4], 4,
                              lambda v: 5 - 2.0 * (v["fat"] == "margarine"), 6))     # no tangzhong was made: nothing is said of the pair either
    assert "“Tangzhong and margarine together is worth it”" in without.publish.dont_say and not any("angzhong" in s for s in without.publish.says)


# a loaf a day: day and load are one thing, so one sentence names it
def test_loaves_a_day_are_confounded_in_one_sentence():
    text = plain("Loaf", "  - {name: flour, options: [{name: white}, {name: rye}]}", ["Ada"], places=1)
    study = cooked(text, [{"flour": o} for o in ("white", "white", "rye", "rye")], 1, lambda v: 6, 1)
    said = [c for c in pp.judge(study).cautions if "told apart" in c]
    assert len(said) == 1 and "the day they were made" in said[0]


# butter rubbed in and oil melted in are alike and 2 better than the crossed two: neither fat beats the other but with its method
def test_crumble_whose_fat_hangs_on_the_method_claims_it_only_with_that():
    text = plain("Crumble", "  - {name: fat, options: [{name: butter}, {name: oil}]}\n  - {name: method, options: [{name: rubbed}, {name: melted}]}",
                 ["Ada", "Bo", "Cleo"], at_most=8)
    versions = [{"fat": f, "method": m} for f in ("butter", "oil") for m in ("rubbed", "melted")] * 8
    study = cooked(text, versions, 4, lambda v: 5 + 2 * ((v["fat"] == "butter") == (v["method"] == "rubbed")), 1)
    verdict = pp.judge(study)
    fat, method = verdict.publish.version["fat"], verdict.publish.version["method"]
    other = {"butter": "oil", "oil": "butter"}[fat]
    assert (fat, method) in (("butter", "rubbed"), ("oil", "melted"))
    assert f"To our palates {fat} beat {other}, with {method}." in verdict.publish.says
    assert f"“{fat.capitalize()} is better than {other}”" in verdict.publish.dont_say
    assert any(a.headline == f"{fat.capitalize()} beats {other} in the version to publish" for a in verdict.answers)


# walnut is as good as pine, cashew 3 worse: the one may be offered, the other is neither offered nor called "a swap"
def test_pesto_with_a_nut_that_is_worse_isnt_offered_as_a_swap():
    text = plain("Pesto", "  - {name: nut, asks: good enough, options: [{name: pine}, {name: walnut}, {name: cashew}]}", ["Ada"], places=3)
    versions = [{"nut": o} for o in ("pine", "walnut", "cashew", "cashew", "walnut", "pine") * 2]
    verdict = pp.judge(cooked(text, versions, 3, lambda v: {"pine": 7, "walnut": 7, "cashew": 4}[v["nut"]], 1, noise=0.3))
    answers = {a.row.option: a for a in verdict.answers}
    assert "a swap" not in answers["cashew"].do and "offer" in answers["cashew"].do
    assert not any("Cashew is probably good enough" in s for s in verdict.publish.says)


def test_an_option_that_never_rules_out_everywhere_is_said_before_cooking():
    text = plain("Toffee", "  - {name: sugar, options: [{name: white}, {name: brown}]}\n  - {name: fat, options: [{name: butter}, {name: cream}]}", ["Ada"])
    study = Study.from_text(text + "never: [{sugar: brown, fat: cream}, {sugar: brown, fat: butter}]\n")
    assert "sugar: brown is ruled out in every version, so it is never cooked." in pp.next_round(study, seed=1).cautions
