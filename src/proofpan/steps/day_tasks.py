"""From a round's trials to the day's tasks: what several trials share is done once, an oven load goes in together."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from proofpan.steps.day_waits import DISHED_UP, FRESH, OUT, SHELF, STANDS, ends_hot, in_good_time
from proofpan.steps.hands import stands, works_first
from proofpan.steps.making import recipe_of
from proofpan.study.day import of_trials, oven_of_tray
from proofpan.study.equipment import thing
from proofpan.study.kitchen import Kitchen
from proofpan.study.recipe import Ingredient, Recipe, Step
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.study import Study
from proofpan.study.wording import say
from proofpan.study.words import joined

if TYPE_CHECKING:
    from proofpan.science.daywork import After, Need, Task

MIX_MINUTES, OVEN_MINUTES, PLATE_MINUTES, TASTE_MINUTES = 10, 20, 3, 5
SHARE_APART = 240       # minutes: common practice, no source
TABLE_MINUTES = 30      # the first plate waits no longer for the tasting than this and the portioning: common practice, no source
ROOM_C, FRIDGE_C = 20.0, 4.0
HEATS = ("heat the oven", "preheat")
WAITS = ("rest", "cool", "chill", "prove", "proof", "soak", "brine", "stand")
_COLD = re.compile(r"\b(fridge|refrigerat\w*|chill\w*)\b", re.I)
PERISHABLE = frozenset(["raw poultry", "raw meat", "raw mince", "raw fish", "raw shellfish", "raw egg", "rice", "soft cheese",
                        "ready-to-eat smoked fish"])
_PART = (r"(?:\b(?:half|third|quarter|fifth|tenth|thirds|quarters|part|some|most|pinch|knob|splash|spoonful|handful|little)"
         r"|\d[\d.,½¼¾⅓⅔]*\s*(?:k?g|m?l|oz|lb|cups?|tbsp|tsp|tablespoons?|teaspoons?)\b)")
_KEEPS = re.compile(r"\b(powder|dried|condensed|evaporated)\b", re.I)


@dataclass
class DayWork:
    """The tasks of a round, and of each cooking task the step it comes from and the trials it is done for."""

    tasks: dict[str, Task] = field(default_factory=dict)
    steps: dict[str, Step] = field(default_factory=dict)
    trials: dict[str, tuple[PlannedTrial, ...]] = field(default_factory=dict)
    recipes: dict[int, Recipe] = field(default_factory=dict)
    ours: frozenset[str] = frozenset(["plate"])      # names of tasks that no recipe writes: the portioning, and the wrapping of what is kept

    def trial_numbers(self, key: str) -> tuple[int, ...]:
        """The trials that a cooking task is done for, in order."""
        return tuple(sorted({t.trial for t in self.trials.get(key, ())}))

    def add(self, task: Task, step: Step, trial: PlannedTrial) -> None:
        """A task for a trial; one that is there already is done once for both."""
        old = self.tasks.get(task.key)
        if old is not None:
            task = replace(old, versions=tuple(dict.fromkeys((*old.versions, *task.versions))), food=old.food or task.food,
                           food_c=task.food_c if old.food_c is None else old.food_c)
        self.tasks[task.key] = task
        self.steps.setdefault(task.key, step)
        self.trials[task.key] = (*self.trials.get(task.key, ()), trial)


def day_work(study: Study, round_: Round) -> DayWork:
    """Every task of a round: making, resting, baking by load, plating, tasting together; what is kept for later, what is filmed."""
    from proofpan.steps.day_film import film_batches, film_tasks
    from proofpan.steps.day_keeping import kept_tasks
    from proofpan.steps.day_serving import with_temperatures

    work = DayWork(ours=frozenset(["plate", *(["keep"] if study.plan.keeping else [])]))
    last: dict[int, str] = {}
    if study.brief.base is not None:
        work.recipes = {t.trial: recipe_of(study, t.version) for t in (*round_.trials, *(b.trial for b in film_batches(study)))}
    for trial in round_.trials:
        last[trial.trial] = _add_trial(trial, round_, work, study.brief.base)
    work.tasks = with_temperatures(study, work)
    perishable = {t for t, recipe in work.recipes.items() if is_perishable(recipe)}
    work.tasks = {key: replace(task, words=of_trials(work.trial_numbers(key), made_of(study, work, key))) for key, task in work.tasks.items()}
    more = (*_served(round_, last, perishable, work.tasks), *kept_tasks(study, round_, last, taste_minutes(round_)), *film_tasks(study, round_))
    work.tasks |= {task.key: task for task in more}
    hot = {key for key, step in work.steps.items() if ends_hot(step)}
    work.tasks = {key: in_good_time(work.tasks, task, hot) for key, task in work.tasks.items()}
    work.tasks = {key: held_to(study.brief.kitchen, work.tasks, task) for key, task in work.tasks.items()}
    return work


def made_of(study: Study, work: DayWork, key: str) -> str:
    """A task's words with the amounts that a step names as large as what is made: “200 g of the flour” is less for a test batch, more for two trials."""
    from proofpan.steps.day_sums import batch_of

    base = study.brief.base
    return in_batches(work.tasks[key].words, sum(batch_of(study, t) for t in work.trials[key]), base, study.brief.kitchen)


