"""Days of an invented kitchen, Larkspur Lane, made up for these tests."""

from dataclasses import replace
from datetime import datetime
from random import Random

from proofpan.science.daywork import After, Blocked, DayModel, Kitchen, Need, Oven, OvenNeed, Person, Task

FRIDAY = datetime(2026, 5, 1, 8)
THREE_DAYS = ((0, 600), (1440, 2040), (2880, 3480))


def crackers(plates=4, loads=1, people=2, window=60, uneven=False):
    """Invented: crackers mixed, rested, rolled and baked four a load, then tasted by all."""
    tasks, number = [], 0
    # uneven: no two doughs take the same minutes, so no order can be taken for granted
    more = (lambda i: (i * 7) % 5) if uneven else (lambda i: 0)
    for load in range(loads):
        for _ in range(plates):
            number += 1
            n = str(number)
            tasks += [
                Task(f"mix{n}", f"mix {n}", 8 + more(number), hands=8 + more(number), needs=(Need("bowl", until=f"rest{n}"),)),
                Task(f"rest{n}", f"rest {n}", 30, after=(After(f"mix{n}", 0, 5),)),
                Task(
                    f"roll{n}",
                    f"roll {n}",
                    6 + more(number + 2) // 2,
                    hands=6 + more(number + 2) // 2,
                    needs=(Need("bench"),),
                    after=(After(f"rest{n}", 0, 30),),
                ),
                Task(
                    f"bake{n}",
                    f"bake {n}",
                    18,
                    hands_spans=((0, 1), (17, 18)),
                    oven=OvenNeed((170, 190)[load % 2]),
                    after=(After(f"roll{n}", 0, 20),),
                    group=f"load {load}",
                ),
                Task(f"cool{n}", f"cool {n}", 20, after=(After(f"bake{n}", 0, 0),), serve_group="round 1"),
            ]
    after = tuple(After(f"cool{i + 1}", 0, 60) for i in range(number))
    tasks.append(Task("taste", "the tasting", 30, hands=30, everyone=True, after=after))
    kitchen = Kitchen(tuple(Person(n) for n in ("Ada", "Bo", "Cleo")[:people]), (Oven("main", 2, 2),), (("bowl", 4), ("bench", 1)))
    return DayModel(tuple(tasks), kitchen, FRIDAY, horizon=720, serve_window=window)


def loaf(eaten, day_window=60):
    """Invented: a loaf whose dough rests 48 h, over three days with opening hours 8:00 to 18:00."""
    tasks = (
        Task("mix", "mixing the dough", 20, hands=20),
        Task("proof", "the dough rests", 48 * 60, after=(After("mix", 0, 0),)),
        Task(
            "bake",
            "the loaf bakes",
            40,
            oven=OvenNeed(230),
            hands_spans=((0, 2), (38, 40)),
            after=(After("proof", 0, 30),),
            serve_group="lunch",
        ),
    )
    kitchen = Kitchen((Person("Ada"),), (Oven("main", 1, 2),), ())
    return DayModel(
        tasks,
        kitchen,
        FRIDAY,
        horizon=3 * 1440,
        opening=THREE_DAYS,
        serve_at=(("lunch", eaten),),
        serve_window=day_window,
    )


def random_day(seed):
    """A day of chains drawn at random: hands, waits, cues, bowls, hobs, two ovens, loads, breaks, skills, now and then two days."""
    draw = Random(seed)
    days = draw.choice((1, 1, 2))
    opening = tuple((d * 1440, d * 1440 + 600) for d in range(days)) if draw.random() < 0.5 or days == 2 else ()
    people = tuple(
        Person(n, breaks=((draw.randrange(120, 240), 270),) if draw.random() < 0.5 else (), skills=("knife",) if i == 0 else ())
        for i, n in enumerate(("Ada", "Bo", "Cleo")[: draw.randint(1, 3)])
    )
    ovens = tuple(Oven(n, draw.randint(1, 2), 2) for n in ("main", "small")[: draw.randint(1, 2)])
    kitchen = Kitchen(people, ovens, (("bowl", draw.randint(1, 3)), ("hob", draw.randint(1, 4))))
    tasks = []
    for chain in range(draw.randint(1, 5)):
        before = None
        for step in range(draw.randint(1, 4)):
            key = f"{chain}.{step}"
            minutes = draw.choice((5, 10, 20, 45))
            kind = draw.choice(("hands", "wait", "hob", "oven"))
            after = (
                ()
                if before is None
                else (After(before, draw.choice((0, 0, 10)), draw.choice((None, 30, 90)), food_c=draw.choice((None, 20.0))),)
            )
            tasks.append(
                Task(
                    key,
                    f"step {key}",
                    minutes,
                    high_minutes=minutes + 5 if draw.random() < 0.3 else None,
                    hands=minutes if kind == "hands" else draw.choice((0, 1, 2)),
                    skill="knife" if kind == "hands" and draw.random() < 0.2 else None,
                    needs=(Need("hob"),) if kind == "hob" else (Need("bowl"),) if draw.random() < 0.3 else (),
                    oven=OvenNeed(draw.choice((160, 180, 200))) if kind == "oven" else None,
                    after=after,
                    food=f"food {chain}",
                    danger_zone=kind == "wait",
                )
            )
            before = key
        if draw.random() < 0.6:
            last = tasks.pop()
            tasks.append(Task(**{**vars(last), "serve_group": "plates"}))
    return DayModel(tuple(tasks), kitchen, FRIDAY, horizon=days * 1440, opening=opening, serve_window=draw.choice((None, 5, 30)))


