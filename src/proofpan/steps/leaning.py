"""An answer that isn't settled: which way it leans, beside what was expected before anyone tasted, and what would settle it."""

from __future__ import annotations

from proofpan.study.verdict import EffectRow
from proofpan.study.wording import say
from proofpan.study.words import counted, odds

LEANS = 0.55
SETTLED_IN_100 = 95
HOWEVER_MANY = 200


def not_settled(row: EffectRow, lean: str) -> str:
    """That it isn't settled, which way it leans, and about how many more trials would settle it."""
    return f"{say('Not settled.')} {lean} {needed_words(row.needed)}"


def yes_or_no(row: EffectRow) -> str:
    """Which way a question of yes or no leans, and how far it did before anyone tasted."""
    yes, (before, doubted) = row.odds_over_worth, before_tasting(row)
    return lean_words(say("yes"), yes, before=before) if yes >= 0.5 else lean_words(say("no"), 1 - yes, before=doubted)


def before_tasting(row: EffectRow) -> tuple[float | None, float | None]:
    """The odds of a yes and of a no before anyone tasted."""
    before = row.odds_over_worth_before
    return before, None if before is None else 1 - before


def with_before(odds_now: str, before: float | None) -> str:
    """Odds beside those that nobody had to taste for: what is left is what the tastings say."""
    if before is None:
        return odds_now
    return say("{odds} ({before} before anyone tasted)", odds=odds_now, before=min(max(round(100 * before), 1), 99))


def lean_words(leaning: str, odds_of_it: float, level: float | None = None, before: float | None = None) -> str:
    """Which way it leans. Parameters: level, of a question with two sides: either may be the better, so settling it takes more."""
    if level is not None and odds_of_it >= level - 0.005:
        return say("Leans to {leaning}, {odds}: which of two is better is settled at {bar}.", leaning=leaning, odds=odds(odds_of_it), bar=odds((1 + level) / 2))
    if odds_of_it < LEANS:
        return say("It leans neither way.")
    if round(100 * odds_of_it) == SETTLED_IN_100 and odds_of_it < SETTLED_IN_100 / 100:
        return say("Leans to {leaning}, {odds}.", leaning=leaning, odds=with_before(say("just under 95 in 100"), before))   # rounded, it would read as settled
    return say("Leans to {leaning}, {odds}.", leaning=leaning, odds=with_before(odds(odds_of_it), before))


def needed_words(needed: int | None) -> str:
    """About how many more trials would settle it."""
    if needed is None or needed > HOWEVER_MANY:
        return say("Settling it would take more trials than you'd cook.")
    return say("About {more_trials} would settle it if it stays as it looks.", more_trials=counted(needed, "more trial"))