def in_batches(words: str, batches: float, base: Recipe | None, kitchen: Kitchen) -> str:
    """A step's words for so many times the recipe."""
    from proofpan.steps.recipe_scaling import scaled_step

    return scaled_step(words, batches, base.makes if base is not None else None, kitchen.country)


def held_to(kitchen: Kitchen, tasks: Mapping[str, Task], task: Task) -> Task:
    """The task with what is counted here: things that the kitchen doesn't list are without limit, the fridge where its shelves are given.

    A thing kept until a step is kept until this trial's; where there is no such step, until the end of the task itself.
    """
    counted = {"hob", *(thing(t).name for t in kitchen.things), *([SHELF] if kitchen.fridge_shelves else [])}
    needs = []
    for need in task.needs:
        until = None if need.until is None else next((k for k in (need.until, need.until.rpartition(" ")[0]) if k in tasks), None)
        if need.name in counted:
            needs.append(replace(need, until=until))
    return in_its_oven(kitchen, replace(task, needs=tuple(needs)))


def in_its_oven(kitchen: Kitchen, task: Task) -> Task:
    """The task in the oven that its tray belongs to: trays are counted over the ovens, so a load may fill several of them."""
    if len(kitchen.ovens) < 2 or task.oven is None or not task.oven.tray:
        return task
    if task.oven.tray > sum(o.trays for o in kitchen.ovens):
        return task
    name = oven_of_tray(kitchen.ovens, task.oven.tray)
    return replace(task, oven=replace(task.oven, oven=name), group=f"{task.group} in {name}")


def is_perishable(recipe: Recipe) -> bool:
    """Whether its minutes in the danger zone count: raw meat, fish, egg, rice, soft cheese, fresh dairy.

    Source: FDA Food Code 2022, 1-201.10(B), time/temperature control for safety food; from memory.
    """
    return any(spoils(line) for line in recipe.ingredients)


def spoils(line: Ingredient) -> bool:
    """Whether it is one of those foods."""
    from proofpan.science.foods import look_up

    food = look_up(line.item)
    return food is not None and bool(PERISHABLE & set(food.safety) or (food.category == "dairy" and not _KEEPS.search(food.key)))


def spoiling_from(recipe: Recipe | None) -> int:
    """The number of the first step whose food spoils: a ferment of flour and water stands a day before the eggs and the milk go in.

    What no step names is taken to be in from the first. None of them: one past the last.
    """
    steps = method_of(recipe) if recipe is not None else ()
    if recipe is None or not is_perishable(recipe):
        return len(steps) + 1
    held = {i.text for i in recipe.ingredients if spoils(i)}
    return next((n for n in range(1, len(steps) + 1) if held & set(_in_the_dough(recipe, steps, n))), len(steps) + 1)


