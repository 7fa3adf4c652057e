"""What may be said of a difference: the outcomes of the three questions a study asks."""

from .contrast import Contrast
from .space import VersionsError

BETTER, SAME, OPEN = "better", "no difference that matters", "not settled"


def outcome(asks: str, difference: Contrast, worth: float, price: float = 0.0, level: float = 0.95) -> str:
    """The answer that the evidence allows.

    Parameters:
        asks: "best", "worth it" or "good enough".
        difference: the gain over the plain option, in points.
        worth: the smallest difference that matters.
        price: what an extra must earn ("worth it" only).
        level: how sure one must be.

    Returns: best → "better" (either side), "no difference that matters" (tried first); worth it → "worth it", "not worth it";
        good enough → "good enough", "not good enough"; else "not settled".
    Raises: VersionsError for another question.
    """
    if asks == "best":
        if difference.odds_above(-worth) - difference.odds_above(worth) >= level:
            return SAME
        low, high = difference.interval(level)
        return BETTER if low > 0 or high < 0 else OPEN
    if asks == "worth it":
        above = difference.odds_above(price)
        return "worth it" if above >= level else "not worth it" if above <= 1 - level else OPEN
    if asks == "good enough":
        above = difference.odds_above(-worth)
        return "good enough" if above >= level else "not good enough" if above <= 1 - level else OPEN
    raise VersionsError(f'A study asks "best", "worth it" or "good enough", not "{asks}".')
