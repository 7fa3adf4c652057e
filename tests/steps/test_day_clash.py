"""A day that can't be cooked: each limit once in a cook's words, safety never to be eased, and a meal that can be, planned to prove it."""

import pytest

import proofpan as pp
from proofpan.steps.day_clash import clash_lines, clash_words, read_clash
from proofpan.study.errors import LONGEST
from tests.steps.day_dishes import dish

# the solver's own sentences, of a brined roast asked for at seven in the evening
CONFLICT = (
    "Trials 2 and 5: Lift it out and dry it on a rack in the fridge over …: its hands-on minutes lie within opening hours (08:00–20:00 each day)",
    "Trial 5: Roast on a rack (3 h) lies within opening hours (08:00–20:00 each day)",
    "Trial 2: Roast on a rack starts at most 1 h after Trial 2: Brown the pork shoulder",
    "Trial 5: Roast on a rack starts at most 1 h after Trial 5: Brown the pork shoulder",
    "the oven wide takes one load at a time (4 places) and needs time to heat or cool",
    "this round is eaten at Saturday 19:00",
    "this round is eaten at Saturday 19:00, no plate ready more than 15 min before",
    "Portion trial 4 under its codes: at most 4 h between 5 and 57 °C (US Food Code)",
    "there are 2 × shelf place, and something else holds some of it for a time",
    "Trial 2: Brown the pork shoulder: 15 min",
)
STEPS = {"Trial 2: Roast on a rack": "roast", "Trial 5: Roast on a rack": "roast", "Trial 2: Brown the pork shoulder": "sear",
         "Trial 5: Brown the pork shoulder": "sear", "Trials 2 and 5: Lift it out and dry it on a rack in the fridge over …": "dry"}


def test_limits_that_are_alike_are_one_line_and_safety_is_not_to_be_eased():
    lines = clash_lines(read_clash(CONFLICT, STEPS))
    assert len(lines) == len(set(lines)) == 8
    assert sum("roast begins at most 1 h after sear" in line.casefold() for line in lines) == 1
    assert any("08:00–20:00 each day, for dry and roast" in line for line in lines)
    assert any("not to be eased" in line and "4 h between 5 and 57" in line for line in lines)
    assert any("2 places in the fridge, and something else holds some of it" in line for line in lines)
    assert any(line == "What takes its time: sear 15 min." for line in lines)


def test_the_sentence_names_what_to_ease_and_never_the_danger_zone():
    said = clash_words(read_clash(CONFLICT, STEPS), "Plates can be on the table Saturday 6 June 14:48.")
    assert len(said) <= LONGEST and said.endswith("14:48.")
    for words in ("the meal at Saturday 19:00", "the kitchen's hours (08:00–20:00 each day)", "Ease one of them."):
        assert said.count(words) == 1
    assert "°C" not in said and ".." not in said


@pytest.mark.parametrize("sentence", [
    "No plan keeps every limit of this day; which of them clash wasn't found in time.", "a limit of a kind that nobody foresaw"])
def test_a_limit_of_another_kind_is_said_as_it_is(sentence):
    said = clash_words(read_clash([sentence], {}))
    assert sentence.rstrip(".") in said and ".." not in said


def planned(name):
    study = dish(name)
    round_ = pp.next_round(study, seed=7)
    return study.with_round(round_), round_


def test_the_meal_that_is_offered_can_be_cooked_and_the_one_that_was_asked_for_cannot():
    study, round_ = planned("fry")
    with pytest.raises(pp.DayError, match="Plates can be on the table Friday 5 June 11:") as caught:
        pp.plan_day(study, round=round_, eat="2026-06-05T10:00")
    assert caught.value.conflict and caught.value.ease and len(str(caught.value)) <= LONGEST
    minute = str(caught.value).rsplit(" ", 1)[1].rstrip(".")
    assert pp.plan_day(study, round=round_, eat=f"2026-06-05T{minute}").day_tasks


