"""The brief: the question, the working draft, what varies, what is judged, what the kitchen has, and the plan as it stands."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from proofpan.steps.recipe_styling import with_degrees
from proofpan.steps.who_did import UNNAMED
from proofpan.study.brief import Factor, Option, Target
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study
from proofpan.study.words import counted
from proofpan.web.pages.brief.figures import again, figures_of, misfits_of
from proofpan.web.pages.brief.noted import Notes
from proofpan.web.pages.work.page import WorkPart

if TYPE_CHECKING:
    from proofpan.steps.dry_run import Proposal


@dataclass(frozen=True)
class OptionLine:
    """One option and what it does to the recipe."""

    name: str
    does: str
    plain: bool


@dataclass(frozen=True)
class FactorLine:
    """One thing that varies."""

    name: str
    changed: str
    asks: str
    options: tuple[OptionLine, ...]


@dataclass(frozen=True)
class RecipeLine:
    """A line of the recipe that can be marked as varying: what the form of a new thing that varies then says."""

    text: str
    factor: str
    verb: str
    target: str
    plain: str
    changed: str


@dataclass(frozen=True)
class AttributeLine:
    """One thing that is judged."""

    name: str
    weight: str
    most: int
    by: str
    worth: str
    better: str
    target: str
    anchors: str
    measured: bool


@dataclass(frozen=True)
class TasterLine:
    """One taster and what they don't eat."""

    name: str
    no: str


@dataclass(frozen=True)
class PlanFigure:
    """One figure of the plan; `was` is the one that is kept, where what is typed would change it."""

    name: str
    figure: str
    was: str = ""


@dataclass(frozen=True)
class PlanPart:
    """The plan as it stands, in figures, and its dry run: played, being played (`work`), ended without a result (`ended`), or not asked for.

    `by_itself`: the page asks for it without being told.
    """

    figures: tuple[PlanFigure, ...]
    short: str
    says: tuple[str, ...] = ()
    played: str = ""
    wrong: str = ""
    better: tuple[tuple[str, int], ...] = ()
    better_words: str = ""
    work: WorkPart | None = None
    ended: str = ""
    play_href: str = ""
    surer: int = 0
    by_itself: bool = False
    declined: str = ""
    misfits: tuple[str, ...] = ()


@dataclass(frozen=True)
class BriefPage:
    """The brief's page."""

    headline: str
    title: str
    question: str
    recipe: str
    trial_makes: str
    has_recipe: bool
    lines: tuple[RecipeLine, ...]
    notes: tuple[str, ...]
    pages: tuple[str, ...]
    factors: tuple[FactorLine, ...]
    targets: tuple[tuple[str, tuple[str, ...]], ...]  # what an edit may be of, by its kind
    attributes: tuple[AttributeLine, ...]
    tasters: tuple[TasterLine, ...]
    taster_names: str
    country: str
    people: str
    hours: str
    ovens: int
    trays: int
    places: int
    loads: int
    at_most: int
    passes: int
    plates: int
    cost: str
    minutes: str
    deadline: str
    changes: tuple[str, ...]
    plan: PlanPart
    action: str
    next_href: str
    next_words: str
    cooked: bool
    codes_href: str


def edit_words(edit: Any) -> str:
    """What an edit does, in words."""
    verb = edit.verb
    if verb == "swap":
        return f"swap {edit.swap} for {edit.for_.text}"
    if verb == "set":
        return _setting_words(edit.set, getattr(edit.to, "written", edit.to))
    if verb == "scale":
        return f"{edit.by:g} times the {edit.scale}"
    if verb == "add":
        return f"add {edit.add.text}"
    if verb == "drop":
        return f"leave out {edit.drop}"
    if verb == "insert":
        return f"a step more: {edit.insert.do}"
    return f"another step for {edit.replace}" if verb == "replace" else f"the recipe {edit.recipe}"


def _setting_words(target: str, to: Any) -> str:
    """Another amount, or another setting of a step (`bake.oven`), as one says it."""
    name, _, what = target.partition(".")
    said = f"{to[0]:g} to {to[1]:g}" if isinstance(to, (list, tuple)) and len(to) == 2 else with_degrees(str(to))
    if what == "oven":
        return f"{name} at {said}"
    if what == "minutes":
        return f"{name} {said} minutes"
    if what == "until":
        return f"{name} until {said}"
    return f"{name}: {said}" if what else f"{said} of {name}" if said[:1].isdigit() else f"{name}: {said}"


def option_line(factor: Factor, option: Option) -> OptionLine:
    """One option in words."""
    if option.benchmark:
        does = "bought in, for comparison"
    elif option.edits:
        does = "; ".join(edit_words(e) for e in option.edits)
    else:
        does = "as written" if option.name == factor.plain.name else "by name only"
    return OptionLine(option.name, does, option.name == factor.plain.name)


def recipe_text(recipe: Recipe | None) -> str:
    """The base recipe as it is typed."""
    if recipe is None:
        return ""
    head = recipe.title + (f". Makes {recipe.makes}." if recipe.makes else f". Serves {recipe.serves}." if recipe.serves else "")
    return "\n".join([head, *(i.text for i in recipe.ingredients), *(s.do for s in recipe.method)])


