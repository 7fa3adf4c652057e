"""Days that span days, what a kitchen has by count, what is kept, what is filmed: planned, and sound by the independent checker."""

from datetime import timedelta

import pytest

import proofpan as pp
from proofpan.science.daywork import DayPlan, PlannedTask, check
from proofpan.steps.day_model import day_model
from proofpan.steps.day_tasks import day_work
from tests.kitchens import CRACKERS, plain
from tests.steps import day_dishes

# invented dishes; their waits are common practice, no source
DISHES = {
    "48 h dough": ("500 g plain flour", [
        {"id": "mix", "do": "Mix the dough.", "minutes": 20}, {"id": "proof", "do": "Proof in the fridge.", "minutes": 2880, "hands": 0},
        {"id": "bake", "do": "Bake.", "minutes": 40, "oven": "230 C", "within": 30}]),
    "brined chicken": ("1 kg chicken thighs", [
        {"id": "brine", "do": "Brine in the fridge.", "minutes": 480, "hands": 5},
        {"id": "dry", "do": "Dry on a rack in the fridge over night.", "minutes": 840, "hands": 5},
        {"id": "roast", "do": "Roast.", "minutes": 45, "oven": "200 C"}]),
    "jar pickle": ("500 g cucumber", [
        {"id": "salt", "do": "Salt.", "minutes": 15}, {"id": "jar", "do": "Fill the jars and leave in the fridge.", "minutes": 30240, "hands": 15}]),
}


def dish(name, **kitchen):
    line, method = DISHES[name]
    study = plain(base={"title": name, "ingredients": [line, "10 g fine salt"], "method": method},
                  kitchen={"ovens": [{"trays": 1, "places": 2}], "people": ["Ada"], "hours": ["08:00-20:00"], **kitchen},
                  factors=[{"name": "salt", "options": [{"name": "a"}, {"name": "b", "edits": [{"scale": "fine salt", "by": 1.5}]}]}])
    round_ = pp.next_round(study, seed=1)
    return study.with_round(round_)


def faults(study, day):
    """What the independent checker finds wrong."""
    work = day_work(study, study.rounds[-1])
    until = max(t.end for t in day.day_tasks)
    model = day_model(study.brief.kitchen, work, start=day.start, eat=day.eat, now=None, until=until, serve_within=study.plan.serve_within)
    lines = tuple(
        PlannedTask(t.task, model.minute(t.start), model.minute(t.end), t.people, t.resource if work.tasks[t.task].oven else None)
        for t in day.day_tasks
    )
    return check(model, DayPlan(lines, (), False, 0, ()))


@pytest.mark.parametrize(("name", "hours"), [("48 h dough", 48), ("brined chicken", 22), ("jar pickle", 504)])
def test_a_dish_of_several_days_is_begun_in_time_for_when_it_is_eaten(name, hours):
    study = dish(name)
    day = pp.plan_day(study, round=1, eat="2026-06-06T12:00")
    assert faults(study, day) == ()
    plates = [t for t in day.day_tasks if t.task.startswith("plate")]
    assert max(t.end for t in plates).isoformat() <= "2026-06-06T12:00:00"
    assert (plates[0].start - min(t.start for t in day.day_tasks)).total_seconds() >= hours * 3600
    for t in day.day_tasks:
        assert t.hands_until is None or (t.start.hour >= 8 and t.hands_until.hour <= 20)


def test_a_start_that_has_passed_says_so_and_names_the_next_meal():
    with pytest.raises(pp.DayError, match="past; the next is"):
        pp.plan_day(dish("48 h dough"), round=1, eat="2026-06-06T12:00", now="2026-06-05T09:00")


def test_what_waits_in_the_fridge_takes_a_place_and_a_full_shelf_is_said():
    kitchen = {"fridge_shelves": 1, "places_a_shelf": 4}
    assert faults(dish("jar pickle", **kitchen), pp.plan_day(dish("jar pickle", **kitchen), round=1, eat="2026-06-06T12:00")) == ()
    with pytest.raises(pp.DayError, match="only 4 places in the fridge, some of it taken.*With the fridge cleared it can be cooked"):
        pp.plan_day(dish("jar pickle", **kitchen, fridge_taken=["Friday 1"]), round=1, eat="2026-06-06T12:00")


FULL = CRACKERS.replace(
    "kitchen: {country: AU,",
    "filming: {presenter: Ada, hero: [{fat: butter}], swap_outs: mix}\n"
    "kitchen: {country: AU, people: [Ada, Bo], breaks: ['Ada 10:00-10:30'], skills: ['Bo: hot fat'], things: [1 bowl],",
).replace("loads: 1", "loads: 2, keeping: [day 1, from frozen]").replace("id: mix, ", "id: mix, needs: bowl, skill: hot fat, ")


@pytest.fixture(scope="module")
def full():
    study = pp.Study.from_text(FULL)
    study = study.with_round(pp.next_round(study, seed=1))
    return study, pp.plan_day(study, round=1, start="2026-06-05T09:00")


def test_bowls_skills_and_breaks_are_kept(full):
    study, day = full
    assert faults(study, day) == ()
    mixes = [t for t in day.day_tasks if " mix" in f" {t.task}" and t.kind in ("cook", "film batch")]
    assert {t.people for t in mixes} == {("Bo",)}
    spans = sorted((t.start, t.end) for t in mixes)
    assert all(a[1] <= b[0] for a, b in zip(spans, spans[1:], strict=False))
    for t in day.day_tasks:
        if "Ada" in t.people and t.hands_until:
            assert t.hands_until.strftime("%d %H:%M") <= "05 10:00" or t.start.strftime("%d %H:%M") >= "05 10:30"


