"""Factors that change each other's answer: worth a sentence and a picture."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from proofpan.study.verdict import Interaction
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
    from proofpan.science.versions import contrast

    cells = _cells(judged, first, second)
    ones = list(dict.fromkeys(a for a, _ in cells))
    others = list(dict.fromkeys(b for _, b in cells))
    best = None
    for a, b in combinations(ones, 2):
        for c, d in combinations(others, 2):
            if not all(k in cells for k in ((a, c), (b, c), (a, d), (b, d))):
                continue
            joint = contrast(judged.posterior, (cells[b, c] - cells[a, c]) - (cells[b, d] - cells[a, d]))
            sure = max(joint.odds_above(0.0), 1 - joint.odds_above(0.0))
            if best is None or sure > best[0]:
                best = (sure, first, second, (a, b), (c, d), joint)
    return best


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
    verb = "helps more" if there.mean > 0 else "helps" if here.mean > 0 else "harms less"
    otherwise = "harms" if there.mean < -0.05 else "does nothing"
    if not settled:
        verb = verb.replace("helps", "seems to help").replace("harms", "seems to harm")
        otherwise = "to harm" if otherwise == "harms" else "to do nothing"
    tail = "" if there.mean > 0 or here.mean < 0 else f" and {otherwise} with {option_words(second, d)}"
    headline = f"{capital(one)} {verb} with {option_words(second, c)}" + (tail or f" than with {option_words(second, d)}")
    each = (x.interval(judged.study.brief.level) for x in (here, there))
    if settled and any(lo <= 0 <= hi for lo, hi in each):  # only that they differ is settled, not that it helps or harms
        headline = f"{capital(one)} does better with {option_words(second, c)} than with {option_words(second, d)}"
    says = (f"It does {points(size / unit)} more ({signed_range(low / unit, high / unit, judged.worth / unit)}) with "
            f"{option_words(second, c)} than with {option_words(second, d)}, {odds(sure)}"
            f"{'' if settled else ': a lean, not settled'}.")
    means = []
    for x in (a, b):
        for y in (c, d):
            cell = contrast(judged.posterior, cells[x, y])
            lo, hi = cell.interval(judged.study.brief.level)
            means.append((option_words(first, x), option_words(second, y), cell.mean / unit, lo / unit, hi / unit))
    return Interaction(first=first, second=second, headline=headline, says=says, points=tuple(means))
