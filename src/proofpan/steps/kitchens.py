"""Kitchens as draws from all kitchens: how much their times differ, what another would take, and what can be put down to an option."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from proofpan.study.crosstest import AgainstControl, Kitchens
from proofpan.study.wording import say
from proofpan.study.words import better_or_worse, counted, signed_range

LEAST = 3
NEXT = 0.90

NOT_BLIND = "Whoever cooks a version knows which it is: these marks aren't blind."


def between_kitchens(minutes: Mapping[str, Sequence[float]]) -> Kitchens | None:
    """The spread of times between kitchens and the range for the next one.

    Parameters: minutes, {kitchen: its times}. None below three kitchens: two say nothing of a third.
    Method: minute = mean + kitchen + run, kitchens and runs normal. Where a kitchen repeats, by REML (`science.mixed`); else between
    and within stand together in one standard deviation, which is all that the next kitchen's range needs. The range is
    mean ± t(0.95, kitchens − 1)·√(between² + within² + error of the mean²).
    """
    from scipy.stats import t

    means = [sum(v) / len(v) for v in minutes.values()]
    runs = sum(len(v) for v in minutes.values())
    n = len(means)
    if n < LEAST:
        return None
    mean = sum(means) / n
    together = sum((m - mean) ** 2 for m in means) / (n - 1)
    between = within = None
    if runs > n:
        between, within = _reml(minutes)
        variance = max(between**2 + within**2, 1e-12)
    else:
        variance = together
    half = float(t.ppf(0.5 + NEXT / 2, n - 1)) * math.sqrt(variance + together / n)
    low, high = max(0.0, mean - half), mean + half
    says = (say("Of {kitchens}, times differ by about {spread:.0f} minutes; another kitchen would take {low:.0f} to {high:.0f} minutes, 9 times in 10.",
        kitchens=counted(n, "kitchen"), spread=math.sqrt(variance), low=low, high=high))
    return Kitchens(kitchens=n, runs=runs, mean=mean, between_sd=between, within_sd=within, next_low=low, next_high=high, says=says)


def _reml(minutes: Mapping[str, Sequence[float]]) -> tuple[float, float]:
    """(between, within) standard deviations by analysis of variance, which for one random factor is REML but for its bound at zero.

    Unbalanced groups by the usual n₀ (Searle, Casella & McCulloch 1992, 3.6).
    """
    groups = [list(v) for v in minutes.values()]
    runs, n = sum(len(g) for g in groups), len(groups)
    grand = sum(sum(g) for g in groups) / runs
    inside = sum((x - sum(g) / len(g)) ** 2 for g in groups for x in g) / (runs - n)
    among = sum(len(g) * (sum(g) / len(g) - grand) ** 2 for g in groups) / (n - 1)
    n0 = (runs - sum(len(g) ** 2 for g in groups) / runs) / (n - 1)
    return math.sqrt(max(0.0, (among - inside) / n0)), math.sqrt(inside)


def against_control(pairs: Mapping[str, tuple[float, float]], worth: float = 0.5) -> AgainstControl | None:
    """The recipe's mark less the control's, kitchen by kitchen.

    Parameters: pairs, {kitchen: (mark of the recipe, mark of the control)}; worth, for wording.
    Method: kitchen effects cancel within a kitchen; what the option does there is a draw (kitchen × option at random), so the interval
    is Student's t over kitchens' own differences. One kitchen gives no interval.
    """
    from scipy.stats import t

    gaps = [a - b for a, b in pairs.values()]
    if not gaps:
        return None
    n, mean = len(gaps), sum(gaps) / len(gaps)
    if n == 1:
        says = say("One kitchen also made the control: {better} there. One kitchen shows no range; three or more would.",
                   better=better_or_worse(mean)) + f" {say(NOT_BLIND)}"
        return AgainstControl(kitchens=1, difference=mean, says=says)
    sd = math.sqrt(sum((g - mean) ** 2 for g in gaps) / (n - 1))
    half = float(t.ppf(0.975, n - 1)) * sd / math.sqrt(n)
    low, high = mean - half, mean + half
    says = say("{n} kitchens also made the control: {better} than it ({range}).", n=n, better=better_or_worse(mean), range=signed_range(low, high, worth))
    says += f" {say(NOT_BLIND)}"
    return AgainstControl(kitchens=n, difference=mean, low=low, high=high, says=says)