def _served(round_: Round, last: dict[int, str], perishable: set[int], tasks: Mapping[str, Task]) -> tuple[Task, ...]:
    """Plating each trial, then one tasting of all, at which everyone sits down."""
    from proofpan.science.daywork import After, Task

    give = TABLE_MINUTES + PLATE_MINUTES * len(round_.trials)
    plates = [
        Task(key=f"plate {t.trial}", words=say("Portion trial {trial} under its codes", trial=t.trial), minutes=PLATE_MINUTES, hands=PLATE_MINUTES,
             after=(_after(last[t.trial], waits_c(tasks[last[t.trial]]) if t.trial in perishable else None),), serve_group=DISHED_UP,
             versions=(str(t.version),), food=f"trial {t.trial}" if t.trial in perishable else None,
             food_c=ROOM_C if t.trial in perishable else None) for t in round_.trials
    ]
    if not plates:
        return ()
    minutes = taste_minutes(round_)
    taste = Task(key="taste", words=say("Taste, each in their own order, rinsing between plates"), minutes=minutes, hands=minutes, everyone=True,
                 after=tuple(After(p.key, 0, give) for p in plates), kind="taste",
                 versions=tuple(dict.fromkeys(str(t.version) for t in round_.trials)))
    return (*plates, taste)


def taste_minutes(round_: Round) -> int:
    """How long the tasting takes: as long as whoever has the most plates."""
    return TASTE_MINUTES * max(1, *(len(codes) for codes in round_.orders.values() or [round_.trials]))


def _after(task: str, waits: float | None) -> After:
    from proofpan.science.daywork import After

    return After(task, food_c=waits)


def waits_c(before: Task | None) -> float:
    """How warm the food waits after a step: what stands in the fridge by itself stays there until it is fetched, all else is in the room."""
    return FRIDGE_C if before is not None and before.food_c == FRIDGE_C else ROOM_C


def method_of(recipe: Recipe) -> tuple[Step, ...]:
    """The steps that are tasks: heating the oven is planned from the loads."""
    return tuple(s for s in recipe.method if not any(h in s.do.casefold() for h in HEATS))


def _add_trial(trial: PlannedTrial, round_: Round, work: DayWork, base: Recipe | None) -> str:
    """Adds a trial's tasks; hands back the last one's key."""
    recipe = work.recipes.get(trial.trial)
    steps = method_of(recipe) if recipe is not None else ()
    first = spoiling_from(recipe)
    before = ""
    keys = {s.id.casefold(): f"{named(s, work.ours)} {trial.trial if s.oven else _first_with(n, round_, work, trial)}" for n, s in enumerate(steps, 1)}
    for number, step in enumerate(steps, 1):
        # a wait counts where what waits spoils: where the step before holds it already
        waits = waits_c(work.tasks.get(before)) if number > first else None
        if step.oven is not None:
            task = oven_task(step, trial, before, keys, waits)
        else:
            task = hand_task(keys[step.id.casefold()], step, trial, before, number >= first, keys, waits)
        work.add(replace(task, words=without(task.words, step, recipe, base)), step, trial)
        if step.hob and ends_hot(step) and not any(s.oven or s.hob for s in steps[number:]) and _minutes_to_come(steps, number) <= FRESH:
            work.tasks[task.key] = replace(work.tasks[task.key], serve_group=OUT)       # fried pieces age as baked ones do
        before = task.key
    if not before:
        step = Step(id="make", do=say("Make trial {trial}", trial=trial.trial))
        before = f"make {trial.trial}"
        work.add(hand_task(before, step, trial, "", recipe is not None and is_perishable(recipe), {}, None), step, trial)
    return before


def named(step: Step, ours: frozenset[str]) -> str:
    """What a step's tasks are called: its id, or `to keep` where the day has a task of that name of its own."""
    return f"to {step.id}" if step.id.casefold() in ours else step.id


