"""What a round needs: shopping by section, prep by task, the tray map, who gets which part of what."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.steps.day_film import film_batches
from proofpan.steps.day_shopping import cost_words, what_is_bought
from proofpan.steps.day_sums import Sum, batch_of, is_egg, reached, taken_up
from proofpan.steps.day_tasks import DayWork, day_work, method_of, rest_for_later
from proofpan.steps.recipe_lines import grams_of
from proofpan.study.countries import measures_of
from proofpan.study.day import Cut, DayLists, ListLine, TrayPlace, is_baked, oven_of_tray
from proofpan.study.recipe import Ingredient
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, joined


def day_lists(study: Study, round_: Round) -> DayLists:
    """Shopping list, prep list, what is left over, tray map and cutting plan of a round, in test-batch amounts."""
    work = day_work(study, round_)
    bought = what_is_bought(study, round_, work)
    return DayLists(
        shopping=tuple(b.line for b in bought), prep=prep(study, work), left_over=tuple(b.over for b in bought if b.over is not None),
        trays=tray_map(study, round_), cuts=cutting_plan(study, round_), cost=cost_words(study, bought),
    )


def shopping(study: Study, round_: Round, work: DayWork) -> tuple[ListLine, ...]:
    """What to buy, summed over the trials, by section of the shop."""
    return tuple(b.line for b in what_is_bought(study, round_, work))


@dataclass(frozen=True)
class Weighing:
    """What one batch of a step weighs: each line's ingredient, amount and note, and the trials it is for."""

    task: str
    step: str
    trials: tuple[int, ...]
    items: tuple[tuple[str, Sum, str], ...]

    @property
    def alike(self) -> tuple[object, ...]:
        """What batches that are weighed alike have in common."""
        return (self.step, tuple((item, total.words(), note) for item, total, note in self.items))


def prep(study: Study, work: DayWork) -> tuple[ListLine, ...]:
    """What to weigh for which task, step after step: batches that are weighed alike stand together, each amount so many times, with its total."""
    groups: dict[tuple[object, ...], list[Weighing]] = {}
    order = {step: n for recipe in work.recipes.values() for n, step in enumerate(s.id for s in method_of(recipe))}
    for weighing in sorted(_weighings(study, work), key=lambda w: order.get(w.step, 0)):
        groups.setdefault(weighing.alike, []).append(weighing)
    return (*(line for batches in groups.values() for line in _lines_of(batches)), *for_the_camera(study, work))


def _lines_of(batches: list[Weighing]) -> list[ListLine]:
    """A line an ingredient: of one batch its amount, of several each one's and what it all comes to."""
    one, times = batches[0], len(batches)
    shared = any(len(b.trials) > 1 for b in batches)
    trials = "; ".join(joined(map(str, b.trials)) for b in batches) if shared else joined(str(b.trials[0]) for b in batches)
    section = say_counted(max(times, len(one.trials)), "{step}, trial {trials}", "{step}, trials {trials}", step=capital(one.step), trials=trials)
    return [_line(item, total, note, times, section, one.task) for item, total, note in one.items]


def _line(item: str, total: Sum, note: str, times: int, section: str, task: str) -> ListLine:
    """An amount once, or so many times with what it all comes to."""
    amount = total.words()
    if times > 1 and total.known:
        note = "; ".join(n for n in (say("{amount} in all", amount=total.times(times).words()), note) if n)
        amount = say("{times} × {amount}", times=times, amount=amount)
    return ListLine(what=item, amount=amount, section=section, note=note, task=task)


def _weighings(study: Study, work: DayWork) -> list[Weighing]:
    """Each batch of each step that takes something up; each ingredient at the first step that names it."""
    country = measures_of(study.brief.kitchen.country)
    out = []
    for key, step in work.steps.items():
        trials = work.trials[key]
        sums: dict[str, Sum] = {}
        lines: dict[str, Ingredient] = {}
        again = rest_for_later(work.recipes.get(trials[0].trial), step.id)
        for trial in trials:
            for line in taken_up(work.recipes.get(trial.trial), step.id):
                lines.setdefault(line.text, line)
                sums.setdefault(line.text, Sum()).add(line, batch_of(study, trial), country)
        if sums:
            items = tuple((lines[text].item, total, _prep_note(lines[text], total, again.get(text), country)) for text, total in sums.items())
            out.append(Weighing(key, step.id, tuple(t.trial for t in trials), items))
    return out


def for_the_camera(study: Study, work: DayWork) -> tuple[ListLine, ...]:
    """What the batches for the camera weigh, step after step: a hero and those of its swap-outs that are made so far stand together."""
    country = measures_of(study.brief.kitchen.country)
    batches = film_batches(study)
    heroes = list(dict.fromkeys(b.trial.trial for b in batches))
    out: list[ListLine] = []
    for hero in heroes:
        mine = [b for b in batches if b.trial.trial == hero]
        recipe = work.recipes.get(hero)
        name = say("hero {number}", number=heroes.index(hero) + 1) if len(heroes) > 1 else say("the hero")
        for step in method_of(recipe) if recipe is not None else ():
            until_here = [b for b in mine if step.id in reached(recipe, b.until)]
            swaps, again = len(until_here) - 1, rest_for_later(recipe, step.id)
            section = say("{step}, for the camera: {hero}", step=capital(step.id), hero=name)
            section += say_counted(swaps, " and {number} swap-out", " and {number} swap-outs") if swaps else ""
            for line in taken_up(recipe, step.id):
                total = Sum()
                total.add(line, batch_of(study, mine[0].trial), country)
                out.append(_line(line.item, total, _prep_note(line, total, again.get(line.text), country), len(until_here), section, f"{name} {step.id}"))
    return tuple(out)


