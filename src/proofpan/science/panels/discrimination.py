"""Forced-choice difference tests: what so many right answers out of so many say, by the exact binomial."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betainc, betaincinv

from .errors import PanelError

CHANCE = {
    "triangle": 1 / 3,
    "duo-trio": 1 / 2,
    "paired": 1 / 2,
    "2-afc": 1 / 2,
    "3-afc": 1 / 3,
    "tetrad": 1 / 3,
    "two-out-of-five": 1 / 10,
}
"""Odds of a right answer by guessing. Sources: ISO 4120 (triangle), 10399 (duo-trio), 5495 (paired), 6658 (2 of 5)."""

ROUNDING = 1e-12
"""A probability this little above the limit counts as at the limit (1/64 is at 0.015625)."""


@dataclass(frozen=True)
class DiscriminationTest:
    """What a forced-choice tasting says.

    Attributes:
        method: the test's name, a key of CHANCE.
        correct: right answers (paired, two-sided: those for the more often chosen or the named side).
        n: answers.
        p: probability of at least so many right answers (two-sided: of a count so far from half) by guessing alone.
        proportion_correct: correct / n.
        low: lower end of the exact two-sided interval of the proportion correct.
        high: its upper end.
        discriminators: share of tasters who can really tell, (proportion - chance) / (1 - chance), not below 0.
        discriminators_low: from `low`.
        discriminators_high: from `high`.
        level: of the interval.
        minimum_correct: right answers needed at 1 - level, None when even all n would not do.
    """

    method: str
    correct: int
    n: int
    p: float
    proportion_correct: float
    low: float
    high: float
    discriminators: float
    discriminators_low: float
    discriminators_high: float
    level: float
    minimum_correct: int | None


@dataclass(frozen=True)
class Power:
    """How often a test of `n` answers finds a real difference.

    Attributes:
        minimum_correct: right answers needed, None when no number is enough (then power is 0).
        power: odds of reaching it when the difference is real.
        actual_alpha: odds of reaching it by guessing, at most the alpha asked for.
    """

    minimum_correct: int | None
    power: float
    actual_alpha: float


@dataclass(frozen=True)
class SampleSize:
    """Answers needed; power goes up and down like a saw as n grows.

    Attributes:
        first: smallest n that reaches the power.
        always: n from which every larger n reaches it too.
    """

    first: int
    always: int


def chance_of(method: str) -> float:
    """Odds of a right answer by guessing.

    Raises:
        PanelError: no such method, naming those there are.
    """
    if method not in CHANCE:
        raise PanelError(f'There is no difference test "{method}"; there are {", ".join(CHANCE)}.')
    return CHANCE[method]


def minimum_correct(method: str, n: int, alpha: float, alternative: str = "greater") -> int | None:
    """Right answers needed to call it a difference: the smallest x with P(X >= x) <= alpha when all guess.

    Args:
        method: a key of CHANCE.
        n: answers, 1 or more.
        alpha: risk of calling a difference that isn't there, between 0 and 1.
        alternative: "greater", or "two-sided" for a paired test or preference (2 P(X >= x) <= alpha).

    Returns:
        The count, or None when even n right answers are not enough.

    Raises:
        PanelError: unknown method or alternative, n below 1, alpha outside 0 to 1.

    Source: ISO 4120:2021 table A.1, ISO 10399:2017 table A.1, ISO 5495:2005 (these print the exact binomial).
    """
    chance = chance_of(method)
    _check_n(n)
    _check_odds(alpha, "alpha")
    limit = alpha / 2 if _two_sided(method, alternative) else alpha
    enough = np.flatnonzero(at_least(np.arange(n + 1), n, chance) <= limit * (1 + ROUNDING))
    return int(enough[0]) if enough.size else None


def maximum_correct_similar(method: str, n: int, beta: float, discriminators: float) -> int | None:
    """Right answers up to which two things may be called alike: the largest x with P(X <= x) <= beta.

    Args:
        method: a key of CHANCE.
        n: answers, 1 or more.
        beta: risk of calling alike what `discriminators` of the tasters can tell apart.
        discriminators: share who can tell, above 0 and up to 1.

    Returns:
        The count, or None when even 0 right answers are too likely.

    Raises:
        PanelError: an argument out of range.

    Source: exact binomial; the similarity tables of ISO 4120 use a normal approximation and may differ by 1.
    """
    _check_n(n)
    _check_odds(beta, "beta")
    right = odds_right(method, discriminators)
    below = at_least(n - np.arange(n + 1), n, 1 - right)  # P(X <= x) as wrong answers, so that small odds keep their digits
    enough = np.flatnonzero(below <= beta * (1 + ROUNDING))
    return int(enough[-1]) if enough.size else None


def discrimination_test(method: str, correct: int, n: int, alternative: str = "greater", level: float = 0.95) -> DiscriminationTest:
    """Exact test of a forced-choice tasting.

    Args:
        method: a key of CHANCE.
        correct: right answers, 0 to n.
        n: answers, 1 or more.
        alternative: "greater", or "two-sided" for a paired test or preference.
        level: of the interval, between 0 and 1.

    Raises:
        PanelError: an argument out of range.

    Source: exact binomial; Clopper & Pearson (1934), Biometrika 26, 404-413; Abbott's formula for discriminators.
    """
    chance = chance_of(method)
    _check_correct(correct, n)
    _check_odds(level, "level")
    if _two_sided(method, alternative):
        p = min(1.0, 2 * float(at_least(max(correct, n - correct), n, chance)))
    else:
        p = float(at_least(correct, n, chance))
    low, high = clopper_pearson(correct, n, level)
    tell, tell_low, tell_high = (max(0.0, (share - chance) / (1 - chance)) for share in (correct / n, low, high))
    return DiscriminationTest(
        method, correct, n, p, correct / n, low, high, tell, tell_low, tell_high, level,
        minimum_correct(method, n, 1 - level, alternative),
    )  # fmt: skip


def clopper_pearson(correct: int, n: int, level: float = 0.95) -> tuple[float, float]:
    """Exact two-sided interval of a share (Clopper & Pearson 1934)."""
    _check_correct(correct, n)
    _check_odds(level, "level")
    tail = (1 - level) / 2
    low = 0.0 if correct == 0 else float(betaincinv(correct, n - correct + 1, tail))
    high = 1.0 if correct == n else float(betaincinv(correct + 1, n - correct, 1 - tail))
    return low, high


def power(method: str, n: int, alpha: float, proportion_correct: float, alternative: str = "greater") -> Power:
    """Odds that a test of `n` answers calls a difference when each answer is right with `proportion_correct`.

    Args:
        method: a key of CHANCE.
        n: answers, 1 or more.
        alpha: risk of calling a difference that isn't there.
        proportion_correct: from `odds_right(method, discriminators)` or `proportion_correct(method, dprime)`.
        alternative: "greater", or "two-sided" for a paired test or preference.

    Raises:
        PanelError: an argument out of range.

    Source: exact binomial.
    """
    chance = chance_of(method)
    _check_share(proportion_correct, "The share of right answers")
    needed = minimum_correct(method, n, alpha, alternative)
    if needed is None:
        return Power(None, 0.0, 0.0)
    found, by_chance = float(at_least(needed, n, proportion_correct)), float(at_least(needed, n, chance))
    if _two_sided(method, alternative):
        found += float(at_least(needed, n, 1 - proportion_correct))
        by_chance *= 2
    return Power(needed, found, by_chance)


def sample_size(
    method: str, alpha: float, beta: float, proportion_correct: float, alternative: str = "greater", at_most: int = 5000
) -> SampleSize:
    """Answers needed so that a real difference is missed with odds of `beta` at most.

    Args:
        method: a key of CHANCE.
        alpha: risk of calling a difference that isn't there.
        beta: risk of missing one that is.
        proportion_correct: of an answer when the difference is real, above chance.
        alternative: "greater", or "two-sided" for a paired test or preference.
        at_most: largest n looked at.

    Raises:
        PanelError: an argument out of range, or more than `at_most` answers would be needed.

    Source: exact binomial; saw-tooth: Chernick & Liu (2002), Am. Stat. 56, 149-155.
    """
    chance = chance_of(method)
    _check_odds(beta, "beta")
    _check_share(proportion_correct, "The share of right answers")
    if proportion_correct <= chance:
        raise PanelError(f"A share of right answers of {proportion_correct:.3g} is no more than guessing ({chance:.3g}).")
    first, always, n, span = None, 1, 1, 100
    while first is None or n <= always + span:
        if n > at_most:
            raise PanelError(f"More than {at_most} answers would be needed; look for a larger difference.")
        if power(method, n, alpha, proportion_correct, alternative).power >= (1 - beta) * (1 - ROUNDING):
            if first is None:
                first, always = n, n
            span = max(100, always)
        else:
            always = n + 1
        n += 1
    return SampleSize(first, always)


def odds_right(method: str, discriminators: float) -> float:
    """Odds of a right answer when a share of the tasters can tell and the rest guess: c + (1 - c) share."""
    chance = chance_of(method)
    _check_share(discriminators, "The share of tasters who can tell")
    return chance + (1 - chance) * discriminators


def at_least(x: ArrayLike, n: int, share: float) -> NDArray[np.float64]:
    """P(X >= x) of a binomial with n answers, by the incomplete beta function; x outside 0 … n is allowed."""
    x = np.asarray(x)
    inside = np.clip(x, 1, n)
    return np.where(x <= 0, 1.0, np.where(x > n, 0.0, betainc(inside, n - inside + 1, share)))


def _two_sided(method: str, alternative: str) -> bool:
    if alternative not in ("greater", "two-sided"):
        raise PanelError(f'The alternative is "greater" or "two-sided", not "{alternative}".')
    if alternative == "two-sided" and method not in ("paired", "2-afc"):
        raise PanelError(f"A {method} test has one side only; two-sided is for paired tests.")
    return alternative == "two-sided"


def _check_n(n: int) -> None:
    if n < 1 or n != int(n):
        raise PanelError(f"The number of answers must be a whole number from 1, not {n}.")


def _check_correct(correct: int, n: int) -> None:
    _check_n(n)
    if not 0 <= correct <= n or correct != int(correct):
        raise PanelError(f"Right answers must be a whole number from 0 to {n}, not {correct}.")


def _check_odds(value: float, name: str) -> None:
    if not 0 < value < 1:
        raise PanelError(f"{name} must lie between 0 and 1, not {value}.")


def _check_share(value: float, what: str) -> None:
    if not 0 <= value <= 1:
        raise PanelError(f"{what} must lie between 0 and 1, not {value}.")
