"""Triangles alone: three plates, two alike; the number of turns is fixed beforehand, so that one can't stop when it looks good."""

from __future__ import annotations

from proofpan.study.errors import StudyError
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.words import counted, odds

HALF = 0.5      # how often the odd one is truly found by someone whom it would matter to (common practice, no source)


class TrianglePlan(Doc):
    """The turns: in each, which plate is which (for whoever lays them), and how many right answers tell."""

    options: tuple[str, str]
    turns: tuple[tuple[str, str, str], ...]
    codes: tuple[tuple[str, str, str], ...]
    least_right: int | None
    says: tuple[str, ...]


class TriangleResult(Doc):
    """What the right answers say."""

    right: int
    turns: int
    p: float
    told_apart: bool
    share: tuple[float, float]
    says: str
    then: str               # what the outcome calls for: mark them, more turns, or nothing more
    then_says: str
    more_turns: int | None = None


def triangle_plan(study: Study, turns: int, seed: int = 0) -> TrianglePlan:
    """Balanced triangles for the first two options, in a random order.

    Raises: StudyError for fewer than 3 or more than 60 turns.
    """
    if not 3 <= turns <= 60:
        raise StudyError("Fix 3 to 60 turns beforehand: with fewer, nothing could be told.")
    import numpy as np

    from proofpan.science.panels import minimum_correct, three_digit_codes

    a, b = (o.name for o in study.factors[0].options[:2])
    six = [(a, a, b), (a, b, a), (b, a, a), (b, b, a), (b, a, b), (a, b, b)]
    rng = np.random.default_rng(seed)
    drawn: list[tuple[str, str, str]] = []
    while len(drawn) < turns:
        drawn += [six[i] for i in rng.permutation(6)]
    codes = three_digit_codes(3 * turns, seed=seed + 1)
    least = minimum_correct("triangle", turns, 0.05)
    tells = f"{least} right of {turns} tell them apart at 95 in 100" if least is not None else f"{turns} turns can't tell, even all right"
    return TrianglePlan(
        options=(a, b), turns=tuple(drawn[:turns]), 
        codes=tuple((codes[3 * i], codes[3 * i + 1], codes[3 * i + 2]) for i in range(turns)),
        least_right=least,
        says=(f"{counted(turns, 'triangle')}, fixed now: don't stop early when it looks good.",
              "Each turn: three plates, two alike. Pick the odd one, then lift the plates.", f"{tells}."),
    )


def triangle_result(right: int, turns: int) -> TriangleResult:
    """What `right` of `turns` says: the exact binomial, and the share who tell them apart with its interval.

    Raises: StudyError when more are right than were tasted.
    """
    if not 0 <= right <= turns or turns < 1:
        raise StudyError(f"{right} right of {turns} turns can't be.")
    from proofpan.science.panels import discrimination_test

    test = discrimination_test("triangle", right, turns, alternative="greater", level=0.95)
    told = test.p <= 0.05
    open_ = "that doesn't show that you can tell them apart, nor that they are alike"
    words = "you can tell them apart" if told else open_
    then, then_says, more = _then(told, turns)
    return TriangleResult(
        right=right, turns=turns, p=test.p, told_apart=told, share=(test.discriminators_low, test.discriminators_high),
        says=f"{right} right of {turns}: {words}. Odds of as many by guessing alone: {odds(test.p)}.", then=then, then_says=then_says, more_turns=more,
    )


def _then(told: bool, turns: int) -> tuple[str, str, int | None]:
    """(what the outcome calls for, a sentence, how many turns a new series has)."""
    from proofpan.science.panels import odds_right, power, sample_size

    if told:
        return "mark them", "Which of them is better a triangle doesn't ask: mark both, blind, and read the verdict.", None
    right = odds_right("triangle", HALF)
    enough = sample_size("triangle", 0.05, 0.1, right).first
    if turns >= enough:
        return "nothing more", ("Publish the simpler or the cheaper of the two, and claim no difference: one that you find half the time would most likely "
                                "have shown."), None
    then, now = (100 * (1 - power("triangle", n, 0.05, right).power) for n in (enough, turns))
    return "more turns", (
        f"Until more is known publish the simpler or the cheaper of the two, and claim no difference. To know more fix {enough} new turns, on as many days as "
        f"you like. A difference that you truly find half the time goes unseen in {then:.0f} of 100 series of {enough} turns; of {turns} turns, in {now:.0f}. "
        "Count the new ones by themselves: adding to a series until it looks good finds differences that aren't there."), enough
