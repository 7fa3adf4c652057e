"""A panel's results as one plain sentence each, for the cook first; the table stands behind it for those who know the field."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from proofpan.study.errors import StudyError
from proofpan.study.words import capital, counted, joined, times

if TYPE_CHECKING:
    from proofpan.science.designs import BalancedIncompleteBlocks, DOptimal, FractionalFactorial, PlackettBurman
    from proofpan.science.mixed import Estimate
    from proofpan.science.panels import (
        BradleyTerry,
        DiscriminationTest,
        Durbin,
        Friedman,
        IntraclassCorrelation,
        KendallW,
        Page,
        PenaltyAnalysis,
        RankDifferences,
    )
    from proofpan.science.pooling import RandomPool

CALLED = {"triangle": "triangles", "duo-trio": "duo-trios", "paired": "pairs", "2-afc": "pairs", "3-afc": "threes", "tetrad": "fours",
          "two-out-of-five": "fives"}
LIMIT = 0.05
MANY = 6  # names that a sentence can still carry
PENALTY_SHARE, PENALTY_DROP = 20.0, 1.0  # ASTM MNL63 (2009), just-about-right scales: from memory
ICC_STEPS = ((0.5, "poorly"), (0.75, "fairly"), (0.9, "well"))  # Koo & Li 2016, J. Chiropr. Med. 15:155–163; from memory


def odds_of_luck(p: float) -> str:
    """How often luck alone does as well, as a sentence."""
    if p < 0.001:
        return "Luck alone does that less than once in 1,000."
    if p < 0.1:
        return f"Luck alone does that {times(max(round(1000 * p), 1))} in 1,000."
    return f"Luck alone does that {round(100 * p)} times in 100."


def difference_words(test: DiscriminationTest) -> str:
    """A triangle, duo-trio, paired, 2-of-5 or other forced-choice tasting.

    Not telling apart is never said to be "alike": the share who may still tell is said instead (its 95 % upper end).
    """
    head = f"{test.correct} of {test.n} {CALLED.get(test.method, test.method)} right"
    most = f"up to {round(100 * test.discriminators_high)} in 100 may still tell"
    if test.p <= LIMIT:
        low, high = round(100 * test.discriminators_low), round(100 * test.discriminators_high)
        share = f"{low} to {high} in 100 can tell" if low else f"up to {high} in 100 can tell"
        return f"{head}: they can be told apart; {share}. {odds_of_luck(test.p)}"
    return f"{head}: that doesn't show a difference, nor that they are alike; {most}. {odds_of_luck(test.p)}"


def rank_words(result: Friedman, names: Sequence[str], pairs: RankDifferences | None = None) -> str:
    """Friedman's test of samples ranked or scored by the same tasters; with `pairs`, which are apart (honest differences).

    Raises: StudyError for as many names as there aren't samples.
    """
    sums = np.asarray(result.rank_sums, dtype=float)
    _named(names, sums.size, "samples")
    p = result.p if result.p_exact is None else result.p_exact
    order = [names[i] for i in np.argsort(-sums, kind="stable")]
    if p > LIMIT:
        return f"The tasters don't rank {_together(names)} apart beyond luck. {odds_of_luck(p)}"
    out = f"The tasters rank them apart: {_in_order(order)}. {odds_of_luck(p)}"
    if pairs is None:
        return out
    apart = [f"{names[i]} over {names[j]}" for i in range(sums.size) for j in range(sums.size)
             if pairs.differences[i, j] >= pairs.honestly_significant_difference]
    return f"{out} Clearly: {_first_of(apart)}." if apart else f"{out} No single pair is clear by itself."


def incomplete_rank_words(result: Durbin, names: Sequence[str]) -> str:
    """Durbin's test, for tasters who had only some of the samples each.

    Raises: StudyError for as many names as there aren't samples.
    """
    sums = np.asarray(result.rank_sums, dtype=float)
    _named(names, sums.size, "samples")
    if result.F_p > LIMIT:
        return f"The tasters, who had only some each, don't rank {_together(names)} apart beyond luck. {odds_of_luck(result.F_p)}"
    order = [names[i] for i in np.argsort(-sums, kind="stable")]
    return f"The tasters, who had only some each, rank them apart: {_in_order(order)}. {odds_of_luck(result.F_p)}"


def _in_order(names: Sequence[str]) -> str:
    """Names from the highest down; of many only the ends, as nobody reads a sentence of twenty."""
    if len(names) <= MANY:
        return ", then ".join(names)
    return f"{', then '.join(names[:3])}, and {len(names) - 4} others before the last, {names[-1]}"


def _together(names: Sequence[str]) -> str:
    return joined(names) if len(names) <= MANY else f"these {len(names)} plates"


def _first_of(pairs: Sequence[str]) -> str:
    """Pairs that are apart, the first few by name."""
    return joined(pairs) if len(pairs) <= MANY else f"{', '.join(pairs[:3])} and {len(pairs) - 3} other pairs"


def pair_words(test: DiscriminationTest, one: str, other: str) -> str:
    """A paired preference, two-sided: `one` is the plate preferred by `test.correct` of `test.n`."""
    share = f"{round(100 * test.low)} to {round(100 * test.high)} in 100 would"
    if test.p <= LIMIT:
        return f"{capital(one)} is preferred to {other}: {test.correct} of {test.n} ({share}). {odds_of_luck(test.p)}"
    return f"{test.correct} of {test.n} prefer {one} to {other}: that doesn't settle it ({share}). {odds_of_luck(test.p)}"


def score_words(means: Sequence[Estimate], pairs: Sequence[Estimate], p: float, unit: str = "points") -> str:
    """Marks of several plates: means, highest first, which pairs are apart (adjusted for their number), and luck's odds of the whole."""
    names = [e.name for e in means]
    if p > LIMIT:
        best = means[0]
        return (f"The marks don't tell {_together(names)} apart beyond luck; highest is {best.name} at {best.estimate:.1f} "
                f"({best.low:.1f} to {best.high:.1f}). {odds_of_luck(p)}").replace(" -", " −")
    apart = []
    for e in sorted(pairs, key=lambda e: -abs(e.estimate)):
        one, other = e.name.split(" - ", 1) if e.name.count(" - ") == 1 else ("", "")
        if e.p <= LIMIT and one:
            first, second = (one, other) if e.estimate > 0 else (other, one)
            low, high = sorted((abs(e.low), abs(e.high)))
            apart.append(f"{first} over {second} by {abs(e.estimate):.1f} {unit} ({low:.1f} to {high:.1f})")
    out = f"Marked in this order: {_in_order(names)}. {odds_of_luck(p)}"
    return f"{out} Clearly: {_first_of(apart)}." if apart else f"{out} No single pair is clear by itself."