def random_days(seed):
    """A random day with what days may have besides: shelves of a fridge that something else holds for a while, a batch made for the
    camera with its shots and the bite after the tasting, a portion kept and tasted days later."""
    model, draw = random_day(seed), Random(seed + 1)
    tasks, blocked, things, horizon = list(model.tasks), [], list(model.kitchen.resources), model.horizon
    opening = model.opening
    if draw.random() < 0.7:
        shelves = draw.randint(1, 4)
        things.append(("shelf", shelves))
        tasks = [replace(t, needs=(*t.needs, Need("shelf"))) if not t.oven and t.hands < t.minutes and draw.random() < 0.6 else t for t in tasks]
        for _ in range(draw.randint(0, 2)):
            begins = draw.randrange(0, horizon - 60, 30)
            blocked.append(Blocked("shelf", draw.randint(1, shelves), begins, min(horizon, begins + draw.choice((60, 300, 1440)))))
    chains = {t.key.split(".")[0]: t.key for t in tasks}
    tasks.append(Task("taste", "the tasting", 15, hands=15, everyone=True, after=tuple(After(k, 0, draw.choice((None, 60, 240))) for k in chains.values())))
    if draw.random() < 0.6:
        presenter = draw.choice([p.name for p in model.kitchen.people])
        tasks += [
            Task("hero 1", "hero batch, mixed", 10, hands=10, kind="film batch"),
            Task("hero 2", "hero batch, baked", 20, hands=1, oven=OvenNeed(180), after=(After("hero 1", 0, 240),), group="hero", kind="film batch"),
            Task("swap", "swap-out, mixed", 10, hands=10, kind="film batch"),
            Task("shot", "the mix on camera", 8, hands=8, who=(presenter,), after=(After("hero 1", 0, 30), After("swap", 0, 240)), kind="film closed"),
            Task("bite", "the bite on camera", 5, hands=5, who=(presenter,), after=(After("taste"), After("hero 2", 0, 240)), kind="film closed"),
        ]
    if draw.random() < 0.5:
        day = draw.choice((1, 2))
        horizon = max(horizon, (day + 2) * 1440)
        if opening:
            opening = tuple((d * 1440, d * 1440 + 600) for d in range(horizon // 1440))
        wrapped = tuple(After(k, 0, 240) for k in chains.values())
        tasks += [
            Task("wrap", "portions wrapped", 4, hands=4, after=wrapped, kind="keep"),
            Task("again", f"tasted on day {day}", 10, hands=10, everyone=True, afterwards=True, kind="keep",
                 after=(After("wrap"), After("taste", day * 1440 - 120, day * 1440 + 120))),
        ]
    kitchen = replace(model.kitchen, resources=tuple(things), blocked=tuple(blocked))
    return replace(model, tasks=tuple(tasks), kitchen=kitchen, horizon=horizon, opening=opening)


def two_rounds(loads=3):
    """Invented: two rounds of crackers on one day, the second after the first is tasted."""
    first, second = crackers(4, loads), crackers(4, loads)
    again = tuple(
        replace(
            t,
            key=f"{t.key}b",
            words=f"{t.words}, second round",
            group=t.group and f"{t.group}b",
            serve_group=t.serve_group and "round 2",
            needs=tuple(replace(n, until=n.until and f"{n.until}b") for n in t.needs),
            after=tuple(replace(a, task=f"{a.task}b") for a in t.after),
        )
        for t in second.tasks
    )
    return replace(first, tasks=first.tasks + again)