def without(words: str, step: Step, recipe: Recipe | None, base: Recipe | None) -> str:
    """A step's words, and of what it names that this version leaves out that it is left out: a cook puts in what is read."""
    if recipe is None or base is None:
        return words
    kept = {i.item.casefold() for i in recipe.ingredients}
    ends = {k.split()[-1] for k in kept}      # “sparkling water” in place of still water is what a step's “water” means
    gone = [i.item for i in base.ingredients if i.item.casefold() not in kept and names((step,), i.item, base)
            and (i.item.casefold().split()[-1] not in ends or i.item.casefold() in step.do.casefold())]
    return say("{step} (no {items} here)", step=words, items=joined(gone)) if gone else words


def _settings(step: Step) -> tuple[object, ...]:
    return (step.do, step.minutes, step.until, step.oven.text if step.oven else "", step.hob, step.rest, step.needs, step.skill, step.within)


def _first_with(number: int, round_: Round, work: DayWork, trial: PlannedTrial) -> int:
    """The first trial of the round with the same dough up to its step `number`: they are made together until there.

    The same dough: the same steps so far, and every ingredient alike but those that only later steps take up (malt syrup stirred in
    afterwards). Two makes of one version are two batches: a repeat is worth nothing when it shares its dough. What has been in an
    oven is no longer shared, nor what would have to stand about for hours: a jar of ten days and one of three weeks are two jars.
    """
    mine = work.recipes[trial.trial]
    steps = method_of(mine)
    if any(s.oven is not None for s in steps[:number]):
        return trial.trial
    # what must go on within so many minutes is made once for each load, not once for all
    pressing = any(s.within is not None for s in steps[1 : number + 1])
    trail = [_settings(s) for s in steps[:number]]
    nth = _make(round_, trial)
    to_come = _minutes_to_come(steps, number)
    for other in round_.trials:
        if pressing and other.load != trial.load:
            continue
        recipe = work.recipes[other.trial]
        theirs = method_of(recipe)
        if (abs(_minutes_to_come(theirs, number) - to_come) <= SHARE_APART and [_settings(s) for s in theirs[:number]] == trail and _make(round_, other) == nth
                and _in_the_dough(mine, steps, number) == _in_the_dough(recipe, theirs, number)):
            return other.trial
    return trial.trial


def _minutes_to_come(steps: tuple[Step, ...], number: int) -> float:
    """Minutes from the end of a trial's first `number` steps to its plate."""
    return sum(s.expected_minutes or 0.0 for s in steps[number:])


def _make(round_: Round, trial: PlannedTrial) -> int:
    """Whether this is the first, second … make of its version in the round."""
    return [t.trial for t in round_.trials if t.version == trial.version].index(trial.trial)


def _in_the_dough(recipe: Recipe, steps: tuple[Step, ...], number: int) -> tuple[str, ...]:
    """The lines that the first `number` steps may hold: all but those that only a later step names."""
    so_far, later = steps[:number], steps[number:]
    return tuple(sorted(i.text for i in recipe.ingredients
                        if names(so_far, i.item, recipe) or not names(later, i.item, recipe)))


def names(steps: Iterable[Step], item: str, recipe: Recipe) -> bool:
    """Whether steps name an ingredient: whole, or by its last word where no other ingredient ends in it ("the butter")."""
    words = " ".join(s.do for s in steps).casefold()
    whole = item.casefold()
    if re.search(rf"\b{re.escape(whole)}\b", words):
        return True
    last = whole.split()[-1]
    alike = [i for i in recipe.ingredients if i.item.casefold().split()[-1] == last]
    return len(alike) == 1 and re.search(rf"\b{re.escape(last)}\b", words) is not None


def rest_for_later(recipe: Recipe | None, step_id: str) -> dict[str, str]:
    """{line: step} of what this step takes a part of, and a later one the rest (“a fifth of the flour”, “the rest of the water”)."""
    steps = method_of(recipe) if recipe is not None else ()
    at = next((n for n, s in enumerate(steps) if s.id == step_id), len(steps))
    found: dict[str, str] = {}
    if recipe is None or at == len(steps):
        return found
    for line in recipe.ingredients:
        said = rf"the (?:{re.escape(line.item)}|{re.escape(line.item.split()[-1])})\b"
        part = re.search(rf"{_PART} (?:of )?{said}", steps[at].do, re.I) is not None
        later = next((s.id for s in steps[at + 1 :] if (part and names((s,), line.item, recipe)) or re.search(rf"\brest of {said}", s.do, re.I)), None)
        if later is not None:
            found[line.text] = later
    return found


