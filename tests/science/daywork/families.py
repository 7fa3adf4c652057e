"""Three kinds of invented days drawn at random: a bakery's ovens, a pot of hot oil, dishes over a week. Their minutes are made up."""

from dataclasses import replace
from random import Random

from proofpan.science.daywork import AUSTRALIA, FOOD_CODE, UNITED_KINGDOM, After, Blocked, DayModel, Kitchen, Need, Oven, OvenNeed, Person, Task
from tests.science.daywork.kitchens import FRIDAY


def people(draw, number, horizon):
    """People with skills, and breaks of different lengths, now and then overlapping."""
    found = []
    for i, name in enumerate(("Ada", "Bo", "Cleo")[:number]):
        breaks = []
        for day in range(0, horizon, 1440):
            if draw.random() < 0.6:
                begins = day + draw.randrange(60, 400, 5)
                breaks.append((begins, begins + draw.choice((5, 15, 30, 60))))
            if draw.random() < 0.2:
                begins = day + draw.randrange(0, 500, 5)
                breaks.append((begins, begins + draw.choice((10, 120))))
        found.append(Person(name, tuple(breaks), tuple(s for s in ("hot fat", "knife") if i == 0 or draw.random() < 0.5)))
    return tuple(found)


def bakery(seed):
    """One to three ovens, slow and quick to heat, loads at several temperatures, tins and bowls held until later, plates as warm as can be."""
    draw = Random(f"bakery {seed}")
    ovens = tuple(
        Oven(name, draw.randint(1, 3), draw.randint(1, 3), fan=draw.random() < 0.6, max_c=draw.choice((200, 250, 300)), start_c=draw.choice((20, 20, 5, 180)),
             heat_minutes_per_c=draw.choice((0.075, 0.02, 0.3)), cool_minutes_per_c=draw.choice((0.1, 0.4, 0.02)))
        for name in ("deck", "fan", "small")[: draw.randint(1, 3)]
    )
    kitchen = Kitchen(people(draw, draw.randint(1, 3), 720), ovens, (("bench", draw.randint(1, 2)), ("bowl", draw.randint(1, 4)), ("tin", draw.randint(1, 6))))
    tasks, number = [], 0
    for load in range(draw.randint(1, 4)):
        heat, long, alone = draw.choice((90, 150, 170, 180, 200)), draw.choice((12, 25, 40)), draw.random() < 0.6
        largest = max((o for o in ovens if o.max_c >= heat), key=lambda o: o.total_places)
        for _ in range(draw.randint(1, min(4, largest.total_places))):
            number += 1
            n, mixing, resting, baking = number, draw.choice((6, 8, 12)), draw.choice((20, 45)), long + draw.choice((0, 0, 5))
            tasks += [
                Task(f"mix{n}", f"mix {n}", mixing, hands=mixing, needs=(Need("bowl", until=f"shape{n}"),), skill="knife" if draw.random() < 0.1 else None),
                Task(f"rest{n}", f"rest {n}", resting, high_minutes=resting + draw.choice((0, 10)), after=(After(f"mix{n}", 0, draw.choice((0, 5, None))),)),
                Task(f"shape{n}", f"shape {n}", 5, hands=5, needs=(Need("bench"), Need("tin", until=f"bake{n}")),
                     after=(After(f"rest{n}", 0, draw.choice((15, 30, None))),)),
                Task(f"bake{n}", f"bake {n}", baking, high_minutes=baking + 5 if draw.random() < 0.3 else None, hands_spans=((0, 1), (baking - 1, baking)),
                     oven=OvenNeed(heat, oven=largest.name if draw.random() < 0.2 else None), group=f"load {load}" if alone else None, serve_group="out",
                     after=(After(f"shape{n}", draw.choice((0, 0, 10)), draw.choice((20, 40, 90))),), out_c=95, cooling_minutes=draw.choice((20.0, 40.0))),
                Task(f"cool{n}", f"cool {n}", 15, after=(After(f"bake{n}", 0, 0),), serve_group="round"),
            ]
    cooled = tuple(After(f"cool{i + 1}", 0, draw.choice((60, 120, None))) for i in range(number))
    tasks.append(Task("taste", "the tasting", 20, hands=20, everyone=True, after=cooled))
    return DayModel(tuple(tasks), kitchen, FRIDAY, horizon=draw.choice((480, 600, 720)), serve_window=draw.choice((30, 60, 120, None)), loose=("out",))


