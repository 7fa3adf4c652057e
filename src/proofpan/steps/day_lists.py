"""What a round needs: shopping by section, prep by task, the tray map, who gets which part of what."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from proofpan.steps.caveats import test_batch_share
from proofpan.steps.day_tasks import DayWork, day_work, method_of, names
from proofpan.study.countries import measures_of
from proofpan.study.day import Cut, DayLists, ListLine, TrayPlace
from proofpan.study.recipe import Ingredient
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.study import Study
from proofpan.study.words import capital, counted, joined

OTHER = "other"


def amount_words(amount: float, small: str, large: str) -> str:
    """`1.7 g`, `110 g`, `1.25 kg`: to what a kitchen scale shows."""
    if round(amount) >= 1000:
        return f"{amount / 1000:.2f}".rstrip("0").rstrip(".") + f" {large}"
    return f"{amount:.1f}".removesuffix(".0") + f" {small}" if amount < 20 else f"{amount:.0f} {small}"


@dataclass
class Sum:
    """An ingredient's amount over trials: grams, millilitres and pieces are kept apart; `loose` lines give no amount."""

    grams: float = 0.0
    millilitres: float = 0.0
    pieces: float = 0.0
    unit: str = ""
    loose: bool = False

    def add(self, line: Ingredient, by: float, country: str | None) -> None:
        """One trial's share of a line."""
        from proofpan.science.measures import parse_line

        parsed = parse_line(line.text, country)
        if parsed.mass_g is not None and None not in parsed.mass_g:
            self.grams += by * sum(parsed.mass_g) / 2
        elif parsed.volume_ml is not None and None not in parsed.volume_ml:
            self.millilitres += by * sum(parsed.volume_ml) / 2
        elif parsed.low is not None:
            self.pieces += by * (parsed.low + (parsed.high or parsed.low)) / 2
            self.unit = parsed.unit if parsed.unit and parsed.unit != "each" else ""
        else:
            self.loose = True

    def words(self, *, whole: bool = False, yields: float = 1.0) -> str:
        """`1.2 kg`, `12 mL`, `3`; whole pieces and amounts as purchased for a shopping list."""
        parts = [amount_words(self.grams / yields, "g", "kg") if self.grams else "",
                 amount_words(self.millilitres / yields, "mL", "L") if self.millilitres else ""]
        if self.pieces:
            count = str(ceil(round(self.pieces, 6))) if whole else f"{self.pieces:.3g}"
            parts.append(f"{count} {self.unit}".strip())
        return " + ".join(p for p in parts if p) or "as needed"


def day_lists(study: Study, round_: Round) -> DayLists:
    """Shopping list, prep list, what is left over, tray map and cutting plan of a round, in test-batch amounts."""
    work = day_work(study, round_)
    return DayLists(
        shopping=shopping(study, round_, work), prep=prep(study, work), left_over=_left_over(study, round_, work),
        trays=tray_map(round_), cuts=cutting_plan(study, round_),
    )


def _batch(study: Study, trial: PlannedTrial) -> float:
    """How much of the recipe a trial makes."""
    return 1.0 if trial.size == "full" else test_batch_share(study)


def _sums(study: Study, trials: Iterable[PlannedTrial], work: DayWork) -> tuple[dict[str, Sum], dict[str, Ingredient]]:
    """Amounts over trials, by ingredient."""
    country = measures_of(study.brief.kitchen.country)
    sums: dict[str, Sum] = {}
    lines: dict[str, Ingredient] = {}
    for trial in trials:
        recipe = work.recipes.get(trial.trial)
        for line in recipe.ingredients if recipe is not None else ():
            key = line.item.casefold()
            sums.setdefault(key, Sum()).add(line, _batch(study, trial), country)
            lines.setdefault(key, line)
    return sums, lines


