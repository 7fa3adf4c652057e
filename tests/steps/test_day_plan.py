"""The kitchen day of a round."""

import pytest

import proofpan as pp
from proofpan.steps.day_slipped import slipped_words, unsafe_words
from tests.kitchens import crackers


@pytest.fixture(scope="module")
def planned():
    study = crackers()
    round_ = pp.next_round(study, seed=2)
    return study.with_round(round_), round_, pp.plan_day(study, round=round_, start="2026-06-05T09:00")


def test_every_trial_is_made_baked_plated_and_tasted(planned):
    study, round_, plan = planned
    frame = plan.tasks
    for t in round_.trials:
        assert f"bake {t.trial}" in set(frame.task) and f"plate {t.trial}" in set(frame.task)
    assert frame.iloc[-1].task == "taste" and len(frame.iloc[-1].versions) == len(round_.trials)
    assert (frame.end > frame.start).all() and str(frame.start.min()) == "2026-06-05 09:00:00"


def test_a_load_goes_in_together_and_nothing_is_plated_before_it_is_out(planned):
    _, round_, plan = planned
    frame = plan.tasks.set_index("task")
    for t in round_.trials:
        assert frame.loc[f"plate {t.trial}", "start"] >= frame.loc[f"bake {t.trial}", "end"]
    for (_, oven), group in ((k, g) for k, g in _loads(round_, frame)):
        assert len(set(group)) == 1, oven


def _loads(round_, frame):
    loads = {}
    for t in round_.trials:
        loads.setdefault((t.load, t.version["oven"]), []).append(frame.loc[f"bake {t.trial}", "start"])
    return loads.items()


def test_one_person_does_one_thing_at_a_time(planned):
    _, _, plan = planned
    busy = sorted((t.start, t.hands_until) for t in plan.day_tasks if t.who and t.hands_until and "and" not in t.who and t.resource == "")
    for (_, end), (start, _) in zip(busy, busy[1:], strict=False):
        assert start >= end


def test_plates_that_cannot_be_ready_name_what_clashes(planned):
    study, round_, _ = planned
    with pytest.raises(pp.DayError) as caught:
        pp.plan_day(study, round=round_, start="2026-06-05T09:00", eat="2026-06-05T09:20")
    assert caught.value.conflict and len(str(caught.value)) <= 300


def test_a_time_that_cannot_be_read_and_a_round_that_is_not_there_are_refused(planned):
    study, round_, _ = planned
    for arguments in ({"round": round_, "start": "noonish"}, {"round": 99}):
        with pytest.raises(pp.DayError):
            pp.plan_day(study, **arguments)


def test_of_one_limit_the_longest_overrun_is_said_days_above_hours():
    said = slipped_words(["the jar waits too long: 23 h over", "the jar waits too long: 2 days 1 h over", "the dough waits too long: 40 min over"], (), {})
    assert said == ("Not kept: the jar waits too long: 2 days 1 h over.", "Not kept: the dough waits too long: 40 min over.")


def test_food_that_is_not_safe_any_more_is_one_sentence_with_all_its_trials():
    said = unsafe_words(["Trials 1 and 12: Roll to 2 mm: at most 4 h between 5 and 57 °C (US Food Code): 40 min over",
                         "Portion trial 3 under its codes: at most 4 h between 5 and 57 °C (US Food Code): 1 h 5 min over"])
    assert len(said) == 1 and said[0].startswith("Not safe: trials 1, 3 and 12, over the 4 h allowed between 5 and 57 °C (US Food Code) by up to 1 h 5 min.")
    assert "Don’t serve it" in said[0]


def test_a_batch_for_the_camera_that_is_not_safe_is_named_as_a_batch():
    said = unsafe_words(["Trial 2: Dry on a rack: at most 4 h between 5 and 57 °C (US Food Code): 40 min over",
                         "Hero batch: dry on a rack: at most 4 h between 5 and 57 °C (US Food Code): 20 min over"])
    assert said[0].startswith("Not safe: trial 2 and hero batch, over the 4 h allowed")


def test_a_country_whose_limit_is_not_kept_here_is_told_whose_counts():
    text = ("title: Omelette\nquestion: Salt?\nkitchen: {country: IE, people: [Ada]}\ntasters: [Ada]\nattributes: [{name: flavour}]\nrounds: {plates: 2}\n"
            "base: {title: Omelette, ingredients: [2 eggs], method: [{id: whisk, do: Whisk the eggs., minutes: 2}]}\n"
            "factors: [{name: salt, options: [{name: little}, {name: much}]}]\n")
    for country, zone, told in (("IE", None, True), ("US", None, False), ("UK", None, False), ("IE", "United Kingdom", False)):
        given = text.replace("country: IE", f"country: {country}" + (f", danger_zone: {zone}" if zone else ""))
        study = pp.Study.from_text(given)
        day = pp.plan_day(study, round=pp.next_round(study, seed=1))
        assert any("No limit of this country is kept here" in s for s in day.says) == told
