"""The plan: sound by the independent checker, best by trying every plan, the same twice, and as textbooks say."""

from dataclasses import replace
from itertools import product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science.daywork import (
    After,
    Blocked,
    DayModel,
    DayPlan,
    DayworkError,
    Infeasible,
    Kitchen,
    Need,
    Oven,
    OvenNeed,
    Person,
    PlannedTask,
    Started,
    Task,
    check,
    plan,
)
from proofpan.science.daywork.aims import aims
from proofpan.science.daywork.asking import solver_for
from proofpan.science.daywork.build import Build
from tests.science.daywork.kitchens import FRIDAY, crackers, loaf, random_day, random_days


@given(seed=st.integers(0, 10**6))
@settings(deadline=None, max_examples=25)
def test_random_days_are_sound_by_the_independent_checker(seed):
    model = random_days(seed)
    try:
        found = plan(model, seconds=1)
    except Infeasible as why:
        assert why.conflict
    else:
        assert check(model, found) == ()


def tiny(seed):
    """A day so small that every plan can be tried: three or four tasks of a few minutes within nine."""
    draw = Random(seed)
    tasks = []
    for i in range(draw.choice((2, 3, 3))):
        minutes = draw.randint(1, 3)
        tasks.append(
            Task(
                f"t{i}",
                f"task {i}",
                minutes,
                hands=draw.randint(0, minutes),
                needs=(Need("bowl"),) if draw.random() < 0.4 else (),
                oven=OvenNeed(draw.choice((25, 40))) if draw.random() < 0.4 else None,
                after=(After(f"t{i - 1}", draw.randint(0, 1), draw.choice((None, 2))),) if i and draw.random() < 0.5 else (),
                serve_group="plates" if draw.random() < 0.6 else None,
            )
        )
    kitchen = Kitchen(
        tuple(Person(n, breaks=((2, 3),) if draw.random() < 0.3 else ()) for n in ("Ada", "Bo")[: draw.randint(1, 2)]),
        (Oven("main", 1, 1, start_c=20, heat_minutes_per_c=0.05, cool_minutes_per_c=0.1),),
        (("bowl", 1),),
    )
    return DayModel(tuple(tasks), kitchen, FRIDAY, horizon=9, serve_window=draw.choice((None, 1, 3)))


def merits(model, lines):
    """(Spread of the plates, finish, idle hands) of a plan, counted from its lines alone."""
    by = {x.key: x for x in lines}
    ready = [by[t.key].end_min for t in model.tasks if t.serve_group]
    idle = 0
    for person in model.kitchen.people:
        busy = [(by[t.key].start_min + a, by[t.key].start_min + b) for t in model.tasks if person.name in by[t.key].who for a, b in t.busy]
        if busy:
            idle += max(b for _, b in busy) - min(a for a, _ in busy) - sum(b - a for a, b in busy)
    return (max(ready) - min(ready) if ready else 0, max(x.end_min for x in lines), idle)


def every_plan(model):
    """Every plan there is, sound or not."""
    names = [p.name for p in model.kitchen.people]
    choices = []
    for task in model.tasks:
        oven = "main" if task.oven else None
        who = [(n,) for n in names] if task.busy else [()]
        choices.append([PlannedTask(task.key, s, s + task.minutes, w, oven) for s in range(model.horizon - task.minutes + 1) for w in who])
    for lines in product(*choices):
        yield DayPlan(lines, (), False, 0, ())


@pytest.mark.parametrize("seed", range(14))
def test_no_other_plan_that_the_checker_accepts_is_better(seed):
    model = tiny(seed)
    sound = [merits(model, p.tasks) for p in every_plan(model) if check(model, p) == ()]
    if not sound:
        with pytest.raises(Infeasible):
            plan(model, seconds=2)
        return
    found = plan(model, seconds=5)
    assert found.optimal and check(model, found) == ()
    assert merits(model, found.tasks) == min(sound)


