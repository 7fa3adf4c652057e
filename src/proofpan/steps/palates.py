"""Tasters: how their scores hold up, and palates that pull in opposite directions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from proofpan.study.verdict import TasterRow
from proofpan.study.wording import say
from proofpan.study.words import option_words, points

if TYPE_CHECKING:
    from proofpan.steps.judged import Judged
    from proofpan.steps.observing import Points

OPPOSITE_Z = 2.0
PLATES_A_SIDE = 2
LEAST_NOISE = 0.6
DRAWN_TO_TABLE = 4     # plates that the table's scatter counts for beside a taster's own


def taster_rows(judged: Judged) -> tuple[TasterRow, ...]:
    """A row for each taster who is asked."""
    rows = []
    for name in judged.study.tasters:
        h = judged.health.get(name)
        if h is None:
            rows.append(TasterRow(taster=name, note=say("No ballots yet.")))
            continue
        rows.append(TasterRow(taster=name, repeatability=h.repeatability, agreement=h.agreement, use_of_scale=h.use_of_scale,
                              drift=h.drift, note=h.note))
    return tuple(rows)


def opposite_palates(judged: Judged) -> list[str]:
    """A sentence for each pair of options on which two tasters clearly pull in opposite directions overall."""
    return [said for _, said in _opposed_overall(judged)]


def opposite_on_attributes(judged: Judged) -> list[str]:
    """The same of single things that are judged, where the overall score doesn't show it."""
    from proofpan.steps.observing import attribute_points

    judged_as, out = judged.study.attributes, []
    if len(judged_as) < 2:
        return []
    overall = {pair for pair, _ in _opposed_overall(judged)}
    for attribute in judged_as:
        if attribute.measured:
            continue
        noise = max(LEAST_NOISE, _noise(judged))
        for pair, sides in _pairs(judged, attribute_points(judged.study, attribute)):
            if pair not in overall and (found := _opposed(pair, sides, noise)) is not None:
                (who_more, more), (who_less, less) = found
                unit = attribute.points_per_unit
                out.append(say("Opposite palates on {attribute}, which the overall score hides: {who_more} puts {option} {more} above {option_2}, {who_less} "
                    "{less} below it.", attribute=attribute.name, who_more=who_more, option=option_words(pair[0], pair[1]), more=points(more / unit),
                    option_2=option_words(pair[0], pair[2]), who_less=who_less, less=points(less / unit)))
    return out


Pair = tuple[str, str, str]
Sides = dict[str, dict[str, list[float]]]


def _opposed_overall(judged: Judged) -> list[tuple[Pair, str]]:
    noise, out = max(LEAST_NOISE, _noise(judged)), []
    for pair, sides in _pairs(judged, judged.points):
        if (found := _opposed(pair, sides, noise)) is not None:
            (who_more, more), (who_less, less) = found
            out.append((pair, say(
                "Opposite palates: {who_more} puts {option} {more} above {option_2}, {who_less} {less} below it. Their average speaks for neither: publish "
                "for one of them, or offer both.", who_more=who_more, option=option_words(pair[0], pair[1]), more=points(more / judged.unit),
                option_2=option_words(pair[0], pair[2]), who_less=who_less, less=points(less / judged.unit))))
    return out


def _pairs(judged: Judged, points_: Points) -> Iterator[tuple[Pair, Sides]]:
    """Each pair of options, with every taster's points for each."""
    for factor in judged.study.factors:
        sides: Sides = defaultdict(lambda: defaultdict(list))
        for b, x in zip(points_.ballots, points_.points, strict=True):
            version = judged.cooked.versions[judged.cooked.of_trial[b.round, b.trial]]
            if factor.name in version:
                sides[version[factor.name]][b.taster].append(float(x))
        options = sorted(sides)
        for i, one in enumerate(options):
            for other in options[i + 1 :]:
                yield (factor.name, one, other), sides


def _noise(judged: Judged) -> float:
    spread = judged.posterior.spreads.get("noise")
    return 1.0 if spread is None else float(spread[0])


def _own_noise(a: list[float], b: list[float], noise: float) -> float:
    """A taster's own scatter within the two options, drawn to the table's: one who marks at random pulls in no direction."""
    within = float(np.var(a) * len(a) + np.var(b) * len(b))
    return max(noise, float(np.sqrt((DRAWN_TO_TABLE * noise**2 + within) / (DRAWN_TO_TABLE + len(a) + len(b) - 2))))


def _opposed(pair: Pair, sides: Sides, noise: float) -> tuple[tuple[str, float], tuple[str, float]] | None:
    """(who puts the first option above the second, by how much) and who below; none where they don't clearly."""
    _, one, other = pair
    likes: list[tuple[float, float, str]] = []
    for taster in sides[one]:
        a, b = sides[one][taster], sides[other].get(taster, [])
        if len(a) >= PLATES_A_SIDE and len(b) >= PLATES_A_SIDE:
            difference = float(np.mean(a) - np.mean(b))
            z = difference / (_own_noise(a, b, noise) * np.sqrt(1 / len(a) + 1 / len(b)))
            likes.append((z, difference, taster))
    likes.sort()
    if len(likes) < 2 or likes[0][0] > -OPPOSITE_Z or likes[-1][0] < OPPOSITE_Z:
        return None
    (_, less, who_less), (_, more, who_more) = likes[0], likes[-1]
    return (who_more, more), (who_less, less)
