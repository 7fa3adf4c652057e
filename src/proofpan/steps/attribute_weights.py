"""What each attribute says by itself, and whether the verdict hangs on the weights given to what is judged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from proofpan.study.ballots import OVERALL
from proofpan.study.verdict import AVERAGED, EffectRow, Verdict
from proofpan.study.wording import say, say_counted
from proofpan.study.words import capital, joined, option_words, points, version_words

if TYPE_CHECKING:
    from proofpan.science.versions import Posterior
    from proofpan.steps.judged import Judged

SURE = 0.9            # odds from which an attribute is said to gain or lose
MATTERS = 0.1         # of `worth`: a smaller change of what is published is a tie
TIMES = {2.0: "double", 0.5: "half"}


def by_attribute(rows: tuple[EffectRow, ...], row: EffectRow) -> str:
    """Which attributes gain and lose by an option, as far as each is nearly sure: `Snap gains 1.2; colour loses 0.6.`, or nothing."""
    if row.attribute != OVERALL or row.at != AVERAGED:
        return ""
    gains, loses = _sides(rows, row)
    parts = [joined([first, *(f"{name} {size}" for name, size in rest)]) for first, rest in (
        *((say("{name} gains {size}", name=n, size=s), gains[1:]) for n, s in gains[:1]),
        *((say("{name} loses {size}", name=n, size=s), loses[1:]) for n, s in loses[:1]))]
    return f"{capital('; '.join(parts))}." if parts else ""


def _sides(rows: tuple[EffectRow, ...], row: EffectRow) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """(attributes that gain, attributes that lose) by `row.option`, each with its size."""
    gains, loses = [], []
    for other in rows:
        if other.attribute.startswith(OVERALL) or other.at != AVERAGED or other.factor != row.factor:
            continue
        if {other.option, other.against} != {row.option, row.against}:
            continue
        same = other.option == row.option
        better = other.odds_better if same else 1 - other.odds_better
        if better >= SURE:
            gains.append((other.attribute, points(other.difference)))
        elif better <= 1 - SURE:
            loses.append((other.attribute, points(other.difference)))
    return gains, loses


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
        gains, loses = _sides(rows, row)
        if gains and loses:
            one, other = option_words(row.factor, row.option), option_words(row.factor, row.against)
            gained = joined(say("{name} gains {size}", name=n, size=s) for n, s in gains)
            lost = joined(say("{name} loses {size}", name=n, size=s) for n, s in loses)
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