def fryer(seed):
    """Chicken fried twice in one pot of oil, with skills, hobs, racks, the danger zone, and tastings with a rest between."""
    draw = Random(f"fryer {seed}")
    kitchen = Kitchen(people(draw, draw.randint(1, 3), 600), (), (("hob", draw.randint(1, 4)), ("pot of oil", 1), ("rack", draw.randint(1, 4))))
    tasks, number, eaten, tasted = [], 0, [], None
    for round_ in range(draw.randint(1, 2)):
        plates = []
        for _ in range(draw.randint(1, 4)):
            number += 1
            n, food, resting = number, f"thigh {number}" if draw.random() < 0.7 else None, draw.choice((10, 20))
            tasks += [
                Task(f"cut{n}", f"cut {n}", 10, hands=10, food=food, food_c=15 if food else None, skill="knife" if draw.random() < 0.2 else None),
                Task(f"cure{n}", f"cure {n}", draw.choice((30, 60)), after=(After(f"cut{n}", 0, 30, food_c=15),), food=food, food_c=4 if food else None),
                Task(f"first{n}", f"first fry {n}", 8, hands=draw.choice((2, 8)), skill="hot fat", attended=True, needs=(Need("hob"), Need("pot of oil")),
                     after=(After(f"cure{n}", 0, 60, food_c=15),)),
                Task(f"stand{n}", f"stand {n}", resting, needs=(Need("rack"),), after=(After(f"first{n}", 0, 0),), food=food and f"half {n}",
                     food_c=40 if food else None),
                Task(f"second{n}", f"second fry {n}", 4, hands=4, skill="hot fat", needs=(Need("hob"), Need("pot of oil")), serve_group=f"round {round_ + 1}",
                     after=(After(f"stand{n}", 0, draw.choice((10, 40)), food_c=40), After(f"first{n}", 15, None, of="start")),
                     out_c=85.0, cooling_minutes=draw.choice((8.0, 15.0))),
                Task(f"plate{n}", f"plate {n}", 3, hands=3, after=(After(f"second{n}", 2, 10),)),
            ]
            plates.append(After(f"plate{n}", 0, draw.choice((5, 15, 30))))
        tasks.append(Task(f"sauce{round_}", f"sauce for {round_ + 1}", 15, hands_spans=((0, 5), (10, 15)), needs=(Need("hob"),)))
        rest = (After(tasted, draw.choice((20, 45)), draw.choice((None, 90))),) if tasted else ()
        tasted = f"taste{round_}"
        tasks.append(Task(tasted, f"tasting {round_ + 1}", 15, hands=15, everyone=True, after=(*plates, After(f"sauce{round_}"), *rest)))
        if draw.random() < 0.3:
            eaten.append((f"round {round_ + 1}", draw.randrange(120, 420, 10)))
    return DayModel(tuple(tasks), kitchen, FRIDAY, horizon=draw.choice((300, 480, 600)), serve_window=draw.choice((12, 20, 40)), serve_at=tuple(eaten),
                    zone=draw.choice((FOOD_CODE, AUSTRALIA, UNITED_KINGDOM)))


