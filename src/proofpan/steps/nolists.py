"""What a taster doesn't eat: which plates leave their order."""

from __future__ import annotations

import re
from collections.abc import Sequence

from proofpan.steps.making import recipe_of
from proofpan.study.rounds import PlannedTrial
from proofpan.study.study import Study
from proofpan.study.versions import Version


def withheld_plates(study: Study, trials: Sequence[PlannedTrial]) -> dict[tuple[str, int], str]:
    """{(taster, trial): what it holds} for every plate that a taster can't have."""
    tasters = [t for t in study.brief.tasters if t.no and t.left is None]
    out: dict[tuple[str, int], str] = {}
    if not tasters:
        return out
    for trial in trials:
        words = contents(study, trial.version)
        for taster in tasters:
            hit = next((no for no in taster.no if holds(words, no)), None)
            if hit is not None:
                out[taster.name, trial.trial] = hit
    return out


def contents(study: Study, version: Version) -> tuple[str, ...]:
    """Everything that a version is known to hold: its items, its allergens, what its options say they contain."""
    from proofpan.science.foods import allergens

    options = [f.option(version.get(f.name, "")) for f in study.factors]
    said = [c for option in options if option is not None for c in option.contains]
    items = [i.item for i in recipe_of(study, version).ingredients] if study.brief.base is not None else []
    known = [str(a) for regime in ("EU", "US") for a in allergens(items, regime)] if items else []
    return tuple(dict.fromkeys([*said, *items, *known]))


def holds(words: Sequence[str], no: str) -> bool:
    """Whether any word names what a taster doesn't eat (singular or plural)."""
    stem = re.escape(no.casefold().rstrip("s"))
    return any(re.search(rf"\b{stem}(s|es)?\b", w.casefold()) for w in words)