def control_words(e: Estimate, control: str) -> str:
    """One plate's marks of difference less the hidden control's."""
    name = e.name.removesuffix(f" - {control}")
    size = f"{e.estimate:.1f} ({e.low:.1f} to {e.high:.1f})".replace("-", "−")
    if e.low > 0:
        return f"{capital(name)} differs from the control, by {size} beyond what tasters see in the control itself. {odds_of_luck(e.p)}"
    if e.high < 0:
        return f"{capital(name)} is marked nearer to the control than the control itself, by {size}: look at how they were served. {odds_of_luck(e.p)}"
    return f"{capital(name)}: no difference from the control is shown, nor that they are alike; {size} beyond the control itself. {odds_of_luck(e.p)}"


def yes_words(p: float, counts: Sequence[tuple[str, int]], tasters: int) -> str:
    """How many said yes to each, most first, and whether that is beyond luck (Cochran's Q)."""
    listed = joined(f"{name} {count} of {tasters}" for name, count in counts)
    if p > LIMIT:
        return f"How many say yes doesn't tell them apart beyond luck: {listed}. {odds_of_luck(p)}"
    return f"They differ in how many say yes: {listed}. {odds_of_luck(p)}"


def trend_words(result: Page, names: Sequence[str]) -> str:
    """Page's test of an order named beforehand, lowest first."""
    p = result.p_normal if result.p_exact is None else result.p_exact
    order = ", then ".join(names)
    if p > LIMIT:
        return f"The marks don't rise in the order expected ({order}) beyond luck. {odds_of_luck(p)}"
    return f"The marks rise as expected: {order}. {odds_of_luck(p)}"


