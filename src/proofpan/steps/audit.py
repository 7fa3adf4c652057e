"""The audit of a recipe's text before any card is made: each finding by line, with the fix."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from proofpan.steps import audit_amounts, audit_method, audit_shown, audit_unlisted, audit_yields
from proofpan.steps.audit_words import Page, read_page
from proofpan.steps.making import recipe_of
from proofpan.study.errors import StudyError
from proofpan.study.fields import Doc
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study

Rule = Callable[[Page], Iterator[tuple[str, str, str, str, str]]]
RULES: tuple[Rule, ...] = (
    audit_method.unused, audit_method.out_of_order, audit_unlisted.unlisted, audit_amounts.divided, audit_amounts.divided_between,
    audit_method.prepared_twice,
    audit_method.vessels, audit_method.oven_late, audit_method.times_without_range_or_cue, audit_yields.minutes_add_up,
    audit_yields.yields, audit_amounts.measures_agree, audit_amounts.sides_agree, audit_shown.shown,
)


# what contradicts itself or leaves a reader without something stops a text from being published; the rest is for the editor to weigh
STOPPING = frozenset(["unused", "unlisted", "divided", "prep", "oven_after", "times", "yield", "measures"])


# while one of these stands, what went in can't be summed, so that no weight of what comes out is held against it
UNSETTLING = frozenset(["unused", "unlisted", "measures"])


class Finding(Doc):
    """One thing that would trip a reader; `stops` when it is serious enough that the text shouldn't be published as it stands."""

    line: int | None
    where: str
    kind: str
    says: str
    fix: str
    stops: bool = False


def audit(given: Any, version: Any = None) -> tuple[Finding, ...]:
    """Everything in a recipe's text that would trip a reader, in the order of the page.

    Parameters: given, a worked recipe, a study (its base, or the given version) or a recipe document.

    Raises: StudyError when there is no recipe to read.
    """
    recipe, line_of = _recipe(given, version)
    page = read_page(recipe)
    found = [_finding(f, line_of) for rule in RULES for f in rule(page)]
    if not any(f.kind in UNSETTLING for f in found):
        found += [_finding(f, line_of) for f in audit_yields.masses(page)]
    return tuple(sorted(found, key=lambda f: (f.line or 0, f.kind)))


def _finding(found: tuple[str, str, str, str, str], line_of: Callable[[str, str], int | None]) -> Finding:
    kind, place, name, says, fix = found
    where = f"step {name}" if place == "step" else name if place == "ingredient" else place
    return Finding(line=line_of(place, name), where=where, kind=kind, says=says, fix=fix, stops=kind in STOPPING)


def _recipe(given: Any, version: Any) -> tuple[Recipe, Callable[[str, str], int | None]]:
    if isinstance(given, Study):
        if given.brief.base is None:
            raise StudyError("This study has no base recipe to read.")
        recipe = given.brief.base if version is None else recipe_of(given, given.version(version))
        return recipe, given.line_of
    if isinstance(given, Recipe):
        return given, lambda place, name: None
    base = getattr(given, "base", None)
    if isinstance(base, Recipe):
        return base, given.line_of
    raise StudyError("The audit reads a recipe or a study.")
