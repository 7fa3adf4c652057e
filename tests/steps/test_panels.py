"""Answers of each kind of ballot read from plain columns and from tables; figures held to published examples and other programs."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from proofpan.cli import main
from proofpan.steps import panels
from proofpan.steps.panel_tables import KINDS, panel
from proofpan.study.errors import BallotError
from tests.steps.test_panel_words import BASES, SHROUT


def long(table, names):
    """A table of tasters by plates as columns."""
    rows = [(f"T{i}", n, x) for i, row in enumerate(table) for n, x in zip(names, row, strict=True)]
    return [list(c) for c in zip(*rows, strict=True)]


def test_thirteen_of_24_triangles_tell_and_repeats_are_said():  # ISO 4120, table A.1 (from memory)
    found = panels.forced_choice("triangle", [True] * 13 + [False] * 11, ["Ada"] * 24)
    assert "can be told apart" in found.says[0] and "that palate" in found.says[1] and ("needed at 5 in 100", "13") in found.rows
    assert "can't tell, even all right" in panels.forced_choice("triangle", [True, True]).says[-1]


def test_nine_of_ten_prefer_one_by_the_two_sided_binomial():
    found = panels.preference(["oil"] * 9 + ["butter"], ["butter"] * 9 + ["oil"])
    p = stats.binomtest(9, 10).pvalue
    assert found.says[0].startswith("Oil is preferred to butter: 9 of 10") and f"{round(1000 * p)} times in 1,000" in found.says[0]
    assert "doesn't settle it" in panels.preference(["oil", "butter"], ["butter", "oil"]).says[0]


def test_a_plate_that_always_won_has_no_figure_but_a_sentence():
    found = panels.preference(["a", "a", "b"], ["b", "c", "c"])
    assert found.says[0].startswith("A is preferred most often; how far isn't known")


def test_ranks_follow_the_textbook():  # Hollander & Wolfe 1973, ex. 7.1: S' = 11.14
    who, plates, times = long(BASES, ["round out", "narrow", "wide"])
    found = panels.ranking(who, plates, times)
    assert "χ² 11.14, df 2, p 0.004" in found.method and found.rows[0][0] == "wide"


def test_an_expected_order_is_pages_test():
    table = np.array([[1, 2, 3], [1, 3, 2], [2, 1, 3], [1, 2, 3], [1, 2, 3]])
    who, plates, scores = long(table, ["a", "b", "c"])
    found = panels.ranking(who, plates, [-s for s in scores], ["a", "b", "c"])
    assert f"Page: L {stats.page_trend_test(table).statistic:g}" in found.method and "rise as expected" in found.says[0]
    with pytest.raises(BallotError, match="each plate once"):
        panels.ranking(who, plates, scores, ["a", "b"])


def test_tasters_with_some_plates_each_are_durbins():  # Conover 1999, sec. 5.8: ice cream, T1 = 12, F = 8.0; ranks from memory, the statistic proves them
    blocks = [("A", 2), ("B", 3), ("D", 1)], [("B", 3), ("C", 1), ("E", 2)], [("C", 2), ("D", 1), ("F", 3)], [("D", 1), ("E", 2), ("G", 3)], \
        [("E", 1), ("F", 2), ("A", 3)], [("F", 3), ("G", 1), ("B", 2)], [("G", 3), ("A", 1), ("C", 2)]
    rows = [(f"T{i}", p, r) for i, block in enumerate(blocks) for p, r in block]
    found = panels.ranking(*[list(c) for c in zip(*rows, strict=True)])
    assert found.says[0].startswith("The tasters, who had only some each") and "Durbin" in found.method


def test_marks_of_two_plates_are_the_paired_t():
    rng = np.random.default_rng(3)
    a, b = rng.normal(6, 1, 12), rng.normal(5, 1, 12)
    who, plates, scores = long(np.column_stack([a, b]), ["a", "b"])
    found = panels.liking(who, plates, scores)
    p = stats.ttest_rel(a, b).pvalue
    assert float(found.rows[-1][3]) == pytest.approx(p, abs=6e-4) if found.rows[-1][3][0] == "0" else p < 0.001


def test_the_hidden_control_is_taken_off():
    rng = np.random.default_rng(4)
    who, plates, scores = long(np.column_stack([rng.normal(1.5, 0.5, 10), rng.normal(4, 0.5, 10), rng.normal(1.5, 0.5, 10)]), ["control", "far", "near"])
    found = panels.from_control(who, plates, scores, "control")
    assert found.says[0].startswith("Far differs from the control") and "nor that they are alike" in found.says[1]
    with pytest.raises(BallotError, match="Hide it among them"):
        panels.from_control(who, plates, scores, "reference")


def test_agreement_holds_the_printed_figures_and_says_when_there_is_none():  # Shrout & Fleiss 1979, table 4
    who, plates, scores = long(np.array(SHROUT).T, [f"p{i}" for i in range(6)])
    found = panels.agreement(who, plates, scores)
    assert ("one taster, drawn from many: ICC(2,1)", "0.29", "0.02 to 0.76") in found.rows
    assert "wholly together" in panels.agreement(["a", "b"] * 3, list("xxyyzz"), [1, 1, 2, 2, 3, 3]).says[0]
    assert "needs two of them" in panels.agreement(["a"], ["x"], [1]).says[0]


def test_yes_and_no_is_cochrans_q():
    from statsmodels.stats.contingency_tables import cochrans_q

    table = np.array([[1, 0, 0], [1, 1, 0], [1, 0, 0], [1, 0, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0], [1, 0, 0]])
    found = panels.yes_or_no(*long(table, ["a", "b", "c"]))
    assert f"Q {cochrans_q(table).statistic:.2f}" in found.method and "They differ in how many say yes: a 7 of 8" in found.says[0]


FRAMES = {
    "triangle": {"right": ["yes", "no", "right"]}, "preference": {"preferred": ["a", "a"], "other": ["b", "b"]},
    "just right": {"answer": ["too little", "just right", "1"], "liking": ["3", "7,5", "5"]},
    "studies": {"study": ["x", "y"], "estimate": ["1", "2"], "se": ["0.5", "0.5"]},
    **{k: {"taster": list("AABB"), "plate": list("abab"), v: ["1", "2", "2", "1"]}
       for k, v in (("ranking", "rank"), ("liking", "score"), ("agreement", "score"), ("difference from control", "score"))},
    "yes or no": {"taster": list("AABB"), "plate": list("abab"), "answer": ["yes", "no", "1", "0"]},
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_read_and_answers_in_sentences(kind):
    frame = pd.DataFrame(FRAMES.get(kind, FRAMES["triangle"]))
    found = panel(frame, kind, control="a")
    assert found.answers and all(s.endswith((".", ")")) and "nan" not in s for s in found.says)


@pytest.mark.parametrize("kind, columns, says", [
    ("guess", {}, "isn't a kind of ballot"), ("ranking", {"taster": ["A"], "plate": ["a"]}, "needs taster, plate and rank"),
    ("ranking", {"taster": ["A"], "plate": ["a"], "rank": ["first"]}, "isn't a number"),
    ("ranking", {"taster": ["A", "A"], "plate": ["a", "a"], "rank": ["1", "2"]}, "answered twice"),
    ("triangle", {"right": ["perhaps"]}, "neither yes nor no"), ("triangle", {"right": []}, "no answer"),
    ("preference", {"preferred": ["a"], "other": ["a"]}, "against itself"),
    ("liking", {"taster": ["A", ""], "plate": ["a", "b"], "score": ["1", "2"]}, "is empty"),
    ("just right", {"answer": ["so-so"], "liking": ["3"]}, "neither too little"),
    ("studies", {"study": ["x"], "estimate": ["1"], "se": ["0"]}, "above 0"), ("studies", {"study": ["x"], "estimate": ["1"], "se": ["1"]}, "at least 2"),
])  # fmt: skip
def test_what_cannot_be_read_is_one_sentence(kind, columns, says):
    with pytest.raises(BallotError, match=says):
        panel(pd.DataFrame(columns, dtype=str), kind)


def test_the_command_names_columns_and_lines(tmp_path, capsys):
    file = tmp_path / "ranks.csv"
    file.write_text("judge,plate,rank\nA,a,1\nA,b,2\nB,a,1\nB,b,2\nC,a,1\nC,b,2\n", encoding="utf-8")
    assert main(["panel", str(file), "--kind", "ranking", "--taster", "judge", "--table"]) == 0
    out = capsys.readouterr().out
    assert "Friedman" in out and "mean place" in out
    assert main(["panel", str(file), "--kind", "ranking"]) == 2
    assert "--taster" in capsys.readouterr().err
    file.write_text("taster,plate,rank\nA,a,1\nA,b,two\n", encoding="utf-8")
    assert main(["panel", str(file), "--kind", "ranking"]) == 2
    assert "ranks.csv:3" in capsys.readouterr().err