def just_right_words(found: PenaltyAnalysis, thing: str) -> tuple[str, ...]:
    """Just-about-right answers, each share as a count with its exact range, and what missing it costs in liking, its range with it.

    A side counts when 20 in 100 or more stand there and it costs a point or more; whether it is sure is said by its range.
    """
    out = [f"{capital(thing)}: {_just_right_shares(found)}"]
    sides = (("too little", found.percent_too_little, found.mean_drop_too_little, found.mean_drop_too_little_interval, "more"),
             ("too much", found.percent_too_much, found.mean_drop_too_much, found.mean_drop_too_much_interval, "less"))
    for words, share, drop, interval, remedy in sides:
        if drop is None or share == 0:
            continue
        ends = None if interval is None else interval if drop >= 0 else (-interval[1], -interval[0])
        spread = "one answer only, so no range" if ends is None else f"{ends[0]:.1f} to {ends[1]:.1f}"
        spread = spread.replace("-", "−")
        cost = f"Those who find {words} like it {abs(drop):.1f} points {'less' if drop >= 0 else 'more'} ({spread})"
        if share < PENALTY_SHARE or drop < PENALTY_DROP:
            out.append(f"{cost}: too few or too little to change anything.")
        elif interval is None or interval[0] <= 0:
            out.append(f"{cost}: worth another look, not settled.")
        else:
            out.append(f"{cost}: try {remedy} of it.")
    return tuple(out)


def share_words(count: int, n: int, interval: tuple[float, float]) -> str:
    """`8 of 12 (35 to 90 in 100)`: a share never without its count and its 95 % interval."""
    return f"{count} of {n} ({round(100 * interval[0])} to {round(100 * interval[1])} in 100)"


def _just_right_shares(found: PenaltyAnalysis) -> str:
    little, right, much = (share_words(c, found.answers, i) for c, i in zip(found.counts, found.share_intervals, strict=True))
    if found.answers > 1:
        return f"{right} {'finds' if found.counts[1] == 1 else 'find'} it just right, {little} too little, {much} too much."
    which = found.counts.index(1)
    low, high = found.share_intervals[which]
    said = ("too little", "just right", "too much")[which]
    return f"the one who answered finds it {said}. One answer hardly speaks of others: of them {round(100 * low)} to {round(100 * high)} in 100 may agree."


def concordance_words(found: KendallW, tasters: int) -> str:
    """Kendall's W: how far tasters rank alike."""
    if found.p > LIMIT:
        return f"The {counted(tasters, 'taster')} don't rank alike beyond luck (agreement {found.w:.2f}, where 1 is all alike)."
    strength = "weakly" if found.w < 0.3 else "somewhat" if found.w < 0.6 else "strongly"
    return f"The {counted(tasters, 'taster')} rank {strength} alike (agreement {found.w:.2f}, where 1 is all alike). {odds_of_luck(found.p)}"


def agreement_words(found: IntraclassCorrelation) -> str:
    """Intraclass correlation (2,1): how far one taster's mark stands for another's, its range with it."""
    one, mean = found.random_judges, found.random_judges_mean
    if not all(np.isfinite([one.value, one.low, one.high, mean.value, mean.low, mean.high])):
        return "The tasters' marks pull against each other, so that the plates come out alike: no figure of agreement can be given."
    if one.value <= 0:
        return f"One taster's mark says nothing of another's ({_signed(one.value)}, {_range(one.low, one.high)}, where 1 would be perfect)."
    word = next((w for limit, w in ICC_STEPS if one.value < limit), "very well")
    return (f"One taster's mark stands {word} for another's ({one.value:.2f}, {_range(one.low, one.high)}); "
            f"the mean of all of them holds {mean.value:.2f} ({_range(mean.low, mean.high)}). 1 would be perfect.")