def test_a_dish_over_two_nights_has_room_for_the_nights():
    # brine 24 h, dry 11 h, roast twice 3 h with hands from 08:00 to 20:00 only: more than the way's length and half a day
    study, round_ = planned("roast")
    day = pp.plan_day(study, round=round_, start="2026-06-04T08:00")
    assert max(t.end for t in day.day_tasks if t.task.startswith("plate")).day == 6


def test_a_loaf_is_not_baked_on_the_eve_for_the_next_noon():
    # the starter of 48 h, mixing, proof, bake and cooling end after noon where hands begin at 08:00; last night's loaf is no fresh one
    study, round_ = planned("loaf")
    with pytest.raises(pp.DayError, match="Plates can be on the table Saturday 6 June 1[45]:") as caught:
        pp.plan_day(study, round=round_, eat="2026-06-06T12:00")
    assert str(caught.value).count("Saturday 6 June") == 2


def two_breads(serve_within=15, **kitchen):
    """Two flatbreads, each ten minutes in one's hands: mixed one after the other, so that a day is worked out by hand."""
    study = pp.Study.from_dict({
        "title": "Flatbread", "question": "Oil?", "tasters": ["Ada"], "attributes": [{"name": "flavour"}],
        "rounds": {"plates": 2, "loads": 1, "serve_within": serve_within},
        "kitchen": {"people": ["Ada"], **kitchen},
        "base": {"title": "Flatbread", "makes": "1 flatbread", "ingredients": ["100 g plain flour", "60 g water"], "method": [
            {"id": "mix", "do": "Mix the flour and the water.", "minutes": 10, "needs": "bowl until bake"},
            {"id": "bake", "do": "Bake in a dry pan.", "minutes": 6, "hob": "high"}]},
        "factors": [{"name": "oil", "options": [{"name": "none"}, {"name": "with", "edits": [{"add": "5 g olive oil", "after": "water"}]}]}],
    })
    round_ = pp.next_round(study, seed=1)
    return study.with_round(round_), round_


@pytest.mark.parametrize(("kitchen", "limit", "would_do"), [
    # by hand: 2 × 10 min mixing, 2 × 6 min baking, 2 × 3 min portioning, 10 min tasting: 48 minutes of one cook's
    ({"hours": ["09:00-09:30"]}, "the kitchen's hours (09:00–09:30)", "Open until 09:48 and it can be cooked."),
    ({"hours": ["09:00-10:00"], "breaks": ["Ada 09:10-10:00"]}, "Ada's break (09:10–10:00)", "Without Ada's break (09:10–10:00) it can be cooked."),
    # one cook portions one after the other: three minutes apart
    ({"serve_within": 1}, "all plates ready within 1 min", "With plates ready within 3 min it can be cooked."),
])
def test_it_is_said_by_how_much_a_limit_would_have_to_be_eased(kitchen, limit, would_do):
    study, round_ = two_breads(**kitchen)
    with pytest.raises(pp.DayError) as caught:
        pp.plan_day(study, round=round_, start="2026-06-05T09:00")
    assert limit in str(caught.value) and str(caught.value).endswith(would_do) and caught.value.ease[0] == would_do


def test_a_meal_asked_for_with_a_start_is_offered_after_that_start_and_the_start_that_the_meal_needs_is_said():
    study, round_ = two_breads()
    with pytest.raises(pp.DayError, match="hands on from 09:00; the meal at 09:20") as caught:
        pp.plan_day(study, round=round_, start="2026-06-05T09:00", eat="2026-06-05T09:20")
    said = str(caught.value)
    # 38 minutes to the last plate: two mixed, two baked, two portioned
    assert "Plates can be on the table Friday 5 June 09:38." in said
    begin = said.rsplit("For the meal at 09:20 begin Friday 5 June ", 1)[1].rstrip(".")
    assert begin <= "08:42" and pp.plan_day(study, round=round_, start=f"2026-06-05T{begin}", eat="2026-06-05T09:20").day_tasks