def _title(words: str) -> str:
    """A step's words without their last stop; cut only where they run very long, for the cook reads them off the run sheet."""
    from proofpan.study.errors import shorten

    return shorten(words.rstrip(" ."), 400)


def _whole(value: float) -> int:
    return max(1, round(value))


def needs_of(step: Step, keys: Mapping[str, str], *, cold: bool) -> tuple[Need, ...]:
    """What a step holds: its own needs, a hob, a place in the fridge."""
    from proofpan.science.daywork import Need

    named = [thing(t) for t in step.needs]
    found = [Need(t.name, t.number, keys.get(t.until, t.until) if t.until else None) for t in named]
    if step.hob and all(t.name != "hob" for t in named):
        found.append(Need("hob"))
    if cold and all(t.name != SHELF for t in named):
        found.append(Need(SHELF))
    return tuple(found)


def link_to(before: str, step: Step, waits: float | None) -> tuple[After, ...]:
    """The link to the step before: at once, or within the minutes that the step says; waits, how warm food that spoils waits, none for what doesn't."""
    if not before:
        return ()
    return (replace(_after(before, waits), max_wait=STANDS if step.within is None else round(step.within)),)


def hand_task(key: str, step: Step, trial: PlannedTrial, before: str, perishable: bool, keys: Mapping[str, str], waits: float | None) -> Task:
    """A step outside the oven as a task."""
    from proofpan.science.daywork import Task

    low, high = step.minutes or (MIX_MINUTES, MIX_MINUTES)
    minutes = _whole((low + high) / 2)
    named, by_itself = step.rest is not None or step.id.casefold() in WAITS, stands(step)
    worked = 0 if named else MIX_MINUTES if by_itself and works_first(step) else 0 if by_itself else minutes
    given = worked if step.hands is None else 0 if step.hands == 0 else _whole(step.hands)
    cold = _COLD.search(f"{step.rest or ''} {step.do}") is not None and given < minutes
    # on the hob it is hot: what is counted before the heat and after it are two counts
    counts = perishable and not step.hob
    return Task(
        key=key, words=_title(step.do), minutes=minutes, low_minutes=_whole(low), high_minutes=_whole(high) if step.until else None,
        hands=min(minutes, given), after=link_to(before, step, waits), needs=needs_of(step, keys, cold=cold),
        skill=step.skill.casefold() if step.skill else None,
        versions=(str(trial.version),), attended=True if step.hob else None, food=f"trial {trial.trial}" if counts else None,
        food_c=(FRIDGE_C if cold else ROOM_C) if counts else None,
    )


def oven_task(step: Step, trial: PlannedTrial, before: str, keys: Mapping[str, str], waits: float | None) -> Task:
    """A step in the oven as a task of its load."""
    from proofpan.science.daywork import OvenNeed, Task

    assert step.oven is not None
    low, high = step.minutes or (OVEN_MINUTES, OVEN_MINUTES)
    minutes = _whole((low + high) / 2)
    return Task(
        key=keys[step.id.casefold()], words=_title(step.do), minutes=minutes, low_minutes=_whole(low),
        high_minutes=_whole(high) if step.until else None, hands=min(minutes, _whole(step.hands or 1)),
        oven=OvenNeed(temperature_c=round(step.oven.temperature_c), places=1, tray=trial.tray, place=trial.place),
        after=link_to(before, step, waits), group=f"load {trial.load or 1} at {step.oven.temperature_c:g} ({step.id})",
        needs=needs_of(step, keys, cold=False), skill=step.skill.casefold() if step.skill else None,
        versions=(str(trial.version),), serve_group=OUT,
    )
