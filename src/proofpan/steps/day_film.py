"""Filming, apart from what is judged: hero batches, a stand-in to light by, swap-outs by stage, and the bite after the ballot."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from proofpan.study.errors import DayError, did_you_mean, quoted
from proofpan.study.recipe import Step
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.study import Study
from proofpan.study.wording import say
from proofpan.study.words import version_words

if TYPE_CHECKING:
    from proofpan.science.daywork import After, Task

LIGHT_MINUTES, FIRST_HERO = 15, 9001
AS_IT_IS = 30       # minutes within which a stage of the hero is filmed, while it looks so: common practice, no source
HELD = 240          # minutes that a half-made batch or a hero holds for the camera: common practice, no source


def film_tasks(study: Study, round_: Round) -> tuple[Task, ...]:
    """What filming adds to the day; nothing of it is served to a taster before the ballots are in.

    Raises: DayError for a hero that is no version of the study, or a swap-out at a step that the hero hasn't.
    """
    film = study.brief.filming
    if film is None or study.brief.base is None or not round_.trials:
        return ()
    out: list[Task] = []
    if film.stand_in:
        out.append(_plain("stand-in", say("Set out the stand-in and light it"), LIGHT_MINUTES, (), study, "film", presenter=False))
    for i, text in enumerate(film.hero):
        out += _hero(study, text, i)
    return tuple(out)


class FilmBatch(NamedTuple):
    """A batch for the camera alone: the version that it is of, and the step that a swap-out is made until ("" for a hero)."""

    trial: PlannedTrial
    until: str = ""


def film_batches(study: Study) -> tuple[FilmBatch, ...]:
    """Each batch made for the camera alone, for the lists: the heroes and their swap-outs, in test-batch size."""
    film = study.brief.filming
    if film is None or study.brief.base is None:
        return ()
    return tuple(FilmBatch(PlannedTrial(trial=FIRST_HERO + i, version=study.version(text)), until) for i, text in enumerate(film.hero)
                 for until in ("", *film.swap_outs))


def _hero(study: Study, text: str, number: int) -> list[Task]:
    """One hero batch: made for the camera alone, its swap-outs, its shots and its bite."""
    from proofpan.science.daywork import After
    from proofpan.steps.day_tasks import method_of, spoiling_from
    from proofpan.steps.making import recipe_of

    film = study.brief.filming
    assert film is not None
    version = study.version(text)
    recipe = recipe_of(study, version)
    steps, name = method_of(recipe), f"hero {number + 1}" if len(film.hero) > 1 else "hero"
    trial = PlannedTrial(trial=FIRST_HERO + number, version=version)
    first = spoiling_from(recipe)
    several = len(film.hero) > 1
    said = say("hero {number}", number=number + 1) if several else say("the hero")
    out, ends = _batch(study, steps, name, say("Hero {number}", number=number + 1) if several else say("Hero batch"), trial, first)
    words = version_words(version)
    lit = [After("stand-in")] if film.stand_in else []
    shots = []
    for stage in film.swap_outs:
        at = next((i for i, s in enumerate(steps) if s.id.casefold() == stage.casefold()), None)
        if at is None:
            raise DayError(f"A swap-out is asked for at {quoted(stage)}, which isn't a step of the hero. "
                           f"{did_you_mean(stage, [s.id for s in steps])}")
        ready, made = _batch(study, steps[: at + 1], f"swap-out {number + 1} {stage}", say("Swap-out “{stage}” of {hero}", stage=stage, hero=said),
                             trial, first)
        out += ready
        shot = f"film {name} {stage}"
        shots.append(_plain(shot, say("Film “{stage}” of {hero}, then swap in the one that stands ready", stage=stage, hero=said), 0,
                            (*lit, After(ends[at], 0, AS_IT_IS), After(made[-1], 0, HELD)), study, "film closed"))
        # the hero goes on once its stage is on film: a batter that is fried already can't be shown as batter
        out = [replace(t, after=(*t.after, After(shot))) if ends[at + 1 : at + 2] == [t.key] else t for t in out]
    done = [After(ends[-1], 0, HELD)] if ends else []
    seen = [After("taste")] if film.presenter is None or film.presenter in study.tasters else []
    shots.append(_plain(f"film {name}", say("Film {hero}, finished: {version}", hero=said, version=words), 0, (*lit, *done, *seen), study, "film closed"))
    shots.append(_plain(f"bite {name}", say("The bite on camera, from {hero}; the presenter's ballot is in", hero=said), 0,
                        (After("taste"), After(f"film {name}", 0, HELD)), study, "film closed"))
    return [*out, *shots]


def _batch(study: Study, steps: tuple[Step, ...], name: str, what: str, trial: PlannedTrial,
           first: int) -> tuple[list[Task], list[str]]:
    """A batch of its own, sharing neither dough nor oven load with what is judged; its food spoils from the step of number `first` on."""
    from proofpan.steps.day_sums import batch_of
    from proofpan.steps.day_tasks import hand_task, in_batches, oven_task, waits_c

    keys = {s.id.casefold(): f"{name} {s.id}" for s in steps}
    out: list[Task] = []
    before = ""
    for number, step in enumerate(steps, 1):
        key = keys[step.id.casefold()]
        waits = waits_c(out[-1] if out else None) if number > first else None
        if step.oven is not None:
            task = replace(oven_task(step, trial, before, keys, waits), key=key, group=key, serve_group=None)
        else:
            task = hand_task(key, step, trial, before, number >= first, keys, waits)
        words = in_batches(task.words, batch_of(study, trial), study.brief.base, study.brief.kitchen)
        food = f"{name}" if task.food is not None else None
        out.append(replace(task, words=f"{what}: {words[:1].lower()}{words[1:]}", kind="film batch", food=food))
        before = key
    return out, [t.key for t in out]


def _plain(key: str, words: str, minutes: int, after: tuple[After, ...], study: Study, kind: str, *, presenter: bool = True) -> Task:
    """A shot: the presenter's hands, where they are one of the kitchen's people, else anyone's."""
    from proofpan.science.daywork import Task

    film, people = study.brief.filming, study.brief.kitchen.people
    assert film is not None
    length = minutes or max(1, round(film.minutes_a_shot))
    who = (film.presenter,) if presenter and film.presenter in people else ()
    return Task(key=key, words=words, minutes=length, hands=length, after=after, who=who, kind=kind)