def _prep_note(line: Ingredient, total: Sum, again: str | None, country: str | None) -> str:
    """What to do to it first, how a part of an egg is weighed, and which later step takes the rest."""
    said = (line.prep, _weighed_out(line, total, country), say("a part now, the rest for {step}", step=again) if again else "")
    return "; ".join(n for n in said if n)


def _weighed_out(line: Ingredient, total: Sum, country: str | None) -> str:
    """How a part of an egg is weighed, with its grams where the pantry knows an egg's."""
    if not is_egg(line.item) or not total.pieces or abs(total.pieces - round(total.pieces)) <= 1e-6:
        return ""
    one = grams_of(f"1 {line.item}", line.item, country)
    if one is None:
        return say("beat and weigh to divide")
    return say("beat and weigh out {grams} g", grams=round(total.pieces * sum(one) / 2))


def made_together(study: Study, round_: Round) -> dict[int, str]:
    """{trial: what of it is made once with others}, for its test sheet, which has the trial's own share."""
    work = day_work(study, round_)
    found: dict[int, dict[tuple[int, ...], list[str]]] = {}
    for key, step in work.steps.items():
        numbers = work.trial_numbers(key)
        for trial in numbers if len(numbers) > 1 else ():
            found.setdefault(trial, {}).setdefault(tuple(n for n in numbers if n != trial), []).append(step.id)
    return {
        trial: say("Made once: {steps}. The amounts here are this trial's share; the prep list has them together.", steps="; ".join(
            say_counted(len(others), "{steps} with trial {trials}", "{steps} with trials {trials}", steps=joined(steps), trials=joined(map(str, others)))
            for others, steps in groups.items()))
        for trial, groups in found.items()
    }


def _codes(round_: Round, trial: int) -> tuple[str, ...]:
    return tuple(p.code for p in round_.plates if p.trial == trial)


def tray_map(study: Study, round_: Round) -> tuple[TrayPlace, ...]:
    """Which trial stands where, in which oven, load by load, with the codes of its plates."""
    placed = [t for t in round_.trials if t.tray is not None or t.place is not None]
    ovens = study.brief.kitchen.ovens if is_baked(study) else ()
    return tuple(TrayPlace(load=t.load or 1, tray=t.tray or 1, place=t.place or 1, trial=t.trial, version=str(t.version),
                           oven=oven_of_tray(ovens, t.tray) if t.tray is not None else "", codes=_codes(round_, t.trial))
                 for t in sorted(placed, key=lambda t: (t.load or 1, t.tray or 1, t.place or 1, t.trial)))


def cutting_plan(study: Study, round_: Round) -> tuple[Cut, ...]:
    """Which part of each trial goes to whom: a taster gets the same part of every trial, so that no part passes for a version.

    Each trial is cut into as many parts as it has plates, in a row: the first and the last are edge, the others middle. A second pass
    takes the parts from the other end.
    """
    plates = sorted({(p.pass_, p.taster) for p in round_.plates}, key=lambda x: (x[0], study.tasters.index(x[1]) if x[1] in study.tasters else 99))
    tasters = list(dict.fromkeys(t for _, t in plates))
    passes = sorted({n for n, _ in plates})
    parts = len(tasters) * len(passes)
    out = []
    for p in round_.plates:
        nth, row = tasters.index(p.taster), passes.index(p.pass_)
        part = row * len(tasters) + (nth if row % 2 == 0 else len(tasters) - 1 - nth) + 1
        where = "whole" if parts == 1 else "edge" if part in (1, parts) else "middle"
        out.append(Cut(trial=p.trial, part=part, of=parts, where=where, taster=p.taster, pass_=p.pass_, code=p.code))
    return tuple(sorted(out, key=lambda c: (c.trial, c.part)))


def list_words(lists: DayLists) -> tuple[str, ...]:
    """What the lists say in sentences: trips to the shop, what is left over, edges."""
    out = [say_counted(len(lists.shopping), "{number} thing to buy, in one trip.", "{number} things to buy, in one trip.")] if lists.shopping else []
    out += [lists.cost] if lists.cost else []
    out += [say("Left over: {amount} {what} ({why}).", amount=x.amount, what=x.what, why="; ".join(n for n in (x.note, x.cost) if n))
            for x in lists.left_over]
    edges = list(dict.fromkeys(c.taster for c in lists.cuts if c.where == "edge"))
    if edges and any(c.where == "middle" for c in lists.cuts):
        out.append(say_counted(len(edges), "{tasters} gets the edge of every trial, the others the middle.",
                               "{tasters} get the edge of every trial, the others the middle.", tasters=joined(edges)))
    return tuple(out)
