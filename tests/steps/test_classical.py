"""Classical designs by name: the handbook's tables, the words for what can't be told, and what is refused."""

import csv
import io

import numpy as np
import pytest

from proofpan.cli import main
from proofpan.steps import classical
from proofpan.study.errors import StudyError


def factors(count, options=2):
    return [classical.Factor(name=f"f{i}", options=tuple("abcd"[:options])) for i in range(count)]


def coded(found, skip=1):
    return np.array([[1 if x == "b" else -1 for x in row[skip:]] for row in found.rows])


def test_half_of_sixteen_has_the_handbooks_resolution():  # NIST/SEMATECH e-Handbook 5.3.3.4.7: 2^(4−1), D = ABC, resolution IV, AB = CD
    found = classical.fraction(factors(4), ["D=ABC"])
    assert dict(found.facts)["resolution"] == "IV" and ("AB", "CD") in found.aliases and len(found.rows) == 8
    x = coded(found)
    assert np.all(x[:, 3] == x[:, 0] * x[:, 1] * x[:, 2])


def test_without_generators_the_least_aberrant_is_taken():  # Chen, Sun & Wu 1993: 2^(5−2) in 8 runs has resolution III
    assert dict(classical.fraction(factors(5), runs=8).facts)["resolution"] == "III"


def test_a_screen_of_eight_says_that_pairs_hide_wholly_and_of_twelve_in_part():  # Plackett & Burman 1946
    assert "can't be told at all from a pair" in classical.screen(factors(7)).says[1]
    twelve = classical.screen(factors(11))
    x = coded(twelve)
    assert "mixed a little" in twelve.says[1] and np.array_equal(x.T @ x, 12 * np.eye(11))


def test_a_split_plot_keeps_what_is_changed_per_load_the_same_within_it():
    found = classical.optimal(factors(3), 12, per_load=["f0"], loads=4, seed=1)
    loads = {}
    for _, load, first, *_ in found.rows:
        loads.setdefault(load, set()).add(first)
    assert len(loads) == 4 and all(len(v) == 1 for v in loads.values())
    assert "F0 stays the same within a load" in found.says[1]


def test_three_options_on_a_straight_line_are_said_to_skip_the_middle():
    found = classical.optimal(factors(2, 3), 6)
    assert any("quadratic model" in s for s in found.says)
    assert not any("quadratic model" in s for s in classical.optimal(factors(2, 3), 9, "quadratic").says)


def test_blocks_are_balanced_or_say_why_not():  # Cochran & Cox 1957, table 11.3 (from memory): 7 in blocks of 3
    assert "meets every other once" in classical.blocks(7, 3, 7).says[0]
    near = classical.blocks(7, 3, 8)
    assert "No such balanced design" in near.says[0] and "Near-balanced" in near.says[1] and len(near.rows) == 8


def test_the_trials_as_csv_are_read_back():
    found = classical.full(factors(3))
    rows = list(csv.reader(io.StringIO(found.csv())))
    assert rows[0] == ["trial", "f0", "f1", "f2"] and len({tuple(r[1:]) for r in rows[1:]}) == 8


@pytest.mark.parametrize("make, says", [
    (lambda: classical.read_factor(": a, b"), "has no name"), (lambda: classical.read_factor("salt: little"), "two different options"),
    (lambda: classical.fraction(factors(4), ["D=ABQ"]), "is not a generator"), (lambda: classical.fraction(factors(4)), "either the generators"),
    (lambda: classical.fraction(factors(3, 3), ["C=AB"]), "take two each"), (lambda: classical.full(factors(9)), "512 trials"),
    (lambda: classical.optimal(factors(3), 3), "can't carry"), (lambda: classical.optimal(factors(3), 10, per_load=["f0"], loads=4), "spread evenly"),
    (lambda: classical.optimal(factors(3), 8, per_load=["oven"], loads=4), "isn't a factor"), (lambda: classical.screen(factors(5), 10), "multiple of 4"),
    (lambda: classical.blocks(1, 1, 1), "2 to 50 plates"), (lambda: classical.full([]), "Name what varies"),
    (lambda: classical.full([*factors(1), *factors(1)]), "stands twice"),
])  # fmt: skip
def test_what_cannot_be_made_is_one_sentence(make, says):
    with pytest.raises(StudyError, match=says):
        make()


def test_the_command_writes_a_csv(tmp_path, capsys):
    file = tmp_path / "design.csv"
    names = [x for n in "abcd" for x in ("--factor", n)]
    assert main(["design", "fraction", *names, "--generator", "D=ABC", "--csv", str(file)]) == 0
    assert "resolution: IV" in capsys.readouterr().out and file.read_text(encoding="utf-8").count("\n") == 9
    assert main(["design", "fraction", *names, "--generator", "D=AX"]) == 2