def shopping(study: Study, round_: Round, work: DayWork) -> tuple[ListLine, ...]:
    """What to buy, summed over the trials, by section of the shop (water is there): as purchased, where the recipe weighs the edible portion.

    As purchased = edible portion ÷ yield, the yield from the pantry. A line with a preparation after its comma ("carrots, peeled") is
    weighed before it, and stays.
    """
    from proofpan.science.foods import look_up

    sums, lines = _sums(study, round_.trials, work)
    out = []
    for key, total in sums.items():
        line, food = lines[key], look_up(lines[key].item)
        if food is not None and food.category == "water":
            continue
        share = (food.edible_portion_percent or 100.0) / 100 if food is not None else 1.0
        trimmed = share < 1 and not line.prep and bool(total.grams)
        note = f"{amount_words(total.grams, 'g', 'kg')} after trimming, {share:.0%} of it" if trimmed else ""
        out.append(ListLine(what=line.item, amount=total.words(whole=True, yields=share if trimmed else 1.0),
                            section=food.category if food is not None and food.category else OTHER, note=note))
    return tuple(sorted(out, key=lambda x: (x.section == OTHER, x.section, x.what.casefold())))


def prep(study: Study, work: DayWork) -> tuple[ListLine, ...]:
    """What to weigh for which task, with totals over the trials that share it; each ingredient at the first step that names it."""
    country = measures_of(study.brief.kitchen.country)
    out: list[ListLine] = []
    for key, step in work.steps.items():
        trials = work.trials[key]
        sums: dict[str, Sum] = {}
        lines: dict[str, Ingredient] = {}
        for trial in trials:
            for line in _taken_up(work, trial, step.id):
                lines.setdefault(line.text, line)
                sums.setdefault(line.text, Sum()).add(line, _batch(study, trial), country)
        numbers = [str(t.trial) for t in trials]
        section = f"{capital(step.id)}, trial{'s' if len(numbers) > 1 else ''} {joined(numbers)}"
        out += [ListLine(what=lines[text].item, amount=total.words(), section=section, note=lines[text].prep, task=key)
                for text, total in sums.items()]
    return tuple(out)


def _taken_up(work: DayWork, trial: PlannedTrial, step_id: str) -> list[Ingredient]:
    """The ingredients whose first mention is this step; what the method never names is weighed for its first step."""
    recipe = work.recipes.get(trial.trial)
    steps = method_of(recipe) if recipe is not None else ()
    if recipe is None or not steps:
        return list(recipe.ingredients) if recipe is not None else []
    found = []
    for line in recipe.ingredients:
        first = next((s.id for s in steps if names((s,), line.item, recipe)), steps[0].id)
        if first == step_id:
            found.append(line)
    return found


def _left_over(study: Study, round_: Round, work: DayWork) -> tuple[ListLine, ...]:
    """What whole pieces leave: 2.7 eggs are three bought."""
    sums, lines = _sums(study, round_.trials, work)
    out = []
    for key, total in sums.items():
        rest = ceil(round(total.pieces, 6)) - total.pieces
        if rest > 1e-6:
            out.append(ListLine(what=lines[key].item, amount=f"{rest:.2g} {total.unit}".strip(),
                                note=f"{total.pieces:.3g} of {ceil(round(total.pieces, 6))} used; beat and weigh to divide"))
    return tuple(out)


def _codes(round_: Round, trial: int) -> tuple[str, ...]:
    return tuple(p.code for p in round_.plates if p.trial == trial)


def tray_map(round_: Round) -> tuple[TrayPlace, ...]:
    """Which trial stands where, load by load, with the codes of its plates."""
    placed = [t for t in round_.trials if t.tray is not None or t.place is not None]
    return tuple(TrayPlace(load=t.load or 1, tray=t.tray or 1, place=t.place or 1, trial=t.trial, version=str(t.version),
                           codes=_codes(round_, t.trial))
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
    out = [f"{counted(len(lists.shopping), 'thing')} to buy, in one trip."] if lists.shopping else []
    out += [f"Left over: {x.amount} {x.what} ({x.note})." for x in lists.left_over]
    edges = list(dict.fromkeys(c.taster for c in lists.cuts if c.where == "edge"))
    if edges and any(c.where == "middle" for c in lists.cuts):
        out.append(f"{joined(edges)} {'get' if len(edges) > 1 else 'gets'} the edge of every trial, the others the middle.")
    return tuple(out)
