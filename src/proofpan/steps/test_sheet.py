"""A trial's recipe as it is weighed and made at the bench: parts of eggs in grams, and of each step what this version leaves out."""

from __future__ import annotations

import re

from proofpan.steps.day_tasks import without
from proofpan.steps.recipe import WorkedRecipe
from proofpan.study.countries import measures_of
from proofpan.study.recipe import Recipe
from proofpan.study.wording import say

_EGG = re.compile(r"\begg(?:s| yolks?| whites?)?\b", re.I)


def for_the_bench(worked: WorkedRecipe, base: Recipe | None) -> WorkedRecipe:
    """The recipe in one trial's amount, as the test sheet has it.

    A reader's egg is whole; a third of one for a trial is beaten and weighed out, or the trial has three times its egg. Parameters: base, the
    study's recipe, of which a step may name what this version leaves out.
    """
    steps = {s.id: s for s in worked.base.method} if worked.base is not None else {}
    lines = tuple(line.model_copy(update={"text": say("{grams} g {item}, beaten and weighed out", grams=round(sum(line.grams) / 2), item=line.item)})
                  if line.grams and _EGG.search(line.item) and _is_part(line.written or line.text, worked.factor, worked.country) else line
                  for line in worked.lines)
    method = tuple(s.model_copy(update={"text": without(s.text, steps[s.id], worked.base, base)}) if s.id in steps else s for s in worked.method)
    return worked.model_copy(update={"lines": lines, "method": method})


def _is_part(written: str, factor: float, country: str | None) -> bool:
    """Whether so much of what was written by the piece is no whole number of them."""
    from proofpan.science.measures import parse_line

    parsed = parse_line(written, measures_of(country))
    pieces = None if parsed.low is None or parsed.mass_g is not None else factor * parsed.low
    return pieces is not None and abs(pieces - round(pieces)) > 1e-6