def week(seed):
    """Doughs, brined chicken and jars over two to six days with hours in one or two parts, shelves taken, filming and keeping tests."""
    draw = Random(f"week {seed}")
    horizon, split, opening = draw.randint(2, 6) * 1440, draw.random() < 0.4, []
    for day in range(0, horizon, 1440):
        opens = day + draw.choice((0, 60))
        opening += [(opens, opens + 200), (opens + 260, opens + 600)] if split else [(opens, opens + draw.choice((300, 480, 600)))]
    shelves = draw.randint(1, 4)
    begins = draw.randrange(0, horizon - 300, 60)
    taken = (Blocked("shelf", draw.randint(1, shelves), begins, begins + draw.choice((240, 1440))),) if draw.random() < 0.5 else ()
    team = people(draw, draw.randint(1, 3), horizon)
    kitchen = Kitchen(team, (Oven("main", 1, 2), Oven("small", 1, 1, max_c=220)), (("shelf", shelves), ("jar", draw.randint(1, 5))), taken)
    tasks, plates = [], []
    for c in range(draw.randint(1, 4)):
        chain, last = draw.choice((dough, brine, jar))(draw, c)
        tasks += [*chain, Task(f"plate{c}", f"plate {c}", 4, hands=4, after=(After(last, 0, draw.choice((30, 120, 240))),), serve_group="plates")]
        plates.append(After(f"plate{c}", 0, 60))
    tasks.append(Task("taste", "the tasting", 20, hands=20, everyone=True, after=tuple(plates)))
    if draw.random() < 0.5:
        who = (team[0].name,)
        tasks += [
            Task("hero", "hero batch", 15, hands=15, not_before=draw.choice((None, 120)), kind="film batch"),
            Task("shot", "shot of the hero", 10, hands=10, who=who, after=(After("hero", 0, 60),), not_after=draw.choice((None, horizon - 600))),
            Task("ballot", "the presenter's ballot", 5, hands=5, who=who, after=(After("taste", 0, 30),)),
            Task("bite", "the bite on camera", 5, hands=5, who=who, after=(After("ballot", 0, 120),)),
        ]
    if draw.random() < 0.5:
        tasks.append(Task("wrap", "portions wrapped", 5, hands=5, after=(After("taste", 0, 60),)))
        tasks.append(Task("again", "tasted on the next day", 10, hands=10, everyone=True, afterwards=True, after=(After("wrap"), After("taste", 1320, 1560))))
    eaten = (("plates", draw.randrange(1440, horizon, 30)),) if draw.random() < 0.4 else ()
    if draw.random() < 0.2:
        i = draw.randrange(len(tasks))
        tasks[i] = replace(tasks[i], fixed_start=draw.randrange(0, horizon, 15))
    return DayModel(tuple(tasks), kitchen, FRIDAY, horizon=horizon, opening=tuple(opening), serve_window=draw.choice((15, 30, 60)), serve_at=eaten,
                    zone=draw.choice((FOOD_CODE, UNITED_KINGDOM)))


def dough(draw, c):
    """A dough proofed for half a day to two days, and its last task."""
    long = draw.choice((12, 18, 24, 48)) * 60
    return (
        Task(f"mix{c}", f"mix dough {c}", 15, hands=15),
        Task(f"proof{c}", f"dough {c} proofs", long, high_minutes=long + 60 if draw.random() < 0.3 else None, needs=(Need("shelf"),),
             after=(After(f"mix{c}", 0, 30),)),
        Task(f"shape{c}", f"shape {c}", 10, hands=10, after=(After(f"proof{c}", 0, draw.choice((60, 240, 600))),)),
        Task(f"bake{c}", f"bake loaf {c}", 40, hands_spans=((0, 2), (38, 40)), oven=OvenNeed(draw.choice((210, 230))), after=(After(f"shape{c}", 60, 90),),
             group=draw.choice((None, f"loaf {c}"))),
    ), f"bake{c}"


def brine(draw, c):
    """Chicken brined and dried, its minutes in the danger zone counted, and its last task."""
    food = f"chicken {c}"
    return (
        Task(f"salt{c}", f"salt chicken {c}", 12, hands=12, food=food, food_c=15),
        Task(f"brine{c}", f"chicken {c} in brine", draw.choice((480, 720)), food=food, food_c=4, needs=(Need("shelf"),),
             after=(After(f"salt{c}", 0, 120, food_c=15),)),
        Task(f"dry{c}", f"chicken {c} dries", draw.choice((60, 480)), food=food, food_c=draw.choice((4, 4, 20)), after=(After(f"brine{c}", 0, 600, food_c=4),)),
        Task(f"roast{c}", f"roast {c}", 50, hands_spans=((0, 2), (25, 27), (48, 50)), oven=OvenNeed(200),
             after=(After(f"dry{c}", 30, draw.choice((60, 720)), food_c=20),), group=f"roast {c}"),
    ), f"roast{c}"


def jar(draw, c):
    """A jar that stands for a day or two, and its last task."""
    return (
        Task(f"slice{c}", f"slice for jar {c}", 20, hands=20, skill=draw.choice((None, "knife"))),
        Task(f"pot{c}", f"fill jar {c}", 10, hands=10, needs=(Need("jar", until=f"open{c}"),), after=(After(f"slice{c}", 0, 60),)),
        Task(f"keep{c}", f"jar {c} stands", draw.choice((1, 2)) * 1440, after=(After(f"pot{c}", 0, 0),)),
        Task(f"open{c}", f"open jar {c}", 5, hands=5, after=(After(f"keep{c}", 0, draw.choice((0, 300, 1440))),)),
    ), f"open{c}"


FAMILIES = {"bakery": bakery, "fryer": fryer, "week": week}
