"""Against Plackett & Burman (1946), maximal determinants and a second way of working out efficiency."""

import numpy as np
import pytest

from proofpan.science import designs
from proofpan.science.designs import DesignError


@pytest.mark.parametrize("runs", range(4, 49, 4))
def test_every_size_is_orthogonal_and_balanced(runs):
    got = designs.plackett_burman(runs)
    assert got.orthogonal and got.balanced
    assert (got.design.T @ got.design == runs * np.eye(runs - 1)).all()
    assert (got.design[-1] == -1).all()
    assert got.main_with_own_pairs_correlation == (0.0,)


@pytest.mark.parametrize(
    "runs, row",
    [  # Plackett & Burman (1946), first rows; from memory
        (12, "++-+++---+-"),
        (20, "++--++++-+-+----++-"),
    ],
)
def test_the_rows_are_the_printed_ones_up_to_a_shift(runs, row):
    rows = {"".join("+" if x > 0 else "-" for x in r) for r in designs.plackett_burman(runs).design[:-1]}
    backwards = {r[::-1] for r in rows}
    assert row in rows | backwards


def test_twelve_runs_spread_each_pair_over_all_other_main_effects():  # correlations of one third
    got = designs.plackett_burman(12)
    assert got.main_with_other_pairs_correlation == (pytest.approx(-1 / 3), pytest.approx(1 / 3))
    assert got.resolution == 3


def test_sixteen_runs_are_a_regular_fraction():
    assert designs.plackett_burman(16, 15).main_with_other_pairs_correlation == (-1.0, 0.0)


@pytest.mark.parametrize("runs, factors", [(14, 5), (52, 5), (12, 12), (12, 0)])
def test_sizes_that_don_t_exist_are_refused(runs, factors):
    with pytest.raises(DesignError):
        designs.plackett_burman(runs, factors)


def test_efficiency_is_the_root_of_the_determinant():
    rng = np.random.default_rng(4)
    design = rng.uniform(-1, 1, size=(12, 3))
    a, b, c = design.T
    x = np.column_stack([np.ones(12), a, b, c, a * b, a * c, b * c])
    got = designs.d_efficiency(design, "pairs")
    assert got.d_efficiency == pytest.approx(100 * np.linalg.det(x.T @ x) ** (1 / 7) / 12)


def test_what_can_t_be_estimated_has_no_efficiency():
    half = designs.fractional_factorial(4, ["D=ABC"]).design
    assert designs.d_efficiency(half, "main").d_efficiency == pytest.approx(100)
    assert designs.d_efficiency(half, "pairs") == designs.DEfficiency(0.0, 11, False)


def test_three_by_three_is_the_best_for_a_quadratic_in_nine_runs():  # 46.22 %, Atkinson, Donev & Tobias 2007, ch. 11
    got = designs.d_optimal([3, 3], 9, "quadratic", seed=1)
    assert got.d_efficiency == pytest.approx(46.224, abs=1e-3)
    assert len({tuple(r) for r in got.table.tolist()}) == 9


@pytest.mark.parametrize("runs", [4, 5, 6, 7, 8, 9, 10, 11, 12, 13])
def test_square_designs_come_near_the_largest_determinant(runs):  # Williamson 1946; OEIS A003433
    got = designs.d_optimal([2] * (runs - 1), runs, seed=2)
    assert 0.97 * got.best_possible <= got.d_efficiency <= got.best_possible + 1e-6


@pytest.mark.parametrize("factors, runs, model", [(4, 11, "main"), (3, 14, "main"), (5, 20, "pairs"), (4, 18, "pairs")])
def test_no_design_exceeds_the_bound_and_the_figure_is_the_design_s(factors, runs, model):
    got = designs.d_optimal([2] * factors, runs, model, seed=3)
    assert got.d_efficiency <= got.best_possible + 1e-9
    assert got.d_efficiency == pytest.approx(designs.d_efficiency(got.design, model).d_efficiency)


def test_the_search_beats_a_random_design_and_is_the_same_for_a_seed():
    one, again = (designs.d_optimal([2, 3, 4], 16, "pairs", seed=7) for _ in range(2))
    assert (one.table == again.table).all()
    random = np.random.default_rng(0).integers([2, 3, 4], size=(200, 16, 3))
    coded = 2 * random / (np.array([2, 3, 4]) - 1) - 1
    assert one.d_efficiency > max(designs.d_efficiency(d, "pairs").d_efficiency for d in coded)


def test_whole_plot_factors_stay_put_and_the_split_plot_is_the_textbook_one():
    got = designs.d_optimal_split_plot([2, 2, 2], [0], 4, 4, "pairs", seed=1)
    for plot in range(4):
        assert len(set(got.table[got.whole_plot == plot, 0].tolist())) == 1
        inside = got.table[got.whole_plot == plot][:, 1:]
        assert {tuple(r) for r in inside.tolist()} == {(0, 0), (0, 1), (1, 0), (1, 1)}
    assert sorted(got.table[::4, 0].tolist()) == [0, 0, 1, 1]
    # generalised least squares by hand: whole-plot terms have variance 1 + 4 per run, the rest 1
    assert got.d_efficiency == pytest.approx(100 * (1 / 5) ** (2 / 7))


def test_a_split_plot_without_variance_between_plots_is_a_plain_design():
    got = designs.d_optimal_split_plot([2, 2, 2], [0], 4, 2, "main", seed=1, variance_ratio=0.0)
    assert got.d_efficiency == pytest.approx(100) and got.d_efficiency <= got.best_possible + 1e-9


@pytest.mark.parametrize(
    "call, says",
    [
        (lambda: designs.d_optimal([2, 2, 2], 3, seed=1), "4 parameters"),
        (lambda: designs.d_optimal([1, 2], 4, seed=1), "two levels"),
        (lambda: designs.d_optimal([2, 2], 4, "cubic", seed=1), "no model"),
        (lambda: designs.d_optimal_split_plot([2, 2], [0], 1, 8, seed=1), "1 whole plots can't carry"),
        (lambda: designs.d_optimal_split_plot([2, 2], [2], 4, 2, seed=1), "0 to 1"),
        (lambda: designs.d_efficiency([1, 2, 3]), "table"),
    ],
)
def test_bad_input_is_refused_in_words(call, says):
    with pytest.raises(DesignError, match=says):
        call()