def test_what_nobody_can_do_and_what_isnt_there_is_said_at_once_in_the_steps_names():
    study, round_ = two_breads(skills=["Ada: knives"])
    asked = study.brief.base.method[0].model_copy(update={"skill": "hot fat"})
    base = study.brief.base.model_copy(update={"method": (asked, *study.brief.base.method[1:])})
    lacking = study.model_copy(update={"brief": study.brief.model_copy(update={"base": base})})
    with pytest.raises(pp.DayError, match="Ada isn.t said to know “hot fat”, which mix asks for.") as caught:
        pp.plan_day(lacking, round=round_)
    assert caught.value.ease == ("Write who knows it under skills, as Ada: hot fat.",)
    study, round_ = two_breads(things=["1 bowl"])
    two = study.brief.base.method[0].model_copy(update={"needs": ("2 bowls until bake",)})
    base = study.brief.base.model_copy(update={"method": (two, *study.brief.base.method[1:])})
    with pytest.raises(pp.DayError, match="Mix takes 2 × bowl; the kitchen has 1."):
        pp.plan_day(study.model_copy(update={"brief": study.brief.model_copy(update={"base": base})}), round=round_)


def test_the_danger_zone_alone_is_said_in_the_sentence_and_never_as_something_to_ease():
    said = clash_words(read_clash(["Portion trial 4 under its codes: at most 4 h between 5 and 57 °C (US Food Code)"], {}))
    assert "longer than 4 h (US Food Code)" in said and "not to be eased" in said and "Ease one" not in said


CHICKEN = {"id": "rest", "do": "Leave the chicken thigh at room temperature.", "minutes": 300, "hands": 0}
MIX, PAN = {"id": "mix", "do": "Mix the flour and the water.", "minutes": 10}, {"id": "bake", "do": "Bake in a dry pan.", "minutes": 6, "hob": "high"}
PROOF, OVEN = {"id": "proof", "do": "Prove, covered.", "minutes": 600, "hands": 0}, {"id": "bake", "do": "Bake.", "minutes": 25, "oven": "220 C", "hands": 2}


def refused(method, ingredients=("100 g plain flour", "60 g water"), options=None, kitchen=None, serve_within=15, **asked):
    """What is said of a day with these steps that can't be cooked."""
    study = pp.Study.from_dict({
        "title": "Supper", "question": "Oil?", "tasters": ["Ada", "Bo"], "attributes": [{"name": "flavour"}],
        "rounds": {"plates": 2, "loads": 1, "serve_within": serve_within}, "kitchen": {"people": ["Ada", "Bo"], **(kitchen or {})},
        "base": {"title": "Supper", "makes": "1 plate", "ingredients": list(ingredients), "method": method},
        "factors": [{"name": "oil", "options": options or [{"name": "none"}, {"name": "with", "edits": [{"add": "5 g olive oil"}]}]}],
    })
    round_ = pp.next_round(study, seed=7)
    with pytest.raises(pp.DayError) as caught:
        pp.plan_day(study.with_round(round_), round=round_, **asked)
    assert len(str(caught.value)) <= LONGEST
    return caught.value


@pytest.mark.parametrize(("zone", "degrees", "limit", "over"), [
    # FDA Food Code 2022, 3-501.16 and 3-501.19(B); FSANZ Standard 3.2.2; Food Hygiene (England) Regulations 2013, sch. 4: from memory
    ("US Food Code", "5 and 57 °C", "4 h", "1 h"), ("Australia and New Zealand", "5 and 60 °C", "4 h", "1 h"), ("United Kingdom", "8 and 63 °C", "2 h", "3 h")])
