"""What each attribute says by itself, and whether the verdict hangs on the weights given to what is judged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from proofpan.study.ballots import OVERALL
from proofpan.study.brief import Attribute
from proofpan.study.verdict import AVERAGED, EffectRow, Verdict
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, joined, option_words, points, version_words

if TYPE_CHECKING:
    from proofpan.science.versions import Posterior
    from proofpan.steps.judged import Judged

SURE = 0.9            # odds from which an attribute is said to gain or lose
MATTERS = 0.1         # of `worth`: a smaller change of what is published is a tie
TIMES = {2.0: "double", 0.5: "half"}


def by_attribute(attributes: tuple[Attribute, ...], rows: tuple[EffectRow, ...], row: EffectRow) -> str:
    """Which attributes gain and lose by an option, as far as each is nearly sure: `Snap gains 1.2; grease falls by 0.6.`, or nothing."""
    if row.attribute != OVERALL or row.at != AVERAGED or len(attributes) < 2:
        return ""
    gains, loses = _sides(attributes, rows, row)
    parts = [*_together(gains, "gains"), *_together(loses, "loses")]
    return f"{capital('; '.join(parts))}." if parts else ""


Moved = tuple[Attribute, str]       # an attribute and how far it went


def _sides(attributes: tuple[Attribute, ...], rows: tuple[EffectRow, ...], row: EffectRow) -> tuple[list[Moved], list[Moved]]:
    """(attributes that get better, attributes that get worse) by `row.option`, each with its size."""
    gains, loses = [], []
    named = {a.name: a for a in attributes}
    for other in rows:
        if other.attribute not in named or other.at != AVERAGED or other.factor != row.factor:
            continue
        if {other.option, other.against} != {row.option, row.against}:
            continue
        same = other.option == row.option
        better = other.odds_better if same else 1 - other.odds_better
        if better >= SURE:
            gains.append((named[other.attribute], points(other.difference)))
        elif better <= 1 - SURE:
            loses.append((named[other.attribute], points(other.difference)))
    return gains, loses


def _together(moved: list[Moved], verb: str) -> list[str]:
    """Those of which more is better in one clause, `snap gains 1.2 and taste 0.8`; each other in its own."""
    plain = [(a, size) for a, size in moved if a.better == "more"]
    rest = [(a, size) for a, size in moved if a.better != "more"]
    first = [joined([_moves(plain[0], verb), *(f"{a.name} {size}" for a, size in plain[1:])])] if plain else []
    return first + [_moves(one, verb) for one in rest]


def _moves(moved: Moved, verb: str) -> str:
    """One attribute's change as a mark moves: less grease falls, a taste with a target comes nearer it."""
    attribute, size = moved
    if attribute.better == "more":
        return say("{name} gains {size}", name=attribute.name, size=size) if verb == "gains" else say("{name} loses {size}", name=attribute.name, size=size)
    if attribute.better == "less":
        return (say("{name} falls by {size}", name=attribute.name, size=size) if verb == "gains"
                else say("{name} rises by {size}", name=attribute.name, size=size))
    return (say("{name} comes {size} nearer its target", name=attribute.name, size=size) if verb == "gains"
            else say("{name} goes {size} further from its target", name=attribute.name, size=size))


def weight_words(judged: Judged, fits: Mapping[str, Posterior], verdict: Verdict) -> tuple[str, ...]:
    """Whether other weights would have another version published, and which questions are decided by the weights alone."""
    attributes = judged.study.attributes
    if len(attributes) < 2 or not verdict.ballots or judged.decision.publish is None:
        return ()
    return (*_pulled_apart(judged, verdict), _published_by_others(judged, fits))


def _pulled_apart(judged: Judged, verdict: Verdict) -> list[str]:
    out = []
    rows = verdict.effect_rows
    for row in rows:
        if row.attribute != OVERALL or row.at != AVERAGED or " × " in row.factor:
            continue
        gains, loses = _sides(judged.study.attributes, rows, row)
        if gains and loses:
            one, other = option_words(row.factor, row.option), option_words(row.factor, row.against)
            gained = joined(_moves(one, "gains") for one in gains)
            lost = joined(_moves(one, "loses") for one in loses)
            out.append(say("{one} against {other}: {gained}, {lost}. The weights of what you judge decide between them.", one=capital(one), other=other,
                           gained=gained, lost=lost))
    return out


def _published_by_others(judged: Judged, fits: Mapping[str, Posterior]) -> str:
    """What would be published with one attribute counted double or half."""
    attributes, chosen = judged.study.attributes, judged.decision.publish
    assert chosen is not None
    weights = np.array([a.weight for a in attributes], dtype=float)
    means = np.array([fits[a.name].mean for a in attributes])
    allowed = np.flatnonzero(judged.publishable)
    changes = []
    for i, attribute in enumerate(attributes):
        for times, word in TIMES.items():
            other = weights.copy()
            other[i] *= times
            net = judged.posterior.mean - judged.prices + (other / other.sum() - weights / weights.sum()) @ means
            best = int(allowed[np.argmax(net[allowed])])
            ahead = float(net[best] - net[chosen])
            if ahead > MATTERS * judged.worth:
                changes.append((attribute.name, word, best, ahead / judged.unit))
    names = joined((a.name for a in attributes), "or")
    if not changes:
        return say("Counting {names} double or half would have the same version published.", names=names)
    said = [say("with {name} counted {times}, {version} ({ahead} ahead by those weights)", name=name, times=say(word), ahead=points(ahead),
                version=version_words(judged.study.version(judged.cooked.versions[best]))) for name, word, best, ahead in changes[:3]]
    said += [say_counted(len(changes) - 3, "{number} more such change", "{number} more such changes")] if len(changes) > 3 else []
    return say("Other weights would have another version published: {changes}.", changes="; ".join(said))