def test_four_plates_from_one_load_are_exactly_as_old_and_proven_so():
    found = plan(crackers(), seconds=5)
    assert check(crackers(), found) == ()
    assert found.optimal and found.gap == 0 and found.level("fairness").value == 0
    assert len({found[f"bake{i}"].start_min for i in range(1, 5)}) == 1


def test_the_same_day_gives_the_same_plan():
    assert plan(crackers(), seconds=5) == plan(crackers(), seconds=5)


def test_two_searches_at_a_time_give_the_same_plan_each_time():
    model = crackers(4, 2, window=90, uneven=True)
    first = plan(model, seconds=1.5)
    assert first == plan(model, seconds=1.5) and check(model, first) == ()


@pytest.mark.parametrize("seed", range(12))
def test_what_is_proven_without_saying_who_does_what_holds_of_the_day(seed):
    model = random_day(seed)
    try:
        found = plan(model, seconds=2)
    except Infeasible:
        return
    pool = Build(model, pooled=True)
    pool.cp.minimize(dict(aims(pool, {}))["finish"])
    for level in found.levels:
        if level.name == "fairness":
            pool.cp.add(sum(pool.spread.values()) <= level.value)
    solver = solver_for(2)
    solver.solve(pool.cp)
    assert solver.best_objective_bound <= found.level("finish").value


def test_time_cut_short_reports_a_gap_and_never_claims_a_proof():
    found = plan(crackers(loads=3), seconds=0.4)
    assert check(crackers(loads=3), found) == ()
    assert found.optimal == (found.gap == 0) == all(x.value == x.bound for x in found.levels)


def test_two_loads_at_two_temperatures_wait_for_the_oven_to_heat():
    model = crackers(plates=4, loads=2)
    found = plan(model, seconds=10)
    assert check(model, found) == ()
    first, second = sorted(s for s in (x.start_min for x in found.tasks if x.key in ("bake1", "bake5")))
    assert second >= first + 18 + 2  # 20 °C at 0.075 min a degree is a minute and a half
    settings = [s for s in found.settings if s.oven == "main"]
    assert [s.temperature_c for s in settings] in ([170, 190], [190, 170])
    assert all(s.turn_min < s.ready_min for s in settings)


def test_what_cools_faster_is_ready_nearer_to_the_meal():
    thin = Task("thin", "thin plate", 10, hands=10, serve_group="r", out_c=90, cooling_minutes=8)
    thick = Task("thick", "thick plate", 10, hands=10, serve_group="r", out_c=90, cooling_minutes=60)
    model = DayModel((thin, thick), Kitchen((Person("Ada"),)), FRIDAY, horizon=120, serve_window=30)
    found = plan(model, seconds=2)
    # one pair of hands: ten minutes apart whatever the order; Newton's law says which of the two may wait
    assert found["thick"].end_min == found["thin"].end_min - 10
    assert found.level("fairness").value == 10 + (90 - 79)  # 20 + 70·exp(−10/60) = 79.3 °C


def test_a_loaf_that_rests_two_days_is_mixed_two_days_before():
    model = loaf(eaten=2880 + 240)
    found = plan(model, seconds=5)
    assert check(model, found) == ()
    assert found["proof"].end_min - found["proof"].start_min == 48 * 60
    assert model.at(found["mix"].start_min).day == 1 and found["bake"].end_min <= 2880 + 240


def test_a_morning_s_oven_is_cold_again():
    model = loaf(eaten=2880 + 240)
    heat = model.kitchen.ovens[0].change_minutes(20, 230)
    assert plan(model, seconds=5)["bake"].start_min >= 2880 + heat