def test_steps_too_long_in_the_danger_zone_are_named_with_the_authority_and_by_how_much(zone, degrees, limit, over):
    why = refused([CHICKEN, OVEN], ["300 g chicken thigh"], zone=zone)
    assert f"between {degrees} for 5 h (rest 5 h): {over} longer than {limit} ({zone}), which is not to be eased." in str(why)
    assert any(line.startswith(f"Food that spoils has {limit} between {degrees} ({zone}), up to bake") for line in why.ease)


def test_several_steps_too_long_in_the_danger_zone_are_added_up():
    # by hand: 60 + 150 + 45 = 255 minutes, a quarter of an hour over four hours
    steps = [{"id": "salt", "do": "Salt the chicken thigh.", "minutes": 60}, {**CHICKEN, "minutes": 150}, {"id": "skewer", "do": "Skewer it.", "minutes": 45}]
    said = str(refused([*steps, OVEN], ["300 g chicken thigh"]))
    assert "for 4 h 15 min (salt 1 h, rest 2 h 30 min, skewer 45 min): 15 min longer than 4 h (US Food Code)" in said


def test_by_how_much_is_said_only_of_a_minimal_set():
    clash = read_clash(["plate: at most 4 h between 5 and 57 °C (US Food Code)", "rest: 3 h", "proof: 3 h"], {})
    assert "for 6 h (rest 3 h, proof 3 h): 2 h longer" in clash_words(clash)
    clash.minimal = False
    assert "for 6 h" not in clash_words(clash) and "longer than 4 h (US Food Code)" in clash_words(clash)


def test_an_oven_s_turns_that_keep_food_waiting_name_the_limit_that_is_not_to_be_eased():
    # one load of 50 min and the oven's change of heat after 3 h 20 min at room temperature
    cooler = [{"name": "220"}, {"name": "180", "edits": [{"set": "bake.oven", "to": "180 C"}]}]
    one = {"ovens": [{"name": "deck", "trays": 1, "places": 2}], "people": ["Ada"]}
    said = str(refused([{**CHICKEN, "minutes": 200}, {**OVEN, "minutes": 50}], ["300 g chicken thigh"], cooler, one))
    assert "one load at a time in the oven deck; how long things take (rest 3 h 20 min, bake 50 min)" in said
    assert "Not to be eased: 4 h in the danger zone (US Food Code)." in said


def test_two_temperatures_at_once_name_the_oven_and_the_wait():
    cooler = [{"name": "220"}, {"name": "180", "edits": [{"set": "bake.oven", "to": "180 C"}]}]
    said = str(refused([MIX, {**OVEN, "within": 15}], options=cooler, kitchen={"ovens": [{"name": "deck", "trays": 1, "places": 4}]}))
    assert "one load at a time in the oven deck; how long things wait (bake at most 15 min after mix); how long things take (bake 25 min)" in said


def test_where_no_hour_of_the_meal_would_do_what_clashes_at_any_hour_is_said_instead_of_the_meal():
    # a proof of ten hours in a kitchen open for eight, baked within half an hour of it
    why = refused([MIX, PROOF, {**OVEN, "within": 30}], kitchen={"hours": ["09:00-17:00"]}, start="2026-06-05T09:00", eat="2026-06-05T17:00")
    assert "the meal" not in str(why) and "the kitchen's hours (09:00–17:00); how long things take (proof 10 h)" in str(why)
    assert str(why).endswith("and it can be cooked.")


def test_a_meal_after_the_kitchen_closes_is_offered_before_it_closes():
    # the tasting takes ten minutes
    said = str(refused([MIX, PAN], kitchen={"hours": ["09:00-17:00"]}, eat="2026-06-05T19:00"))
    assert "Plates can be on the table Friday 5 June 16:50 or Saturday 6 June 09:" in said


def test_a_kitchen_that_has_closed_for_the_day_is_closed():
    assert "the kitchen's hours (09:00–12:00)" in str(refused([MIX, PAN], kitchen={"hours": ["09:00-12:00"]}, start="2026-06-05T13:00", eat="2026-06-05T15:00"))