def plan_part(study: Study, kept: Study, today: date, says: tuple[str, ...] = (), proposal: Proposal | None = None, **more: Any) -> PlanPart:
    """The plan's figures beside those of the study as it is kept, and the plan that does better with the same trials."""
    was = figures_of(kept, today) if kept is not study else {}
    figures = tuple(PlanFigure(n, f, was[n] if was.get(n, f) != f else "") for n, f in figures_of(study, today).items())
    more = {"misfits": misfits_of(study, today), **more}
    trials, ballots, table = (f.figure for f in figures[1:4])
    short = f"{trials.split(',')[0]} trials, {ballots.split(' ')[0]} ballots, {table} at the table"
    if proposal is None:
        return PlanPart(figures, short, says, **more)
    better = (("loads", proposal.loads), ("at_most", proposal.at_most), ("passes", proposal.passes), ("plates", proposal.plates or 0))
    at_a_time = f"{proposal.plates} at a time, " if proposal.plates else ""
    words = f"Plan {at_a_time}{counted(proposal.at_most, 'round')}, {again(proposal.passes)}"
    return PlanPart(figures, short, says, better=better, better_words=words, **more)


def lines_of(recipe: Recipe | None) -> tuple[RecipeLine, ...]:
    """The recipe's lines and settings that can be marked as varying."""
    if recipe is None:
        return ()
    out = [RecipeLine(i.text, i.named, "swap", i.named, i.named, "batch") for i in recipe.ingredients]
    for step in recipe.method:
        if step.oven is not None:
            out.append(RecipeLine(f"{step.id}: oven {step.oven.text}", "oven", "set", f"{step.id}.oven", step.oven.text, "load"))
        if step.minutes is not None:
            low, high = step.minutes
            minutes = f"{low:g}" if low == high else f"{low:g} to {high:g}"
            out.append(RecipeLine(f"{step.id}: {minutes} minutes", f"{step.id} time", "set", f"{step.id}.minutes", f"{minutes} min", "batch"))
    return tuple(out)


def brief_page(study: Study, study_id: str, quick: bool, plan: PlanPart, notes: Notes) -> BriefPage:
    """The page of a brief."""
    brief, base = study.brief, study.brief.base
    items = tuple(i.named for i in base.ingredients) if base else ()
    steps = tuple(s.id for s in base.method) if base else ()
    settings = tuple(f"{s.id}.{k}" for s in (base.method if base else ()) for k in ("oven", "minutes") if getattr(s, k) is not None)
    oven = brief.kitchen.ovens[0] if brief.kitchen.ovens else None
    root = f"/study/{study_id}"
    return BriefPage(
        headline=f"{study.question or study.title}",
        title=study.title,
        question=study.question,
        recipe=recipe_text(base),
        trial_makes=(base.trial_makes or "") if base else "",
        has_recipe=base is not None,
        lines=lines_of(base),
        notes=notes.words,
        pages=tuple(f"{root}/notes/{digest}" for digest in notes.photographs),
        factors=tuple(FactorLine(f.name, f.changed, f.asks, tuple(option_line(f, o) for o in f.options)) for f in study.factors),
        targets=tuple((name, of) for name, of in (("ingredients", items), ("settings of a step", settings), ("steps", steps)) if of),
        attributes=tuple(
            AttributeLine(
                a.name,
                f"{a.weight:g}",
                max(10, math.ceil(a.weight)),
                "1" if a.weight == int(a.weight) else "any",
                f"{a.worth:g}",
                "target" if isinstance(a.better, Target) else a.better,
                f"{a.better.target:g}" if isinstance(a.better, Target) else "",
                ", ".join(a.anchors),
                a.measured,
            )
            for a in study.attributes
        ),
        tasters=tuple(TasterLine(t.name, ", ".join(t.no)) for t in brief.tasters if t.left is None),
        taster_names=", ".join(study.tasters),
        country=brief.kitchen.country or "",
        people=", ".join(p for p in brief.kitchen.people if p not in UNNAMED),
        hours=", ".join(brief.kitchen.hours),
        ovens=len(brief.kitchen.ovens),
        trays=oven.trays if oven else 0,
        places=oven.places if oven else 0,
        loads=study.plan.loads,
        at_most=study.plan.at_most,
        passes=study.plan.passes,
        plates=study.plan.plates or 0,
        cost=_or_empty(brief.limits.cost_a_serve),
        minutes=_or_empty(brief.limits.active_minutes),
        deadline=brief.limits.deadline.isoformat() if brief.limits.deadline else "",
        changes=tuple(f"{a.on:%-d %B}: {a.what}{f' ({a.why})' if a.why else ''}" if a.on else a.what for a in study.amendments),
        plan=plan,
        action=f"{root}/brief",
        next_href=f"{root}/{'codes' if quick else 'sources' if study.claims else 'rounds'}",
        next_words="Back to the codes"
        if quick
        else "Check the sources"
        if study.claims
        else "Propose a round",
        cooked=bool(study.trial_records),
        codes_href="" if study.rounds else f"{root}/codes",
    )


def _or_empty(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
