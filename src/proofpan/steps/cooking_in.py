"""Which steps heat what is in the pot, and how much alcohol is left at the end."""

from __future__ import annotations

import re

from proofpan.steps.audit_words import words_of
from proofpan.study.recipe import Recipe

HEATED = re.compile(r"\b(?:boil|simmer|bake|roast|fry|stew|brais|poach|steam|reduc|cook|saut[eé]|grill|toast|char|sear|warm|heat|brown|melt)\w*\b", re.I)
_LONG = re.compile(r"\b(?:boil|simmer|bake|roast|stew|brais|poach|reduc|cook)\w*\b", re.I)
_FLAMED = re.compile(r"\bflam(?:e|ed|ing|b[eé])\w*\b", re.I)


def alcohol_share(made: Recipe, items: list[str]) -> tuple[float, str]:
    """(share of alcohol kept, a sentence); 1 and nothing where no ingredient holds any."""
    from proofpan.science.foods import alcohol_kept

    if not items:
        return 1.0, ""
    heads = {words_of(i)[-1] for i in items if words_of(i)}
    first = next((n for n, s in enumerate(made.method) if heads & set(words_of(s.do))), 0)
    after = made.method[first:]
    minutes = sum(sum(s.minutes) / 2 for s in after if s.minutes is not None and (s.oven is not None or _LONG.search(s.do))
                  and not re.search(r"\b(?:pre-?heat|heat)\b[^.;]{0,20}\boven\b", s.do, re.I))
    if minutes > 0:
        kept, how = alcohol_kept("baked or simmered", minutes), f"{minutes:.0f} minutes baked or simmered"
    elif any(_FLAMED.search(s.do) for s in after):
        kept, how = alcohol_kept("flamed"), "flamed"
    elif any(HEATED.search(s.do) for s in after):
        kept, how = alcohol_kept("stirred in off the heat"), "stirred into something hot"
    else:
        kept, how = 1.0, "no heat after it goes in"
    return kept, f"Of its alcohol about {100 * kept:.0f} % is counted ({how}; USDA retention factors, release 6, from memory)."