def preference_words(found: BradleyTerry, names: Sequence[str]) -> str:
    """Paired preferences (Bradley–Terry): the order, and how often the first is preferred to the second.

    Raises: StudyError for as many names as there aren't samples.
    """
    ability = np.asarray(found.ability, dtype=float)
    _named(names, ability.size, "samples")
    if found.overall_p > LIMIT:
        return f"No preference among {joined(names)} beyond luck. {odds_of_luck(found.overall_p)}"
    order = np.argsort(-ability, kind="stable")
    first, second = int(order[0]), int(order[1])
    gap = ability[first] - ability[second]
    variance = found.covariance[first, first] + found.covariance[second, second] - 2 * found.covariance[first, second]
    half = 1.959964 * float(np.sqrt(max(variance, 0.0)))
    chance, low, high = (round(100 / (1 + float(np.exp(-g)))) for g in (gap, gap - half, gap + half))
    out = (f"Preferred in this order: {', then '.join(names[i] for i in order)}; {names[first]} over {names[second]} "
           f"{chance} times in 100 ({low} to {high}).")
    if low <= 50:
        out += " Which of these two is first isn't settled."
    if found.residual_p is not None and found.residual_p <= LIMIT:
        out += " The preferences also go in circles, so one order doesn't tell it all."
    return out


def pooled_words(found: RandomPool, unit: str = "points") -> str:
    """An effect pooled over studies: its size with its range, how far studies differ, and what the next kitchen may see."""
    settled = found.low > 0 or found.high < 0
    head = f"Over {counted(found.studies, 'study', 'studies')}: {_signed(found.estimate)} {unit} ({_range(found.low, found.high)})"
    verdict = "it holds on average" if settled else "not settled on average"
    if found.Q_p <= 0.1 or found.I2 > 50:
        differ = f"the studies differ ({round(found.I2)} in 100 of the spread is real)"
    else:
        differ = "the studies don't differ more than luck makes them"
    next_ = f"the next kitchen may see {_range(found.prediction_low, found.prediction_high)}"
    return f"{head}; {verdict}, {differ}, {next_}."


def design_words(design: FractionalFactorial | PlackettBurman | DOptimal | BalancedIncompleteBlocks, names: Sequence[str] = ()
                 ) -> tuple[str, ...]:
    """A classical design: what it takes, and what it can't tell apart.

    Parameters: names, of its factors, in order; needed for a fraction's aliases.
    """
    from proofpan.science import designs

    if isinstance(design, designs.FractionalFactorial):
        size = f"{counted(design.runs, 'trial')} instead of {2**design.factors} for {counted(design.factors, 'factor')}"
        grade = f", resolution {design.resolution}" if design.resolution else ""
        letters = names or [chr(ord("A") + i + (i > 7)) for i in range(design.factors)]
        return (f"{size}{grade}.", *designs.aliasing_in_words(design, letters))
    if isinstance(design, designs.PlackettBurman):
        runs, factors = design.design.shape
        wholly = max((abs(c) for c in design.main_with_other_pairs_correlation), default=0.0) > 1 - 1e-9
        if wholly:
            mixed = ("Some factors can't be told at all from a pair of others that go together: good for finding which few matter, if pairs "
                     "don't. 12, 20 or 24 trials mix them only in part.")
        elif design.resolution == 3:
            mixed = "Each factor is mixed a little with pairs of others: good for finding which few matter, not for how they go together."
        else:
            mixed = "No factor is mixed with a pair."
        return (f"A screen of {counted(runs, 'trial')} for {counted(factors, 'factor')}.", mixed)
    if isinstance(design, designs.DOptimal):
        load = "" if design.whole_plot is None else f" in {counted(len(set(design.whole_plot.tolist())), 'load')}"
        return (f"{counted(len(design.table), 'trial')}{load} for {counted(design.parameters, 'figure')} to be told: "
                f"{design.d_efficiency:.0f} in 100 of what a perfect design would tell.",)
    if design.blocks is None:
        return (f"No such balanced design: {design.why}",)
    return (f"{counted(len(design.blocks), 'tasting')} of {design.blocks.shape[1]} plates: each version is tasted "
            f"{times(design.replicates or 0)} and meets every other {times(design.together or 0)}.",)


def _named(names: Sequence[str], count: int, of: str) -> None:
    if len(names) != count:
        raise StudyError(f"{count} {of} need as many names, not {len(names)}.")


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-", "−")


def _range(low: float, high: float) -> str:
    return f"{low:.2f} to {high:.2f}".replace("-", "−")
