"""What may be said to a taster before the first plate: the dish's name, and one line for all plates together."""

from __future__ import annotations

import re

from proofpan.steps.making import recipe_of
from proofpan.study.rounds import Round
from proofpan.study.study import Study

NEUTRAL = "The plates in front of you"
AUTHORITY = "Follow your local food-safety authority."


def dish_of(study: Study) -> str:
    """The dish's name, unless it would give away what varies."""
    name = study.brief.base.title if study.brief.base is not None else ""
    telling = [o.name for f in study.brief.factors for o in f.options] + [f.name for f in study.brief.factors]
    if not name or any(re.search(rf"\b{re.escape(t)}\b", name, re.I) for t in telling):
        return NEUTRAL
    return name


def before_tasting(study: Study, round_: Round) -> str:
    """One line for all plates together, so that nothing is told apart by it."""
    from proofpan.science.foods import allergens

    found: list[str] = []
    for trial in round_.trials:
        chosen = [f.option(trial.version.get(f.name, "")) for f in study.factors]
        found += [c for o in chosen if o is not None for c in o.contains]
        if study.brief.base is not None:
            items = [i.item for i in recipe_of(study, trial.version).ingredients]
            found += [str(a) for a in allergens(items, "EU")]
    words = sorted(dict.fromkeys(w.casefold() for w in found))
    if not words:
        return f"If there is something you can’t eat, ask whoever cooked what is in the plates. {AUTHORITY}"
    return f"Among these plates, in one or in all: {', '.join(words)}. If you can’t eat one of these, say so before you start. {AUTHORITY}"