def test_the_hero_shares_nothing_with_what_is_judged_and_the_bite_follows_the_ballot(full):
    _, day = full
    at = {t.task: t for t in day.day_tasks}
    assert at["bite hero"].start >= at["taste"].end and at["film hero"].start >= at["taste"].end and at["bite hero"].people == ("Ada",)
    assert at["film hero mix"].start >= max(at["hero mix"].end, at["swap-out 1 mix mix"].end, at["stand-in"].end)
    loads = {t.load for t in day.day_tasks if t.kind == "cook" and t.load}
    assert at["hero bake"].load not in loads


def test_what_is_kept_is_tasted_at_about_the_same_hour_on_its_day(full):
    _, day = full
    at = {t.task: t for t in day.day_tasks}
    for name, days in (("taste day 1", 1), ("taste from frozen, day 7", 7)):
        assert abs((at[name].start - at["taste"].end).total_seconds() / 3600 - 24 * days) <= 2
    assert at["thaw day 7"].end <= at["taste from frozen, day 7"].start
    assert any("Kept and tasted again: day 1" in s for s in day.says)


@pytest.mark.parametrize(("key", "line", "says"), [
    ("breaks", "Zoe 12:00-13:00", "isn't one of the kitchen's people"), ("breaks", "Ada noon", "isn't a break"), ("things", "0 bowls", "isn't a count"),
    ("fridge_taken", "Someday 2", "isn't a day"), ("packs", "flour", "isn't a pack")])
def test_a_line_that_cannot_be_read_is_refused_by_what_it_should_be(key, line, says):
    with pytest.raises(pp.StudyError, match=says):
        pp.Study.from_text(CRACKERS.replace("kitchen: {country: AU,", f"kitchen: {{country: AU, people: [Ada], {key}: ['{line}'],"))


def test_the_tasting_follows_the_plates_and_is_not_put_off_to_the_next_morning():
    day = pp.plan_day(dish("48 h dough"), round=1, eat="2026-06-06T19:30")
    plates = [t.end for t in day.day_tasks if t.task.startswith("plate")]
    taste = next(t for t in day.day_tasks if t.task == "taste")
    assert 0 <= (taste.start - min(plates)).total_seconds() <= 60 * (30 + 3 * len(plates))


def test_a_load_over_two_ovens_goes_into_both():
    study = dish("48 h dough", ovens=[{"name": "deck", "trays": 1, "places": 2}, {"name": "small", "trays": 1, "places": 1}])
    day = pp.plan_day(study, round=1, start="2026-06-04T09:00")
    assert faults(study, day) == ()
    bakes = {t.trials[0]: t.resource for t in day.day_tasks if t.load}
    assert {bakes[t.trial] for t in study.rounds[0].trials if t.tray == 1} == {"deck"}
    assert {bakes[t.trial] for t in study.rounds[0].trials if t.tray == 2} == {"small"}


def test_a_jar_of_ten_days_is_filled_eleven_days_after_one_of_three_weeks():
    study = day_dishes.dish("jar")
    round_ = pp.next_round(study, seed=7)
    day = pp.plan_day(study.with_round(round_), round=1, eat="2026-06-06T16:00")
    filled = {n: t for t in day.day_tasks if t.task.startswith("fill") for n in t.trials}
    kept = {n: t for t in day.day_tasks if t.task.startswith("keep") for n in t.trials}
    for trial in round_.trials:
        mine, keep = filled[trial.trial], kept[trial.trial]
        assert 0 <= (keep.start - mine.end).total_seconds() <= 3600
        plate = next(t for t in day.day_tasks if t.task == f"plate {trial.trial}")
        assert 0 <= (plate.start - keep.end).total_seconds() <= 12 * 3600


def test_what_stands_for_hours_is_not_made_once_for_two_lengths():
    study = day_dishes.dish("jar")
    work = day_work(study, pp.next_round(study, seed=7))
    for trials in work.trials.values():
        assert len({t.version["time in the jar"] for t in trials}) == 1


def test_a_line_of_the_run_sheet_says_which_trials_it_is_for():
    study = day_dishes.dish("jar")
    round_ = pp.next_round(study, seed=7)
    work = day_work(study, round_)
    for key, trials in work.trials.items():
        numbers = sorted({t.trial for t in trials})
        assert work.tasks[key].words.startswith(f"Trial {numbers[0]}: " if len(numbers) == 1 else f"Trials {numbers[0]} and {numbers[1]}: ")


def test_steps_called_keep_and_plate_are_not_taken_for_the_wrapping_and_the_portioning():
    text = ("title: Jar\nquestion: Hot?\nkitchen: {people: [Ada]}\ntasters: [Ada]\nattributes: [{name: crunch}]\nrounds: {plates: 2, keeping: [day 3]}\n"
            "base: {title: Jar, ingredients: [200 g carrots], method: [{id: fill, do: Fill the jar., minutes: 9}, "
            "{id: keep, do: Keep it in the fridge., minutes: 1440, hands: 0, rest: fridge}, {id: plate, do: Lift it out., minutes: 4}]}\n"
            "factors: [{name: brine, options: [{name: hot}, {name: cold}]}]\n")
    study = pp.Study.from_text(text)
    day = pp.plan_day(study, round=pp.next_round(study, seed=1), start="2026-06-05T09:00")
    at = {t.task: t for t in day.day_tasks}
    assert {"fill 1", "to keep 1", "to plate 1", "keep 1", "plate 1", "taste", "taste day 3"} <= set(at)
    assert at["to keep 1"].end - at["to keep 1"].start == timedelta(days=1) <= at["plate 1"].start - at["fill 1"].end