@pytest.mark.parametrize("seed", range(8))
def test_a_day_that_has_begun_keeps_what_has_begun(seed):
    model = random_day(seed)
    try:
        first = plan(model, seconds=2)
    except Infeasible:
        return
    now = first.tasks[len(first.tasks) // 2].start_min + 3
    done = {x.key: Started(x.start_min, x.end_min if x.end_min <= now else None, x.who, x.oven) for x in first.tasks if x.start_min < now}
    later = plan(model, seconds=2, now=now, started=done)
    assert later.broken == () and check(model, later) == ()
    for key, fact in done.items():
        assert later[key].started and later[key].start_min == fact.start and later[key].who == fact.who
    assert all(x.start_min >= now for x in later.tasks if not x.started)


def test_when_the_day_slips_the_plan_bends_by_as_little_as_can_be_and_says_so():
    model = crackers(plates=2)
    first = plan(model, seconds=3)
    out = first["bake1"].end_min
    # the tray came out, but the cook was called away for 90 minutes: the crackers have stood more than the hour allowed
    done = {x.key: Started(x.start_min, x.end_min, x.who) for x in first.tasks if x.end_min <= out + 20}
    late = plan(model, seconds=3, now=out + 20 + 90, started=done)
    assert late["taste"].start_min == out + 110
    assert late.broken == tuple(f"the tasting starts at most 1 h after cool {i}: 30 min over" for i in (1, 2))


def warm(serve_by=None):
    """Invented: a custard made, cooled on the bench, and put away; a sauce that keeps the one cook busy meanwhile."""
    zone = {"food": "custard", "food_c": 30.0}
    tasks = (
        Task("make", "the custard is made", 20, hands=20, **zone),
        Task("away", "the custard is put away", 10, hands=10, after=(After("make", 0, None, food_c=30.0),), **zone),
        Task("sauce", "the sauce", 200, hands=200, not_after=serve_by),
    )
    return DayModel(tasks, Kitchen((Person("Ada"),)), FRIDAY, horizon=720)


def test_a_re_plan_overruns_a_deadline_before_it_overruns_a_food_s_limit():
    # at 110 the custard has stood for 90 minutes; the sauce first would be in time and leave the custard out for too long
    done = {"make": Started(0, 20, ("Ada",))}
    found = plan(warm(serve_by=310), seconds=3, now=110, started=done)
    assert found.unsafe == () and found["away"].start_min == 110
    assert found.broken == ("the sauce is done by 13:10: 10 min over",)


def test_food_over_its_limit_is_never_passed_over():
    done = {"make": Started(0, 20, ("Ada",))}
    late = plan(warm(), seconds=3, now=300, started=done)
    says = "the custard is put away: at most 4 h between 5 and 57 °C (US Food Code): 1 h 10 min over"
    assert late.unsafe == late.broken == (says,)
    # put away too late already: nothing is left to plan of it, and it is said all the same
    gone = plan(warm(), seconds=3, now=320, started={**done, "away": Started(300, 310, ("Ada",))})
    assert gone.unsafe == (says,)


def test_a_load_that_is_in_the_oven_keeps_the_next_one_out():
    bakes = tuple(Task(f"b{i}", f"bake {i}", 60, oven=OvenNeed(180, places=2)) for i in range(2))
    model = DayModel(bakes, Kitchen((Person("Ada"),), (Oven("main", 1, 2),)), FRIDAY)
    found = plan(model, seconds=2, now=40, started={"b0": Started(20)})
    assert found["b1"].start_min == 80 and check(model, found) == ()


def test_things_kept_until_a_later_task_are_not_free_in_between():
    tasks = (
        Task("mix1", "mix 1", 5, hands=5, needs=(Need("bowl", until="bake1"),)),
        Task("bake1", "bake 1", 30, after=(After("mix1", 60),)),
        Task("mix2", "mix 2", 5, hands=5, needs=(Need("bowl"),), not_after=90),
    )
    model = DayModel(tasks, Kitchen((Person("Ada"),), (), (("bowl", 1),)), FRIDAY)
    found = plan(model, seconds=2)
    assert found["mix2"].end_min <= found["mix1"].start_min
    with pytest.raises(Infeasible) as why:
        plan(replace(model, tasks=(replace(tasks[0], fixed_start=0), *tasks[1:])), seconds=2)
    assert "there is 1 × bowl" in why.value.conflict


def test_a_skill_decides_who_does_it():
    tasks = tuple(Task(f"f{i}", f"fry {i}", 10, hands=10, skill="hot fat") for i in range(2))
    model = DayModel(tasks, Kitchen((Person("Ada"), Person("Bo", skills=("hot fat",)))), FRIDAY)
    found = plan(model, seconds=2)
    assert {x.who for x in found.tasks} == {("Bo",)} and found.level("finish").value == 20


@pytest.mark.parametrize(
    ("tasks", "says"),
    [
        ((Task("a", "a", 5), Task("a", "b", 5)), "the key 'a'"),
        ((Task("a", "whisk", 5, after=(After("b"),)),), "'b', which isn't a task"),
        ((Task("a", "whisk", 5, after=(After("b"),)), Task("b", "b", 5, after=(After("a"),))), "circle"),
        ((Task("a", "whisk", 5, hands=5, who=("Zoe",)),), "isn't in the kitchen"),
        ((Task("a", "fry", 5, hands=5, skill="hot fat"),), "Nobody here can do 'fry'"),
        ((Task("a", "boil", 5, needs=(Need("hob", 9),)),), "wants 9 × hob"),
        ((Task("a", "bake", 5, oven=OvenNeed(400)),), "No oven here takes 'bake': it wants 400 °C, and the hottest goes to"),
        ((Task("a", "bake", 5, oven=OvenNeed(180, oven="attic")),), "there is no oven 'attic'"),
        ((Task("a", "bake", 5, oven=OvenNeed(180, places=400)),), "it wants 400 places, and the largest has 4 places on 2 trays"),
        ((Task("a", "bake", 5, hands_spans=((3, 9),)),), "within its 5 minutes"),
        (
            (Task("a", "bake", 5, oven=OvenNeed(170), group="x"), Task("b", "bake", 5, oven=OvenNeed(190), group="x")),
            "two oven temperatures",
        ),
    ],
)
def test_what_no_plan_could_mean_is_refused_in_one_sentence(tasks, says):
    kitchen = Kitchen((Person("Ada"),), (Oven("main", 2, 2),), (("hob", 4),))
    with pytest.raises(DayworkError, match=says):
        DayModel(tasks, kitchen, FRIDAY)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"tasks": (Task("a", "whisk", 5.5),)}, "'whisk' has 5.5 minutes"),
        ({"tasks": (Task("a", "boil", 5, needs=(Need("hob", -2),)),)}, "less than nothing"),
        ({"tasks": (Task("a", "bake", 5, oven=OvenNeed(180, places=-1)),)}, "less than nothing"),
        ({"tasks": (Task("a", "bake", 5, out_c=90, cooling_minutes=-3),)}, "can't cool"),
        ({"horizon": -5}, "ends after it begins"),
        ({"horizon": 10**10}, "within three years"),
        ({"serve_window": -1}, "within -1 minutes"),
        ({"opening": ((100, 50),)}, "opening hours end before they begin"),
        ({"kitchen": Kitchen((Person("Ada", breaks=((50, 20),)),))}, "Ada's break end before they begin"),
        ({"kitchen": Kitchen((Person("Ada"),), (), (("hob", 1),), (Blocked("hob", 1, 50, 20),))}, "what holds the hob end before"),
    ],
)
def test_numbers_that_are_no_minutes_amounts_or_hours_are_refused_in_one_sentence(changed, says):
    model = DayModel((Task("a", "whisk", 5),), Kitchen((Person("Ada"),), (Oven("main"),), (("hob", 4),)), FRIDAY)
    with pytest.raises(DayworkError, match=says):
        replace(model, **changed)


def test_a_task_of_no_minutes_and_a_day_without_tasks_have_plans():
    kitchen = Kitchen((Person("Ada"),), (Oven("main"),))
    nothing = DayModel((Task("a", "turn the oven on", 0, oven=OvenNeed(180)), Task("b", "go", 0, hands=5, after=(After("a"),))), kitchen, FRIDAY)
    for model in (nothing, replace(nothing, tasks=())):
        assert check(model, plan(model, seconds=1)) == ()


@pytest.mark.slow
def test_sixty_tasks_are_proven_best():
    model = crackers(plates=4, loads=3)
    found = plan(model, seconds=20)
    assert len(model.tasks) == 61 and found.optimal and check(model, found) == ()
