"""Sentences held to figures that are published: the standards' tables and textbook examples; every number in them is checked."""

import re
from pathlib import Path

import numpy as np
import pytest

import proofpan as pp
from proofpan.science import designs, panels, pooling
from proofpan.steps import panel_words as words

DOCS = Path(__file__).parents[2] / "docs"
# Rounding first base: Hollander & Wolfe 1973, table 7.1 (typed from memory; the statistic below proves it)
ROUND_OUT = [5.40, 5.85, 5.20, 5.55, 5.90, 5.45, 5.40, 5.45, 5.25, 5.85, 5.25, 5.65, 5.60, 5.05, 5.50, 5.45, 5.55, 5.45, 5.50, 5.65, 5.70, 6.30]
NARROW = [5.50, 5.70, 5.60, 5.50, 5.85, 5.55, 5.40, 5.50, 5.15, 5.80, 5.20, 5.55, 5.35, 5.00, 5.50, 5.55, 5.55, 5.50, 5.45, 5.60, 5.65, 6.30]
WIDE = [5.55, 5.75, 5.50, 5.40, 5.70, 5.60, 5.35, 5.35, 5.00, 5.70, 5.10, 5.45, 5.45, 4.95, 5.40, 5.50, 5.35, 5.55, 5.25, 5.40, 5.55, 6.25]
BASES = np.column_stack([ROUND_OUT, NARROW, WIDE])
SHROUT = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]
JOURNALS = [[0, 730, 498, 221], [33, 0, 68, 17], [320, 813, 0, 142], [284, 276, 325, 0]]
# scipy's documentation of page_trend_test: three ways of teaching rated by ten students, in the order expected; L = 133.5
TEACHING = [[3, 4, 3], [2, 2, 4], [3, 3, 5], [1, 3, 2], [2, 3, 2], [2, 4, 5], [1, 2, 4], [3, 4, 4], [2, 4, 5], [1, 3, 4]]


@pytest.mark.parametrize("method, alternative, n, least", [
    ("triangle", "greater", 24, 13), ("triangle", "greater", 30, 15),  # ISO 4120, table A.1 (from memory)
    ("duo-trio", "greater", 24, 17), ("duo-trio", "greater", 20, 15),  # ISO 10399, table A.1 (from memory)
    ("paired", "two-sided", 30, 21),  # ISO 5495, two-sided (from memory)
    ("two-out-of-five", "greater", 10, 4),  # odds of guessing 1/10, ISO 6658; count by the binomial
])
def test_the_sentence_turns_where_the_standards_table_turns(method, alternative, n, least):
    enough = words.difference_words(panels.discrimination_test(method, least, n, alternative))
    short = words.difference_words(panels.discrimination_test(method, least - 1, n, alternative))
    assert f"{least} of {n}" in enough and "can be told apart" in enough
    assert "doesn't show a difference, nor that they are alike" in short and "may still tell" in short


def test_ranks_are_said_with_the_textbooks_odds():
    # Hollander & Wolfe 1973, ex. 7.1: S' = 11.14, p = 0.0038; slower times are higher, so the fastest way is ranked last
    found = panels.friedman(BASES)
    assert found.statistic == pytest.approx(11.1429, abs=1e-4)
    said = words.rank_words(found, ["round out", "narrow angle", "wide angle"], panels.rank_differences(BASES))
    assert "4 times in 1,000" in said and "then wide angle" in said
    assert "round out over wide angle" in said and "over narrow angle" not in said  # the same example's multiple comparison
    assert "don't rank" in words.rank_words(panels.friedman([[1, 2, 3], [3, 2, 1], [2, 1, 3]]), ["a", "b", "c"])


def test_agreement_in_ranks_is_friedmans_statistic_over_its_largest():
    # Kendall & Babington Smith 1939: W = S' / (n (k − 1)) = 11.1429 / 44
    assert "weakly alike (agreement 0.25" in words.concordance_words(panels.kendall_w(BASES), 22)


def test_an_order_named_beforehand_is_said_as_one():
    found = panels.page(TEACHING)
    assert found.L == 133.5
    assert words.trend_words(found, ["talk", "group", "alone"]).startswith("The marks rise as expected: talk, then group, then alone.")
    assert "don't rise" in words.trend_words(panels.page([[3, 2, 1], [1, 2, 3], [2, 1, 3]]), ["a", "b", "c"])


def test_marks_that_stand_for_each_other_are_said_with_the_printed_figures():
    # Shrout & Fleiss 1979, table 4: ICC(2,1) 0.29, ICC(2,4) 0.62; interval 0.02 to 0.76 (from memory)
    said = words.agreement_words(panels.intraclass_correlation(SHROUT))
    assert "poorly" in said and "(0.29, 0.02 to 0.76)" in said and "holds 0.62" in said


def test_preferences_are_said_with_the_books_abilities():
    # Agresti 2002, sec. 10.6: JRSS B 0.27 over Biometrika 0: preferred exp(.27)/(1 + exp(.27)) = 57 in 100
    said = words.preference_words(panels.bradley_terry(JOURNALS), ["Biometrika", "Comm. Stat.", "JASA", "JRSS B"])
    assert "JRSS B, then Biometrika, then JASA, then Comm. Stat." in said
    assert "JRSS B over Biometrika 57 times in 100" in said
    assert "No preference" in words.preference_words(panels.bradley_terry(np.full((3, 3), 5) - 5 * np.eye(3)), ["a", "b", "c"])


