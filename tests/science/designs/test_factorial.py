"""Against the tables of Box, Hunter & Hunter (2005), the NIST handbook and Chen, Sun & Wu (1993)."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science import designs
from proofpan.science.designs import DesignError


def column(design, word):
    sign = -1 if word.startswith("-") else 1
    letters = "ABCDEFGHJKLMNOPQRSTUVWXYZ"
    return sign * np.prod([design[:, letters.index(x)] for x in word.lstrip("-")], axis=0)


def test_a_full_factorial_holds_every_combination_once():
    got = designs.full_factorial([2, 3, 2])
    assert got.runs == 12 and len({tuple(r) for r in got.table.tolist()}) == 12
    assert got.table[:3].tolist() == [[0, 0, 0], [0, 0, 1], [0, 1, 0]]
    assert set(got.coded[:, 1].tolist()) == {-1.0, 0.0, 1.0}


@pytest.mark.parametrize(
    "factors, generators, resolution",
    [  # NIST/SEMATECH e-Handbook 5.3.3.4.7, summary table of two-level fractions
        (3, ["C=AB"], 3),
        (4, ["D=ABC"], 4),
        (5, ["E=ABCD"], 5),
        (5, ["D=AB", "E=AC"], 3),
        (6, ["F=ABCDE"], 6),
        (6, ["E=ABC", "F=BCD"], 4),
        (7, ["D=AB", "E=AC", "F=BC", "G=ABC"], 3),
        (7, ["F=ABCD", "G=ABDE"], 4),
        (8, ["E=BCD", "F=ACD", "G=ABC", "H=ABD"], 4),
        (8, ["G=ABCD", "H=ABEF"], 5),
    ],
)
def test_fractions_have_the_resolution_of_the_handbook(factors, generators, resolution):
    got = designs.fractional_factorial(factors, generators)
    assert got.resolution == resolution
    assert got.runs == 2 ** (factors - len(generators)) == len({tuple(r) for r in got.design.tolist()})


def test_defining_words_are_those_of_the_quarter_fraction():  # Box, Hunter & Hunter: I = ABD = ACE = BCDE
    assert designs.fractional_factorial(5, ["D=AB", "E=AC"]).defining_words == ("ABD", "ACE", "BCDE")


@given(st.integers(4, 8), st.data())
@settings(deadline=None, max_examples=50)
def test_words_and_aliases_hold_on_the_columns_themselves(factors, data):
    extra = data.draw(st.integers(1, factors - 3))
    base = "ABCDEFGH"[: factors - extra]
    words = ["".join(c) for size in range(2, len(base) + 1) for c in combinations(base, size)]
    generators = [
        f"{'ABCDEFGH'[len(base) + i]}={data.draw(st.sampled_from(['', '-']))}{data.draw(st.sampled_from(words))}" for i in range(extra)
    ]
    got = designs.fractional_factorial(factors, generators)
    assert len(got.defining_words) == 2**extra - 1
    assert all((column(got.design, word) == 1).all() for word in got.defining_words)
    aliases = got.aliases(2, 3)
    for effect, others in aliases.items():
        assert all((column(got.design, effect) == column(got.design, other)).all() for other in others)
    for effect, other in combinations(aliases, 2):  # nothing that is the same column is left out
        same = abs(column(got.design, effect) @ column(got.design, other)) == got.runs
        assert same == (other in {o.lstrip("-") for o in aliases[effect]})


def test_a_full_factorial_is_a_fraction_without_words():
    got = designs.fractional_factorial(3, [])
    assert (got.runs, got.resolution, got.defining_words) == (8, None, ())


def test_a_generator_may_stand_on_another():
    assert designs.fractional_factorial(5, ["D=AB", "E=DC"]).defining_words == ("ABD", "CDE", "ABCE")


@pytest.mark.parametrize(
    "factors, runs, resolution, threes_fours_fives",
    [  # Chen, Sun & Wu (1993), tables 2 and 3: 16 and 32 runs; 64 runs: table 4; from memory
        (9, 16, 3, (4, 14, 8)),
        (10, 16, 3, (8, 18, 16)),
        (7, 32, 4, (0, 1, 2)),
        (8, 32, 4, (0, 3, 4)),
        (9, 32, 4, (0, 6, 8)),
        (10, 32, 4, (0, 10, 16)),
        (8, 64, 5, (0, 0, 2)),
        (9, 64, 4, (0, 1, 4)),
        (10, 64, 4, (0, 2, 8)),
    ],
)
def test_the_best_fractions_are_the_published_ones(factors, runs, resolution, threes_fours_fives):
    got = designs.minimum_aberration(factors, runs)
    assert (got.runs, got.factors, got.resolution) == (runs, factors, resolution)
    assert got.word_length_pattern[2:5] == threes_fours_fives


@pytest.mark.parametrize("factors, runs", [(5, 8), (6, 8), (6, 16), (7, 16), (8, 16), (11, 16)])
def test_no_choice_of_generators_beats_it(factors, runs):
    size = runs.bit_length() - 1
    letters = "ABCDEFGHJKLM"
    words = ["".join(c) for n in range(2, size + 1) for c in combinations(letters[:size], n)]
    best = min(
        designs.fractional_factorial(factors, [f"{letters[size + i]}={w}" for i, w in enumerate(chosen)]).word_length_pattern
        for chosen in combinations(words, factors - size)
    )
    assert designs.minimum_aberration(factors, runs).word_length_pattern == best


@pytest.mark.parametrize(
    "call, says",
    [
        (lambda: designs.full_factorial([2, 0]), "one level or more"),
        (lambda: designs.full_factorial([10] * 7), "million"),
        (lambda: designs.fractional_factorial(4, ["D"]), "write it like"),
        (lambda: designs.fractional_factorial(4, ["D=ABX"]), "write it like"),
        (lambda: designs.fractional_factorial(4, ["D=AAB"]), "twice"),
        (lambda: designs.fractional_factorial(4, ["D=AB", "D=AC"]), "same factor"),
        (lambda: designs.fractional_factorial(5, ["D=AE", "E=AD"]), "circle"),
        (lambda: designs.fractional_factorial(26, []), "without I"),
        (lambda: designs.minimum_aberration(5, 12), "not 12"),
        (lambda: designs.minimum_aberration(8, 8), "2 to 7"),
        (lambda: designs.minimum_aberration(3, 16), "fewer than"),
        (lambda: designs.fractional_factorial(4, ["D=ABC"]).aliases(0, 2), "order of 1"),
    ],
)
def test_bad_input_is_refused_in_words(call, says):
    with pytest.raises(DesignError, match=says):
        call()


NAMES = ["fat", "rest", "oven", "syrup", "salt"]


def test_a_resolution_three_fraction_is_told_in_words():
    says = designs.aliasing_in_words(designs.fractional_factorial(5, ["D=AB", "E=AC"]), NAMES)
    assert says[0] == "fat can't be told from rest × syrup and oven × salt."
    assert any(s == "These pairs can't be told apart: rest × oven and syrup × salt." for s in says)


def test_a_resolution_four_fraction_leaves_main_effects_clear():
    says = designs.aliasing_in_words(designs.fractional_factorial(4, ["D=ABC"]), NAMES[:4])
    assert says[0] == "What each factor does by itself can be told from every pair of factors."
    assert len(says) == 4


def test_a_resolution_five_fraction_mixes_no_pairs():
    says = designs.aliasing_in_words(designs.fractional_factorial(5, ["E=ABCD"]), NAMES)
    assert says[-1] == "No pair of factors is mixed up with another pair." and len(says) == 2


def test_any_list_of_trials_says_what_it_can_t_tell_apart():
    table = [[0, 0, 0, 1], [0, 1, 0, 1], [1, 0, 1, 1], [1, 1, 1, 1]]
    assert designs.untold(table, ["fat", "rest", "load", "salt"]) == (
        "fat can't be told from load.",
        "load can't be told from fat.",
        "salt is the same in every trial, so nothing is learnt about it.",
    )
    assert designs.untold([[0, 0], [0, 1], [1, 0], [1, 1]], ["fat", "rest"]) == ()


def test_a_factor_mixed_with_two_others_together_is_found():
    table = [[0, 0, 0], [0, 1, 1], [1, 0, 2], [1, 1, 2]]  # the third's options follow from the first two in part
    assert designs.untold(table, ["fat", "rest", "flour"])[0].startswith("fat can't be told from flour")
