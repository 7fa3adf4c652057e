"""Against Cochran & Cox (1957), table 11.3, and known proofs that a design doesn't exist."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from proofpan.science import designs
from proofpan.science.designs import DesignError
from proofpan.science.designs.existence import why_not

TABLE = [  # samples, block size, together; Cochran & Cox (1957), table 11.3; from memory
    (4, 2, 1), (4, 3, 2), (5, 2, 1), (5, 3, 3), (5, 4, 3), (6, 2, 1), (6, 3, 2), (6, 4, 6), (6, 5, 4), (7, 2, 1),
    (7, 3, 1), (7, 4, 2), (7, 6, 5), (8, 2, 1), (8, 4, 3), (8, 7, 6), (9, 2, 1), (9, 3, 1), (9, 4, 3), (9, 5, 5),
    (9, 6, 5), (9, 8, 7), (10, 2, 1), (10, 3, 2), (10, 4, 2), (10, 5, 4), (10, 6, 5), (10, 9, 8), (11, 2, 1),
    (11, 5, 2), (11, 6, 3), (11, 10, 9), (13, 3, 1), (13, 4, 1), (13, 9, 6), (15, 3, 1), (15, 7, 3), (15, 8, 4),
    (16, 4, 1), (16, 6, 2), (16, 10, 6), (19, 3, 1), (19, 9, 4), (19, 10, 5), (21, 5, 1), (25, 5, 1), (31, 6, 1),
    (16, 6, 3), (21, 7, 3), (25, 9, 3), (28, 7, 2), (31, 10, 3), (37, 9, 2), (49, 7, 1), (57, 8, 1), (20, 10, 9), (64, 8, 1),
    (73, 9, 1), (81, 9, 1), (91, 10, 1),
]  # fmt: skip


@pytest.mark.parametrize("samples, size, together", TABLE)
def test_designs_of_the_printed_table_are_built(samples, size, together):
    replicates = together * (samples - 1) // (size - 1)
    got = designs.balanced_incomplete_blocks(samples, size, replicates * samples // size)
    assert got.exists and (got.replicates, got.together) == (replicates, together)
    assert got.blocks.shape == (replicates * samples // size, size)
    balance = designs.block_balance(got.blocks.tolist(), samples)
    assert balance.balanced and balance.together == (together,) and balance.replicates == (replicates,)


@pytest.mark.parametrize(
    "samples, size, blocks, says",
    [
        (7, 3, 8, "equally often"),
        (6, 3, 4, "meet"),
        (16, 6, 8, "Fisher"),
        (22, 7, 22, "Bruck"),  # Bruck & Ryser 1949: 22 even, 7 - 2 is no square
        (43, 7, 43, "Bruck"),  # no projective plane of order 6 (Tarry 1900)
        (46, 10, 46, "Bruck"),
        (29, 8, 29, "Bruck"),
        (15, 5, 21, "Hall-Connor"),  # Nandi 1945
        (15, 10, 21, "leave out"),  # its complement
        (36, 6, 42, "Hall-Connor"),  # no affine plane of order 6
        (111, 11, 111, "Lam"),
    ],
)
def test_what_was_shown_not_to_exist_is_said_not_to(samples, size, blocks, says):
    got = designs.balanced_incomplete_blocks(samples, size, blocks)
    assert got.exists is False and got.blocks is None and says in got.why


@pytest.mark.parametrize("samples, size, together", [(7, 3, 1), (13, 4, 1), (21, 5, 1), (31, 6, 1), (37, 9, 2)])
def test_nothing_forbids_symmetric_designs_that_exist(samples, size, together):
    assert why_not(samples, size, samples) is None


def test_repeats_of_a_design_are_designs():
    got = designs.balanced_incomplete_blocks(7, 3, 21)
    assert got.exists and (got.replicates, got.together) == (9, 3)


@given(st.integers(2, 9), st.data(), st.integers(1, 14), st.integers(0, 99))
@settings(deadline=None, max_examples=25)
def test_a_tasting_of_any_numbers_gets_blocks_near_to_balance(samples, data, blocks, seed):
    size = data.draw(st.integers(1, samples))
    got = designs.incomplete_blocks(samples, size, blocks, seed=seed)
    assert got.blocks.shape == (blocks, size)
    assert all(len(set(row)) == size for row in got.blocks.tolist())
    assert np.ptp(got.balance.replicates) <= 1


def test_a_tasting_that_can_be_balanced_is():
    got = designs.incomplete_blocks(7, 3, 7, seed=4)
    assert got.balance.balanced
    assert got.says == "Balanced: each plate is served 3 times, each pair meets on one palate 1 times."
    assert designs.incomplete_blocks(7, 3, 8, seed=4).says.startswith("Near-balanced: each plate is served 3 to 4")


def test_efficiency_of_the_seven_point_plane():  # 7/9, Cochran & Cox table 11.3
    fano = [[0, 1, 3], [1, 2, 4], [2, 3, 5], [3, 4, 6], [4, 5, 0], [5, 6, 1], [6, 0, 2]]
    got = designs.block_balance(fano, 7)
    assert got.efficiency_factor == pytest.approx(7 / 9)
    assert designs.block_balance(fano[:6], 7).efficiency_factor is None


@pytest.mark.parametrize(
    "call, says",
    [
        (lambda: designs.block_balance([[0, 0]], 3), "Block 1"),
        (lambda: designs.block_balance([[0, 3]], 3), "0 to 2"),
        (lambda: designs.block_balance([], 3), "at least"),
        (lambda: designs.balanced_incomplete_blocks(5, 6, 5), "size from 1"),
        (lambda: designs.incomplete_blocks(1, 1, 5, seed=1), "two samples"),
    ],
)
def test_bad_input_is_refused_in_words(call, says):
    with pytest.raises(DesignError, match=says):
        call()