def test_pooled_evidence_is_said_with_the_papers_figures():
    # Viechtbauer 2010, J. Stat. Softw. 36(3), sec. 4: −0.7145 (−1.0669 to −0.3622), I² 92.22 %; Colditz et al. 1994
    trials = [(4, 123, 11, 139), (6, 306, 29, 303), (3, 231, 11, 220), (62, 13598, 248, 12867), (33, 5069, 47, 5808),
              (180, 1541, 372, 1451), (8, 2545, 10, 629), (505, 88391, 499, 88391), (29, 7499, 45, 7277), (17, 1716, 65, 1665),
              (186, 50634, 141, 27338), (5, 2498, 3, 2341), (27, 16913, 29, 17854)]  # fmt: skip
    effects = [pooling.log_risk_ratio(*t) for t in trials]
    said = words.pooled_words(pooling.random_effects([e.estimate for e in effects], [e.variance for e in effects]), "log risk")
    assert "Over 13 studies: −0.71 log risk (−1.07 to −0.36)" in said and "92 in 100" in said and "holds on average" in said


def exactly(count, n):
    """A share with its count and its exact interval, by scipy's (Clopper and Pearson, 1934)."""
    from scipy import stats

    found = stats.binomtest(count, n).proportion_ci(0.95, method="exact")
    return f"{count} of {n} ({100 * found.low:.0f} to {100 * found.high:.0f} in 100)"


def test_one_taster_who_finds_it_just_right_is_not_a_hundred_in_a_hundred():
    (said,) = words.just_right_words(panels.penalty_analysis([0], [7]), "salt")
    assert said == "Salt: the one who answered finds it just right. One answer hardly speaks of others: of them 3 to 100 in 100 may agree."
    assert "finds it too much" in words.just_right_words(panels.penalty_analysis([2], [7]), "salt")[0]


def test_just_right_says_what_missing_it_costs_and_how_sure_that_is():
    # ASTM MNL63 (2009): 20 in 100 and a point or more count (from memory); the range is Welch's, checked against scipy
    from scipy import stats

    right, much = [7, 8, 7, 8, 7, 8, 8, 7], [5, 6, 5, 6]
    interval = stats.ttest_ind(right, much, equal_var=False).confidence_interval(0.95)
    said = words.just_right_words(panels.penalty_analysis([0] * 8 + [1] * 4, right + much), "salt")
    assert said[0] == f"Salt: {exactly(8, 12)} find it just right, {exactly(0, 12)} too little, {exactly(4, 12)} too much."
    assert f"2.0 points less ({interval.low:.1f} to {interval.high:.1f}): try less of it." in said[1] and len(said) == 2
    few = words.just_right_words(panels.penalty_analysis([0] * 11 + [1], [7] * 11 + [3]), "salt")
    assert "too few" in few[1] and "no range" in few[1]


def test_designs_are_said_as_the_handbook_has_them():
    # NIST/SEMATECH e-Handbook 5.3.3.4.7: 2^(4−1) with D = ABC has resolution IV; AB = CD
    said = words.design_words(designs.fractional_factorial(4, ["D=ABC"]), ["salt", "oil", "oats", "heat"])
    assert said[0] == "8 trials instead of 16 for 4 factors, resolution 4." and any("salt" in s and "oats" in s for s in said[1:])
    # 5.3.3.5: Plackett–Burman in 12 runs for up to 11 factors, main effects mixed with pairs
    assert words.design_words(designs.plackett_burman(12))[0] == "A screen of 12 trials for 11 factors."
    # Cochran & Cox 1957, table 11.3 (from memory): 7 in blocks of 3, 7 blocks, r = 3, λ = 1
    assert "tasted 3 times and meets every other once." in words.design_words(designs.balanced_incomplete_blocks(7, 3, 7))[0]
    assert "No such" in words.design_words(designs.balanced_incomplete_blocks(7, 3, 8))[0]
    assert "in 100" in words.design_words(designs.d_optimal([2, 2, 2], 4, seed=1, starts=3))[0]


def test_names_that_dont_match_are_refused_in_a_sentence():
    with pytest.raises(pp.StudyError, match="need as many names"):
        words.rank_words(panels.friedman(BASES), ["one"])


def test_what_the_page_for_statisticians_shows_runs_and_says_what_it_prints():
    text = (DOCS / "statistics.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```python\n(.*?)```", text, re.S)
    assert len(blocks) >= 6
    names: dict[str, object] = {}
    for block in blocks:
        code = "\n".join(line for line in block.splitlines() if not line.startswith("# →"))
        wanted = [line.removeprefix("# → ") for line in block.splitlines() if line.startswith("# →")]
        printed: list[str] = []
        names["print"] = lambda x, out=printed: out.append(str(x))
        exec(code, names)  # noqa: S102  our own documentation
        assert printed == wanted, block


def test_an_order_of_many_plates_says_its_ends_only():
    marks = np.arange(9.0)[None, :] + np.zeros((5, 1))
    names = [f"plate {i}" for i in range(1, 10)]
    said = words.rank_words(panels.friedman(marks), names)
    assert said.startswith("The tasters rank them apart: plate 9, then plate 8, then plate 7, and 5 others before the last, plate 1.")
    tied = words.rank_words(panels.friedman(np.random.default_rng(3).permuted(marks, axis=1)), names)
    assert tied.startswith("The tasters don't rank these 9 plates apart beyond luck.")
