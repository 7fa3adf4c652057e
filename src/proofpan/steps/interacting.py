"""Factors that change each other's answer: worth a sentence and a picture."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from proofpan.study.verdict import Interaction
from proofpan.study.wording import say
from proofpan.study.words import capital, odds, option_words, points, signed_range

if TYPE_CHECKING:
    from proofpan.science.versions import Contrast
    from proofpan.steps.judged import Judged

TELLING = 0.9
MOST = 3


def interactions_of(judged: Judged) -> list[Interaction]:
    """The pairs of factors whose joint effect is likeliest to matter, most telling first."""
    if not len(judged.scores):
        return []
    found = []
    for first, second in combinations(judged.study.factors, 2):
        best = _strongest(judged, first.name, second.name)
        if best is not None:
            found.append(best)
    found.sort(key=lambda f: -f[0])
    return [_words(judged, *f[1:]) for f in found[:MOST] if f[0] >= TELLING]


def _cells(judged: Judged, first: str, second: str) -> dict[tuple[str, str], np.ndarray]:
    """Weights of each pair of options, averaged over what else varies among versions that can be made."""
    cells: dict[tuple[str, str], list[int]] = {}
    for i in range(judged.cooked.candidates):
        version = judged.cooked.versions[i]
        if first in version and second in version:
            cells.setdefault((version[first], version[second]), []).append(i)
    out = {}
    for key, members in cells.items():
        weights = np.zeros(len(judged.cooked.versions))
        weights[members] = 1 / len(members)
        out[key] = weights
    return out


def _strongest(judged: Judged, first: str, second: str) -> tuple[float, str, str, tuple[str, str], tuple[str, str], Contrast] | None:
    from proofpan.science.versions import contrasts

    cells = _cells(judged, first, second)
    ones = list(dict.fromkeys(a for a, _ in cells))
    others = list(dict.fromkeys(b for _, b in cells))
    squares = [
        ((a, b), (c, d)) for a, b in combinations(ones, 2) for c, d in combinations(others, 2)
        if all(k in cells for k in ((a, c), (b, c), (a, d), (b, d)))
    ]
    if not squares:
        return None
    joints = contrasts(judged.posterior, np.array([
        (cells[b, c] - cells[a, c]) - (cells[b, d] - cells[a, d]) for (a, b), (c, d) in squares
    ]))
    above = [joint.odds_above(0.0) for joint in joints]
    sure = [max(x, 1 - x) for x in above]
    at = int(np.argmax(sure))
    return sure[at], first, second, *squares[at], joints[at]


def _words(judged: Judged, first: str, second: str, pair: tuple[str, str], at: tuple[str, str], joint: Contrast) -> Interaction:
    from proofpan.science.versions import contrast

    cells, unit = _cells(judged, first, second), judged.unit
    (a, b), (c, d) = pair, at
    if joint.mean < 0:
        c, d = d, c
    here = contrast(judged.posterior, cells[b, c] - cells[a, c])
    there = contrast(judged.posterior, cells[b, d] - cells[a, d])
    size, (low, high) = abs(joint.mean), joint.interval(judged.study.brief.level)
    low, high = (low, high) if joint.mean > 0 else (-high, -low)
    sure = max(joint.odds_above(0.0), 1 - joint.odds_above(0.0))
    one = option_words(first, b)
    settled = low > 0   # asked of either side, so the range beside it and the answer agree
    options = {"one": capital(one), "here": option_words(second, c), "there": option_words(second, d)}
    headline = _headline(here.mean, there.mean, settled, options)
    each = (x.interval(judged.study.brief.level) for x in (here, there))
    if settled and any(lo <= 0 <= hi for lo, hi in each):  # only that they differ is settled, not that it helps or harms
        headline = say("{one} does better with {here} than with {there}", **options)
    how_sure = odds(sure) if settled else say("{odds}: a lean, not settled", odds=odds(sure))
    says = say("It does {size} more ({range}) with {here} than with {there}, {odds}.", size=points(size / unit), odds=how_sure,
               range=signed_range(low / unit, high / unit, 0.0), here=options["here"], there=options["there"])
    means = []
    for x in (a, b):
        for y in (c, d):
            cell = contrast(judged.posterior, cells[x, y])
            lo, hi = cell.interval(judged.study.brief.level)
            means.append((option_words(first, x), option_words(second, y), *(judged.least + m / unit for m in (cell.mean, lo, hi))))
    return Interaction(first=first, second=second, headline=headline, says=says, points=tuple(means))


def _headline(here: float, there: float, settled: bool, options: dict[str, str]) -> str:
    """What an option does beside one option of the other factor and beside the other; each a sentence of its own, so that it can be translated."""
    if there > 0:
        return say("{one} helps more with {here} than with {there}", **options) if settled else say(
            "{one} seems to help more with {here} than with {there}", **options)
    if here < 0:
        return say("{one} harms less with {here} than with {there}", **options) if settled else say(
            "{one} seems to harm less with {here} than with {there}", **options)
    if there < -0.05:
        return say("{one} helps with {here} and harms with {there}", **options) if settled else say(
            "{one} seems to help with {here} and to harm with {there}", **options)
    return say("{one} helps with {here} and does nothing with {there}", **options) if settled else say(
        "{one} seems to help with {here} and to do nothing with {there}", **options)
