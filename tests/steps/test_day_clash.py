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
