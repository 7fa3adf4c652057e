"""How many of a step's minutes need hands, where the recipe doesn't say: by what the step does.

All shares are common practice, no source: what rests, chills, soaks, proves, bakes or heats needs none; what simmers, boils, steams or
stews is looked at for a fifth of its time, a minute at least; everything else is work throughout. A step's own `hands` beats them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal

from proofpan.study.recipe import Step

Kind = Literal["said", "waits", "watched", "works"]
WATCHED_SHARE = 0.2
_WAITS = re.compile(
    # whoever is left, or let, to do it: their verb isn't the cook's
    r"\b(?:leave|let|allow)\b[^.;]{0,40}?\b(?:drain|drip|press|strain|sweat|draw|settle|thicken|soften)\w*\b"
    r"|\b(?:rest|chill|cool|soak|prove|proof|ferment|autolys|marinat|brine|freez|refrigerat|infus|steep|macerat|hydrat|thaw|defrost|air-dry|cure"
    r"|bake|roast|slow[- ]cook|sous[- ]vid|pre-?heat)\w*\b|\b(?:proving|rise|stand|standing|sits?|sitting|leave|wait|hang|hanging|brew|overnight|doubled?)\b"
    r"|\bset\b(?!\s+(?:on|in|out|over))|\bdry\b(?=\s+(?:for|over|on|in|at|until|uncovered)\b)|\bmature\b(?=\s+(?:for|in|at|until)\b)"
    r"|\bheat\b[^.;]{0,30}\boven\b|\bkeep\s+(?:it\s+)?warm\b"
    r"|\b(?:drain|drip)\w*\s+(?:in|on|over|through)\b|\bpress\w*\s+under\b|\bweigh\w*\s+(?:it\s+)?down\b", re.I)
_WATCHED = re.compile(r"\b(?:simmer|boil|stew|brais|poach|steam|reduc|blanch|bubbl|cook)\w*\b", re.I)
_WORKS = re.compile(
    r"\b(?:mix|beat|whisk|knead|stir|fold|cream|rub|roll|shape|cut|chop|slice|dice|grate|peel|fry|saut[eé]|sear|brown|pipe|spread|press|fill|brush"
    r"|toss|blend|pur[eé]e|grind|pound|mash|toast|char|grill|flip|turn|baste|whip|strain|sieve|sift|drain|assemble|layer|coat|dust|ladle|scatter|divide|pack|stuff|wrap|skewer)\w*\b",
    re.I)
_TIME = re.compile(r"\d+(?:[.,]\d+)?\s*(?:(?:–|-|to|or)\s*\d+(?:[.,]\d+)?\s*)?(?:minutes?|mins?|hours?|hrs?|h\b)|\bovernight\b", re.I)
_CLAUSE = re.compile(r"[.;:]\s+|,?\s+(?:then|and then)\s+", re.I)


def hands_of(step: Step) -> tuple[float, Kind]:
    """(minutes of hands, how they are known); 0 where the step says no time."""
    if step.hands is not None:
        return step.hands, "said"
    if step.minutes is None:
        return 0.0, "works"
    minutes = sum(step.minutes) / 2
    kind = kind_of(step)
    if kind == "waits":
        return 0.0, kind
    return (min(minutes, max(1.0, WATCHED_SHARE * minutes)), kind) if kind == "watched" else (minutes, kind)


def kind_of(step: Step) -> Kind:
    """What a step does for most of its time: the verb of the clause that bears the time, else of the last clause that has one."""
    if step.oven is not None or step.rest is not None or step.id.casefold() in ("rest", "chill", "soak", "cool", "prove", "proof"):
        return "waits"
    clauses = [c for c in _CLAUSE.split(step.do) if c.strip()]
    timed = [c for c in clauses if _TIME.search(c)]
    for clause in (*timed[:1], *reversed(clauses)):
        found = _TIME.search(clause)
        before = [] if found is None else _verbs(clause[: found.start()])
        verbs = before[-1:] or _verbs(clause if found is None else clause[found.end() :])      # "30 minutes' rest", "after 30 minutes of standing"
        if verbs:
            return verbs[-1 if found is None else 0][1]
    return "works"


def _verbs(text: str) -> list[tuple[tuple[int, bool], Kind]]:
    """What is done, in order; of two that end together the longer phrase counts."""
    return sorted(((m.end(), kind == "waits"), kind) for kind, pattern in _PATTERNS for m in pattern.finditer(text))


def stands(step: Step) -> bool:
    """Whether a step off the heat takes its time by itself: it stands, rests, chills, proves or soaks."""
    return step.oven is None and not step.hob and step.minutes is not None and kind_of(step) == "waits" and _HEATED.search(step.do) is None


def works_first(step: Step) -> bool:
    """Whether a step that stands is worked on before it does: whisked and left to stand."""
    ends = {end: kind for (end, _), kind in _verbs(step.do)}      # of two that end together the longer phrase is the later one
    return bool(ends) and ends[min(ends)] == "works"


_HEATED = re.compile(r"\b(?:bake|roast|slow[- ]cook|sous[- ]vid)\w*\b", re.I)
_PATTERNS: tuple[tuple[Kind, re.Pattern[str]], ...] = (("works", _WORKS), ("watched", _WATCHED), ("waits", _WAITS))


def active_minutes(steps: Iterable[Step]) -> float:
    """Minutes of hands of the whole method."""
    return sum(hands_of(s)[0] for s in steps)