def test_a_meal_that_is_past_names_the_next():
    # two mixed, baked and portioned by two people, 10 + 6 + 3 minutes
    why = refused([MIX, PAN], eat="2026-06-05T11:00", now="2026-06-05T12:00")
    assert str(why) == ("A 19 min start for Friday 5 June, 11:00 is Friday 5 June, 10:41: past; the next is Saturday 6 June, 10:41 for Saturday 6 June, "
                        "11:00.")


def test_more_places_in_the_fridge_than_there_are_is_said_in_the_steps_name():
    chill = {"id": "chill", "do": "Chill in the fridge.", "minutes": 120, "hands": 0, "needs": ["3 shelf places"]}
    why = refused([MIX, chill, PAN], kitchen={"fridge_shelves": 1, "places_a_shelf": 2})
    assert str(why) == "Chill takes 3 places in the fridge; the kitchen has 2." and "shelves" in why.ease[0]


def test_a_shelf_that_is_taken_all_day_would_do_cleared():
    chill = {"id": "chill", "do": "Chill in the fridge.", "minutes": 120, "hands": 0}
    full = {"fridge_shelves": 1, "fridge_taken": ["2026-06-05 1"], "hours": ["09:00-17:00"]}
    said = str(refused([MIX, chill, PAN], kitchen=full, start="2026-06-05T09:00"))
    assert "only 4 places in the fridge, some of it taken; how long things take (chill 2 h)" in said
    assert said.endswith("With the fridge cleared it can be cooked.")


def test_a_cook_who_goes_home_before_what_only_he_can_do():
    home = {"skills": ["Bo: hot fat"], "hours": ["09:00-18:00"], "breaks": ["Bo 12:00-18:00"]}
    said = str(refused([MIX, {**PROOF, "minutes": 240}, {**PAN, "skill": "hot fat"}], kitchen=home, start="2026-06-05T09:00"))
    assert "Bo's break (12:00–18:00); how long things take (proof 4 h)" in said and said.endswith("Without Bo's break (12:00–18:00) it can be cooked.")


@pytest.mark.parametrize(("country", "where", "hobs"), [("UK", "hob", "2 × hob"), ("US", "stovetop", "2 × burner"), ("NZ", "stovetop", "2 × element"),
                                                        ("DE", "hob", "2 × hob")])
def test_a_day_says_a_hob_as_its_country_does(country, where, hobs):
    """Words by country: common practice, no source."""
    study, round_ = two_breads(country=country)
    day = pp.plan_day(study, round=round_, start="2026-06-05T09:00")
    pans = [t for t in day.day_tasks if t.task.startswith("bake")]
    assert {t.resource for t in pans} == {"hob"} and {t.where for t in pans} == {where}      # what it is kept as is one word everywhere
    study, round_ = two_breads(country=country, hobs=1)
    wide = study.brief.base.method[1].model_copy(update={"needs": ("2 hobs",)})
    base = study.brief.base.model_copy(update={"method": (study.brief.base.method[0], wide)})
    with pytest.raises(pp.DayError) as caught:
        pp.plan_day(study.model_copy(update={"brief": study.brief.model_copy(update={"base": base})}), round=round_, start="2026-06-05T09:00")
    assert str(caught.value) == f"Bake takes {hobs}; the kitchen has 1."


def test_a_hob_that_was_typed_stays_a_hob():
    study, round_ = two_breads(country="US")
    step = study.brief.base.method[1].model_copy(update={"do": "Bake in a dry pan on the hob."})
    base = study.brief.base.model_copy(update={"method": (study.brief.base.method[0], step)})
    study = study.model_copy(update={"brief": study.brief.model_copy(update={"base": base})})
    day = pp.plan_day(study, round=round_, start="2026-06-05T09:00")
    assert {t.what for t in day.day_tasks if t.task.startswith("bake")} == {"Trial 1: Bake in a dry pan on the hob", "Trial 2: Bake in a dry pan on the hob"}
